"""The single lines of a tight patch: points in order, and the vertices that belong to each of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.mould.arms import Arm, arms_of
from bagside.mould.skeleton import Skeleton
from bagside.mould.walls import Measured, bottom_of

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SHORTEST = 2.0  # needed radii in the length of a corner
CLEAR = 1.2  # needed radii from a meeting within which a third wall rounds the corner
ASIDE = float(np.radians(40.0))  # a bend of the line at its last place that shows it to lie beside the deepest line
LEAST_GATHERED = float(np.radians(5.0))  # curvature that tells where walls meet


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A single line.

    Parameters
    ----------
    points
        In order along it, shape (k, 3) [m].
    links
        Which points follow each other, shape (l, 2).
    stations
        Vertices that belong to it, place by place.
    at
        Point of each station.
    closed
        Whether it closes on itself.
    length
        Along it [m].
    meetings
        Those of its ends at which more than two walls meet, shape (0 to 2, 3) [m].
    """

    points: Floats
    links: Ints
    stations: list[Ints]
    at: list[int]
    closed: bool
    length: float
    meetings: Floats


def lines_in(m: Measured, patch: Ints, skeleton: Skeleton) -> list[Line]:
    """Return the single lines of a patch that are long enough for corners.

    Parameters
    ----------
    m
        What was measured.
    patch
        Its vertices, shape (k,).
    skeleton
        The line along it.

    Returns
    -------
    list of Line
        Longest first; the skeleton as it is when the patch is about as wide as long.
    """
    shortest = SHORTEST * float(m.needed[patch].max())
    if skeleton.length < shortest:
        return []
    vertices = [patch[skeleton.station == k] for k in range(len(skeleton.points))]
    arms = arms_of(skeleton, shortest)
    if not arms:
        return [
            Line(
                points=skeleton.points,
                links=skeleton.links,
                stations=vertices,
                at=list(range(len(vertices))),
                closed=False,
                length=skeleton.length,
                meetings=np.zeros((0, 3)),
            )
        ]
    lines = [_line(m, arm, skeleton.points, vertices, patch) for arm in arms]
    return [line for line in lines if line.length >= shortest]


def _line(m: Measured, arm: Arm, points: Floats, vertices: list[Ints], patch: Ints) -> Line:
    """Return an arm with its meetings put where curvature gathers, and without the stations that reach into them."""
    order = list(arm.stations)
    deep = [bottom_of(m, vertices[s]) for s in order]
    own = np.stack([m.surface.vertices[b].mean(axis=0) for b in deep])
    met: list[Floats] = []
    keep = np.ones(len(order), dtype=np.bool_)
    want = float(m.needed[patch].max())
    for end in (0, -1):
        if not arm.meets[end]:
            continue
        place = _meeting(m, points[order[end]], patch, 2.0 * want)
        met.append(place)
        keep[end] = False
        keep &= np.linalg.norm(own - place, axis=1) > CLEAR * want
    for end, way in ((0, 1), (-1, -1)):  # the first band of a patch about as wide as long lies in a corner of it
        if not arm.closed and not arm.meets[end] and keep.sum() > 3:
            one, two = own[end + way] - own[end], own[end + 2 * way] - own[end + way]
            keep[end] = one @ two > np.cos(ASIDE) * np.linalg.norm(one) * np.linalg.norm(two)
    if not keep.any():
        keep[len(keep) // 2] = True
    stations = [vertices[s] for s, k in zip(order, keep.tolist(), strict=True) if k]
    line = [own[keep]]
    if arm.meets[0]:
        line.insert(0, met[0][None])
    if arm.meets[1]:
        line.append(met[-1][None])
    joined = np.concatenate(line)
    k = np.arange(len(joined))
    links = np.stack([k, np.roll(k, -1)], axis=1)[: len(k) if arm.closed else -1]
    length = float(np.linalg.norm(joined[links[:, 0]] - joined[links[:, 1]], axis=1).sum())
    if not arm.closed:
        around = np.concatenate([vertices[s] for s in order])
        length += sum(_beyond(m, around, joined, end, 2.0 * want) for end in (0, -1) if not arm.meets[end])
    return Line(
        points=joined,
        links=links,
        stations=stations,
        at=[int(arm.meets[0]) + i for i in range(len(stations))],
        closed=arm.closed,
        length=length,
        meetings=np.array(met, dtype=np.float64).reshape(-1, 3),
    )


def _meeting(m: Measured, near: Floats, patch: Ints, reach: float) -> Floats:
    """Return where curvature gathers most near a branch of the stations."""
    v = m.surface.vertices[patch]
    close = np.linalg.norm(v - near, axis=1) <= reach
    weight = m.defects[patch][close] ** 2
    if not weight.sum() > LEAST_GATHERED**2:
        return near
    out: Floats = (v[close] * weight[:, None]).sum(axis=0) / weight.sum()
    return out


def _beyond(m: Measured, around: Ints, points: Floats, end: int, reach: float) -> float:
    """Return how far the deepest line reaches beyond its last point at a free end."""
    if len(points) < 2:
        return 0.0
    ahead = points[end] - points[1 if end == 0 else -2]
    ahead = ahead / max(float(np.linalg.norm(ahead)), 1e-12)
    off = m.surface.vertices[around] - points[end]
    forward = off @ ahead
    aside = np.linalg.norm(off - forward[:, None] * ahead, axis=1)
    near = (np.linalg.norm(off, axis=1) <= reach) & (aside <= max(0.25 * reach, 1.5 * m.surface.edge_length))
    return max(0.0, float(forward[near].max())) if near.any() else 0.0
