"""A line drawn on the mould that is laid first, and the flat curve it becomes in the cloth.

Whoever presses a cloth down along a line first leaves it there unsheared and as long as the line: in the cloth the line
runs as a curve that bends to its own side as much as the line bends within the surface.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from bagside import geometry
from bagside.drape.frames import carried_over, cross
from bagside.drape.line import Line
from bagside.drape.refuse import millimetres
from bagside.errors import InputError
from bagside.geometry import Surface
from bagside.quantity import shown

Floats = NDArray[np.float64]

DENSE = 0.25  # of the middle edge: how far apart a drawn line is looked up on the surface
DIVIDED = 20_000  # points at most to which a drawn line is divided
SHORTEST = 1e-6  # of the line: a shorter piece has no sure direction
FLATTEST = 0.2  # cosine between a drawn line and the surface below which it does not lie along it


def laid_first(surface: Surface, path: Floats, start: Floats, triangle: int, warp: Floats, reach: float) -> Line:
    """Return a drawn line as the cloth is to run along it: the flat curve that bends as the line bends in the surface.

    Parameters
    ----------
    surface
        The surface.
    path
        Corners of the line on or near it, shape (k, 3) [m].
    start, triangle
        Where the cloth's origin lies, shape (3,) [m], and the triangle there.
    warp
        Direction of the warp there, in that triangle, shape (3,).
    reach
        How far off the surface the line may lie [m].

    Raises
    ------
    InputError
        When the line has no length, or leaves the surface, or stands up from it.

    Notes
    -----
    Where the line passes nearest the start it makes the angle with the warp that it makes in the surface there; from
    there the cloth's heading turns as the line turns against the straightest way, triangle to triangle as if each two
    lay flat. A line beside the start takes the warp's direction over unturned across what lies between, which on a
    strongly curved stretch depends on the way.
    """
    points = _divided(surface, path)
    distance, triangles, on = geometry.nearest(surface, points)
    worst = int(np.argmax(distance))
    if distance[worst] > reach:
        raise InputError.one(
            "line laid first",
            millimetres(points[worst]),
            f"this point of the line is {shown(float(distance[worst]), 'mm')} off the surface; "
            f"within {shown(reach, 'mm')} of it is wanted",
        )
    begins = np.flatnonzero(np.concatenate([[True], triangles[1:] != triangles[:-1]]))
    ends = np.concatenate([begins[1:], [len(points) - 1]])  # a piece goes on to the first point of the next one
    piece = triangles[begins]
    step = on[ends] - on[begins]
    normal = surface.normals[piece]
    along = step - np.einsum("ij,ij->i", step, normal)[:, None] * normal
    length = np.linalg.norm(along, axis=1)
    whole = np.linalg.norm(step, axis=1)
    total = float(whole.sum())
    real = (length > SHORTEST * total) & (length > FLATTEST * whole)
    if not length[real].sum() > 0.5 * total:
        raise InputError.one("line laid first", "a line that does not lie along the surface", "one that does is wanted")
    piece, along, length, normal = piece[real], along[real] / length[real, None], length[real], normal[real]
    turns = _angle(carried_over(along[:-1], normal[:-1], normal[1:]), along[1:], normal[1:])
    bend = np.concatenate([[0.0], np.cumsum(turns)])
    near = int(np.argmin(np.linalg.norm(on[begins][real] + 0.5 * step[real] - start, axis=1)))
    there = carried_over(warp[None, :], surface.normals[[triangle]], normal[[near]])
    off = float(_angle(there, along[[near]], normal[[near]])[0])
    return Line(
        triangle=piece,
        along=along,
        length=length,
        points=np.concatenate([on[begins][real], on[-1:]]),
        heading=off + bend - bend[near],
        taut=True,
    )


def _divided(surface: Surface, path: Floats) -> Floats:
    path = np.asarray(path, dtype=np.float64)
    if path.ndim != 2 or path.shape[1:] != (3,) or len(path) < 2 or not np.isfinite(path).all():
        raise InputError.one("line laid first", f"shape {path.shape}", "two or more points of three finite coordinates")
    size = np.linalg.norm(np.diff(path, axis=0), axis=1)
    total = float(size.sum())
    if not total > 0:
        raise InputError.one("line laid first", "a line without length", "two points apart are wanted")
    count = min(DIVIDED, math.ceil(total / (DENSE * surface.edge_length)) + 1)
    place = np.concatenate([[0.0], np.cumsum(size)])
    at = np.union1d(np.linspace(0, total, count), place)
    return np.stack([np.interp(at, place, path[:, k]) for k in range(3)], axis=1)


def _angle(one: Floats, other: Floats, normal: Floats) -> Floats:
    """Return the angle from one direction to another, counter-clockwise about a normal, shape (k,) [rad]."""
    across = np.einsum("ij,ij->i", cross(one, other), normal)
    out: Floats = np.arctan2(across, np.einsum("ij,ij->i", one, other))
    return out
