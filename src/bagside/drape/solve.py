"""Laying one cloth on one surface: where each thread goes, how far it shears and what strain is left.

A coarse mesh is draped first and its map carried to the fine one. What can fail is tried again another way, and the
result says which way it took (`Drape.scheme`); when every way has failed `NotSolved` is raised. A map with a flipped
triangle is never returned.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside.drape.coarse import carried, coarsened, nearest, prolongation
from bagside.drape.energy import Cloth, cloth_on, flipped
from bagside.drape.flatten import conformal, relaxed, rigid
from bagside.drape.frames import Frames, frames_of, gradients
from bagside.drape.laid import Drape
from bagside.drape.law import ClothLaw
from bagside.drape.line import traced, turned
from bagside.drape.newton import Reached, descended
from bagside.drape.refuse import checked, direction_on, start_on
from bagside.drape.solvers import Galerkin, OneFactor
from bagside.errors import NotSolved
from bagside.geometry import Surface

Floats = NDArray[np.float64]

COARSE = 2_500  # triangles
TWO_LEVELS_FROM = 9_000  # triangles; below, one level is quicker
SOFTENING = (3e-2, 1e-2, 3e-3)  # shear weights on the way to the wanted one
PASSING = 1e-2  # relative decrease at which an intermediate weight is left
SETTLED = 3e-4  # leaves a few tenths of a degree of shear on smooth parts, about one on deeply creased ones
REFINED = 1e-5
MOST_STEPS = 150
ROUNDS = 20
LINE_REACH = 0.25  # of the root of the area, each way
LINE_WEIGHT = 0.16
START_REACH = 0.005  # [m]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Task:
    """A surface with its cloth, start and line, ready to be solved."""

    surface: Surface
    frames: Frames
    cloth: Cloth
    line: Floats
    start: Floats


def drape(
    surface: Surface,
    *,
    start: Floats,
    direction: Floats,
    law: ClothLaw,
    refine: bool = False,
    line_reach: float = LINE_REACH,
    line_weight: float = LINE_WEIGHT,
    start_reach: float = START_REACH,
) -> Drape:
    """Lay a cloth on a surface from a start point, its warp straight through that point along a direction.

    Parameters
    ----------
    surface
        One connected surface with a rim, faired when scanned, in even triangles; openings are left open.
    start
        Where the first contact is made, shape (3,) [m].
    direction
        Wanted direction of the warp there; laid into the surface, shape (3,).
    law
        How the cloth resists.
    refine
        Whether to go on until the energy changes by less than 1e-5 instead of 3e-4 a step.
    line_reach
        Length of the straight warp line each way, over the root of the area.
    line_weight
        Weight of the straight line against the whole cloth.
    start_reach
        How far the start may lie off the surface [m].

    Returns
    -------
    Drape
        Coordinates [m], directions, shear [rad] and strains.

    Raises
    ------
    InputError
        When the surface is not one connected sheet, the start lies off it, or the direction stands straight up from it.
    NotSolved
        When no scheme gives a map without flips that has settled.

    Notes
    -----
    The map is the laminator's best: of all ways to lay the cloth the one of least strain and then least shear. It is no
    prediction of how a given hand lays it, and across a deep undercut it does not know that the cloth cannot get in.
    Linear triangles lock when the shear weight is small for their size; `law_of` chooses one that does not.

    References
    ----------
    The pin-jointed net this tends to on a sphere: Mack, C., Taylor, H. M. (1956), J. Textile Inst. 47, T477–T488.
    """
    checked(surface)
    at, triangle, share = start_on(surface, np.asarray(start, dtype=np.float64), start_reach)
    warp = direction_on(surface, triangle, np.asarray(direction, dtype=np.float64))
    task = _task(surface, at, triangle, share, warp, line_reach, line_weight)
    tolerance = REFINED if refine else SETTLED
    reached, scheme = _solved(task, warp, law, tolerance, line_reach, line_weight)
    return _drape(task, reached, law, scheme)


def _task(
    surface: Surface,
    at: Floats,
    triangle: int,
    share: Floats,
    warp: Floats,
    reach: float,
    weight: float,
) -> _Task:
    frames = frames_of(surface)
    line = traced(surface, at, warp, reach * math.sqrt(surface.area))
    cloth = cloth_on(frames, line, weight, triangle, share)
    return _Task(surface=surface, frames=frames, cloth=cloth, line=line.points, start=at)


def _solved(
    task: _Task, warp: Floats, law: ClothLaw, tolerance: float, reach: float, weight: float
) -> tuple[Reached, str]:
    if len(task.surface.triangles) < TWO_LEVELS_FROM:
        return _one_level(task, law, tolerance)
    failed: list[str] = []
    try:
        coarse, first, how = _coarse_map(task, warp, law, reach, weight)
    except NotSolved as error:
        failed.append(f"coarse mesh: {error}")
    else:
        fine = task.cloth
        try:
            uv = carried(coarse.surface, coarse.frames, first, task.surface, task.frames)
            uv = turned(task.frames, fine.line, uv)
            uv, mended = _mended(task, uv)
            how += mended
            try:
                solver = Galerkin(fine.sparsity, prolongation(coarse.surface, task.surface.vertices))
                return descended(fine, law, uv, solver, tolerance, MOST_STEPS), "two levels" + how
            except NotSolved as error:
                failed.append(f"two levels: {error}")
            reached = descended(fine, law, uv, OneFactor(fine.sparsity), tolerance, MOST_STEPS)
            return reached, "two levels, one factor" + how
        except NotSolved as error:
            failed.append(f"two levels, one factor: {error}")
    try:
        return _one_level(task, law, tolerance)
    except NotSolved as error:
        failed.append(f"one level: {error}")
    raise NotSolved("the cloth could not be laid on this surface; split it into pieces. Tried: " + "; ".join(failed))


def _coarse_map(task: _Task, warp: Floats, law: ClothLaw, reach: float, weight: float) -> tuple[_Task, Floats, str]:
    mesh = coarsened(task.surface, COARSE)
    _, triangle, share = nearest(mesh, task.start[None, :])
    k = int(triangle[0])
    normal = mesh.normals[k]
    along = warp - (warp @ normal) * normal
    length = float(np.linalg.norm(along))
    if length < 1e-3:
        raise NotSolved("the coarse mesh loses the warp's direction at the start")
    coarse = _task(mesh, share[0] @ mesh.corners[k], k, share[0], along / length, reach, weight)
    floor = max(law.shear_weight, SOFTENING[-1])
    reached, how = _one_level(coarse, replace(law, shear_weight=floor), PASSING)
    return coarse, reached.uv, how.removeprefix("one level")


def _one_level(task: _Task, law: ClothLaw, tolerance: float) -> tuple[Reached, str]:
    uv, how = _mended(task, rigid(task.surface, conformal(task.surface), ROUNDS))
    uv = turned(task.frames, task.cloth.line, uv)
    solver = OneFactor(task.cloth.sparsity)
    steps = 0
    for weight in SOFTENING:
        if weight > law.shear_weight:
            softer = descended(task.cloth, replace(law, shear_weight=weight), uv, solver, PASSING, MOST_STEPS)
            uv, steps = softer.uv, steps + softer.steps
    last = descended(task.cloth, law, uv, solver, tolerance, MOST_STEPS)
    return replace(last, steps=steps + last.steps), "one level" + how


def _mended(task: _Task, uv: Floats) -> tuple[Floats, str]:
    """Return a map without flips near one that may have some, and how it was mended."""
    turned_over = flipped(task.cloth, uv)
    if not turned_over.any():
        return uv, ""
    for rounds in (1, 3, 10):
        tried = rigid(task.surface, uv, rounds)
        if not flipped(task.cloth, tried).any():
            return tried, f", mended by {rounds} rigid rounds"
    for base, name in ((uv, ""), (tried, " after rigid rounds")):
        over = flipped(task.cloth, base)
        for rings in (1, 2, 4, 8):
            patched = relaxed(task.surface, base, over, rings)
            if not flipped(task.cloth, patched).any():
                return patched, f", mended within {rings} rings{name}"
    raise NotSolved(f"{int(turned_over.sum())} triangles stay turned over in the first map")


def _drape(task: _Task, reached: Reached, law: ClothLaw, scheme: str) -> Drape:
    a, b, c, e = gradients(task.frames, reached.uv)
    d = a * e - b * c
    if not d.min() > 0:
        raise NotSolved("the map has a flipped triangle")
    nu, nv = np.hypot(a, b), np.hypot(c, e)
    first, second = task.frames.first, task.frames.second
    return Drape(
        surface=task.surface,
        uv=reached.uv,
        warp=(e / nv)[:, None] * first - (c / nv)[:, None] * second,
        weft=-(b / nu)[:, None] * first + (a / nu)[:, None] * second,
        shear=np.arctan(-(a * c + b * e) / d),
        stretch_warp=nv / d - 1,
        stretch_weft=nu / d - 1,
        start=task.start,
        line=task.line,
        law=law,
        steps=reached.steps,
        scheme=scheme,
        energy=reached.energy,
    )
