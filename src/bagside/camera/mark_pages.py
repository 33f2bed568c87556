"""Pages with markers for a table: laid or glued round it, for things larger than a sheet.

Four pages carry an L for the corners, the others a row for the edges between them. Where they lie is not known
beforehand; it is found once from several photos (`bagside.camera.survey`). Each page is cut out along its line, so that
only a narrow band of paper lies round the table. Every page has the axes of its paper: x to the right, y up, origin at
the lower left corner [m].
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.camera.marks import Marker, square

Floats = NDArray[np.float64]

PAPER = (0.210, 0.297)
"""Of every page: A4 upright [m]."""
SIDE = 0.020
"""Of a marker on a page [m]."""
FIRST = 110
"""Id of the first marker of the first page."""
CORNERS, EDGES = 4, 6
"""How many pages of each kind there are."""
ACROSS, UP = 7, 10
"""Markers along the foot of an L and along its back; a row has as many as the back."""
_LOW = (0.014, 0.014)
_HIGH = (0.196, 0.283)
_BAND = 0.007  # [m] of paper round the markers, to the cutting line
RULES = (0.150, 0.250)
"""Nominal length of the rule in x, on an L only, and of the one in y [m]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MarkPage:
    """One page of markers.

    Parameters
    ----------
    number
        1 … 10.
    corner
        Whether it carries an L.
    markers
        In the page's own axes.
    cut
        The line to cut it out along, shape (k, 2) [m].
    rules
        Nominal length of the printed rule in x and in y [m]; zero where there is none.
    """

    number: int
    corner: bool
    markers: tuple[Marker, ...]
    cut: Floats
    rules: tuple[float, float]


def pages() -> tuple[MarkPage, ...]:
    """Return the pages of a table: the four corners, then the edges."""
    out = []
    first = FIRST
    for number in range(1, CORNERS + EDGES + 1):
        corner = number <= CORNERS
        places = _places(corner)
        out.append(
            MarkPage(
                number=number,
                corner=corner,
                markers=tuple(square(first + k, place, SIDE) for k, place in enumerate(places)),
                cut=_cut(corner),
                rules=RULES if corner else (0.0, RULES[1]),
            )
        )
        first += len(places)
    return tuple(out)


def page_of(identity: int) -> str:
    """Return which page a marker is on, as ``page 3``, or nothing when on none.

    Parameters
    ----------
    identity
        Its id.
    """
    for page in pages():
        if any(m.id == identity for m in page.markers):
            return f"page {page.number}"
    return ""


def _places(corner: bool) -> list[tuple[float, float]]:
    x = np.linspace(_LOW[0], _HIGH[0] - SIDE, ACROSS)
    y = np.linspace(_LOW[1], _HIGH[1] - SIDE, UP)
    back = [(float(x[0]), float(b)) for b in y]
    return back + [(float(a), float(y[0])) for a in x[1:]] if corner else back


def _cut(corner: bool) -> Floats:
    left, low = _LOW[0] - _BAND, _LOW[1] - _BAND
    inner_x, inner_y = _LOW[0] + SIDE + _BAND, _LOW[1] + SIDE + _BAND
    right, high = _HIGH[0] + _BAND, _HIGH[1] + _BAND
    if not corner:
        return np.array([(left, low), (inner_x, low), (inner_x, high), (left, high)])
    return np.array([(left, low), (right, low), (right, inner_y), (inner_x, inner_y), (inner_x, high), (left, high)])
