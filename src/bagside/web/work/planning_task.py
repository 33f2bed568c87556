"""The task that plans a job, and says what each page can show as soon as it can."""

from __future__ import annotations

from pathlib import Path

from bagside.planning.plan import BuildPlan, plan_build
from bagside.planning.shaping import shaped_from
from bagside.planning.stages import Done, Stages, digest_of
from bagside.records.kept_plan import STORE, made_from
from bagside.records.layout_file import read_layouts, write_layouts
from bagside.records.with_stock import opened_job
from bagside.web.views.cut import view as cut
from bagside.web.views.registry import early_views, whole_views
from bagside.web.work.child import Teller
from bagside.web.work.messages import HandedOn, Planned, StageNews, ViewNews
from bagside.web.work.nest_task import nest_missing
from bagside.web.work.plan_note import note_plan


class Watched:
    """Says which stage begins and ends, and stops between two when it shall."""

    def __init__(self, tell: Teller) -> None:
        self._tell = tell

    def begins(self, stage: str) -> None:
        """Say that a stage begins."""
        self._tell.go_on()
        self._tell(StageNews(stage=stage))

    def ended(self, done: Done) -> None:
        """Say that a stage has ended."""
        self._tell(StageNews(stage=done.stage, ended=True, kept=done.kept, seconds=done.seconds))


def plan_job(tell: Teller, job: Path) -> Planned:
    """Plan a job and say what its pages show.

    Parameters
    ----------
    tell
        Takes `StageNews` and `ViewNews`.
    job
        Its file.

    Raises
    ------
    InputError
        When what is stated cannot be built.
    NotSolved
        When a stage cannot be solved.
    """
    opened = opened_job(job, None)
    stored = read_layouts(opened.beside) if opened.job.mirror is None else ()
    stages = Stages(store=opened.folder / STORE, progress=Watched(tell))
    shape = shaped_from(opened, stages, "job.toml")
    for stage, view in early_views(shape, opened, stages):
        tell(ViewNews(stage=stage, view=view, digest=digest_of(view), early=True))
    nested = nest_missing(tell, opened, shape, stages, stored)
    if nested != stored:
        stored, first = nested, cut.early(shape, opened, stages)
        tell(ViewNews(stage="cut", view=first, digest=digest_of(first), early=True))
    plan, stages = plan_build(opened, layouts=stored, stages=stages)
    for stage, view in whole_views(plan, stages):
        tell(ViewNews(stage=stage, view=view, digest=digest_of(view)))
    lies = tuple(kit.stored for kit in plan.kits if kit.stored is not None) if plan.twin is None else ()
    if lies and lies != tuple(stored):
        write_layouts(opened.beside, lies)
    note_plan(opened.beside, made_from(opened, lies), plan)
    return Planned(
        name=plan.job.name,
        quantity=plan.job.quantity,
        note=plan.job.note,
        findings=plan.findings,
        handed=handed_on(plan),
        made_from=made_from(opened, lies),
    )


def handed_on(plan: BuildPlan) -> HandedOn:
    """Return what the stages of a plan hand on.

    Parameters
    ----------
    plan
        The build.
    """
    n = plan.job.quantity
    return HandedOn(
        area=None if plan.surface is None else plan.laminate.part.area,
        plies=len(plan.job.plies),
        pieces=sum(p.quantity for p in plan.cut) // n,
        thickness=plan.laminate.main.laminate.thickness,
        mass=plan.laminate.mass,
        pulled=sum(kit.pull for kit in plan.kits),
        cycle=float(plan.cure.first.histories[0].time[-1]),
        price=dict(plan.cost.prices)[n],
        currency=plan.cost.currency,
        hands=sum(s.attended if s.each else s.attended / n for s in plan.steps),
    )
