"""From markup to pages: the one place that calls the typesetter.

Only the fonts that come with the package and those inside the typesetter are used, so that a book looks the same on
every machine. The document is a file of this package; what it shows comes in as one JSON text.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import typst

from bagside.sheets.typeface import FONTS
from bagside.spec.workshop import Paper

SIZES: dict[Paper, tuple[float, float]] = {Paper.A4: (210.0, 297.0), Paper.LETTER: (215.9, 279.4)}
"""Width and height of each paper [mm]."""


def pressed(document: str, data: dict[str, Any]) -> bytes:
    """Return a document of this package, filled with data, as PDF.

    Parameters
    ----------
    document
        Name of the markup file beside this module.
    data
        What it shows; JSON values only.

    Raises
    ------
    TypeError, ValueError
        When data is not JSON.
    """
    return typst.compile(
        str(Path(__file__).parent / document),
        font_paths=[str(FONTS)],
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(data, ensure_ascii=False, allow_nan=False)},
        format="pdf",
    )
