"""SVG fragments in millimetres on paper: lines, texts with a halo, a whole sheet.

y counts downwards, as SVG does. Every fragment is a string; a sheet puts them into one document whose view box is its
size in millimetres.
"""

from __future__ import annotations

from collections.abc import Iterable
from xml.sax.saxutils import escape

import numpy as np
from numpy.typing import NDArray

from bagside.sheets import colour
from bagside.sheets.typeface import FAMILY, NOTE, THIN_SPACE_WIDTH

Floats = NDArray[np.float64]

HAIR, THIN, EDGE, BOLD = 0.15, 0.25, 0.4, 0.7
"""Weights of lines in print [mm]."""
HALO = 0.9
"""Width of the paper around letters on a picture, both sides together [mm]."""


def n(value: float) -> str:
    """Return a number with at most three digits after the point.

    Parameters
    ----------
    value
        [mm].
    """
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def path(points: Floats, *, closed: bool = False) -> str:
    """Return points as SVG path data.

    Parameters
    ----------
    points
        Shape (k, 2) [mm].
    closed
        Whether the last joins the first.
    """
    p = np.asarray(points, dtype=np.float64)
    if p.ndim != 2 or p.shape[1] != 2 or not np.isfinite(p).all():
        raise ValueError(f"a path needs finite points of shape (k, 2), not {p.shape}")
    return "M" + "L".join(f"{n(x)} {n(y)}" for x, y in p) + ("Z" if closed else "")


def line(
    points: Floats | Iterable[Iterable[float]],
    *,
    weight: float = THIN,
    ink: str = colour.INK,
    dashes: str = "",
    closed: bool = False,
    fill: str = "none",
) -> str:
    """Return a line or a filled shape.

    Parameters
    ----------
    points
        Shape (k, 2) [mm].
    weight
        Of the line [mm]; 0 draws none.
    ink
        Its colour.
    dashes
        As SVG wants them [mm]; empty is solid.
    closed
        Whether the last joins the first.
    fill
        Colour inside.
    """
    data = path(np.array(points if isinstance(points, np.ndarray) else [list(p) for p in points]), closed=closed)
    return stroked(data, weight=weight, ink=ink, dashes=dashes, fill=fill)


def stroked(
    data: str, *, weight: float = THIN, ink: str = colour.INK, dashes: str = "", fill: str = "none", cap: str = "butt"
) -> str:
    """Return path data as a drawn path.

    Parameters
    ----------
    data
        SVG path data [mm].
    weight
        Of the line [mm]; 0 draws none.
    ink
        Its colour.
    dashes
        As SVG wants them [mm]; empty is solid.
    fill
        Colour inside.
    cap
        Ends of lines and dashes.
    """
    stroke = f'stroke="{ink}" stroke-width="{n(weight)}" stroke-linejoin="round"' if weight else 'stroke="none"'
    dash = f' stroke-dasharray="{dashes}"' if dashes else ""
    ends = f' stroke-linecap="{cap}"' if cap != "butt" else ""
    return f'<path d="{data}" fill="{fill}" {stroke}{dash}{ends}/>'


def circle(
    x: float, y: float, radius: float, *, weight: float = THIN, ink: str = colour.INK, fill: str = "none"
) -> str:
    """Return a circle.

    Parameters
    ----------
    x, y, radius
        [mm].
    weight
        Of the line [mm]; 0 draws none.
    ink
        Its colour.
    fill
        Colour inside.
    """
    stroke = f'stroke="{ink}" stroke-width="{n(weight)}"' if weight else 'stroke="none"'
    return f'<circle cx="{n(x)}" cy="{n(y)}" r="{n(radius)}" fill="{fill}" {stroke}/>'


def rect(
    x: float, y: float, w: float, h: float, *, weight: float = 0.0, ink: str = colour.INK, fill: str = "none"
) -> str:
    """Return a rectangle.

    Parameters
    ----------
    x, y, w, h
        Left, top, width, height [mm].
    weight
        Of the line [mm]; 0 draws none.
    ink
        Its colour.
    fill
        Colour inside.
    """
    stroke = f'stroke="{ink}" stroke-width="{n(weight)}"' if weight else 'stroke="none"'
    return f'<rect x="{n(x)}" y="{n(y)}" width="{n(w)}" height="{n(h)}" fill="{fill}" {stroke}/>'


def text(
    x: float,
    y: float,
    words: str,
    *,
    size: float = NOTE,
    ink: str = colour.INK,
    bold: bool = False,
    anchor: str = "start",
    halo: bool = False,
    turn: float = 0.0,
) -> str:
    """Return one line of text.

    Parameters
    ----------
    x, y
        Where its baseline is anchored [mm].
    words
        The text.
    size
        Type size [mm].
    ink
        Its colour.
    bold
        Whether it is set bold.
    anchor
        ``start``, ``middle`` or ``end``.
    halo
        Whether paper stands around the letters, for texts on a picture.
    turn
        Degrees clockwise about its anchor.
    """
    look = ' font-weight="700"' if bold else ""
    edge = f' stroke="{colour.PAPER}" stroke-width="{n(HALO)}" stroke-linejoin="round"' if halo else ""
    turned = f' transform="rotate({n(turn)} {n(x)} {n(y)})"' if turn else ""

    def written(extra: str) -> str:
        fill = colour.PAPER if extra else ink
        return (
            f'<text x="{n(x)}" y="{n(y)}" font-size="{n(size)}" text-anchor="{anchor}" fill="{fill}"'
            f"{look}{extra}{turned}>{_spaced(words, size)}</text>"
        )

    behind = written(edge + ' aria-hidden="true"').replace("<text", '<text class="halo"', 1) if halo else ""
    return behind + written("")


def _spaced(words: str, size: float) -> str:
    first, *rest = (escape(part) for part in words.replace("\u202f", "\u2009").split("\u2009"))
    return first + "".join(f'<tspan dx="{n(THIN_SPACE_WIDTH * size)}">{part}</tspan>' for part in rest)


def sheet(width: float, height: float, parts: Iterable[str], *, title: str) -> str:
    """Return fragments as one SVG document, true to size.

    Parameters
    ----------
    width, height
        [mm].
    parts
        Fragments, the lowest first.
    title
        What it shows, for readers.
    """
    body = "\n".join(p for p in parts if p)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="{n(width)}mm" '
        f'height="{n(height)}mm" viewBox="0 0 {n(width)} {n(height)}" role="img" font-family="{FAMILY}">'
        f"<title>{escape(title)}</title>\n{body}\n</svg>\n"
    )
