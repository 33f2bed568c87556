"""One tight patch of a mould measured: how long, how sharp, between which walls, how high the bridge."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from bagside.geometry.surface import Surface
from bagside.mould.radius import CornerVerdict, verdict_of
from bagside.mould.skeleton import Skeleton

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LEAST_TURN = float(np.radians(20.0))  # flatter than this the ball's gap is too small to give a radius
WIDEST_TURN = float(np.radians(170.0))  # beyond it the walls are nearly parallel
NEAR, FAR = 1.0, 2.5  # reach over the needed radius at which the walls on both sides are looked at
SAMPLES = 80  # vertices at which the angle of one corner is taken
OUTER = 0.6  # of the reach to each side, from where on a wall's normals count
MARK = 0.001  # [m] grooves shallower than this are scribed lines and marks
SMALLER = (0.5, 0.25, 0.125)  # of the needed radius: balls tried in a groove


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """One tight inside corner.

    Parameters
    ----------
    id
        Its number on the sheets: ``C1`` is the longest.
    points
        Points along it, shape (k, 3) [m].
    links
        Which points follow each other, shape (l, 2); a corner where three walls meet branches.
    length
        Along it [m].
    radius
        Smallest hollow radius, not set by single noisy vertices [m]; zero for a crease.
    included
        Angle between its walls on the laminate's side [rad].
    gap
        Height of the bridge over its deepest line when the needed radius is the tightest bend [m].
    needed
        Radius wanted there [m].
    thickness
        Of the stack laid into it [m].
    branches
        Number of places where more than two walls meet.
    verdict
        What it asks.
    """

    id: str
    points: Floats
    links: Ints
    length: float
    radius: float
    included: float
    gap: float
    needed: float
    thickness: float
    branches: int
    verdict: CornerVerdict

    @property
    def centre(self) -> tuple[float, float, float]:
        """The point of it nearest its middle [m]."""
        at = self.points[np.argmin(np.linalg.norm(self.points - self.points.mean(axis=0), axis=1))]
        return (float(at[0]), float(at[1]), float(at[2]))


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """What was measured at each vertex of a mould.

    Parameters
    ----------
    surface
        The mould, its long edges divided.
    tree
        Of its vertices.
    radii
        Smallest hollow radius, shape (n,) [m].
    directions
        In which it bends, shape (n, 3).
    gaps
        That the ball of the needed radius leaves, shape (n,) [m].
    needed
        Radius wanted, shape (n,) [m].
    thickness
        Of the laminate, shape (n,) [m].
    gaps_of
        Gaps that a ball of another radius leaves, shape (n,) [m].
    """

    surface: Surface
    tree: cKDTree
    radii: Floats
    directions: Floats
    gaps: Floats
    needed: Floats
    thickness: Floats
    gaps_of: Callable[[float], Floats]


def corner_of(m: Measured, patch: Ints, skeleton: Skeleton) -> Corner | None:
    """Return a patch as a corner, or nothing when it is only a scribed line or a mark.

    Parameters
    ----------
    m
        What was measured.
    patch
        Its vertices, shape (k,).
    skeleton
        The line along it.
    """
    stations = [patch[skeleton.station == k] for k in range(len(skeleton.points))]
    gap = float(np.quantile([m.gaps[s].max() for s in stations], 0.9))
    bend = float(np.quantile([np.quantile(m.radii[s], 0.2, method="higher") for s in stations], 0.1, method="higher"))
    want = float(m.needed[patch].max())
    at = np.concatenate([_bottom(s, m.gaps, m.radii) for s in stations])
    at = at[:: max(1, len(at) // SAMPLES)]
    turns = _turns(m, at, want)
    turn = float(np.median(turns))
    if turn < LEAST_TURN and gap < MARK:
        return None
    radius = min(bend, _radius_by_ball(m.gaps[at], turns, want))
    if not radius < want:
        radius = _largest_ball(m, at, want)
    thick = float(m.thickness[patch].max())
    return Corner(
        id="",
        points=skeleton.points,
        links=skeleton.links,
        length=skeleton.length,
        radius=radius,
        included=float(np.pi - turn),
        gap=gap,
        needed=want,
        thickness=thick,
        branches=skeleton.branches,
        verdict=verdict_of(radius, thick),
    )


def _largest_ball(m: Measured, bottom: Ints, want: float) -> float:
    """Return the largest of some smaller balls that touches the bottom of a groove; zero when none does."""
    for share in SMALLER:
        if float(np.median(m.gaps_of(share * want)[bottom])) <= 0.05 * share * want:
            return share * want
    return 0.0


def _bottom(station: Ints, gaps: Floats, radii: Floats) -> Ints:
    """Return the vertices along the deepest line of one station."""
    most = gaps[station].max()
    chosen = gaps[station] >= 0.9 * most if most > 0 else radii[station] <= np.quantile(radii[station], 0.2)
    out: Ints = station[chosen]
    return out


def _radius_by_ball(gaps: Floats, turns: Floats, ball: float) -> float:
    """Return the fillet between two walls that leaves the ball's gap, at the tighter places; infinite when unknown.

    Grooves narrower than the ball leave a larger gap than any two walls could and say nothing about a radius.
    """
    whole = 1.0 / np.cos(np.minimum(turns, WIDEST_TURN) / 2.0) - 1.0
    known = (turns >= LEAST_TURN) & (gaps > 0) & (gaps <= 1.2 * ball * whole)
    if not known.any():
        return np.inf
    found = np.maximum(0.0, ball - gaps[known] / whole[known])
    return float(np.quantile(found, 0.25))


def _turns(m: Measured, at: Ints, needed: float) -> Floats:
    """Return the angle between the walls at vertices of a corner, from normals well to both sides of each.

    Taken near and far, and the larger counts: far, because a soft corner turns slowly; near, because beyond a low step
    the surface faces the same way again.
    """
    return np.maximum(_turns_within(m, at, NEAR * needed), _turns_within(m, at, FAR * needed))


def _turns_within(m: Measured, at: Ints, reach: float) -> Floats:
    v, normal = m.surface.vertices, m.surface.vertex_normals
    found = m.tree.query_ball_point(v[at], reach + 2.0 * m.surface.edge_length)
    turns = np.zeros(len(at))
    for k, i in enumerate(at):
        near = np.array(found[k], dtype=np.int64)
        across = m.directions[i] - (m.directions[i] @ normal[i]) * normal[i]
        axis = np.cross(normal[i], across)
        axis /= max(float(np.linalg.norm(axis)), 1e-12)
        side = (v[near] - v[i]) @ across
        low, high = OUTER * side.min(), OUTER * side.max()
        left = normal[near[side <= low]].mean(axis=0)
        right = normal[near[side >= high]].mean(axis=0)
        left, right = left - (left @ axis) * axis, right - (right @ axis) * axis
        turns[k] = np.arctan2(np.linalg.norm(np.cross(left, right)), left @ right)
    return turns
