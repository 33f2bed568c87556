"""What the page of plies shows: the list in laying order, and of each ply its picture, flat pieces and numbers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import PurePosixPath

import numpy as np
from numpy.typing import NDArray

from bagside import geometry
from bagside.cutting import FlatPiece
from bagside.drape import summary_of
from bagside.findings import Basis, Finding
from bagside.geometry import Surface
from bagside.laminate import prepreg_areal_weight
from bagside.planning import ply_notes
from bagside.planning.from_mould import FromMould
from bagside.planning.laying import warp_direction
from bagside.planning.patchwork_stage import PlyPatchwork
from bagside.planning.piece import Piece, locking_of
from bagside.planning.plan import BuildPlan
from bagside.planning.ply_pieces import PlyPieces, ply_of
from bagside.planning.shaped import Shaped, thickness_of
from bagside.planning.stages import Stages
from bagside.sheets.book_tiles import map_of
from bagside.sheets.card_pictures import card_flats
from bagside.sheets.maps import Map, maps_of
from bagside.sheets.ply_pictures import ply_flats
from bagside.spec.job import Job
from bagside.spec.library import Library
from bagside.spec.material import Prepreg
from bagside.spec.opening import Opened
from bagside.web.views.plies_shown import PieceShown, PliesView, PlyShown, Range, SectionShown, Triple, stated_of
from bagside.web.views.ply_mesh import OnPly, coarse_mould, place_mesh, ply_mesh
from bagside.web.views.ply_section import sections_on, stacks

Floats = NDArray[np.float64]

ROOM = (132.0, 184.0)
"""For the flat pieces of one ply [mm]: as wide as their column, at most so high."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Known:
    """What both the shape and the whole plan know."""

    job: Job
    stated: Job
    library: Library
    plies: tuple[PlyPieces, ...]
    pieces: tuple[Piece, ...]
    cut: tuple[FlatPiece, ...]
    work: Surface | None
    part: Surface | None
    regions: dict[str, Surface]
    patchwork: PlyPatchwork | None
    findings: tuple[Finding, ...]
    times: dict[int, float] = field(default_factory=dict)
    tiled: str = ""


def early(shape: Shaped, opened: Opened, stages: Stages) -> PliesView:
    """Return what can be shown as soon as plies are draped; times and what cutting says of them come later.

    Parameters
    ----------
    shape
        The part as far as its pieces.
    opened
        The job.
    stages
        Keep what is drawn.
    """
    known = _Known(
        job=shape.job,
        stated=opened.job,
        library=shape.library,
        plies=shape.plies,
        pieces=shape.pieces,
        cut=shape.cut,
        work=None if shape.surface is None else shape.surface.work,
        part=shape.part if isinstance(shape, FromMould) else None,
        regions=dict(shape.regions),
        patchwork=shape.patchwork,
        findings=stages.run("Looking the plies over", ply_notes.drape_findings, shape.pieces, shape.job, shape.library),
    )
    return _view(known, stages)


def view(plan: BuildPlan, stages: Stages) -> PliesView:
    """Return what the page of plies shows.

    Parameters
    ----------
    plan
        The build.
    stages
        Keep what is drawn.
    """
    known = _Known(
        job=plan.job,
        stated=plan.stated,
        library=plan.library,
        plies=plan.plies,
        pieces=plan.pieces,
        cut=plan.cut,
        work=None if plan.surface is None else plan.surface.work,
        part=plan.part,
        regions=dict(plan.regions),
        patchwork=plan.patchwork,
        findings=tuple(f for f in plan.findings if f.stage in ("drape", "cutting", "mirror")),
        times={
            int(step.key[4:]) - 1: step.attended
            for step in plan.steps
            if step.key.startswith("ply-") and step.key[4:].isdigit()
        },
        tiled="" if plan.patchwork is None else map_of(plan, plan.patchwork, ROOM),
    )
    return _view(known, stages)


def _view(known: _Known, stages: Stages) -> PliesView:
    job = known.job
    meshes: list[bytes] = []
    mould = laid = None
    if known.work is not None:
        laid = max((known.regions[ply.region] for ply in job.plies), key=lambda s: s.area)
        mould = stages.run("Drawing the mould", coarse_mould, known.work, laid)
    stated = stated_of(job.plies, known.stated.plies) if job.mirror is None else (None,) * len(job.plies)
    shown = []
    for k, where in enumerate(stated):
        at = None
        if mould is not None:
            mesh = _mesh(known, k, mould, stages)
            at = meshes.index(mesh) if mesh in meshes else len(meshes)
            if at == len(meshes):
                meshes.append(mesh)
        shown.append(_ply(known, k, where, at, stages))
    return PliesView(
        job=job,
        plies=tuple(shown),
        meshes=tuple(meshes),
        sections=_sections(known, stages),
        surface=mould is not None,
        twin_of="" if job.mirror is None else PurePosixPath(job.mirror.of).parent.name,
        lines={} if laid is None else _lines(job, laid),
    )


def _lines(job: Job, laid: Surface) -> dict[str, tuple[Triple, ...]]:
    """Return the points of lines as they lie: people state some of them beside the surface, past its rim."""
    used = {cut.line for ply in job.plies for cut in ply.cuts}
    return {
        name: tuple(_triple(at) for at in geometry.nearest(laid, np.array(line.points))[2])
        for name, line in job.lines.items()
        if name in used
    }


