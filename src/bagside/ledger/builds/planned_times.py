"""How long cloth is out of the freezer before heat goes on, by the calendar of the plan: thaw, cut, lay, hold.

A kit that waits for its turn on the mould goes back into the freezer when that wait is longer than a day: then the wait
does not count. A shorter one does, nights included.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from bagside.planning.plan import BuildPlan

AWAITS = timedelta(hours=24)
"""Longest wait between cutting and laying in which a kit stays in the room: common practice, no source."""


def times_to_heat(plan: BuildPlan, number: int) -> dict[str, float]:
    """Return how long cloth is still out of the freezer from the start of each step until heat is on [s].

    Parameters
    ----------
    plan
        The build.
    number
        Which part, from 1.

    Returns
    -------
    dict
        By key of the step; only steps before the heat.
    """
    starts = {s.task: s for s in plan.calendar.slots}
    keys = [s.key for s in plan.steps]
    if "cure" not in keys:
        return {}
    until = keys.index("cure")
    slots = {}
    for step in plan.steps[: until + 1]:
        slot = starts.get(f"{step.name}, part {number}" if step.each else step.name)
        if slot is not None:
            slots[step.key] = slot
    if "cure" not in slots:
        return {}
    heat = slots["cure"].start
    each = {s.key for s in plan.steps if s.each}
    on_mould = [slots[k].start for k in slots if k in each and k != "release"]  # released before the cloth comes out
    table = [slots[k] for k in slots if k not in each and k != "templates"]
    out: dict[str, float] = {}
    first = min(on_mould, default=heat)
    cut = max((s.end for s in table), default=first)
    wait = _counted(first - cut)
    for key, slot in slots.items():
        out[key] = _left(slot.start, heat) if key in each else _left(slot.start, cut) + wait + _left(first, heat)
    return out


def _left(since: datetime, until: datetime) -> float:
    return max((until - since).total_seconds(), 0.0)


def _counted(wait: timedelta) -> float:
    """Return how much of a wait counts [s]."""
    return 0.0 if wait > AWAITS else max(wait.total_seconds(), 0.0)
