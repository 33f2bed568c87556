"""What the board shows: the day, the open jobs with the one next step each, what dies, the air, what is to decide."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from bagside.findings import Finding, Severity
from bagside.ledger.builds.beginning import SCRAP, mould_before
from bagside.ledger.builds.next_up import NextUp, next_up
from bagside.ledger.gates.gate import Gate
from bagside.ledger.planned import PlannedStep
from bagside.ledger.shop import Shop
from bagside.ledger.things import Build, Mould, StepDone
from bagside.web.views.air.view import Air, air
from bagside.web.views.moulds.view import MouldLine, moulds
from bagside.web.views.shelf.view import Shelf, shelf

STAGES = ("Get ready", "Cut", "Lay", "Bag", "Cure", "Trim", "Bond", "Finish", "Check")
"""Stages of a plan's steps, in the order of the work; one that is not here is shown with the one before it."""


class PlanState(StrEnum):
    """How the plan of a job stands."""

    LOOKING = "looking"
    MISSING = "missing"
    STALE = "stale"
    CURRENT = "current"
    FAULTY = "faulty"


@dataclass(frozen=True, slots=True, kw_only=True)
class JobTold:
    """What a job's folder says.

    Parameters
    ----------
    folder
        Its name.
    name, quantity, note
        As stated; the folder's name where it cannot be read.
    state
        Of its plan.
    problems
        Why it cannot be worked out, as sentences.
    findings
        Of the plan that stands beside it, weightiest first; none when there is none.
    planned
        When that was made.
    outline
        Of its largest piece [m], for a small picture; none when nobody knows.
    """

    folder: str
    name: str
    quantity: int
    note: str
    state: PlanState
    problems: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    planned: datetime | None = None
    outline: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class StageStop:
    """One stage of a build: how many of its steps are done, and when the last of them was."""

    stage: str
    steps: int
    done: int
    last: datetime | None
    here: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildLine:
    """An open build.

    Parameters
    ----------
    name, number, quantity
        Its serial number, and which part of how many.
    step
        Name of the next step; empty when all are finished.
    at, of
        Its number, and how many there are.
    since, until
        When it was started, and when it is over by the plan; None when it waits.
    gates
        That stop it.
    stops
        Its stages, in order.
    hands
        Hands-on work that is left by the plan [s].
    mould
        It is made on; may be empty.
    last
        When something was written down of it last.
    """

    name: str
    number: int
    quantity: int
    step: str
    at: int
    of: int
    since: datetime | None
    until: datetime | None
    gates: tuple[Gate, ...]
    stops: tuple[StageStop, ...]
    hands: float
    mould: str
    last: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class JobLine:
    """A job.

    Parameters
    ----------
    told
        What its folder says.
    builds
        That are open, by their number.
    made, scrapped
        How many parts were closed as something else than scrap, and as scrap.
    number
        Of the next part to begin; 0 when all have been begun.
    mould
        The part before was made on, while it is there; empty when nobody knows.
    """

    told: JobTold
    builds: tuple[BuildLine, ...]
    made: int
    scrapped: int
    number: int
    mould: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spell:
    """A stretch of the day.

    Parameters
    ----------
    build
        Of which; of cloth that thaws, its name.
    step
        Name of the step; empty for cloth that thaws.
    start, end
        When it was, or will be over by the plan; None when nobody can say.
    running
        Whether it is under way.
    alone
        Whether most of it needs no hands.
    """

    build: str
    step: str
    start: datetime
    end: datetime | None
    running: bool
    alone: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardView:
    """What the board shows.

    Parameters
    ----------
    at
        When it was made.
    kept
        Whether the workshop keeps records.
    jobs
        Those with the most pressing step first.
    strays
        Open builds whose job is not in the workshop any more.
    day
        What was done today, and what runs.
    shelf, air
        See each; None without records.
    moulds
        See `bagside.web.views.moulds.view`.
    """

    at: datetime
    kept: bool
    jobs: tuple[JobLine, ...]
    strays: tuple[BuildLine, ...] = ()
    day: tuple[Spell, ...] = ()
    shelf: Shelf | None = None
    air: Air | None = None
    moulds: tuple[MouldLine, ...] = ()


def board_view(shop: Shop, jobs: Sequence[JobTold], builds: Sequence[Build], now: datetime) -> BoardView:
    """Return what the board shows of a workshop that keeps records.

    Parameters
    ----------
    shop
        As it stands.
    jobs
        What their folders say.
    builds
        All of them, closed ones too.
    now
        The moment, in the zone of the workshop.
    """
    lines = [_job(told, builds, shop, now) for told in jobs]
    names = {n for told in jobs for n in (told.name, told.folder)}
    found = shelf(shop, now)
    return BoardView(
        at=now,
        kept=True,
        jobs=tuple(sorted(lines, key=_pressing)),
        strays=tuple(_build(b, shop, now) for b in builds if b.there and b.planned.job not in names),
        day=tuple(sorted(_day(builds, found, now), key=lambda s: (s.running, s.start))),
        shelf=found,
        air=air(shop, now),
        moulds=moulds(shop, builds),
    )


