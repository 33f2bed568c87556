"""Which parts go into which run, so that the oven is busy for the shortest time."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from bagside.cure.scenario import Scenario
from bagside.cure.sharing.common import Common, Designer, common_cycle
from bagside.cure.sharing.load import Load, Space
from bagside.errors import InputError, Problem

MOST = 8
"""Most parts that are grouped: every way of dividing them is weighed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Grouping:
    """Oven runs for several parts.

    Parameters
    ----------
    runs
        Parts and cycle of each run.
    duration
        Of all runs and of unloading and loading between them [s]; infinite when a part cannot be cured at all.
    alone
        The same with each part alone [s].
    apart
        Sets of parts that cannot share, with the reason; none that holds a smaller such set.
    together
        All parts in one run; none when fewer of them cannot share already.
    """

    runs: tuple[Common, ...]
    duration: float
    alone: float
    apart: tuple[Common, ...]
    together: Common | None

    @property
    def holds(self) -> bool:
        """Whether every part can be cured in its run."""
        return all(run.holds for run in self.runs)


def grouped(
    loads: Sequence[Load],
    space: Space,
    *,
    scenarios: Sequence[Scenario] | None = None,
    designer: Designer | None = None,
    always: bool = False,
    progress: Callable[[tuple[str, ...]], None] | None = None,
) -> Grouping:
    """Return the division of parts into oven runs that takes the shortest time in all.

    Parameters
    ----------
    loads
        Up to eight parts, each of another name.
    space
        Their oven.
    scenarios, designer, always
        As for `common_cycle`.
    progress
        Told which parts are looked at next.

    Returns
    -------
    Grouping
        The best of all divisions. A set of parts that cannot share is not looked at again within a larger one.

    Raises
    ------
    InputError
        When there is no part or there are too many, two have one name, or the programmes do not start equally warm.
    """
    _refuse(loads)
    whole = (1 << len(loads)) - 1
    seen: dict[int, Common] = {}

    def look(mask: int) -> Common:
        if mask not in seen:
            some = [x for i, x in enumerate(loads) if mask >> i & 1]
            if progress is not None:
                progress(tuple(x.name for x in some))
            seen[mask] = common_cycle(some, space, scenarios=scenarios, designer=designer, always=always)
        return seen[mask]

    cannot: list[int] = []
    cost: dict[int, float] = {}
    for mask in sorted(range(1, whole + 1), key=lambda m: (m.bit_count(), m)):
        if mask.bit_count() > 1 and any(mask & bad == bad for bad in cannot):
            continue
        found = look(mask)
        if found.holds:
            cost[mask] = found.duration + space.turnaround
        elif mask.bit_count() == 1:
            cost[mask] = LOST + space.turnaround
        else:
            cannot.append(mask)
    best = _divided(whole, cost)
    runs = tuple(seen[m] for m in best)
    alone = [seen[1 << i] for i in range(len(loads))]
    return Grouping(
        runs=runs,
        duration=sum(r.duration for r in runs) + (len(runs) - 1) * space.turnaround,
        alone=sum(r.duration for r in alone) + (len(alone) - 1) * space.turnaround,
        apart=tuple(seen[m] for m in cannot),
        together=seen.get(whole),
    )


LOST = 1e9
"""Cost of a part that cannot be cured even alone: it gets a run of its own and does not keep the others apart [s]."""


def _divided(whole: int, cost: dict[int, float]) -> list[int]:
    """Return the masks that cover the whole once at the least cost."""
    best: dict[int, tuple[float, list[int]]] = {0: (0.0, [])}
    for mask in range(1, whole + 1):
        lowest = mask & -mask
        part, found = mask, (float("inf"), list[int]())
        while part:
            if part & lowest and part in cost:
                rest = best[mask ^ part]
                total = cost[part] + rest[0]
                if total < found[0]:
                    found = (total, [part, *rest[1]])
            part = (part - 1) & mask
        best[mask] = found
    return best[whole][1]


def _refuse(loads: Sequence[Load]) -> None:
    if not 1 <= len(loads) <= MOST:
        raise InputError.one("parts", str(len(loads)), f"from one to {MOST} parts are wanted")
    names = [x.name for x in loads]
    wrong = [
        Problem(place=f"part {n}", came="", wanted="two parts have this name; each wants its own")
        for n in dict.fromkeys(names)
        if names.count(n) > 1
    ]
    wrong += [
        Problem(
            place=f"part {x.name}, start",
            came=f"{x.programme.start - 273.15:.0f} °C",
            wanted=f"all start in one oven, as warm as {loads[0].name}: {loads[0].programme.start - 273.15:.0f} °C",
        )
        for x in loads
        if abs(x.programme.start - loads[0].programme.start) > 0.5
    ]
    if wrong:
        raise InputError(wrong)
