"""What the page of time shows: who and what is busy when, and how long each step takes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from bagside.planning.calendar import Slot
from bagside.planning.plan import BuildPlan
from bagside.planning.stages import Stages
from bagside.planning.steps import Step

TOOLS = ("mould", "oven")
"""What is kept busy, in the order of its lines; a freezer has room for all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Busy:
    """A stretch in which somebody or something is busy.

    Parameters
    ----------
    line
        ``person 1``, ``mould``, ``oven``.
    step, stage
        What is done.
    part
        Which part; 0 when it is done once for all.
    start, end
        By the clock on the wall.
    attended
        Whether hands are on it.
    """

    line: str
    step: str
    stage: str
    part: int
    start: datetime
    end: datetime
    attended: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class StepTold:
    """One step: attended and unattended time [s], for each part or once for all."""

    key: str
    name: str
    stage: str
    attended: float
    unattended: float
    each: bool
    one_off: bool
    cautions: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeView:
    """What the page of time shows.

    Parameters
    ----------
    busy
        Every stretch, in the order of the lines.
    lines
        Names of the lines.
    steps
        In order.
    start, finish
        Of the calendar.
    quantity, people
        Parts, and hands at once.
    attended
        Hands on one part [s].
    by_stage
        Hands on one part by stage, in the order of the work [s].
    day_begins, day_ends
        Of a working day, as shares of it.
    days
        Working days that are touched.
    """

    busy: tuple[Busy, ...]
    lines: tuple[str, ...]
    steps: tuple[StepTold, ...]
    start: datetime
    finish: datetime
    quantity: int
    people: int
    attended: float
    by_stage: tuple[tuple[str, float], ...]
    day_begins: float
    day_ends: float
    days: int


def view(plan: BuildPlan, stages: Stages) -> TimeView:
    """Return what the page of time shows.

    Parameters
    ----------
    plan
        The build.
    stages
        Keep what is worked out; nothing here is worth keeping.
    """
    n = plan.job.quantity
    steps = {s.name: s for s in plan.steps}
    slots = plan.calendar.slots
    busy = [*_hands(slots, steps, plan.workshop.people), *_tools(slots, steps)]
    lines = tuple(dict.fromkeys(b.line for b in busy))
    by_stage: dict[str, float] = {}
    for step in plan.steps:
        own = step.attended if step.each else step.attended / n
        by_stage[step.stage] = by_stage.get(step.stage, 0.0) + own
    hours = plan.workshop.hours
    return TimeView(
        busy=tuple(busy),
        lines=lines,
        steps=tuple(
            StepTold(
                key=s.key, name=s.name, stage=s.stage, attended=s.attended, unattended=s.unattended, each=s.each,
                one_off=s.one_off, cautions=bool(s.hazards),
            )
            for s in plan.steps
        ),
        start=plan.calendar.start,
        finish=plan.calendar.finish,
        quantity=n,
        people=plan.workshop.people,
        attended=sum(by_stage.values()),
        by_stage=tuple(by_stage.items()),
        day_begins=(hours.begins.hour + hours.begins.minute / 60.0) / 24.0,
        day_ends=(hours.ends.hour + hours.ends.minute / 60.0) / 24.0,
        days=len({b.start.date() for b in busy if b.attended}),
    )  # fmt: skip


def _step(slot: Slot, steps: dict[str, Step]) -> tuple[Step, int]:
    name, _, part = slot.task.rpartition(", part ")
    if name in steps and part.isdecimal():
        return steps[name], int(part)
    return steps[slot.task], 0


def _hands(slots: Sequence[Slot], steps: dict[str, Step], people: int) -> Iterator[Busy]:
    """Yield every stretch with hands on it: each for the first person who is free, which is how they were placed."""
    free: list[datetime] = [datetime.min] * people
    spells = [(a, b, slot) for slot in slots for a, b in slot.spells if b > a]
    found = []
    for a, b, slot in sorted(spells, key=lambda s: (s[0], s[1], s[2].task)):
        who = next((k for k in range(people) if free[k] <= a), 0)
        free[who] = max(free[who], b)
        step, part = _step(slot, steps)
        found.append(
            Busy(line=f"person {who + 1}", step=step.name, stage=step.stage, part=part, start=a, end=b, attended=True)
        )  # fmt: skip
    yield from sorted(found, key=lambda f: (f.line, f.start))


def _tools(slots: Sequence[Slot], steps: dict[str, Step]) -> Iterator[Busy]:
    for tool in TOOLS:
        for slot in slots:
            step, part = _step(slot, steps)
            if tool not in step.needs:
                continue
            for a, b in slot.spells if tool == "mould" else ():
                if b > a:
                    yield Busy(
                        line=tool, step=step.name, stage=step.stage, part=part, start=a, end=b, attended=True
                    )  # fmt: skip
            begin = slot.spells[-1][1] if slot.spells else slot.start
            if slot.end > begin:
                yield Busy(
                    line=tool, step=step.name, stage=step.stage, part=part, start=begin, end=slot.end, attended=False
                )  # fmt: skip