def board_without_records(jobs: Iterable[JobTold], now: datetime) -> BoardView:
    """Return what the board shows of a workshop that keeps no records.

    Parameters
    ----------
    jobs, now
        See `board_view`.
    """
    lines = [JobLine(told=told, builds=(), made=0, scrapped=0, number=1) for told in jobs]
    return BoardView(at=now, kept=False, jobs=tuple(sorted(lines, key=_pressing)))


def _job(told: JobTold, builds: Sequence[Build], shop: Shop, now: datetime) -> JobLine:
    own = [b for b in builds if b.planned.job in (told.name, told.folder)]
    closed = [b.closed.what.verdict for b in own if b.closed is not None]
    lines = [_build(b, shop, now) for b in own if b.there]
    there = [t.name for t in shop.things.values() if isinstance(t, Mould) and t.there]
    taken = {b.planned.number for b in own if b.closed is None or b.closed.what.verdict != SCRAP}
    return JobLine(
        told=told,
        builds=tuple(sorted(lines, key=lambda line: line.number)),
        made=sum(verdict != SCRAP for verdict in closed),
        scrapped=closed.count(SCRAP),
        number=next((n for n in range(1, told.quantity + 1) if n not in taken), 0),
        mould=mould_before(there, sorted(own, key=lambda b: b.born)),
    )


def _build(build: Build, shop: Shop, now: datetime) -> BuildLine:
    up = next_up(build, shop, now)
    step, done = up.step, up.done
    since = None if done is None else done.started
    return BuildLine(
        name=build.name,
        number=build.planned.number,
        quantity=build.planned.quantity,
        step="" if step is None else step.name,
        at=up.number,
        of=up.of,
        since=since,
        until=None if step is None or since is None else since + timedelta(seconds=lasting(step, build)),
        gates=up.stopping,
        stops=_stops(build, up),
        hands=_hands(build),
        mould=build.mould,
        last=build.last,
    )


def lasting(step: PlannedStep, build: Build) -> float:
    """Return how long a step takes by the plan [s].

    Parameters
    ----------
    step
        Which.
    build
        Whose; a debulk's time is the one that its ply wants.
    """
    debulk = next((d for d in build.planned.debulks if step.key == f"debulk-{d.after}"), None)
    return step.attended + (step.unattended if debulk is None else debulk.seconds)


def _stops(build: Build, up: NextUp) -> tuple[StageStop, ...]:
    done = {d.key: d for d in build.steps}
    groups: dict[str, list[StepDone]] = {}
    before = STAGES[0]
    stage_of: dict[str, str] = {}
    for step in build.planned.steps:
        before = step.stage if step.stage in STAGES else before
        groups.setdefault(before, []).append(done[step.key])
        stage_of[step.key] = before
    here = "" if up.step is None else stage_of[up.step.key]
    return tuple(
        StageStop(
            stage=stage,
            steps=len(groups[stage]),
            done=sum(d.finished is not None for d in groups[stage]),
            last=max((d.finished for d in groups[stage] if d.finished is not None), default=None),
            here=stage == here,
        )
        for stage in STAGES
        if stage in groups
    )


def _hands(build: Build) -> float:
    finished = {d.key for d in build.steps if d.finished is not None}
    n = max(build.planned.quantity, 1)
    return sum(
        s.attended if s.each else s.attended / n for s in build.planned.steps if s.key not in finished
    )


def _day(builds: Sequence[Build], found: Shelf, now: datetime) -> Iterable[Spell]:
    midnight = now.replace(hour=0, minute=0, second=0, microsecond=0)
    for build in builds:
        planned: Mapping[str, PlannedStep] = {s.key: s for s in build.planned.steps}
        for done in build.steps:
            step = planned[done.key]
            alone = lasting(step, build) > 2.0 * step.attended
            if done.started is not None and done.finished is None and build.there:
                end = done.started + timedelta(seconds=lasting(step, build))
                yield Spell(
                    build=build.name, step=step.name, start=done.started, end=end, running=True, alone=alone
                )  # fmt: skip
            elif done.finished is not None and done.finished >= midnight:
                start = done.started or done.finished - timedelta(seconds=step.attended)
                yield Spell(
                    build=build.name, step=step.name, start=start, end=done.finished, running=False, alone=alone
                )  # fmt: skip
    for cloth in found.cloth:
        if cloth.thaw is not None and cloth.thaw.out_since is not None and not cloth.thaw.openable:
            yield Spell(
                build=cloth.name, step="", start=cloth.thaw.out_since, end=cloth.thaw.opens_at, running=True, alone=True
            )  # fmt: skip


def _pressing(line: JobLine) -> tuple[int, float, str]:
    """Return by what jobs are put in order: what runs, is open, is to decide, is to begin, is made."""
    running = [b.until.timestamp() for b in line.builds if b.until is not None]
    if running:
        return (0, min(running), line.told.name)
    if line.builds:
        return (1, -max(b.last.timestamp() for b in line.builds), line.told.name)
    if not line.number:
        return (4, 0.0, line.told.name)
    weighty = any(f.severity in (Severity.STOP, Severity.DECIDE) for f in line.told.findings)
    return (2 if weighty or line.told.problems else 3, 0.0, line.told.name)
