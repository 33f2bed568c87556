"""One simple feasible calendar: who is needed when, what stands in the oven overnight.

Tasks are placed one after the other, the one that can start earliest first. A person is needed for the attended part,
inside working hours and in one go; what follows by itself may run through the night. Whatever a task keeps busy – the
mould, the oven – it keeps until the end of the unattended part. The calendar is checked afterwards by `verify`, which
shares no code with the search.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from itertools import pairwise

from bagside.errors import InputError, NotSolved, Problem, did_you_mean
from bagside.findings import Basis, Finding, Severity

WEEK = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
LONGEST = 400  # days looked ahead


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One task.

    Parameters
    ----------
    name
        Unique.
    attended
        Time a person is needed, first [s]; split over days when it is longer than one.
    unattended
        Time that passes by itself afterwards [s].
    after
        Tasks that must have ended.
    needs
        What it keeps busy from start to end.
    claims
        Resources it takes and does not give back; a later task of the chain gives them back.
    frees
        Resources given back at its end.
    hold
        It must start within this time after the last of ``after`` has ended [s]; none when it can wait.
    """

    name: str
    attended: float
    unattended: float = 0.0
    after: tuple[str, ...] = ()
    needs: frozenset[str] = frozenset()
    claims: frozenset[str] = frozenset()
    frees: frozenset[str] = frozenset()
    hold: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """When a task is done.

    Parameters
    ----------
    task
        Its name.
    spells
        Stretches in which a person works on it.
    start, end
        From the first touch to the end of what passes by itself.
    """

    task: str
    spells: tuple[tuple[datetime, datetime], ...]
    start: datetime
    end: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift:
    """Working hours.

    Parameters
    ----------
    begins, ends
        Of the working day.
    days
        Names of working days, ``Mon`` to ``Sun``.
    people
        How many work at once.
    """

    begins: time
    ends: time
    days: tuple[str, ...]
    people: int = 1

    def works(self, day: date) -> bool:
        """Whether a day is worked."""
        return WEEK[day.weekday()] in self.days

    @property
    def length(self) -> float:
        """Of the working day [s]."""
        at = date(2000, 1, 1)
        return (datetime.combine(at, self.ends) - datetime.combine(at, self.begins)).total_seconds()


@dataclass(frozen=True, slots=True, kw_only=True)
class Calendar:
    """A feasible calendar.

    Parameters
    ----------
    slots
        One for each task, by start.
    findings
        Holds that could not be kept.
    """

    slots: tuple[Slot, ...]
    findings: tuple[Finding, ...] = ()

    @property
    def start(self) -> datetime:
        """First touch."""
        return min(s.start for s in self.slots)

    @property
    def finish(self) -> datetime:
        """Last end."""
        return max(s.end for s in self.slots)


@dataclass
class _State:
    shift: Shift
    people: list[list[tuple[datetime, datetime]]]
    free: dict[str, datetime] = field(default_factory=dict)
    held: dict[str, str] = field(default_factory=dict)
    done: dict[str, Slot] = field(default_factory=dict)


def feasible_calendar(tasks: Sequence[Task], *, start: datetime, shift: Shift) -> Calendar:
    """Return one feasible calendar.

    Parameters
    ----------
    tasks
        In the order in which a person would do them, which breaks ties.
    start
        Not before this.
    shift
        Working hours.

    Raises
    ------
    InputError
        When names repeat, a task follows one that is not there, or tasks wait for each other in a ring.
    NotSolved
        When no day within about a year has room; says for what.

    Notes
    -----
    Feasible, not shortest: tasks are placed greedily, the earliest possible first.
    """
    _check(tasks, shift)
    state = _State(shift, [[] for _ in range(shift.people)])
    waiting = list(tasks)
    while waiting:
        ready = [t for t in waiting if all(a in state.done for a in t.after) and _claimable(t, state)]
        if not ready:
            raise NotSolved("the calendar is stuck: every task left waits for something another one keeps")
        placed = min(
            ((_placed(t, state, start), tasks.index(t), t) for t in ready), key=lambda p: (p[0][0].start, p[1])
        )
        (slot, who), _, task = placed
        _take(task, slot, who, state)
        waiting.remove(task)
    calendar = Calendar(slots=tuple(sorted(state.done.values(), key=lambda s: (s.start, s.end))))
    verify(calendar, tasks, shift)
    return Calendar(slots=calendar.slots, findings=_holds(calendar, tasks))


