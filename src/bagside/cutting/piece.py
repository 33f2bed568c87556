"""One flat piece of one ply: the outline the knife follows, in the cloth's own axes.

A piece is refused, by name, when its outline is not a closed simple loop round some area: every later step (nest, cost,
template) would quietly give a wrong answer for it, and the nesting engine accepts crossing outlines without a word.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.cutting.seam import PieceSeam
from bagside.errors import InputError, Problem

Floats = NDArray[np.float64]
Mark = tuple[str, tuple[float, float]]

ALONG_THE_WARP = (0.0, math.pi)
"""The turns of an ordinary cloth: warp along the roll, either way round [rad]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlatPiece:
    """One flat piece, cut once for each copy.

    Parameters
    ----------
    label
        What people call it: ``3A``.
    material
        Name of the cloth it is cut from.
    loops
        Outline first, then holes, each shape (k, 2) [m]; first axis along the warp. Either winding and an optional
        repeated closing point are accepted; kept open, the outline counter-clockwise, holes clockwise.
    turns
        Turns against the roll that the cloth allows [rad]; None when it may lie at any angle (a veil).
    marks
        Named places on the piece: (name, (along warp, across)) [m].
    quantity
        How many copies are cut in all.
    kits
        Name of the kit each copy belongs to, one for each copy, or none.
    seams
        Its sides of the joins with its neighbours.
    tolerance
        By which the cloth may be turned either way from ``turns`` [rad].
    flips
        Whether it may be cut face down, as its mirror image: never of a one-faced cloth.
    job
        Name of the job it is for, when several are cut together.
    ply
        Number of its ply, from 1 in the order of laying; 0 when it has none.
    visible
        Whether it shows on the part: pieces that show on one part come from one batch.

    Raises
    ------
    InputError
        With every problem of this piece: an outline that is not closed and simple, holes outside it, no area,
        a number that is not finite, no turn, no copy, two sides of joins with one name.

    Examples
    --------
    >>> triangle = np.array([[0.0, 0.0], [0.2, 0.0], [0.0, 0.1]])
    >>> round(FlatPiece(label="1", material="twill", loops=(triangle,)).area, 6)
    0.01
    """

    label: str
    material: str
    loops: tuple[Floats, ...]
    turns: tuple[float, ...] | None = ALONG_THE_WARP
    marks: tuple[Mark, ...] = ()
    quantity: int = 1
    kits: tuple[str, ...] = ()
    seams: tuple[PieceSeam, ...] = ()
    tolerance: float = 0.0
    flips: bool = False
    job: str = ""
    ply: int = 0
    visible: bool = False

    def __post_init__(self) -> None:
        """Bring loops into one form and refuse what cannot be cut."""
        problems: list[Problem] = []
        place = f"piece {self.label}"
        loops: list[Floats] = []
        for index, loop in enumerate(self.loops):
            name = f"{place}, {'outline' if index == 0 else f'hole {index}'}"
            opened = _opened(loop, name, problems)
            if opened is not None:
                loops.append(_wound(opened, counter_clockwise=index == 0))
        if not self.loops:
            problems.append(Problem(place=place, came="no outline", wanted="one closed outline"))
        if not problems:
            _check_polygon(loops, place, problems)
        if self.turns is not None and (not self.turns or not all(math.isfinite(t) for t in self.turns)):
            problems.append(
                Problem(
                    place=f"{place}, turns", came=str(self.turns), wanted="at least one angle, or none for any angle"
                )
            )
        if not 0.0 <= self.tolerance < math.pi / 2:
            came = f"{math.degrees(self.tolerance):g}°"
            problems.append(Problem(place=f"{place}, tolerance", came=came, wanted="from 0° to less than 90°"))
        if self.quantity < 1:
            problems.append(Problem(place=f"{place}, quantity", came=str(self.quantity), wanted="at least one copy"))
        if self.kits and len(self.kits) != self.quantity:
            came = f"{len(self.kits)} names for {self.quantity} copies"
            problems.append(Problem(place=f"{place}, kits", came=came, wanted="one name for each copy, or none"))
        for name, (u, v) in self.marks:
            if not (math.isfinite(u) and math.isfinite(v)):
                problems.append(Problem(place=f"{place}, mark {name}", came=f"({u}, {v})", wanted="finite numbers"))
        twice = [s for k, s in enumerate(self.seams) if s.shown in {o.shown for o in self.seams[:k]}]
        for seam in twice:
            came = f"{seam.shown} stands on it twice"
            problems.append(Problem(place=f"{place}, seams", came=came, wanted="a name of its own for each side"))
        if problems:
            raise InputError(problems)
        object.__setattr__(self, "loops", tuple(loops))
        object.__setattr__(self, "seams", tuple(self.seams))

    @property
    def polygon(self) -> shapely.Polygon:
        """Outline with its holes, in cloth axes [m]."""
        return shapely.Polygon(self.loops[0], list(self.loops[1:]))

    @property
    def outline(self) -> shapely.Polygon:
        """Outline without holes, in cloth axes [m]: nothing is nested inside a hole."""
        return shapely.Polygon(self.loops[0])

    @property
    def area(self) -> float:
        """Area of one copy without its holes [m²]."""
        return float(self.polygon.area)

    @property
    def size(self) -> tuple[float, float]:
        """Length along the warp and width across it [m]."""
        span = np.ptp(self.loops[0], axis=0)
        return float(span[0]), float(span[1])

    @property
    def knife_path(self) -> float:
        """Length of all edges of one copy [m]."""
        return float(self.polygon.length)

    def narrowest(self) -> tuple[float, float]:
        """Return the least width across the roll over the allowed turns [m] and the turn that has it [rad].

        Notes
        -----
        With any angle allowed, a convex outline is narrowest with one of its edges along the roll, so only those
        directions are tried.
        """
        turns = self.turns
        if turns is None:
            turns = edge_turns(self.loops[0])
        widths = [float(np.ptp(turned(self.loops[0], t)[:, 1])) for t in turns]
        best = int(np.argmin(widths))
        return widths[best], turns[best]


