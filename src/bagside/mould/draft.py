"""Whether the part and the mould come apart: draft of every triangle against the direction of pull.

Draft is the angle between a wall and the direction of pull: 90° for a floor, 0° for a wall along the pull, negative
where the wall leans over and locks. Normals point from the mould to the laminate, so the part leaves the mould along
directions that lie on the normals' side.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.errors import InputError
from bagside.geometry.surface import Surface
from bagside.mould.undercut import LEANS_OVER, Undercut, undercuts_of

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Point = tuple[float, float, float]
Piece = tuple[str, Sequence[float], Sequence[float] | None, Sequence[float] | None]

LEAST_DRAFT = float(np.radians(1.0))  # below it walls scrape; common practice
WALL = float(np.radians(45.0))  # draft below which a face is a wall, not a floor
DEEP = 0.100  # [m] deeper than this a wall wants more draft
PER_DEPTH = float(np.radians(1.0)) / 0.100  # [rad/m] 1° more for each 100 mm beyond
LOCKS = 0.0005  # [m] a hook of less than this the part slips over by its own flex; an assumption of this package
PERCENTILE = 0.01  # of area: the smallest draft that noise of a scan does not set


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceDraft:
    """How one piece of the mould comes off.

    Parameters
    ----------
    name
        What people call the piece.
    pull
        Unit direction in which the piece is pulled off the part.
    area
        Of its surface [m²].
    smallest
        Draft that 99 % of its area exceeds [rad].
    wanted
        Least draft wanted at its depth [rad].
    walls
        Area of its walls, steeper than 45° [m²].
    wall
        Draft that half of the walls' area exceeds [rad]; None when it has none.
    undercut
        Area that leans over [m²].
    undercuts
        Connected patches of it, worst hook first; of fewer than three triangles none.
    hook
        How far the worst connected patch of it reaches over the part: its height along the pull times the mean slope of
        its lean [m].
    depth
        Of its surface along the pull [m].
    worst
        Where it hooks furthest; where the draft is smallest when it does not [m].
    """

    name: str
    pull: Point
    area: float
    smallest: float
    wanted: float
    walls: float
    wall: float | None
    undercut: float
    undercuts: tuple[Undercut, ...]
    hook: float
    depth: float
    worst: Point

    @property
    def locked(self) -> bool:
        """Whether it hooks over the part further than the part gives way."""
        return self.hook > LOCKS


def _unit(direction: Sequence[float], place: str) -> Floats:
    vector = np.asarray(direction, dtype=np.float64)
    if vector.shape != (3,) or not np.isfinite(vector).all() or not np.linalg.norm(vector) > 0:
        raise InputError.one(place, str(direction), "a direction of three numbers, not all zero, is wanted")
    out: Floats = vector / np.linalg.norm(vector)
    return out


def draft_angles(surface: Surface, pull: Sequence[float] | Floats) -> Floats:
    """Return the draft of each triangle when the part is lifted along a direction.

    Parameters
    ----------
    surface
        The mould's surface, normals towards the laminate.
    pull
        Direction in which the part leaves the mould, shape (3,); any length.

    Returns
    -------
    ndarray
        Angle between wall and pull, shape (m,) [rad]; negative where the wall leans over the part.

    Raises
    ------
    InputError
        When the direction is zero or not three numbers.
    """
    along = _unit(list(np.asarray(pull, dtype=np.float64)), "direction of pull")
    out: Floats = np.arcsin(np.clip(surface.normals @ along, -1.0, 1.0))
    return out


def facing(surface: Surface) -> Floats:
    """Return the direction a surface faces on the whole, weighted by area, shape (3,).

    Parameters
    ----------
    surface
        Any surface open on one side.

    Raises
    ------
    InputError
        When the surface closes on itself, so that it faces nowhere.
    """
    mean = (surface.normals * surface.areas[:, None]).sum(axis=0)
    length = float(np.linalg.norm(mean))
    if not length > 1e-6 * surface.area:
        raise InputError.one("mould", "a surface that closes on itself", "a surface open on one side is wanted")
    out: Floats = mean / length
    return out


def _measured(surface: Surface, name: str, off: Floats, chosen: NDArray[np.bool_]) -> PieceDraft:
    angles = draft_angles(surface, -off)[chosen]
    areas = surface.areas[chosen]
    order = np.argsort(angles, kind="stable")
    reached = np.cumsum(areas[order])
    at = int(np.searchsorted(reached, PERCENTILE * reached[-1]))
    index = order[min(at, len(order) - 1)]
    height = surface.corners[chosen].reshape(-1, 3) @ off
    depth = float(np.ptp(height))
    undercuts = undercuts_of(surface, np.flatnonzero(chosen), angles, off)
    centre = surface.centroids[chosen][index]
    worst = undercuts[0] if undercuts else None
    steep = np.abs(angles[order]) < WALL
    walls = np.cumsum(areas[order][steep])
    half = order[steep][int(np.searchsorted(walls, 0.5 * walls[-1]))] if len(walls) else None
    return PieceDraft(
        name=name,
        pull=(float(off[0]), float(off[1]), float(off[2])),
        area=float(areas.sum()),
        smallest=float(angles[index]),
        wanted=LEAST_DRAFT + PER_DEPTH * max(0.0, depth - DEEP),
        walls=float(walls[-1]) if len(walls) else 0.0,
        wall=None if half is None else float(angles[half]),
        undercut=float(areas[angles < LEANS_OVER].sum()),
        undercuts=undercuts,
        hook=0.0 if worst is None else worst.hook,
        depth=depth,
        worst=(float(centre[0]), float(centre[1]), float(centre[2])) if worst is None else worst.point,
    )


def draft_in_one_piece(surface: Surface) -> PieceDraft:
    """Return the draft of the whole surface as one piece, pulled against the direction it faces.

    Parameters
    ----------
    surface
        The mould's surface, normals towards the laminate.

    Raises
    ------
    InputError
        When the surface closes on itself.
    """
    everything = np.ones(len(surface.triangles), dtype=np.bool_)
    return _measured(surface, "in one piece", -facing(surface), everything)


def draft_of(surface: Surface, pieces: Sequence[Piece] = ()) -> tuple[PieceDraft, ...]:
    """Return the draft of each piece of a mould, or of the mould in one piece when none is stated.

    Parameters
    ----------
    surface
        The mould's surface, normals towards the laminate.
    pieces
        For each: name, direction in which the piece is pulled off the part, and a point [m] and the normal of its split
        plane; triangles whose centroid lies on the normal's side belong to it. Point and normal are None for a mould
        in one piece. A triangle on the side of several planes belongs to the first named.

    Returns
    -------
    tuple of PieceDraft
        In the order given. Triangles on no piece's side are reported by `draft_findings` through their area.

    Raises
    ------
    InputError
        When a direction is zero, only one of point and normal is given, or a piece has no triangle.
    """
    if not pieces:
        return (draft_in_one_piece(surface),)
    free = np.ones(len(surface.triangles), dtype=np.bool_)
    found: list[PieceDraft] = []
    for name, pull, point, normal in pieces:
        place = f"mould piece {name}"
        off = _unit(pull, f"{place}, pull")
        mine = free.copy()
        if (point is None) != (normal is None):
            raise InputError.one(f"{place}, split plane", "half a plane", "a point and a normal are both wanted")
        if point is not None and normal is not None:
            across = _unit(normal, f"{place}, normal of the split plane")
            mine &= (surface.centroids - np.asarray(point, dtype=np.float64)) @ across >= 0.0
        if not mine.any():
            raise InputError.one(place, "no part of the surface lies on its side", "another split plane is wanted")
        free &= ~mine
        found.append(_measured(surface, name, off, mine))
    return tuple(found)
