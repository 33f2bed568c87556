"""Where the markers stand on a sheet: a ring of them round a free window.

One photo of such a sheet gives the camera's place and its lens, because the markers surround what is measured. The
markers are square codes of the ArUco family, 5 × 5 cells, 250 in all; each sheet has ids of its own, so a photo of the
wrong sheet is told apart. Metres; x to the right, y up, z out of the paper towards the camera; the origin is the
paper's lower left corner.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import cv2
import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.errors import InputError, did_you_mean
from bagside.quantity import shown

Floats = NDArray[np.float64]

CELLS = 7
"""Of a marker's side: five of the code and a black one at each end."""
MARKER = 0.015
"""Side of a marker on a sheet [m]."""
PITCH = 0.019
"""Smallest distance of neighbouring markers on a sheet, centre to centre [m]."""
LEFT, RIGHT, TOP, BOTTOM = 0.014, 0.010, 0.010, 0.026
"""From the paper's edges to the ring of markers; the rules and the words stand in the wider ones [m]."""
CLEAR = 0.004
"""Between markers and window [m]."""
PRINTED_SD = 0.002
"""Of a printer's scale when no rule was measured: common practice, no source."""
RULER_SD = 0.0002
"""Of a rule read with a steel ruler [m]: common practice, no source."""
MOST_OFF = 0.03
"""Of a printed rule; beyond it the sheet was printed to fit a page, or the rule was misread."""

