"""The two threads a net is begun with: straight over the surface, or one of them along a stated line."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from bagside.drape.halves import Halves
from bagside.drape.rays import rays
from bagside.geometry import Surface, nearest

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Thread = tuple[Floats, Ints]

AROUND = 2.0  # a thread is no longer than so many times root of the area and diagonal: round a tube it would not end
LOOKS = 32  # directions in which room is looked for
DENSE = 0.1  # spacings between the points by which a stated line is laid onto the surface


def longest(surface: Surface) -> float:
    """Return how long a thread may be on a surface [m].

    Parameters
    ----------
    surface
        The surface.
    """
    return AROUND * (math.sqrt(surface.area) + float(np.linalg.norm(np.ptp(surface.vertices, axis=0))))


def strung(points: Floats, triangles: Ints, spacing: float) -> Thread:
    """Return points along a line of pieces, each so far from the one before it in a straight line.

    Parameters
    ----------
    points
        Corners of the line, the first one given and not returned, shape (k + 1, 3) [m].
    triangles
        Triangle of each piece, shape (k,).
    spacing
        Straight distance [m].

    Returns
    -------
    tuple
        Points, shape (n, 3) [m], and their triangles, shape (n,).
    """
    found, of = [], []
    at, piece = points[0], 0
    while piece < len(triangles):
        off = points[piece + 1 :] - at
        out = np.einsum("ij,ij->i", off, off) >= spacing * spacing
        if not out.any():
            break
        piece += int(out.argmax())
        step = points[piece + 1] - points[piece]
        away = points[piece] - at
        b, c = float(away @ step), float(away @ away) - spacing * spacing
        a = float(step @ step)
        at = points[piece] + (-b + math.sqrt(max(b * b - a * c, 0.0))) / a * step
        found.append(at)
        of.append(int(triangles[piece]))
    return np.array(found).reshape(-1, 3), np.array(of, dtype=np.int64)


def straight(
    surface: Surface, halves: Halves, start: Floats, triangle: int, ways: Floats, spacing: float
) -> list[Thread]:
    """Return threads from a point straight over the surface.

    Parameters
    ----------
    surface, halves
        The surface.
    start
        A point in the triangle, shape (3,) [m].
    triangle
        The triangle.
    ways
        Unit directions in its plane, shape (k, 3).
    spacing
        Distance between nodes [m].

    Returns
    -------
    list
        For each direction the nodes, the start left out, and their triangles.
    """
    found = rays(halves, start, triangle, ways, longest(surface))
    out = []
    for k in range(len(ways)):
        mine = found.ray == k
        out.append(strung(np.concatenate([start[None, :], found.exit[mine]]), found.triangle[mine], spacing))
    return out


def further_in(
    surface: Surface, halves: Halves, start: Floats, triangle: int, warp: Floats
) -> tuple[Floats, int, Floats]:
    """Return a crossing further in for a start at which threads leave the surface at once.

    Parameters
    ----------
    surface, halves
        The surface.
    start
        A point in the triangle, shape (3,) [m].
    triangle
        The triangle.
    warp
        Unit direction of the warp there, shape (3,).

    Returns
    -------
    tuple
        The point half along the longest of straight lines from the start, its triangle, and the warp carried there.
    """
    weft = np.cross(halves.normals[triangle], warp)
    turn = np.arange(LOOKS) * (2 * np.pi / LOOKS)
    ways = np.cos(turn)[:, None] * warp + np.sin(turn)[:, None] * weft
    found = rays(halves, start, triangle, ways, math.sqrt(surface.area))
    if len(found.ray) == 0:
        return start, triangle, warp
    last = np.zeros(LOOKS)
    np.maximum.at(last, found.ray, found.length)
    best = int(last.argmax())
    k = int(np.flatnonzero((found.ray == best) & (found.length >= 0.5 * last[best]))[0])
    onto, along = int(found.triangle[k]), found.along[k]
    carried = math.cos(turn[best]) * along - math.sin(turn[best]) * np.cross(halves.normals[onto], along)
    return found.exit[k], onto, carried


def along_line(
    surface: Surface, halves: Halves, start: Floats, line: Floats, spacing: float
) -> tuple[Floats, int, Floats, Thread, Thread]:
    """Return a thread along a stated line, both ways from the line's point nearest the start.

    Parameters
    ----------
    surface, halves
        The surface.
    start
        Near the line, shape (3,) [m].
    line
        Corners of the line on the surface, in the thread's sense, shape (k, 3) [m].
    spacing
        Distance between nodes [m].

    Returns
    -------
    tuple
        The first node, shape (3,) [m]; its triangle; the line's unit direction there, shape (3,); the thread forwards
        and backwards. Where the line ends on the surface the thread goes straight on.
    """
    step = np.diff(line, axis=0)
    square = np.maximum(np.einsum("ij,ij->i", step, step), 1e-300)
    share = np.clip(np.einsum("ij,ij->i", start - line[:-1], step) / square, 0.0, 1.0)
    foot = line[:-1] + share[:, None] * step
    piece = int(np.argmin(np.linalg.norm(foot - start, axis=1)))
    ahead = np.concatenate([foot[piece][None, :], line[piece + 1 :]])
    behind = np.concatenate([foot[piece][None, :], line[piece::-1]])
    _, found, first = nearest(surface, foot[piece][None, :])
    at, triangle = first[0], int(found[0])
    normal = surface.normals[triangle]
    along = step[piece] - (step[piece] @ normal) * normal
    along = along / max(float(np.linalg.norm(along)), 1e-300)
    return (
        at,
        triangle,
        along,
        _prolonged(surface, halves, ahead, along, spacing),
        _prolonged(surface, halves, behind, -along, spacing),
    )


def _prolonged(surface: Surface, halves: Halves, line: Floats, along: Floats, spacing: float) -> Thread:
    """Return a thread along a line laid onto the surface, and straight on from its end."""
    path = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))])
    places = np.linspace(0, path[-1], max(2, math.ceil(path[-1] / (DENSE * spacing)) + 1)) if path[-1] > 0 else path[:1]
    _, triangles, points = nearest(surface, np.stack([np.interp(places, path, line[:, k]) for k in range(3)], axis=1))
    heading = points[-1] - points[-2] if len(points) > 1 else along
    last = int(triangles[-1])
    normal = halves.normals[last]
    heading = heading - (heading @ normal) * normal
    size = float(np.linalg.norm(heading))
    if size > 0:
        beyond = rays(halves, points[-1], last, (heading / size)[None, :], longest(surface))
        points = np.concatenate([points, beyond.exit])
        triangles = np.concatenate([triangles, beyond.triangle])
    nodes, _ = strung(points, triangles[1:], spacing)
    if len(nodes) == 0:
        return nodes, np.zeros(0, dtype=np.int64)
    _, into, on = nearest(surface, nodes)
    return on, into
