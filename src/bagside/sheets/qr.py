"""QR codes as plain dark squares in a picture, with the quiet zone the standard wants around them."""

from __future__ import annotations

import numpy as np
import segno

from bagside.errors import InputError
from bagside.sheets.paper import n, stroked

QUIET = 4
"""Modules of white on each side (ISO/IEC 18004)."""
DOT = 25.4 / 600
"""Of a workshop's printer [mm]."""
LEAST_MODULE = 0.30
"""Smaller squares are not read off a label printed in a workshop [mm]."""


def qr_code(text: str, x: float, y: float, side: float) -> str:
    """Return a QR code as an SVG fragment.

    Parameters
    ----------
    text
        What it says.
    x, y
        Upper left corner of its quiet zone [mm].
    side
        With the quiet zone [mm].

    Raises
    ------
    InputError
        When the text is empty or too long to be read at that size.
    """
    if not text:
        raise InputError.one("QR code", "", "a text or an address is wanted")
    code = segno.make(text, error="m", micro=False, encoding="utf-8")
    rows = [tuple(bool(v) for v in row) for row in code.matrix]
    module = side / (len(rows) + 2 * QUIET)
    if module < LEAST_MODULE:
        came = f"{len(text)} characters on {side:.0f} mm"
        raise InputError.one("QR code", came, "a shorter address or a larger label is wanted")
    module = max(np.floor(module / DOT + 1e-9), 1.0) * DOT  # whole dots: every square prints as wide as the next
    left = x + 0.5 * (side - len(rows) * module)
    top = y + 0.5 * (side - len(rows) * module)
    runs = []
    for j, row in enumerate(rows):
        k = 0
        while k < len(row):
            run = next((m for m in range(k, len(row)) if not row[m]), len(row)) - k
            if run:
                runs.append(
                    f"M{n(left + k * module)} {n(top + j * module)}h{n(run * module)}v{n(module)}h{n(-run * module)}Z"
                )
            k += run or 1
    return stroked("".join(runs), weight=0, fill="#000000")
