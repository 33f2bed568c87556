"""From markup to pages: the one place that calls the typesetter.

Only the fonts that come with the package and those inside the typesetter are used, so that a book looks the same on
every machine. The document is a file of this package; what it shows comes in as one JSON text.
"""

from __future__ import annotations

import json
import tempfile
from pathlib import Path
from typing import Any

import typst

from bagside.sheets.black import in_black
from bagside.sheets.typeface import FONTS
from bagside.spec.workshop import Ink, Paper

SIZES: dict[Paper, tuple[float, float]] = {Paper.A4: (210.0, 297.0), Paper.LETTER: (215.9, 279.4)}
"""Width and height of each paper [mm]."""


def pressed(document: str, data: dict[str, Any], *, ink: Ink = Ink.COLOUR) -> bytes:
    """Return a document of this package, filled with data, as PDF.

    Parameters
    ----------
    document
        Name of the markup file beside this module.
    data
        What it shows; JSON values only.
    ink
        In the printer; with black alone the drawings in it are drawn so.

    Raises
    ------
    TypeError, ValueError
        When data is not JSON.
    """
    if ink is Ink.BLACK:
        data = {**blackened(data), "black": True}
    return typst.compile(
        str(Path(__file__).parent / document),
        font_paths=[str(FONTS)],
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(data, ensure_ascii=False, allow_nan=False)},
        format="pdf",
    )


def blackened(value: Any) -> Any:
    """Return what a sheet shows with each drawing in it in black alone.

    Parameters
    ----------
    value
        JSON values.
    """
    if isinstance(value, dict):
        return {name: blackened(v) for name, v in value.items()}
    if isinstance(value, list | tuple):
        return [blackened(v) for v in value]
    return in_black(value) if isinstance(value, str) and value.startswith(("<svg", "<?xml")) else value


def picture_png(svg: str, *, dots_per_inch: float = 150.0) -> bytes:
    """Return a picture as PNG, on white paper with a margin of 4 mm.

    Parameters
    ----------
    svg
        As the modules of this room draw it.
    dots_per_inch
        Its resolution.
    """
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "picture.svg").write_text(svg, encoding="utf-8")
        page = Path(folder) / "picture.typ"
        page.write_text('#set page(width: auto, height: auto, margin: 4mm)\n#image("picture.svg")', encoding="utf-8")
        return typst.compile(
            str(page), font_paths=[str(FONTS)], ignore_system_fonts=True, format="png", ppi=dots_per_inch
        )
