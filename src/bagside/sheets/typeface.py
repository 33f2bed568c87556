"""The one typeface: where its files are and how wide a text runs.

Layout that must not overlap has to know widths; they are read from the same font files the sheets are printed with.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

from PIL import ImageFont

FONTS = Path(__file__).parent / "fonts"
FAMILY = "B612, DejaVu Sans, DejaVu Sans Mono, sans-serif"
THIN_SPACE_WIDTH = 0.2
"""Of its size; the typeface has no thin space, so it is made by moving on."""
CAPTION, NOTE, BODY, HEAD, FIGURE = 2.5, 2.9, 3.3, 4.6, 6.4
"""Sizes in print [mm]."""
ASCENT = 0.74
"""Height of capitals and figures over the size."""


@cache
def _font(bold: bool) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(str(FONTS / ("B612-Bold.ttf" if bold else "B612-Regular.ttf")), 200)


def width(text: str, size: float, *, bold: bool = False) -> float:
    """Return how wide a text runs, in the unit of its size.

    Parameters
    ----------
    text
        One line.
    size
        Type size.
    bold
        Whether it is set bold.
    """
    thin = text.count("\u2009") + text.count("\u202f")
    plain = text.replace("\u2009", "").replace("\u202f", "")
    return (float(_font(bold).getlength(plain)) / 200 + THIN_SPACE_WIDTH * thin) * size


def wrapped(text: str, size: float, room: float, *, bold: bool = False) -> tuple[str, ...]:
    """Return a text as lines that fit; a single word longer than the room stays whole.

    Parameters
    ----------
    text
        A sentence or two.
    size
        Type size.
    room
        Width there is, in the unit of size.
    bold
        Whether it is set bold.
    """
    lines: list[str] = []
    at = ""
    for word in text.split(" "):
        longer = f"{at} {word}" if at else word
        if at and width(longer, size, bold=bold) > room:
            lines.append(at)
            at = word
        else:
            at = longer
    return (*lines, at) if at else tuple(lines)
