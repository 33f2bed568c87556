"""No-fit polygons on an integer grid: where one outline may not lie because another is in the way.

Outlines are convex parts; the no-fit polygon of two convex parts is a merge of their edges by direction, done here for
all pairs of parts at once, and that of two outlines is the union of all of these. An outline lying *exactly* against
another, or in a slot exactly as wide as itself, must stay possible, and a union of polygons has no place for a slot
without width. So each convex part is taken in by `SLACK` first: what only touches is free, a slot that just fits is a
strip of twice the slack, and the two outlines press into each other by at most that, far below what the check allows.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import pyclipper
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Paths = list[Any]
"""Closed paths as the clipping library gives and takes them: lists of pairs of whole numbers."""

UNIT = 2e-8
"""Of the grid [m]."""
SLACK = 8.0
"""By which convex parts are taken in [units]."""
SPECK = SLACK**2
"""Area of what rounding in the library leaves by mistake; the least that means something is four times as large."""
ARC = math.pi / 6
"""Largest turn between two tangents of a round corner."""


@dataclass(frozen=True, slots=True, eq=False)
class Parts:
    """Convex parts as edges in order of direction, padded to one count.

    Parameters
    ----------
    start
        Lowest corner of each part, the leftmost of several, shape (n, 2) [units].
    edges
        From there counter-clockwise, shape (n, m, 2); zero where padded [units].
    angles
        Direction of each edge, rising within a part, shape (n, m); a pad repeats the one before it [rad].
    """

    start: Floats
    edges: Floats
    angles: Floats

    @classmethod
    def of(cls, loops: tuple[Floats, ...] | list[Floats]) -> Parts:
        """Return convex loops as edges.

        Parameters
        ----------
        loops
            Each counter-clockwise, shape (k, 2) [units].
        """
        most = max((len(loop) for loop in loops), default=0)
        start = np.zeros((len(loops), 2))
        edges = np.zeros((len(loops), most, 2))
        angles = np.zeros((len(loops), most))
        for n, loop in enumerate(loops):
            first = min(range(len(loop)), key=lambda k: (loop[k, 1], loop[k, 0]))
            ring = np.roll(loop, -first, axis=0)
            step = np.roll(ring, -1, axis=0) - ring
            angle = np.arctan2(step[:, 1], step[:, 0])
            angle[angle < 0.0] += math.tau
            start[n], edges[n, : len(ring)] = ring[0], step
            angles[n, : len(ring)] = angle
            angles[n, len(ring) :] = angle[-1]
        return cls(start, edges, angles)

    @property
    def count(self) -> int:
        """How many parts."""
        return len(self.start)


def grown(loop: Floats, by: float) -> Floats:
    """Return a convex loop that holds everything within a distance of another.

    Parameters
    ----------
    loop
        Convex, counter-clockwise, shape (k, 2).
    by
        The distance; edges move out by exactly this much.

    Notes
    -----
    A round corner becomes tangents at most 30° apart, which lie outside the arc by at most 3.5 % of the distance.
    """
    if by <= 0.0:
        return loop
    step = np.roll(loop, -1, axis=0) - loop
    angle = np.arctan2(step[:, 1], step[:, 0]) - 0.5 * math.pi
    turn = np.remainder(angle - np.roll(angle, 1), math.tau)
    turn[turn > math.pi + 1e-6] = 0.0  # a straight corner that rounding made a hollow one
    pieces = np.maximum(1, np.ceil(turn / ARC - 1e-9)).astype(np.int64)
    each = turn / pieces
    corner = np.repeat(np.arange(len(loop)), pieces)
    number = np.arange(len(corner)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    direction = np.roll(angle, 1)[corner] + (number + 0.5) * each[corner]
    reach = by / np.cos(0.5 * each[corner])
    out: Floats = loop[corner] + reach[:, None] * np.stack([np.cos(direction), np.sin(direction)], axis=1)
    return out


def sums(a: Parts, b: Parts, slack: float = SLACK) -> Floats:
    """Return the Minkowski sum of each part of one outline with each of another, taken in by the slack.

    Parameters
    ----------
    a, b
        Convex parts.
    slack
        By which every edge is moved inwards [units].

    Returns
    -------
    array
        Corners, shape (n, k, 2) [units], counter-clockwise; some repeat or lie on straight edges.
    """
    n, m = a.count, b.count
    width = a.edges.shape[1] + b.edges.shape[1]
    edges = np.empty((n, m, width, 2))
    edges[:, :, : a.edges.shape[1]] = a.edges[:, None]
    edges[:, :, a.edges.shape[1] :] = b.edges[None]
    angles = np.empty((n, m, width))
    angles[:, :, : a.edges.shape[1]] = a.angles[:, None]
    angles[:, :, a.edges.shape[1] :] = b.angles[None]
    order = np.argsort(angles, axis=2, kind="stable")
    angles = np.take_along_axis(angles, order, axis=2)
    edges = np.take_along_axis(edges, order[..., None], axis=2)
    corners = (a.start[:, None] + b.start[None])[:, :, None] + np.cumsum(edges, axis=2) - edges
    if slack > 0.0:
        normal = np.stack([np.sin(angles), -np.cos(angles)], axis=-1)
        before = np.roll(normal, 1, axis=2)
        along = np.maximum(1.0 + np.sum(normal * before, axis=-1, keepdims=True), 1e-6)
        corners = corners - slack * (normal + before) / along
    out: Floats = corners.reshape(n * m, width, 2)
    return out


def united(corners: Floats) -> Paths:
    """Return the union of convex polygons as paths: outer ones counter-clockwise, holes clockwise.

    Parameters
    ----------
    corners
        Shape (n, k, 2) [units].
    """
    if not len(corners):
        return []
    clipper = pyclipper.Pyclipper()
    clipper.AddPaths(np.rint(corners).astype(np.int64).tolist(), pyclipper.PT_SUBJECT, True)
    return _clean(clipper.Execute(pyclipper.CT_UNION, pyclipper.PFT_POSITIVE, pyclipper.PFT_POSITIVE))


def without(area: Paths, taken: Paths) -> Paths:
    """Return what is left of an area.

    Parameters
    ----------
    area, taken
        Paths; within each, whatever is wound round at all counts.
    """
    if not area or not taken:
        return area
    clipper = pyclipper.Pyclipper()
    clipper.AddPaths(area, pyclipper.PT_SUBJECT, True)
    clipper.AddPaths(taken, pyclipper.PT_CLIP, True)
    return _clean(clipper.Execute(pyclipper.CT_DIFFERENCE, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO))


def _clean(paths: Paths) -> Paths:
    return [p for p in paths if len(p) > 6 or abs(pyclipper.Area(p)) > SPECK]


def no_fit(still: Parts, mirrored: Parts) -> Paths:
    """Return where the origin of a moving outline may not come, for one that lies still at its own origin.

    Parameters
    ----------
    still
        Parts of the one that lies still.
    mirrored
        Parts of the moving one, mirrored through its origin.

    Returns
    -------
    list
        Paths [units]; a place on their edge, give or take the slack, touches.
    """
    return united(sums(still, mirrored))


def inner_fit(obstacles: Parts, mirrored: Parts, low: Ints, high: Ints) -> Paths:
    """Return where the origin of an outline may come inside a rectangle with things in the way.

    Parameters
    ----------
    obstacles
        Parts of what is in the way.
    mirrored
        Parts of the outline, mirrored through its origin.
    low, high
        Least and greatest place of the origin for which the outline's own rectangle lies inside, shape (2,) [units].

    Returns
    -------
    list
        Paths; none when it fits nowhere.
    """
    slack = int(SLACK)
    if (high - low < -slack).any():
        return []
    (x0, y0), (x1, y1) = (low - slack).tolist(), (high + slack).tolist()
    box: Paths = [[[x0, y0], [x1, y0], [x1, y1], [x0, y1]]]
    if not obstacles.count:
        return box
    return without(box, united(sums(obstacles, mirrored)))
