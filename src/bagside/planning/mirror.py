"""Mirror images: of points, surfaces, draped pieces, flat pieces, nests and of the job itself.

A mirrored surface keeps its normals towards the laminate, so that its triangles are wound the other way. Cloth cannot
be mirrored: its coordinates become (u, −v), with the warp along the mirror image of the warp, or (−v, −u), with the
warp along the mirror image of the weft, where the cloth is turned by 90° to reverse its twill.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from bagside.cutting import FlatPiece, Nest, Placement
from bagside.drape import Drape, Pattern
from bagside.geometry import Surface
from bagside.geometry.reflect import reflected, reflected_directions, reflected_points
from bagside.planning.cut_stage import PlyCuts
from bagside.planning.mould_stage import MouldSurface
from bagside.planning.piece import Piece
from bagside.spec.job import Job, MouldPiece, Ply
from bagside.spec.lines import Line
from bagside.spec.region import Plane

Floats = NDArray[np.float64]
Triple = tuple[float, float, float]

PLAIN = np.array([[1.0, 0.0], [0.0, -1.0]])
"""Cloth coordinates of the mirror image with the warp along the image of the warp."""
QUARTER = np.array([[0.0, -1.0], [-1.0, 0.0]])
"""Cloth coordinates of the mirror image with the warp along the image of the weft."""


def mirrored_directions(plane: Plane, directions: Floats) -> Floats:
    """Return the mirror images of directions.

    Parameters
    ----------
    plane
        The mirror.
    directions
        Shape (…, 3).
    """
    return reflected_directions(directions, plane.normal)


def mirrored_points(plane: Plane, points: Floats) -> Floats:
    """Return the mirror images of points.

    Parameters
    ----------
    plane
        The mirror.
    points
        Shape (…, 3) [m].
    """
    return reflected_points(points, plane.point, plane.normal)


def mirrored_surface(plane: Plane, surface: Surface) -> Surface:
    """Return the mirror image of a surface, its normals still towards the laminate.

    Parameters
    ----------
    plane
        The mirror.
    surface
        The surface; triangle k of the image is the image of triangle k.
    """
    return reflected(surface, plane.point, plane.normal)


def mirrored_mould(plane: Plane, mould: MouldSurface) -> MouldSurface:
    """Return the mirror image of a mould's surfaces.

    Parameters
    ----------
    plane
        The mirror.
    mould
        As opened; the report stays that of the mesh that was read.
    """
    return replace(mould, fine=mirrored_surface(plane, mould.fine), work=mirrored_surface(plane, mould.work))


def mirrored_drape(plane: Plane, lain: Drape, quarter: bool) -> Drape:
    """Return the mirror image of how a cloth lies.

    Parameters
    ----------
    plane
        The mirror.
    lain
        How it lies.
    quarter
        Whether the warp lies along the image of the weft.

    Notes
    -----
    The image is how the cloth lies on the image of the surface when its law is as stiff for closing as for opening,
    and, with ``quarter``, alike along warp and weft. Shear changes its sign with the warp along the image of the warp,
    and keeps it with the warp along the image of the weft.
    """
    warp, weft = mirrored_directions(plane, lain.warp), mirrored_directions(plane, lain.weft)
    return replace(
        lain,
        surface=mirrored_surface(plane, lain.surface),
        uv=lain.uv @ (QUARTER if quarter else PLAIN),
        warp=-weft if quarter else warp,
        weft=-warp if quarter else -weft,
        shear=lain.shear.copy() if quarter else -lain.shear,
        stretch_warp=lain.stretch_weft if quarter else lain.stretch_warp,
        stretch_weft=lain.stretch_warp if quarter else lain.stretch_weft,
        start=mirrored_points(plane, lain.start),
        line=mirrored_points(plane, lain.line),
    )


def mirrored_loops(loops: Iterable[Floats], quarter: bool) -> tuple[Floats, ...]:
    """Return loops in the cloth coordinates of the image, still counter-clockwise outside and clockwise in holes.

    Parameters
    ----------
    loops
        Shape (k, 2) each [m].
    quarter
        Whether the warp lies along the image of the weft.
    """
    by = QUARTER if quarter else PLAIN
    return tuple(np.ascontiguousarray((loop @ by)[::-1]) for loop in loops)


def mirrored_pattern(pattern: Pattern, quarter: bool) -> Pattern:
    """Return the mirror image of a flat piece.

    Parameters
    ----------
    pattern
        The flat piece.
    quarter
        Whether the warp lies along the image of the weft.
    """
    return replace(pattern, loops=mirrored_loops(pattern.loops, quarter))


def mirrored_piece(plane: Plane, piece: Piece, quarter: bool) -> Piece:
    """Return the mirror image of a piece of a ply.

    Parameters
    ----------
    plane
        The mirror.
    piece
        The piece.
    quarter
        Whether the warp lies along the image of the weft.
    """
    by = QUARTER if quarter else PLAIN

    def place(uv: tuple[float, float]) -> tuple[float, float]:
        a, b = np.array(uv) @ by
        return float(a), float(b)

    return replace(
        piece,
        drape=mirrored_drape(plane, piece.drape, quarter),
        pattern=mirrored_pattern(piece.pattern, quarter),
        holes=tuple((name, place(uv)) for name, uv in piece.holes),
        seams=tuple(replace(s, line=s.line @ by, ticks=s.ticks @ by, normals=s.normals @ by) for s in piece.seams),
    )


def mirrored_cuts(plane: Plane, cuts: Sequence[PlyCuts]) -> tuple[PlyCuts, ...]:
    """Return where the plies of a mirror image are cut; what was tried stays as it was on the other part.

    Parameters
    ----------
    plane
        The mirror.
    cuts
        Of the other part.
    """
    return tuple(
        replace(c, cuts=tuple(replace(cut, line=mirrored_points(plane, cut.line)) for cut in c.cuts), pieces=())
        for c in cuts
    )


def mirrored_nest(nest: Nest, pieces: Sequence[FlatPiece]) -> Nest:
    """Return the mirror image of a nest across the middle of the roll: as long as the nest itself.

    Parameters
    ----------
    nest
        The nest.
    pieces
        Its flat pieces mirrored with the warp along the image of the warp, in the same order.
    """
    width = nest.cloth.width
    allowed = {p.label: p.turns for p in nest.pieces}

    def turn(p: Placement) -> float:
        turns = allowed[p.label]
        wanted = -p.turn
        if turns is None:
            return wanted
        stated = min(turns, key=lambda t: abs(math.remainder(t - wanted, math.tau)))
        return stated if abs(math.remainder(stated - wanted, math.tau)) < 1e-9 else wanted  # within its tolerance

    placed = tuple(replace(p, turn=turn(p), y=width - p.y) for p in nest.placements)
    return replace(nest, pieces=tuple(pieces), placements=placed)


def mirrored_job(job: Job, plane: Plane, quarter: frozenset[int]) -> Job:
    """Return a job as stated in the axes of its mirror image; regions stay as they were stated.

    Parameters
    ----------
    job
        As stated for the other part.
    plane
        The mirror.
    quarter
        Indices of plies whose warp lies along the image of the weft.

    Notes
    -----
    Regions are found on the other part and mirrored as surfaces (their outlines are stated in axes that follow from the
    mould's own and have no mirror image in them), so nothing after that reads their statements.
    """

    def point(p: Triple) -> Triple:
        return _triple(mirrored_points(plane, np.array(p)))

    def way(d: Triple) -> Triple:
        return _triple(mirrored_directions(plane, np.array(d)))

    def some(p: Triple | None) -> Triple | None:
        return None if p is None else point(p)

    mould = replace(
        job.mould,
        laminate_side=way(job.mould.laminate_side),
        keep=some(job.mould.keep),
        pieces=tuple(_mould_piece(p, point, way) for p in job.mould.pieces),
    )
    laying = replace(job.laying, start=point(job.laying.start), direction=way(job.laying.direction))
    lines: dict[str, Line] = {
        name: replace(line, points=tuple(point(p) for p in line.points)) for name, line in job.lines.items()
    }
    work = job.patchwork
    if work is not None:
        goes_on = work.continues
        if goes_on is not None:
            goes_on = replace(goes_on, here=(point(goes_on.here[0]), point(goes_on.here[1])))
        work = replace(work, origin=some(work.origin), turn=-work.turn, continues=goes_on)
    return replace(
        job,
        mould=mould,
        laying=laying,
        lines=lines,
        patchwork=work,
        holes=tuple(replace(h, at=point(h.at)) for h in job.holes),
        plies=tuple(_ply(ply, some, k in quarter) for k, ply in enumerate(job.plies)),
        brackets=tuple(replace(b, at=point(b.at)) for b in job.brackets),
    )


def _mould_piece(piece: MouldPiece, point: Callable[[Triple], Triple], way: Callable[[Triple], Triple]) -> MouldPiece:
    side = piece.side
    if side is not None:
        side = replace(side, point=point(side.point), normal=way(side.normal))
    return replace(piece, pull=way(piece.pull), side=side)


def _ply(ply: Ply, some: Callable[[Triple | None], Triple | None], quarter: bool) -> Ply:
    return replace(ply, angle=-ply.angle + (0.5 * math.pi if quarter else 0.0), start=some(ply.start))


def _triple(p: Floats) -> Triple:
    return (float(p[0]), float(p[1]), float(p[2]))
