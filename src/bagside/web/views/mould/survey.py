"""What the page of the mould shows, worked out from the mesh and from what is stated of it so far.

It asks for nothing but the mould: a job whose plies, cloth or oven are not stated yet has its mould looked at all the
same. What planning works out of the mesh is taken from the same store and left there for it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeVar

from bagside import mould as moulds
from bagside.errors import InputError, Problem
from bagside.findings import Finding
from bagside.geometry import MendReport, Surface
from bagside.mould import Corner, PieceDraft
from bagside.mould.draft import Piece
from bagside.planning import mould_stage
from bagside.planning.content import ContentFile
from bagside.planning.stages import Done, Stages
from bagside.records.kept_plan import STORE
from bagside.sheets.picture import PointLook, mould_picture
from bagside.web.scene import Look, MeshData, MeshLine, MeshPoint, packed
from bagside.web.scene.buffers import MM
from bagside.web.views.mould.drawn import along, lines_of, piece_labels, splits
from bagside.web.views.mould.maps import corner_map, draft_maps, radius_maps
from bagside.web.views.mould.stated import stated_so_far
from bagside.web.work.child import Teller
from bagside.web.work.messages import StageNews

T = TypeVar("T")
Point = tuple[float, float, float]

SCALE = 0.003  # [m] over which bends are read, at least
EDGES = 1.6  # edge lengths over which they are read, at least: fewer points say nothing of a bend
THIN = 0.001  # [m] laminate where no plies are stated yet


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceSeen:
    """A piece of the mould and how it comes off.

    Parameters
    ----------
    name
        What people call it; empty for a mould in one piece.
    pull
        Unit direction.
    smallest, wanted
        Draft that 99 % of it exceeds, and that its depth wants [rad].
    undercut, hook
        Area that leans over [m²], and how far the worst of it reaches over the part [m].
    depth
        Along the pull [m].
    """

    name: str
    pull: Point
    smallest: float
    wanted: float
    undercut: float
    hook: float
    depth: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CornerSeen:
    """A tight inside corner.

    Parameters
    ----------
    id
        C1 is the longest.
    length, radius, needed
        Along it, its own, and wanted [m].
    verdict
        What it asks.
    at
        Its middle [m].
    """

    id: str
    length: float
    radius: float
    needed: float
    verdict: str
    at: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class MouldSeen:
    """What the page of the mould shows.

    Parameters
    ----------
    mesh
        The packed surface with its maps and lines.
    report
        What opening the mesh found and did.
    triangles
        Of the surface to work with.
    towards
        Direction it faces on the whole.
    pieces, corners
        How it comes off, and where it is tight.
    findings
        What all this noticed.
    thickness
        Of the laminate that corners are judged by [m]; zero when no plies are stated yet.
    problems
        Of regions, lines and holes that do not fit the mould.
    still
        A picture for browsers that draw nothing in space; empty while it is not made yet.
    whole
        Whether measuring has ended.
    scale
        Length over which bends were read [m].
    """

    mesh: bytes
    report: MendReport
    triangles: int
    towards: Point
    pieces: tuple[PieceSeen, ...] = ()
    corners: tuple[CornerSeen, ...] = ()
    findings: tuple[Finding, ...] = ()
    thickness: float = 0.0
    problems: tuple[Problem, ...] = ()
    still: str = ""
    whole: bool = False
    scale: float = SCALE


class _Telling:
    """Says which stage begins."""

    def __init__(self, tell: Teller) -> None:
        self._tell = tell

    def begins(self, stage: str) -> None:
        self._tell(StageNews(stage=stage))

    def ended(self, done: Done) -> None:
        pass


def survey(tell: Teller, job: Path) -> MouldSeen | None:
    """Look at a job's mould; None when it has no mesh.

    Parameters
    ----------
    tell
        Takes a `MouldSeen` as soon as there is something to see, and `StageNews` of what is being done.
    job
        The job's file.

    Raises
    ------
    InputError
        When the mesh or what is stated of it cannot be used.
    NotSolved
        When fairing or remeshing fails.
    """
    stated = stated_so_far(job)
    mould = stated.mould
    if not mould.mesh:
        return None
    path = job.parent / mould.mesh
    file = ContentFile.of_existing(path)
    shop = next((p for p in job.resolve().parents if (p / "workshop.toml").is_file()), job.parent)
    stages = Stages(store=shop / STORE, progress=_Telling(tell))
    surface = stages.run("Opening the mould", mould_stage.opened_mould, file, mould)
    work, fine = surface.work, surface.fine
    lines, problems = lines_of(stated, work, stages)
    points = tuple(MeshPoint(_mm(h.at), PointLook.HOLE) for h in stated.holes)
    seen = MouldSeen(
        mesh=packed(MeshData.of(work, lines=lines, points=points)),
        report=surface.report,
        triangles=len(work.triangles),
        towards=_unit(work),
        thickness=stated.thickness,
        problems=(*stated.problems, *problems),
    )
    tell(seen)
    laminate = stated.thickness or THIN
    visible, structural = stated.laying.show, stated.structural
    pieces: list[Piece] = [
        (p.name, p.pull, p.side.point if p.side else None, p.side.normal if p.side else None) for p in mould.pieces
    ]
    scale = max(SCALE, round(EDGES * work.edge_length, 4))
    bent = stages.run("Reading the mould's bends", moulds.bending, work, scale)
    fields = radius_maps(work, bent, laminate, visible=visible, structural=structural) | draft_maps(work, pieces)
    drafts = moulds.draft_of(fine, pieces)
    corners = stages.run("Finding tight corners", mould_stage.tight_corners, fine, laminate, mould, file, visible,
                         structural)  # fmt: skip
    fields["corner"] = corner_map(work, corners)
    lines += tuple(MeshLine(MM * along(c), Look.TIGHT, c.id) for c in corners)
    lines += tuple(MeshLine(MM * line, Look.SPLIT) for line in splits(pieces, work))
    points += piece_labels(pieces, work)
    marks = (*points, *(MeshPoint(_mm(c.centre), PointLook.LETTER, c.id) for c in corners))
    picture = stages.run("Drawing the mould", _still, work)
    return replace(
        seen,
        mesh=packed(MeshData.of(work, fields=fields, lines=lines, points=marks)),
        pieces=tuple(_piece_seen(d, bool(pieces)) for d in drafts),
        corners=tuple(_corner_seen(c) for c in corners),
        findings=(
            *mould_stage.mending_findings(surface.report),
            *moulds.draft_findings(drafts, fine.area),
            *moulds.corner_findings(corners, fine.edge_length),
        ),
        still=picture,
        whole=True,
        scale=scale,
    )


def _still(work: Surface) -> str:
    return mould_picture(work).svg


def _piece_seen(draft: PieceDraft, named: bool) -> PieceSeen:
    return PieceSeen(
        name=draft.name if named else "",
        pull=draft.pull,
        smallest=draft.smallest,
        wanted=draft.wanted,
        undercut=draft.undercut,
        hook=draft.hook,
        depth=draft.depth,
    )


def _corner_seen(corner: Corner) -> CornerSeen:
    return CornerSeen(
        id=corner.id,
        length=corner.length,
        radius=corner.radius,
        needed=corner.needed,
        verdict=corner.verdict.value,
        at=corner.centre,
    )


def _unit(surface: Surface) -> Point:
    try:
        x, y, z = moulds.facing(surface)
    except InputError:
        return (0.0, 0.0, 1.0)
    return (float(x), float(y), float(z))


def _mm(at: Point) -> Point:
    return (MM * at[0], MM * at[1], MM * at[2])
