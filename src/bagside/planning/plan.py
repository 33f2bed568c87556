"""The one path of a job, from what people state to the complete build."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from pathlib import Path

from bagside.bagging import BagPlan, PressureMap, pressure_findings
from bagside.cure.chance import Chance
from bagside.cutting import FlatPiece
from bagside.findings import Finding, Severity
from bagside.geometry import Surface
from bagside.mould import MouldReport
from bagside.planning import (
    card_notes,
    cure_stage,
    cut_notes,
    finish_stage,
    joint_stage,
    kit_notes,
    kit_stage,
    laminate_stage,
    money,
    steps,
)
from bagside.planning.bag_notes import bag_findings
from bagside.planning.calendar import Calendar, Shift, Task, feasible_calendar
from bagside.planning.cost import Cost
from bagside.planning.cure_case import CureCase, case_of_part
from bagside.planning.cure_design import FoundCycle
from bagside.planning.cure_stage import CurePlan
from bagside.planning.cut_stage import PlyCuts
from bagside.planning.finish_stage import FinishPlan
from bagside.planning.joint_stage import JointPlan
from bagside.planning.kit import MaterialKit
from bagside.planning.laminate_stage import LaminateMap
from bagside.planning.layouts import StoredLayout
from bagside.planning.mould_stage import MouldSurface
from bagside.planning.patchwork_notes import patchwork_findings
from bagside.planning.patchwork_stage import PlyPatchwork
from bagside.planning.piece import Piece
from bagside.planning.ply_pieces import PlyPieces
from bagside.planning.settling import settled
from bagside.planning.shaped import Heat
from bagside.planning.shaping import shaped_from
from bagside.planning.stages import Progress, Silent, Stages
from bagside.planning.steps import Step
from bagside.planning.twin import TurnedCloth, Twin, cut_otherwise, twin_kits
from bagside.planning.twin_notes import twin_findings
from bagside.spec.job import Job
from bagside.spec.library import Library, generic_times
from bagside.spec.opening import Opened
from bagside.spec.workshop import Workshop


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildPlan:
    """Everything the build needs.

    Parameters
    ----------
    job, workshop, library
        As stated; build-ups are plies of the job, and a twin's is in its own axes.
    stated
        The job as stated.
    inputs
        Content digest of each file read.
    plies
        The pieces of each ply.
    surface
        The mould's surfaces; None when the part was measured by tape.
    regions
        Each named region as a surface; none without a surface.
    pieces
        Every draped piece; none without a surface.
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
    case
        What the cure was worked on with.
    press
        What presses place by place on what is laid up; None without a surface.
    cycle
        How its cycle was found; None when it was stated.
    chance
        How sure it is; None when nobody asked.
    steps, calendar, cost
        Time and money.
    findings
        All of them, weightiest first.
    """

    job: Job
    workshop: Workshop
    library: Library
    stated: Job
    inputs: dict[str, str]
    plies: tuple[PlyPieces, ...]
    surface: MouldSurface | None
    regions: Mapping[str, Surface]
    pieces: tuple[Piece, ...]
    cuts: tuple[PlyCuts, ...]
    laminate: LaminateMap
    mould: MouldReport
    kits: tuple[MaterialKit, ...]
    bag: BagPlan
    case: CureCase
    cure: CurePlan
    joints: JointPlan
    finish: FinishPlan
    steps: tuple[Step, ...]
    calendar: Calendar
    cost: Cost
    findings: tuple[Finding, ...]
    press: PressureMap | None = None
    cycle: FoundCycle | None = None
    chance: Chance | None = None
    patchwork: PlyPatchwork | None = None
    twin: Twin | None = None
    turned: tuple[TurnedCloth, ...] = ()
    cut: tuple[FlatPiece, ...] = ()

    @property
    def part(self) -> Surface | None:
        """The finished part's surface; None when it was measured by tape."""
        return self.laminate.surface