def _sections(known: _Known, stages: Stages) -> tuple[SectionShown, ...]:
    job = known.job
    thick = tuple(thickness_of(known.library.prepreg[ply.material]) for ply in job.plies)
    if known.work is None:
        if job.measured is None:
            return ()
        whole = job.measured.laid(job.part).area
        return stacks(tuple(job.measured.place(ply.region, job.part).area / whole for ply in job.plies))
    under = tuple(
        (known.regions[ply.region],) if ply.templates else tuple(p.surface for p in known.pieces if p.ply == k)
        for k, ply in enumerate(job.plies)
    )
    return stages.run(
        "Drawing the section", sections_on, known.work, under, thick, job.laying.start, job.laying.direction,
        job.mould.laminate_side,
    )  # fmt: skip


def _mesh(known: _Known, k: int, mould: Surface, stages: Stages) -> bytes:
    edges = () if known.part is None else tuple(
        known.part.vertices[np.append(loop, loop[0])] for loop in known.part.loops
    )  # fmt: skip
    holes = tuple(hole.at for hole in known.job.holes)
    own = [p for p in known.pieces if p.ply == k]
    ply = known.job.plies[k]
    if not own:
        return stages.run(f"Drawing ply {k + 1}", place_mesh, mould, known.regions[ply.region], edges, holes)
    pieces = tuple(
        OnPly(
            label=p.label if len(own) > 1 else "",
            drape=p.drape,
            outline=p.pattern.loops[0],
            seams=tuple(replace(s, other="") for s in p.seams),
        )
        for p in own
    )
    locking = locking_of(known.library.prepreg[ply.material])
    return stages.run(f"Drawing ply {k + 1}", ply_mesh, mould, pieces, edges, holes, locking)


def _ply(known: _Known, k: int, stated: int | None, mesh: int | None, stages: Stages) -> PlyShown:
    ply, cloth = known.job.plies[k], known.library.prepreg[known.job.plies[k].material]
    weight = float(prepreg_areal_weight(cloth.areal_weight, cloth.resin_content))
    own = [p for p in known.pieces if p.ply == k]
    order = list(Basis)
    tiled = known.patchwork is not None and known.patchwork.ply == k
    flats = known.tiled if tiled else ""
    first: Map | None = None
    second: Map | None = None
    pieces: tuple[PieceShown, ...]
    if own:
        maps = maps_of([p.drape for p in own], cloth.kind)
        first, second = maps.first, maps.second
        pieces = tuple(_draped(p, known.job) for p in own)
        flats = flats or stages.run(
            f"Drawing the pieces of ply {k + 1}", ply_flats, [(p, p.seams) for p in own], weight, first, ROOM
        )
    else:
        cards = [p for p in known.cut if ply_of(p.label) == k]
        parts = known.job.quantity
        pieces = tuple(PieceShown(label=p.label, copies=p.quantity // parts, area=p.area) for p in cards)
        flats = stages.run(f"Drawing the cards of ply {k + 1}", card_flats, cards, weight, parts, ROOM) if cards else ""
    area = known.plies[k].area
    return PlyShown(
        ply=ply,
        stated=stated,
        pieces=pieces,
        area=area,
        mass=weight * area,
        thickness=thickness_of(cloth),
        thickness_basis=_basis(cloth, "thickness" if cloth.thickness else "areal_weight"),
        mass_basis=max((_basis(cloth, f) for f in ("areal_weight", "resin_content")), key=order.index),
        locking=locking_of(cloth) if own else None,
        locking_basis=_basis(cloth, "locking_angle") if cloth.locking_angle is not None else Basis.COMMON,
        mesh=mesh,
        flats=flats,
        shown="" if first is None else first.value,
        second="" if second is None else second.value,
        time=known.times.get(k),
        findings=_own_findings(known.findings, k, {p.label for p in own}),
        tiles=len(known.patchwork.plan.tiles) if tiled and known.patchwork is not None else 0,
    )


def _basis(cloth: Prepreg, name: str) -> Basis:
    return cloth.basis.of(name)


def _draped(piece: Piece, job: Job) -> PieceShown:
    drape = piece.drape
    said = summary_of(drape, drape.law)
    direction = job.laying.direction
    zero = warp_direction(drape.surface, drape.start, direction, 0.0)
    across = warp_direction(drape.surface, drape.start, direction, 0.5 * np.pi)
    return PieceShown(
        label=piece.label,
        copies=1,
        area=piece.pattern.area,
        shear=said.shear_99,
        warp=_between(drape.stretch_warp, drape.surface.areas),
        weft=_between(drape.stretch_weft, drape.surface.areas),
        start=_triple(geometry.nearest(drape.surface, drape.start[None, :])[2][0]),
        zero=_triple(zero),
        across=_triple(across),
    )


def _between(values: Floats, areas: Floats) -> Range:
    """Return the values between which all but one per cent of the area at either end lies."""
    order = np.argsort(values, kind="stable")
    run = np.cumsum(areas[order]) / areas.sum()
    low, high = np.searchsorted(run, (0.01, 0.99))
    return float(values[order[low]]), float(values[order[min(high, len(order) - 1)]])


def _own_findings(findings: Sequence[Finding], k: int, labels: set[str]) -> tuple[Finding, ...]:
    return tuple(f for f in findings if labels & _labels_in(f.place) or _ply_in(f.place) == k)


def _labels_in(place: str) -> set[str]:
    words = place.replace(",", " ").split()
    return set(words[1:]) - {"and"} if words and words[0] in ("piece", "pieces") else set()


def _ply_in(place: str) -> int | None:
    words = place.replace(",", " ").split()
    return int(words[1]) - 1 if len(words) > 1 and words[0] == "ply" and words[1].isdigit() else None


def _triple(at: Floats) -> Triple:
    x, y, z = (float(c) for c in at)
    return x, y, z