def _check(tasks: Sequence[Task], shift: Shift) -> None:
    names = [t.name for t in tasks]
    problems = [
        Problem(place=f"task {n}", came="", wanted="two tasks have this name; each wants its own")
        for n in dict.fromkeys(names)
        if names.count(n) > 1
    ]
    problems += [
        Problem(
            place=f"task {t.name}, after", came=f'"{a}"', wanted="there is no such task", hint=did_you_mean(a, names)
        )
        for t in tasks
        for a in t.after
        if a not in names
    ]
    problems += [
        Problem(place=f"task {t.name}", came="", wanted="times must not be negative")
        for t in tasks
        if t.attended < 0 or t.unattended < 0
    ]
    if shift.people < 1 or shift.length <= 0 or not shift.days:
        problems.append(Problem(place="working hours", came="", wanted="people, days and hours above zero are wanted"))
    if problems:
        raise InputError(problems)
    left = {t.name: set(t.after) for t in tasks}
    while left:
        free = [n for n, after in left.items() if not after & left.keys()]
        if not free:
            ring = ", ".join(sorted(left))
            raise InputError.one("tasks", ring, "these wait for each other in a ring; one must not follow another")
        for n in free:
            del left[n]


def _claimable(task: Task, state: _State) -> bool:
    return all(r not in state.held for r in task.claims)


def _placed(task: Task, state: _State, start: datetime) -> tuple[Slot, int]:
    earliest = max([start, *(state.done[a].end for a in task.after)])
    for resource in task.needs | task.claims:
        if resource not in state.held:
            earliest = max(earliest, state.free.get(resource, start))
    options = []
    for who in range(state.shift.people):
        spells = _spells(task.attended, earliest, state.people[who], state.shift)
        begin = spells[0][0] if spells else earliest
        end = (spells[-1][1] if spells else earliest) + timedelta(seconds=task.unattended)
        options.append((begin, end, who, spells))
    begin, end, who, spells = min(options, key=lambda o: (o[1], o[2]))
    return Slot(task=task.name, spells=spells, start=begin, end=end), who


def _spells(
    need: float, earliest: datetime, busy: Sequence[tuple[datetime, datetime]], shift: Shift
) -> tuple[tuple[datetime, datetime], ...]:
    """Return stretches of work: one whole stretch when it fits in a day, else day after day."""
    if need <= 0:
        return ()
    split = need > shift.length
    left, spells = need, []
    for ahead in range(LONGEST):
        day = earliest.date() + timedelta(days=ahead)
        if not shift.works(day):
            continue
        opens = max(earliest, datetime.combine(day, shift.begins))
        closes = datetime.combine(day, shift.ends)
        for a, b in _gaps(opens, closes, busy):
            room = (b - a).total_seconds()
            if not split and room >= left - 1e-6:
                return ((a, a + timedelta(seconds=left)),)
            if split and room > 0:
                use = min(room, left)
                spells.append((a, a + timedelta(seconds=use)))
                left -= use
                if left <= 1e-6:
                    return tuple(spells)
    raise NotSolved(f"no day within {LONGEST} has {need / 3600:.1f} h of work left free")


def _gaps(
    opens: datetime, closes: datetime, busy: Sequence[tuple[datetime, datetime]]
) -> list[tuple[datetime, datetime]]:
    gaps, at = [], opens
    for a, b in sorted(busy):
        if b <= at or a >= closes:
            continue
        if a > at:
            gaps.append((at, a))
        at = max(at, b)
    if at < closes:
        gaps.append((at, closes))
    return gaps


