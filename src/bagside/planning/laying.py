"""Where laying of a piece starts, which way its warp points there, and along which line it is laid first."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from bagside import geometry
from bagside.drape.trial import piece_start
from bagside.errors import InputError, NotSolved
from bagside.geometry import Surface
from bagside.geometry.lines import joined
from bagside.spec.job import Job, Ply

Floats = NDArray[np.float64]

START_REACH = 0.005  # [m] a start point stated by hand may lie this far off a scanned surface
WELL_INSIDE = 3.0  # edge lengths from the rim: a start nearer to a join holds no line of its own
LINE_REACH = 0.020  # [m] points of a line further off are meant for another piece


def warp_direction(surface: Surface, start: Floats, direction: tuple[float, float, float], angle: float) -> Floats:
    """Return the wanted warp direction at a point: the part's zero direction turned by the ply's angle.

    Parameters
    ----------
    surface
        The piece.
    start
        Point on it [m].
    direction
        The part's zero direction.
    angle
        Counter-clockwise seen from the laminate side [rad].

    Raises
    ------
    InputError
        When the zero direction stands straight up from the surface there.
    """
    _, triangle, _ = geometry.nearest(surface, start[None, :])
    normal = surface.normals[triangle[0]]
    along = np.array(direction) - np.dot(direction, normal) * normal
    length = float(np.linalg.norm(along))
    if length < 0.05:
        raise InputError.one(
            "job.toml, laying, direction",
            str(list(direction)),
            "this direction stands straight up from the surface at the start point; one that lies along it is wanted",
        )
    along = along / length
    turned: Floats = math.cos(angle) * along + math.sin(angle) * np.cross(normal, along)
    return turned


def start_of(part: Surface, ply: Ply, job: Job, whole: bool, place: str) -> Floats:
    """Return where laying of a piece that is not cut starts, on its surface.

    Parameters
    ----------
    part
        The piece.
    ply, job
        As stated.
    whole
        Whether the ply is this one piece.
    place
        Where the ply's own start is stated, for messages.

    Raises
    ------
    InputError
        When the start that is stated for it lies off it.
    """
    stated = np.array(ply.start or job.laying.start)
    distance, _, closest = geometry.nearest(part, stated[None, :])
    if distance[0] <= START_REACH:
        found: Floats = closest[0]
        return found
    if whole and (ply.start is not None or ply.region == job.part):
        near = " ".join(f"{1000 * c:.1f}" for c in closest[0])
        came = " ".join(f"{1000 * c:.1f}" for c in stated)
        raise InputError.one(
            place if ply.start is not None else place.rsplit(", ply", 1)[0] + ", laying, start",
            f'"{came} mm"',
            f"this point is {1000 * distance[0]:.1f} mm off the surface of region {ply.region}",
            f'the nearest point on it is "{near} mm"',
        )
    middle = np.average(part.centroids, axis=0, weights=part.areas)
    _, _, closest = geometry.nearest(part, middle[None, :])
    own: Floats = closest[0]
    return own


def inside_start(piece: Surface, stated: Floats, direction: tuple[float, float, float]) -> Floats:
    """Return where laying of a piece of a cut ply starts: where stated, when that is well inside, else deep in it.

    Parameters
    ----------
    piece
        The piece.
    stated
        Start of the ply, shape (3,) [m].
    direction
        The part's zero direction.
    """
    off, _, closest = geometry.nearest(piece, stated[None, :])
    rim = piece.vertices[np.concatenate(piece.loops)] if piece.loops else np.zeros((0, 3))
    inside = len(rim) == 0 or float(np.linalg.norm(rim - closest[0], axis=1).min()) > WELL_INSIDE * piece.edge_length
    if off[0] <= START_REACH and inside:
        found: Floats = closest[0]
        return found
    return piece_start(piece, stated, np.array(direction), reach=-1.0)[0]


def first_line(part: Surface, ply: Ply, job: Job, place: str) -> Floats | None:
    """Return the points of the line that a piece is laid along first; nothing when it passes the piece by.

    Parameters
    ----------
    part
        The piece.
    ply, job
        As stated.
    place
        Where the line is named, for messages.

    Raises
    ------
    InputError
        When the line cannot be laid on the piece.
    """
    if not ply.laid_first:
        return None
    line = job.lines[ply.laid_first]
    points = np.array(line.points)
    off, _, _ = geometry.nearest(part, points)
    near = points[off <= LINE_REACH]
    if len(near) < 2:
        return None
    try:
        way: Floats = joined(part, near, closed=line.closed and len(near) == len(points))
    except (NotSolved, ValueError) as error:
        raise InputError.one(place, f'"{ply.laid_first}"', f"the line cannot be laid there: {error}") from error
    return way


def triple(point: Floats) -> tuple[float, float, float]:
    """Return a point as three plain numbers, so that equal ones are kept alike.

    Parameters
    ----------
    point
        Shape (3,).
    """
    return (float(point[0]), float(point[1]), float(point[2]))
