"""Whether a calendar keeps everything it must, judged without any of the code that made it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from itertools import pairwise

from bagside.errors import NotSolved
from bagside.planning.timetable import Calendar, Shift, Task


def verify(calendar: Calendar, tasks: Sequence[Task], shift: Shift, *, start: datetime | None = None) -> None:
    """Check a calendar against everything it must keep, independently of how it was found.

    Holds are not checked: one that is not kept is a finding, not a fault.

    Parameters
    ----------
    calendar
        As found.
    tasks
        It was found for.
    shift
        Working hours.
    start
        Nothing may begin before this, when stated.

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
        if slot.spells and (slot.spells[0][0] != slot.start or any(b > c for (_, b), (c, _) in pairwise(slot.spells))):
            raise NotSolved(f"{task.name}: its stretches of work are not in order")
        if len(slot.spells) > 1 and task.attended <= shift.length:
            raise NotSolved(f"{task.name}: it fits in a day and is split")
        if start is not None and slot.start < start:
            raise NotSolved(f"{task.name}: it begins before the calendar does")
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