def plan_build(
    opened: Opened,
    *,
    store: Path | None = None,
    progress: Progress | None = None,
    today: date | None = None,
    layouts: Sequence[StoredLayout] = (),
    stages: Stages | None = None,
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
    layouts
        Layouts stored with the job: one that can still be cut stands, and is not searched for again.
    stages
        In place of `store` and `progress`, with what they have worked out already.

    Raises
    ------
    InputError
        When what is stated cannot be built; says what and where.
    NotSolved
        When a stage cannot be solved; says which.
    """
    workshop, library = opened.workshop, opened.library
    stages = stages or Stages(store=store, progress=progress or Silent())
    times = steps.times_in(workshop, generic_times())

    shape = shaped_from(opened, stages, "job.toml")
    job, twin = shape.job, shape.twin
    laminate = shape.laminated(stages)
    room = kit_stage.Room(workshop=workshop, library=library, stock=opened.stock, today=first_day(workshop, today))
    turned: tuple[TurnedCloth, ...] = ()
    if twin is None:
        kits = kit_stage.kits_of(shape.cut, job, room, stages, kept=layouts)
    else:  # its layouts are the other part's turned over, which an offcut's are not
        room = replace(room, stock=replace(room.stock, offcuts=(), used=()))
        kits = kit_stage.kits_of(shape.nested, job, room, stages)
        otherwise = cut_otherwise(twin, shape.pieces)
        anew = kit_stage.kits_of(shape.cut, job, room, stages, otherwise)
        kits, turned = twin_kits(twin, kits, {k.material: k for k in anew}, shape.cut)
    case, cycle, chance = settled(case_of_part(shape, laminate, workshop), workshop, stages)
    cure = stages.run("Curing", cure_stage.cure_plan, case)
    heat = _heat(cure, case)
    mould = shape.told(laminate, heat, stages)
    bag = shape.bagged(mould, heat, workshop, stages)
    press = shape.pressed(laminate, workshop, stages)
    joints = stages.run(
        "Bonding",
        joint_stage.joint_plan,
        *shape.sites(laminate),
        job.brackets,
        job.holes,
        library.adhesive,
        job.cure.service,
        workshop.room.temperature,
    )
    finish = stages.run(
        "Coating",
        finish_stage.finish_plan,
        laminate.part.area * job.quantity,
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
        plies=shape.plies,
        kits=kits,
        bag=bag,
        cure=cure,
        joints=joints,
        finish=finish,
        edge=laminate.part.edge,
        cut=shape.cut,
        patchwork=shape.patchwork,
    )
    calendar = stages.run(
        "Making the calendar", _calendar, steps.tasks_of(listed, job.quantity), workshop, first_day(workshop, today)
    )
    cost = money.money(job, workshop, kits=kits, bag=bag, cure=cure, joints=joints, finish=finish, steps=listed)
    findings = _ranked(
        [
            *shape.noticed(laminate),
            *shape.mended,
            *mould.findings,
            *cut_notes.cut_findings(shape.cuts, job, library, kits, workshop),
            *laminate_stage.laminate_findings(
                laminate, max(heat.sets - heat.room, 0.0), show=job.laying.show, structural=job.structural
            ),
            *([] if shape.patchwork is None else patchwork_findings(shape.patchwork, job, library)),
            *card_notes.card_findings(job, shape.plies, [shape.covered(k) for k in range(len(job.plies))]),
            *opened.noticed,
            *kit_notes.kit_findings(kits, library),
            *([] if twin is None else twin_findings(twin, turned, library, workshop.currency)),
            *bag_findings(bag, job.bag, library, cure, case),
            *(() if press is None else pressure_findings(press, shape.laid_points)),
            *cure_stage.cure_findings(cure, case),
            *(() if cycle is None else cycle.findings),
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
            stated=opened.job,
            inputs=opened.inputs,
            plies=shape.plies,
            surface=shape.surface,
            regions=shape.regions,
            pieces=shape.pieces,
            cuts=shape.cuts,
            laminate=laminate,
            mould=mould,
            kits=kits,
            bag=bag,
            case=case,
            cure=cure,
            joints=joints,
            finish=finish,
            steps=listed,
            calendar=calendar,
            cost=cost,
            findings=findings,
            press=press,
            cycle=cycle,
            chance=chance,
            patchwork=shape.patchwork,
            twin=twin,
            turned=turned,
            cut=shape.cut,
        ),
        stages,
    )


def _heat(cure: CurePlan, case: CureCase) -> Heat:
    gels = [o.gel_temperature for o in cure.first.outcomes]
    return Heat(
        gel=None if any(t is None for t in gels) else max(t for t in gels if t is not None),
        hottest=max(o.tool_hottest or o.hottest for o in cure.first.outcomes),
        bag=case.programme.hottest + 0.5 * case.spread,
        room=case.room.temperature,
    )


def first_day(workshop: Workshop, today: date | None = None) -> date:
    """Return the first day that work is planned on: as stated, else tomorrow.

    Parameters
    ----------
    workshop
        As stated.
    today
        When not this day.
    """
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