def _take(task: Task, slot: Slot, who: int, state: _State) -> None:
    state.people[who].extend(slot.spells)
    state.done[task.name] = slot
    for resource in task.needs:
        state.free[resource] = max(slot.end, state.free.get(resource, slot.end))
    for resource in task.claims:
        state.held[resource] = task.name
    for resource in task.frees:
        state.held.pop(resource, None)
        state.free[resource] = slot.end


def _holds(calendar: Calendar, tasks: Sequence[Task]) -> tuple[Finding, ...]:
    by_name = {s.task: s for s in calendar.slots}
    found = []
    for task in tasks:
        if task.hold is None or not task.after:
            continue
        ended = max(by_name[a].end for a in task.after)
        waits = (by_name[task.name].start - ended).total_seconds()
        if waits > task.hold:
            found.append(
                Finding(
                    severity=Severity.DECIDE,
                    stage="time",
                    place=task.name,
                    what=f"it starts {waits / 3600:.1f} h after what goes before; {task.hold / 3600:.1f} h is the most",
                    why="after that the surface has gone stale and must be made ready again",
                    do="start the step before it in the morning, or repeat the preparation",
                    basis=Basis.COMMON,
                )
            )
    return tuple(found)


def verify(calendar: Calendar, tasks: Sequence[Task], shift: Shift) -> None:
    """Check a calendar against everything it must keep, independently of how it was found.

    Raises
    ------
    NotSolved
        Naming what is broken.
    """
    by_name = {s.task: s for s in calendar.slots}
    if sorted(by_name) != sorted(t.name for t in tasks) or len(by_name) != len(calendar.slots):
        raise NotSolved("the calendar does not hold every task once")
    moments: list[tuple[datetime, int]] = []
    spans: dict[str, list[tuple[datetime, datetime, str]]] = {}
    claims: dict[str, list[tuple[datetime, str]]] = {}
    for task in tasks:
        slot = by_name[task.name]
        worked = sum((b - a).total_seconds() for a, b in slot.spells)
        if abs(worked - task.attended) > 1e-3:
            raise NotSolved(f"{task.name}: {worked:.0f} s of work are planned, {task.attended:.0f} s are needed")
        last = slot.spells[-1][1] if slot.spells else slot.start
        if abs((slot.end - last).total_seconds() - task.unattended) > 1e-3:
            raise NotSolved(f"{task.name}: it does not run by itself as long as it must")
        for a, b in slot.spells:
            if not (
                shift.works(a.date()) and a.date() == b.date() and shift.begins <= a.time() and b.time() <= shift.ends
            ):
                raise NotSolved(f"{task.name}: work is planned outside working hours")
            moments += [(a, 1), (b, -1)]
        for before in task.after:
            if by_name[before].end > slot.start:
                raise NotSolved(f"{task.name}: it starts before {before} has ended")
        for resource in task.needs:
            spans.setdefault(resource, []).append((slot.start, slot.end, task.name))
        for resource in task.claims:
            claims.setdefault(resource, []).append((slot.start, task.name))
    at_once = 0
    for _, change in sorted(moments, key=lambda m: (m[0], m[1])):
        at_once += change
        if at_once > shift.people:
            raise NotSolved(f"more than {shift.people} people are needed at once")
    for resource, taken in spans.items():
        taken.sort()
        for (_, b, first), (c, _, second) in pairwise(taken):
            if c < b:
                raise NotSolved(f"{first} and {second} both keep the {resource} busy")
    for resource, starts in claims.items():
        frees = sorted(by_name[t.name].end for t in tasks if resource in t.frees)
        for k, (begin, name) in enumerate(sorted(starts)):
            if k and (k > len(frees) or frees[k - 1] > begin):
                raise NotSolved(f"{name} takes the {resource} before it is given back")
