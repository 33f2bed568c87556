"""The one path of a job, from what people state to the complete build."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path

from bagside.bagging import BagPlan, BagPly
from bagside.cutting import FlatPiece
from bagside.findings import Finding, Severity
from bagside.geometry import Surface
from bagside.mould import MouldReport
from bagside.planning import (
    bag_stage,
    cure_stage,
    cut_notes,
    finish_stage,
    going_on,
    joint_stage,
    kit_stage,
    laminate_stage,
    lay_up,
    money,
    mould_stage,
    ply_notes,
    ply_stage,
    steps,
)
from bagside.planning.calendar import Calendar, Shift, Task, feasible_calendar
from bagside.planning.content import ContentFile
from bagside.planning.cost import Cost
from bagside.planning.cure_stage import CurePlan
from bagside.planning.cut_stage import PlyCuts
from bagside.planning.finish_stage import FinishPlan
from bagside.planning.joint_stage import JointPlan
from bagside.planning.kit_stage import MaterialKit
from bagside.planning.laminate_stage import LaminateMap
from bagside.planning.mirror import mirrored_cuts
from bagside.planning.mould_stage import MouldSurface
from bagside.planning.patchwork_notes import patchwork_findings
from bagside.planning.patchwork_stage import PlyPatchwork, mirrored_patchwork
from bagside.planning.piece import Piece
from bagside.planning.stages import Progress, Silent, Stages
from bagside.planning.steps import Step
from bagside.planning.twin import TurnedCloth, Twin, cut_otherwise, twin_kits, twin_of
from bagside.planning.twin_notes import twin_findings
from bagside.spec.job import Job
from bagside.spec.library import Library, generic_times
from bagside.spec.material import Prepreg
from bagside.spec.opening import Opened
from bagside.spec.workshop import Workshop


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildPlan:
    """Everything the build needs.

    Parameters
    ----------
    job, workshop, library
        As stated.
    inputs
        Content digest of each file read.
    surface
        The mould's surfaces.
    regions
        Each named region as a surface.
    pieces
        Every cut piece.
    cuts
        Where plies are cut, and how the cuts were found.
    patchwork
        The ply that is cut as tiles in place of its pieces; None when there is none.
    twin
        What this part is the mirror image of; None when it is its own.
    turned
        What turning cloth for the twin costs.
    cut
        Everything that is cut, for all parts.
    laminate, mould, kits, bag, cure, joints, finish
        From the benches.
    steps, calendar, cost
        Time and money.
    findings
        All of them, weightiest first.
    """

    job: Job
    workshop: Workshop
    library: Library
    inputs: dict[str, str]
    surface: MouldSurface
    regions: dict[str, Surface]
    pieces: tuple[Piece, ...]
    cuts: tuple[PlyCuts, ...]
    laminate: LaminateMap
    mould: MouldReport
    kits: tuple[MaterialKit, ...]
    bag: BagPlan
    cure: CurePlan
    joints: JointPlan
    finish: FinishPlan
    steps: tuple[Step, ...]
    calendar: Calendar
    cost: Cost
    findings: tuple[Finding, ...]
    patchwork: PlyPatchwork | None = None
    twin: Twin | None = None
    turned: tuple[TurnedCloth, ...] = ()
    cut: tuple[FlatPiece, ...] = ()

    @property
    def part(self) -> Surface:
        """The finished part."""
        return self.laminate.part


def plan_build(
    opened: Opened, *, store: Path | None = None, progress: Progress | None = None, today: date | None = None
) -> tuple[BuildPlan, Stages]:
    """Return the complete build of a job, and the log of its stages.

    Parameters
    ----------
    opened
        The job with its workshop and materials; see `bagside.spec.opening.open_job`.
    store
        Folder where results are kept between runs; nothing is kept when None.
    progress
        Who watches.
    today
        First day of the calendar when the workshop states none.

    Raises
    ------
    InputError
        When what is stated cannot be built; says what and where.
    NotSolved
        When a stage cannot be solved; says which.
    """
    job, workshop, library = opened.job, opened.workshop, opened.library
    stages = Stages(store=store, progress=progress or Silent())
    where = "job.toml"
    prepregs = tuple(library.prepreg[ply.material] for ply in job.plies)
    resin = library.resin[prepregs[0].resin]
    tool = library.tool[job.mould.material]
    times = steps.times_in(workshop, generic_times())

    surface = stages.run("Opening the mould", mould_stage.opened_mould, ContentFile.of(opened.mesh), job.mould)
    regions = stages.run("Finding the regions", mould_stage.regions_on, surface.work, job.regions, job.holes, where)
    pieces, cuts = lay_up.cut_and_draped(job, library, surface, regions, ContentFile.of(opened.mesh), stages, where)
    part = stages.run(
        "Meshing the part", ply_stage.evenly_meshed, regions[job.part], job.mould.size, job.mould.tolerance
    )[0]
    patchwork = going_on.tiled(opened, pieces, stages, where)
    other = kit_stage.cut_list(pieces, patchwork, job, library)
    twin, otherwise = None, frozenset[str]()
    if job.mirror is not None:
        twin = twin_of(job, surface, regions, pieces, part, library, workshop, stages)
        if patchwork is not None and job.patchwork is not None:
            tiled_quarter = patchwork.ply in twin.quarter
            patchwork = mirrored_patchwork(patchwork, job.patchwork, twin.pieces, tiled_quarter, stages)
        otherwise = cut_otherwise(twin, pieces)
        cuts = mirrored_cuts(job.mirror.plane, cuts)
        job, surface, regions, pieces, part = twin.job, twin.surface, twin.regions, twin.pieces, twin.part
    replaced = job.replaces
    laminate = stages.run(
        "Stacking the laminate",
        laminate_stage.laminate_map,
        part,
        laminate_stage.drapes_of(pieces),
        job.plies,
        prepregs,
        job.laying.direction,
        None if replaced is None else (library.substrate[replaced.material], replaced.thickness),
    )
    cut = kit_stage.cut_list(pieces, patchwork, job, library)
    kits = kit_stage.kits_of(other, job, workshop, library, stages)
    turned: tuple[TurnedCloth, ...] = ()
    if twin is not None:
        anew = kit_stage.kits_of(cut, job, workshop, library, stages, otherwise)
        kits, turned = twin_kits(twin, kits, {k.material: k for k in anew}, cut)
    cure = stages.run(
        "Curing",
        cure_stage.cure_plan,
        laminate_stage.stacks(laminate, prepregs),
        resin,
        prepregs[0].resin_density,
        tool,
        job.mould.thickness,
        job.cure,
        workshop.oven,
        workshop.room,
        surface.work.area * job.mould.thickness * tool.density,
        laminate.mass * (job.quantity if job.cure.post_cure else 1),
    )
    gel = _gel(cure)
    hottest = max(o.tool_hottest or o.hottest for o in cure.first.outcomes)
    laid = stages.run("Finding where plies are laid", mould_stage.laid_on, surface.fine, lay_up.laid(job, regions))
    corners = stages.run(
        "Finding tight corners",
        mould_stage.tight_corners,
        laid,
        laminate.thickest,
        opened.job.mould,
        ContentFile.of(opened.mesh),
        job.laying.show,
        job.structural,
        None if job.mirror is None else job.mirror.plane,
    )
    through = stages.run(
        "Following plies through corners",
        mould_stage.corners_laid,
        corners,
        tuple(p.surface for p in pieces),
        tuple(p.ply for p in pieces),
        tuple(laminate_stage.laid_ply("", cloth, 0.0).thickness for cloth in prepregs),
        job.laying.show,
        job.structural,
    )
    mould = mould_stage.mould_facts(
        laid, corners, through, job.mould, tool, hottest if gel is None else gel, hottest, workshop.room.temperature
    )
    tight = {number - 1 for corner in through for number in corner.numbers}
    around = stages.run(
        "Measuring the flange", bag_stage.flange_around, surface.work, lay_up.laid(job, regions), job.bag.flange
    )
    bag = stages.run(
        "Sizing the bag",
        bag_stage.bag_plan,
        lay_up.laid(job, regions),
        surface.work,
        around,
        _bag_plies(job, pieces, tight, prepregs),
        job.bag,
        bag_stage.films_of(job.bag, library),
        max(segment.to for segment in job.cure.segments) + 0.5 * workshop.oven.spread,
        workshop.room,
        workshop.pump,
        job.laying.show,
    )
    joints = stages.run(
        "Bonding",
        joint_stage.joint_plan,
        laminate,
        job.brackets,
        job.holes,
        library.adhesive,
        job.cure.service,
        workshop.room.temperature,
    )
    finish = stages.run(
        "Coating",
        finish_stage.finish_plan,
        part.area * job.quantity,
        job.finish,
        workshop.room,
        library.coating,
        times["fill"],
        times["coat"],
    )
    listed = steps.steps_of(
        job,
        library,
        times,
        pieces=pieces,
        kits=kits,
        bag=bag,
        cure=cure,
        joints=joints,
        finish=finish,
        part=part,
        cut=cut,
        patchwork=patchwork,
    )
    calendar = stages.run(
        "Making the calendar", _calendar, steps.tasks_of(listed, job.quantity), workshop, _first_day(workshop, today)
    )
    cost = money.money(job, workshop, kits=kits, bag=bag, cure=cure, joints=joints, finish=finish, steps=listed)
    cools = (hottest if gel is None else gel) - workshop.room.temperature
    findings = _ranked(
        [
            *mould_stage.mending_findings(surface.report),
            *mould.findings,
            *ply_notes.drape_findings(pieces, job, library),
            *cut_notes.cut_findings(cuts, job, library, kits, workshop),
            *laminate_stage.laminate_findings(
                laminate, max(cools, 0.0), show=job.laying.show, structural=job.structural
            ),
            *([] if patchwork is None else patchwork_findings(patchwork, job, library)),
            *kit_stage.kit_findings(kits, library),
            *([] if twin is None else twin_findings(twin, turned, library, workshop.currency)),
            *bag_stage.bag_findings(bag, gel, workshop),
            *cure_stage.cure_findings(cure, resin, workshop.oven, workshop.room),
            *joint_stage.joint_findings(joints, job, library),
            *finish_stage.finish_findings(finish, library),
            *calendar.findings,
        ]
    )
    stages.forget_old()
    return (
        BuildPlan(
            job=job,
            workshop=workshop,
            library=library,
            inputs=opened.inputs,
            surface=surface,
            regions=regions,
            pieces=pieces,
            cuts=cuts,
            laminate=laminate,
            mould=mould,
            kits=kits,
            bag=bag,
            cure=cure,
            joints=joints,
            finish=finish,
            steps=listed,
            calendar=calendar,
            cost=cost,
            findings=findings,
            patchwork=patchwork,
            twin=twin,
            turned=turned,
            cut=cut,
        ),
        stages,
    )


def _gel(cure: CurePlan) -> float | None:
    """Return the hottest temperature at which a section gels on the mould [K]; None when one does not gel."""
    found = [o.gel_temperature for o in cure.first.outcomes]
    return None if any(t is None for t in found) else max(t for t in found if t is not None)


def _bag_plies(
    job: Job, pieces: Sequence[Piece], tight: Collection[int], prepregs: Sequence[Prepreg]
) -> tuple[BagPly, ...]:
    found = []
    for k, ply in enumerate(job.plies):
        own = [n for n, p in enumerate(pieces) if p.ply == k]
        found.append(
            BagPly(
                name=f"ply {k + 1}",
                area=sum(pieces[n].pattern.area for n in own),
                thickness=laminate_stage.laid_ply(str(k + 1), prepregs[k], ply.angle).thickness,
                has_tight_corner=k in tight,
            )
        )
    return tuple(found)


def _first_day(workshop: Workshop, today: date | None) -> date:
    if workshop.hours.first_day is not None:
        return workshop.hours.first_day
    return (today or date.today()) + timedelta(days=1)


def _calendar(tasks: tuple[Task, ...], workshop: Workshop, first: date) -> Calendar:
    hours = workshop.hours
    shift = Shift(begins=hours.begins, ends=hours.ends, days=hours.days, people=workshop.people)
    return feasible_calendar(tasks, start=datetime.combine(first, hours.begins), shift=shift)


def _ranked(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    order = list(Severity)
    return tuple(sorted(findings, key=lambda f: order.index(f.severity)))