SHEETS: dict[str, tuple[float, float, int, float, float]] = {
    "A4": (0.210, 0.297, 0, 0.180, 0.250),
    "A3": (0.297, 0.420, 44, 0.260, 0.370),
}
"""Width, height, first id, nominal length of the rule in x and in y [m]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Marker:
    """One marker on a sheet.

    Parameters
    ----------
    id
        Its number in the family, 0…249.
    corners
        Top left, top right, bottom right, bottom left as it is read, shape (4, 2) [m].
    """

    id: int
    corners: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MarkFrame:
    """Markers in one plane round a free window.

    Parameters
    ----------
    name
        Of the sheet.
    markers
        All of them, in the order of their ids.
    window
        The polygon that is free for the object, shape (k, 2) [m].
    paper
        Width and height of the sheet [m].
    rules
        Nominal length of the printed rule in x and in y [m]; zero where there is none.
    light
        Whether the window is light (paper) and the object darker, or the window was cut out and lies on something
        dark.
    scale_sd
        Standard deviation of the size of the printed sheet in x and in y, relative.
    """

    name: str
    markers: tuple[Marker, ...]
    window: Floats
    paper: tuple[float, float]
    rules: tuple[float, float]
    light: bool = True
    scale_sd: tuple[float, float] = (PRINTED_SD, PRINTED_SD)

    @property
    def ids(self) -> frozenset[int]:
        """The ids of its markers."""
        return frozenset(m.id for m in self.markers)

    @property
    def middle(self) -> Floats:
        """Middle of the box round the window, shape (2,) [m]."""
        middle: Floats = 0.5 * (self.window.min(axis=0) + self.window.max(axis=0))
        return middle


def square(identity: int, low: tuple[float, float], side: float) -> Marker:
    """Return a marker that stands upright on the paper.

    Parameters
    ----------
    identity
        Its number.
    low
        Its lower left corner [m].
    side
        [m].
    """
    (x, y), s = low, side
    return Marker(id=identity, corners=np.array([(x, y + s), (x + s, y + s), (x + s, y), (x, y)]))


def frame(paper: str = "A3") -> MarkFrame:
    """Return the markers of a sheet round a window.

    Parameters
    ----------
    paper
        ``A4`` or ``A3``, upright.

    Raises
    ------
    InputError
        When there is no sheet of this size.

    Examples
    --------
    >>> [round(1e3 * float(x)) for x in frame("A4").window.max(axis=0) - frame("A4").window.min(axis=0)]
    [148, 223]
    """
    if paper not in SHEETS:
        wanted = "a sheet with markers is made on A4 or A3; larger things lie between the pages of a table"
        raise InputError.one("paper", f'"{paper}"', wanted, did_you_mean(paper, SHEETS))
    width, height, first, rule_x, rule_y = SHEETS[paper]
    x = _spread(LEFT, width - RIGHT - MARKER)
    y = _spread(BOTTOM, height - TOP - MARKER)
    places = [(a, y[0]) for a in x] + [(a, y[-1]) for a in x]
    places += [(x[0], b) for b in y[1:-1]] + [(x[-1], b) for b in y[1:-1]]
    inside = MARKER + CLEAR
    low = (LEFT + inside, BOTTOM + inside)
    high = (width - RIGHT - inside, height - TOP - inside)
    return MarkFrame(
        name=paper,
        markers=tuple(square(first + k, place, MARKER) for k, place in enumerate(places)),
        window=np.array([low, (high[0], low[1]), high, (low[0], high[1])]),
        paper=(width, height),
        rules=(rule_x, rule_y),
    )


def _spread(first: float, last: float) -> list[float]:
    count = int((last - first) / PITCH + 1e-9) + 1
    return [float(v) for v in np.linspace(first, last, count)]


def scaled(frame: MarkFrame, along_x: float | None, along_y: float | None) -> MarkFrame:
    """Return a frame as it was really printed.

    Parameters
    ----------
    frame
        As drawn.
    along_x, along_y
        The printed rules as measured with a ruler [m]; None where it was not measured: then the drawn length stands,
        and the spread of printers goes into every predicted error.

    Raises
    ------
    InputError
        When a rule is more than 3 % off its nominal length, or the sheet has no such rule.
    """
    factors, spread = [], []
    for axis, measured, nominal, sd in zip("xy", (along_x, along_y), frame.rules, frame.scale_sd, strict=True):
        if measured is None:
            factors.append(1.0)
            spread.append(sd)
            continue
        if not nominal > 0.0:
            raise InputError.one(f"rule in {axis}", shown(measured, "mm"), f"sheet {frame.name} has no such rule")
        if not abs(measured / nominal - 1.0) <= MOST_OFF:
            wanted = (
                f"the rule of sheet {frame.name} is drawn {shown(nominal, 'mm')} long; more than 3 % off is refused"
            )
            cure = 'measure from tick to tick again, or print at 100 %, without "fit to page"'
            raise InputError.one(f"rule in {axis}", shown(measured, "mm"), wanted, cure)
        factors.append(measured / nominal)
        spread.append(RULER_SD / nominal)
    factor = np.array(factors)
    return replace(
        frame,
        markers=tuple(Marker(id=m.id, corners=m.corners * factor) for m in frame.markers),
        window=frame.window * factor,
        paper=(frame.paper[0] * factors[0], frame.paper[1] * factors[1]),
        rules=(frame.rules[0] * factors[0], frame.rules[1] * factors[1]),
        scale_sd=(spread[0], spread[1]),
    )


@cache
def family() -> cv2.aruco.Dictionary:
    """Return the family of markers, as OpenCV keeps it."""
    return cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_250)


def black_cells(identity: int) -> NDArray[np.bool_]:
    """Return which cells of a marker are black, its border with them, first row on top.

    Parameters
    ----------
    identity
        Its number.

    Returns
    -------
    ndarray
        Shape (7, 7).
    """
    return np.asarray(cv2.aruco.generateImageMarker(family(), identity, CELLS)) < 128


def ink(marker: Marker) -> tuple[Floats, ...]:
    """Return the black of a marker as closed lines: outer ones anticlockwise, holes clockwise.

    Parameters
    ----------
    marker
        The marker.

    Returns
    -------
    tuple of ndarray
        Each shape (k, 2), the last point not the first again [m].
    """
    left_top, right_top, _, left_low = marker.corners
    across, up = (right_top - left_top) / CELLS, (left_top - left_low) / CELLS
    return tuple(left_low + ring[:, :1] * across + ring[:, 1:] * up for ring in _cell_lines(marker.id))


@cache
def _cell_lines(identity: int) -> tuple[Floats, ...]:
    """Return the lines of `ink` in cells, from the marker's lower left corner."""
    rows, columns = np.nonzero(black_cells(identity))
    cells = shapely.union_all(shapely.box(columns, CELLS - 1 - rows, columns + 1, CELLS - rows))
    rings: list[Floats] = []
    for part in getattr(cells, "geoms", [cells]):
        whole = shapely.geometry.polygon.orient(part)
        rings += [np.array(ring.coords)[:-1] for ring in (whole.exterior, *whole.interiors)]
    return tuple(rings)
