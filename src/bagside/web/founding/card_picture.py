"""The card in hand as it will be cut: outline with its sizes, the zero direction, the warp of the ply in hand."""

from __future__ import annotations

import math
from collections.abc import Sequence
from html import escape

import numpy as np
from numpy.typing import NDArray

from bagside.sheets import colour
from bagside.sheets.marks import BELOW, NET_EDGE, dimension, head, warp_arrow
from bagside.sheets.paper import BOLD, HAIR, line, text
from bagside.sheets.typeface import NOTE

Floats = NDArray[np.float64]

BROAD, SLIM = (176.0, 96.0), (92.0, 74.0)
"""Room for the picture on a wide and on a narrow page [mm]."""
ROOM = 17.0  # [mm] around the outline, for dimensions


def card_picture(
    loops: Sequence[Floats],
    *,
    title: str,
    sizes: tuple[str, str],
    zero: str,
    trim: Sequence[Floats] = (),
    warp: float | None = None,
    said: str = "",
    meant: bool = False,
    room: tuple[float, float] = BROAD,
) -> str:
    """Return the picture of a card.

    Parameters
    ----------
    loops
        Outline, then holes [m]; nothing is drawn but the axes when empty.
    title
        For readers.
    sizes
        Along x and across, as they are written on the dimension lines.
    zero
        Word at the arrow of the zero direction.
    trim
        Net edge within the outline [m].
    warp
        Of the ply in hand, from x [rad]; none is drawn when None.
    said
        Word at the warp's arrow.
    meant
        Whether it only shows what is asked: then it is dashed.
    room
        `BROAD` or `SLIM` [mm].
    """
    wide, high = room
    out: list[str] = []
    origin = np.array([4.0, high - 4.0])
    along = origin + np.array([16.0, 0.0])
    out += [line(np.array([origin, along]), weight=HAIR), head(along, np.array([1.0, 0.0]))]
    out.append(text(along[0] + 1.5, along[1] + 1.1, zero, size=NOTE, ink=colour.SECOND))
    if len(loops):
        out += _outline(loops, trim, sizes, room, meant)
    if warp is not None and len(loops):
        middle = _middle(room)
        way = np.array([math.cos(warp), -math.sin(warp)])
        out.append(warp_arrow(middle - 14 * way, middle + 14 * way, halo=True))
        at = middle + 16.5 * way
        out.append(text(at[0], at[1] + 1.2, said, size=NOTE, anchor="start" if way[0] >= 0 else "end", bold=True))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:g} {high:g}" role="img">'
        f"<title>{escape(title)}</title>{''.join(out)}</svg>"
    )


def _middle(room: tuple[float, float]) -> Floats:
    return np.array([0.5 * room[0] - 3.0, 0.5 * (room[1] - ROOM)])


def _outline(
    loops: Sequence[Floats], trim: Sequence[Floats], sizes: tuple[str, str], room: tuple[float, float], meant: bool
) -> list[str]:
    low, high = loops[0].min(axis=0), loops[0].max(axis=0)
    size = np.maximum(high - low, 1e-9)
    scale = min((room[0] - 2 * ROOM) / size[0], (room[1] - 1.6 * ROOM) / size[1])
    middle = _middle(room)
    dashes = BELOW if meant else ""

    def placed(loop: Floats) -> Floats:
        out: Floats = middle + scale * (np.asarray(loop) - 0.5 * (low + high)) * np.array([1.0, -1.0])
        return out

    drawn = [line(placed(loops[0]), weight=BOLD, fill=colour.PAPER, closed=True, dashes=dashes)]
    drawn += [line(placed(hole), weight=BOLD, fill=colour.PAPER, closed=True, dashes=dashes) for hole in loops[1:]]
    drawn += [line(placed(edge), weight=HAIR, dashes=NET_EDGE, closed=True) for edge in trim]
    half = 0.5 * scale * size
    left, right, bottom, top = middle[0] - half[0], middle[0] + half[0], middle[1] + half[1], middle[1] - half[1]
    if sizes[0]:
        drawn.append(dimension(np.array([left, bottom]), np.array([right, bottom]), sizes[0], offset=5.0))
    if sizes[1]:
        drawn.append(dimension(np.array([right, bottom]), np.array([right, top]), sizes[1], offset=5.0))
    return drawn
