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

from bagside import geometry
from bagside.drape.coarse import carried, coarsened, prolongation
from bagside.drape.drawn import laid_first
from bagside.drape.energy import Cloth, cloth_on, flipped
from bagside.drape.flatten import conformal, relaxed, rigid
from bagside.drape.frames import Frames, carried_over, frames_of, gradients
from bagside.drape.halves import place_on
from bagside.drape.laid import Drape
from bagside.drape.law import ClothLaw
from bagside.drape.line import Line, traced, turned
from bagside.drape.newton import Reached, descended
from bagside.drape.refuse import checked, direction_on, millimetres, start_on
from bagside.drape.solvers import Galerkin, OneFactor
from bagside.errors import NotSolved
from bagside.geometry import Surface

Floats = NDArray[np.float64]

COARSE = 2_500  # triangles
TWO_LEVELS_FROM = 9_000  # triangles; below, one level is quicker
SOFTENING = (3e-2, 1e-2, 3e-3)  # shear weights on the way to the wanted one
PASSING = 1e-2  # share of the energy left to gain at which an intermediate weight is left
SETTLED = 1e-3  # leaves a few tenths of a degree of shear on smooth parts, about one on deeply creased ones
REFINED = 1e-7  # runs from unlike first maps then agree to 0.02 mm and 0.01° on the shapes tried
MOST_STEPS = 150
MOST_REFINING = 600
ROUNDS = 20
LINE_REACH = 0.25  # of the root of the area, each way
LINE_WEIGHT = 0.16
START_REACH = 0.005  # [m]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Held:
    """What is held while the cloth is laid."""

    warp: Floats
    first: Line | None
    reach: float
    weight: float


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
    first: Floats | None = None,
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
        Whether to go on until 1e-7 of the energy is left to gain instead of a thousandth; three to ten times as long.
    first
        Corners of a line on or near the surface that is laid first, shape (k, 3) [m]: the cloth runs straight and
        unsheared along it, bending within the cloth only as the line bends within the surface, and makes the angle with
        the warp that the line makes with the stated direction where it passes nearest the start. Without one the line
        is the warp's own straightest way from the start.
    line_reach
        Length of the straight warp line each way, over the root of the area.
    line_weight
        Weight of the straight line against the whole cloth.
    start_reach
        How far the start, and a line laid first, may lie off the surface [m].

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
    drawn = None if first is None else laid_first(surface, first, at, triangle, warp, start_reach)
    held = _Held(warp=warp, first=drawn, reach=line_reach, weight=line_weight)
    task = _task(surface, at, triangle, share, held)
    reached, scheme = _solved(task, held, law, REFINED if refine else SETTLED)
    return _drape(task, reached, law, scheme)


def _task(surface: Surface, at: Floats, triangle: int, share: Floats, held: _Held) -> _Task:
    frames = frames_of(surface)
    line = held.first
    if line is None:
        line = traced(surface, at, held.warp, held.reach * math.sqrt(surface.area), triangle)
    cloth = cloth_on(frames, line, held.weight, triangle, share)
    return _Task(surface=surface, frames=frames, cloth=cloth, line=line.points, start=at)


def _solved(task: _Task, held: _Held, law: ClothLaw, tolerance: float) -> tuple[Reached, str]:
    if len(task.surface.triangles) < TWO_LEVELS_FROM:
        return _one_level(task, law, tolerance)
    failed: list[str] = []
    try:
        coarse, first, how = _coarse_map(task, held, law)
    except NotSolved as error:
        failed.append(f"coarse mesh: {error}")
    else:
        fine = task.cloth
        try:
            uv = carried(coarse.surface, coarse.frames, first, task.surface, task.frames)
            uv = turned(task.frames, fine.line, uv)
            uv, mended = _mended(task, uv)
            how += mended
            way = "two levels"
            try:
                solver = Galerkin(fine.sparsity, prolongation(coarse.surface, task.surface.vertices))
                reached = descended(fine, law, uv, solver, max(tolerance, SETTLED), MOST_STEPS)
                if tolerance >= SETTLED:
                    return reached, way + how
            except NotSolved as error:
                failed.append(f"two levels: {error}")
                reached, way = Reached(uv=uv, energy=math.inf, steps=0), "two levels, one factor"
            # the last digits lie in ways to slide that the coarse mesh hardly has: only a factor finds them
            last = descended(fine, law, reached.uv, OneFactor(fine.sparsity), tolerance, _most(tolerance))
            return replace(last, steps=reached.steps + last.steps), way + how
        except NotSolved as error:
            failed.append(f"two levels, one factor: {error}")
    try:
        return _one_level(task, law, tolerance)
    except NotSolved as error:
        failed.append(f"one level: {error}")
    raise NotSolved("the cloth could not be laid on this surface; split it into pieces. Tried: " + "; ".join(failed))


def _coarse_map(task: _Task, held: _Held, law: ClothLaw) -> tuple[_Task, Floats, str]:
    mesh = coarsened(task.surface, COARSE)
    off, k, at = place_on(mesh, task.start)
    share = geometry.barycentric(mesh, np.array([k]), at[None, :])[0]
    fine = task.cloth.start_triangle
    along = carried_over(held.warp[None, :], task.surface.normals[[fine]], mesh.normals[[k]])[0]
    first = held.first
    if first is not None:
        reach = off + 2 * mesh.edge_length  # the coarse mesh cuts the bends short
        first = laid_first(mesh, first.points, task.start, k, along, reach)
    coarse = _task(mesh, at, k, share, replace(held, warp=along, first=first))
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
    last = descended(task.cloth, law, uv, solver, tolerance, _most(tolerance))
    return replace(last, steps=steps + last.steps), "one level" + how


def _most(tolerance: float) -> int:
    return MOST_REFINING if tolerance < SETTLED else MOST_STEPS


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
    there = millimetres(task.surface.centroids[int(np.argmax(over))])
    raise NotSolved(f"{int(turned_over.sum())} triangles stay turned over in the first map, as round {there}")


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
