"""One simple feasible calendar: who is needed when, what stands in the oven overnight.

Tasks are placed one after the other, the one that can start earliest first. A person is needed for the attended part,
inside working hours and in one go; what follows by itself may run through the night. Whatever a task keeps busy – the
mould, the oven – it keeps until the end of the unattended part. Where a task would then start later than its hold
allows, what goes before it is put off, so that nothing goes stale overnight. The calendar is checked afterwards by
`verify`, which shares no code with the search.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from bagside.errors import InputError, NotSolved, Problem, did_you_mean
from bagside.findings import Basis, Finding, Severity
from bagside.planning.calendar_check import verify
from bagside.planning.timetable import WEEK, Calendar, Shift, Slot, Task

__all__ = ["Calendar", "Shift", "Slot", "Task", "feasible_calendar", "verify"]

LONGEST = 400  # days looked ahead
PUSHES = 8  # times a chain is put off for one hold before the hold is given up


@dataclass
class _State:
    shift: Shift
    people: list[list[tuple[datetime, datetime]]]
    free: dict[str, datetime] = field(default_factory=dict)
    held: set[str] = field(default_factory=set)
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

    Returns
    -------
    Calendar
        With a finding for each hold that could not be kept.

    Raises
    ------
    InputError
        When there is no task, names repeat, a task follows one that is not there, tasks wait for each other in a ring,
        or a resource is both claimed and needed.
    NotSolved
        When no day within about a year has room, or all tasks left wait for what another keeps; says for what.

    Notes
    -----
    Feasible, not shortest: tasks are placed greedily, the earliest possible first. A hold that is not kept is not proof
    that none could be.
    """
    _check(tasks, shift)
    slots = _with_holds(tasks, start, shift)
    calendar = Calendar(slots=tuple(sorted(slots.values(), key=lambda s: (s.start, s.end))))
    verify(calendar, tasks, shift, start=start)
    return Calendar(slots=calendar.slots, findings=_hold_findings(slots, tasks))


def _with_holds(tasks: Sequence[Task], start: datetime, shift: Shift) -> dict[str, Slot]:
    """Return slots in which as many holds are kept as putting off what goes before can keep."""
    put_off: Mapping[str, datetime] = {}
    best = _serial(tasks, start, shift, put_off)
    given_up: set[str] = set()
    while late := [n for n in _late(best, tasks) if n not in given_up]:
        mended = _mended(late[0], best, put_off, tasks, start, shift)
        if mended is None:
            given_up.add(late[0])
        else:
            best, put_off = mended
    return best


def _mended(
    name: str,
    best: Mapping[str, Slot],
    put_off: Mapping[str, datetime],
    tasks: Sequence[Task],
    start: datetime,
    shift: Shift,
) -> tuple[dict[str, Slot], Mapping[str, datetime]] | None:
    """Return slots and delays with fewer broken holds, one of them this task's; none when no delay brings it."""
    by_name = {t.name: t for t in tasks}
    broken = set(_late(best, tasks))
    slots, trial = dict(best), dict(put_off)
    for _ in range(PUSHES):
        late = _late(slots, tasks)
        fresh = [n for n in late if n not in broken or n == name]
        if not fresh:
            return (slots, trial) if len(late) < len(broken) else None
        before = max(by_name[fresh[0]].after, key=lambda a: slots[a].end)
        trial[before] = slots[before].start + timedelta(seconds=late[fresh[0]])
        try:
            slots = _serial(tasks, start, shift, trial)
        except NotSolved:
            return None
    return None


def _late(slots: Mapping[str, Slot], tasks: Sequence[Task]) -> dict[str, float]:
    """Return by how much holds are not kept [s], earliest task first."""
    found = {}
    for task in sorted(tasks, key=lambda t: slots[t.name].start):
        if task.hold is not None and task.after:
            over = _waits(task, slots) - task.hold
            if over > 1e-3:
                found[task.name] = over
    return found


def _waits(task: Task, slots: Mapping[str, Slot]) -> float:
    return (slots[task.name].start - max(slots[a].end for a in task.after)).total_seconds()


def _serial(tasks: Sequence[Task], start: datetime, shift: Shift, put_off: Mapping[str, datetime]) -> dict[str, Slot]:
    state = _State(shift, [[] for _ in range(shift.people)])
    waiting = list(tasks)
    while waiting:
        ready = [t for t in waiting if all(a in state.done for a in t.after) and _claimable(t, state)]
        if not ready:
            left = ", ".join(t.name for t in waiting[:3])
            raise NotSolved(f"the calendar is stuck: every task left waits for something another one keeps ({left})")
        placed = min(
            ((_placed(t, state, max(start, put_off.get(t.name, start))), k, t) for k, t in enumerate(ready)),
            key=lambda p: (p[0][0].start, p[1]),
        )
        (slot, who), _, task = placed
        _take(task, slot, who, state)
        waiting.remove(task)
    return state.done


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
        Problem(place=f"task {t.name}", came="", wanted="times must be finite and not negative")
        for t in tasks
        if not all(0.0 <= x < math.inf for x in (t.attended, t.unattended, t.hold or 0.0))
    ]
    claimed = {r for t in tasks for r in t.claims}
    problems += [
        Problem(
            place=f"task {t.name}",
            came=", ".join(sorted(t.needs & claimed)),
            wanted="a resource that a chain claims cannot be needed for one task as well",
        )
        for t in tasks
        if t.needs & claimed
    ]
    problems += [
        Problem(place=f"task {t.name}, frees", came=", ".join(sorted(t.frees - claimed)), wanted="no task claims it")
        for t in tasks
        if t.frees - claimed
    ]
    if not tasks:
        problems.append(Problem(place="tasks", came="", wanted="at least one task is wanted"))
    if shift.people < 1 or shift.length <= 0 or not set(shift.days) & set(WEEK):
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
        state.held.add(resource)
    for resource in task.frees:
        state.held.discard(resource)
        state.free[resource] = slot.end


def _hold_findings(slots: Mapping[str, Slot], tasks: Sequence[Task]) -> tuple[Finding, ...]:
    by_name = {t.name: t for t in tasks}
    return tuple(
        Finding(
            severity=Severity.DECIDE,
            stage="time",
            place=name,
            what=f"it starts {_waits(by_name[name], slots) / 3600:.1f} h after what goes before; "
            f"{(by_name[name].hold or 0.0) / 3600:.1f} h is the most",
            why="after that the surface has gone stale and must be made ready again, and starting earlier steps later "
            "did not bring the two together",
            do="repeat the preparation just before it, or make room for both in one day",
            basis=Basis.COMMON,
        )
        for name in _late(slots, tasks)
    )