def turned(points: Floats, turn: float) -> Floats:
    """Return points turned counter-clockwise about the origin.

    Parameters
    ----------
    points
        Shape (k, 2) [m].
    turn
        [rad].
    """
    out: Floats = points @ _matrix(turn).T
    return out


def edge_turns(points: Floats) -> tuple[float, ...]:
    """Return the turns that lay an edge of the convex hull along the roll [rad].

    Parameters
    ----------
    points
        Shape (k, 2) [m].
    """
    ring = np.asarray(shapely.convex_hull(shapely.Polygon(points)).exterior.coords, dtype=np.float64)
    step = np.diff(ring, axis=0)
    return tuple(float(-a) for a in np.unique(np.round(np.arctan2(step[:, 1], step[:, 0]), 12)))


def _matrix(turn: float) -> Floats:
    # Quarter turns are exact, so that a piece exactly as wide as the cloth stays exactly as wide.
    quarter = turn / (math.pi / 2)
    if abs(quarter - round(quarter)) < 1e-12:
        c, s = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[round(quarter) % 4]
    else:
        c, s = math.cos(turn), math.sin(turn)
    return np.array([[c, -s], [s, c]], dtype=np.float64)


def _opened(loop: Floats | Sequence[Sequence[float]], name: str, problems: list[Problem]) -> Floats | None:
    points = np.array(loop, dtype=np.float64)
    if points.ndim != 2 or points.shape[1] != 2:
        problems.append(Problem(place=name, came=f"an array of shape {points.shape}", wanted="points as (k, 2)"))
        return None
    if not np.isfinite(points).all():
        problems.append(Problem(place=name, came="a coordinate that is not a number", wanted="finite coordinates"))
        return None
    repeated = (points == np.roll(points, 1, axis=0)).all(axis=1)
    points = points[~repeated] if not repeated.all() else points[:1]
    if len(points) < 3:
        problems.append(Problem(place=name, came=f"{len(points)} different points", wanted="at least three"))
        return None
    return points


def _wound(points: Floats, *, counter_clockwise: bool) -> Floats:
    x, y = points[:, 0] - points[0, 0], points[:, 1] - points[0, 1]
    twice = float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))
    out = np.ascontiguousarray(points if (twice > 0) == counter_clockwise else points[::-1])
    out.setflags(write=False)
    return out


def _check_polygon(loops: list[Floats], place: str, problems: list[Problem]) -> None:
    outline = shapely.Polygon(loops[0])
    if not outline.is_valid:
        why = str(shapely.is_valid_reason(outline))
        problems.append(
            Problem(
                place=f"{place}, outline",
                came=f"it crosses or touches itself ({why}, in m)",
                wanted="a simple closed outline",
                hint="look there for a crossing, a doubled edge or a fold in the flat",
            )
        )
        return
    if not outline.area > 0.0:
        problems.append(Problem(place=f"{place}, outline", came="no area", wanted="a closed outline round some area"))
        return
    whole = shapely.Polygon(loops[0], loops[1:])
    if not whole.is_valid:
        why = str(shapely.is_valid_reason(whole))
        problems.append(
            Problem(
                place=f"{place}, holes", came=f"{why}, in m", wanted="holes inside the outline, apart from each other"
            )
        )
