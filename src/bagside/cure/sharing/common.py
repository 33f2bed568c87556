"""The one cycle that serves several parts, or why there is none."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from bagside.cure.programme import Programme
from bagside.cure.scenario import Scenario, corners
from bagside.cure.sharing.candidates import candidates
from bagside.cure.sharing.load import Load, Space
from bagside.cure.sharing.rules import Clash, clashes
from bagside.cure.sharing.trial import Trial, timed, verified

Designer = Callable[[Sequence[Load]], Programme | None]
"""Looks for a cycle for parts of one resin; nothing when there is none."""

BEST = 4
"""Programmes that are looked at again with everything that may turn out otherwise."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Common:
    """Whether some parts can share a run.

    Parameters
    ----------
    parts
        Their names.
    trial
        The shortest programme that holds for all; when there is none, the one that comes closest; none at all when the
        parts clash.
    clashes
        What keeps them apart whatever the cycle.
    tried
        Programmes that were tried.
    designed
        Whether the programme was designed for them, and not one of theirs or a blend.
    """

    parts: tuple[str, ...]
    trial: Trial | None
    clashes: tuple[Clash, ...]
    tried: int
    designed: bool = False

    @property
    def holds(self) -> bool:
        """Whether they can share a run."""
        return self.trial is not None and self.trial.holds and not self.clashes

    @property
    def duration(self) -> float:
        """How long the run takes; infinite when they cannot share it [s]."""
        return self.trial.duration if self.holds and self.trial is not None else float("inf")


def places(spread: float) -> tuple[Scenario, ...]:
    """Return the coldest and the hottest place of an oven as scenarios; one when they are the same.

    Parameters
    ----------
    spread
        Hottest against coldest [K].
    """
    if spread == 0.0:
        return (Scenario(name=""),)
    return tuple(Scenario(name=f"{w} place", air=a) for w, a in (("coldest", -0.5 * spread), ("hottest", 0.5 * spread)))


def common_cycle(
    loads: Sequence[Load],
    space: Space,
    *,
    scenarios: Sequence[Scenario] | None = None,
    designer: Designer | None = None,
    always: bool = False,
) -> Common:
    """Return the shortest cycle found that serves all parts.

    Parameters
    ----------
    loads
        One or more.
    space
        Their oven.
    scenarios
        What the cycle must hold in; heat of reaction, films and place as in `corners` when None.
    designer
        Looks for a cycle of its own when all parts are of one resin and none that was tried holds.
    always
        Whether it also looks when one holds.

    Returns
    -------
    Common
        With the programme and every limit of every part, or with what stands against it.

    Notes
    -----
    Tried are the parts' own programmes and blends of them, each with its last dwell as long as the slowest part needs,
    first at the coldest and hottest place; the shortest again with every scenario. Another cycle may exist where none
    was found: then the reason names what broke on the closest.
    """
    names = tuple(x.name for x in loads)
    against = clashes(loads, space)
    if against:
        return Common(parts=names, trial=None, clashes=against, tried=0)
    ways = tuple(corners(space.spread)) if scenarios is None else tuple(scenarios)
    tried = candidates(loads, space)
    first = timed(loads, tried, space, places(space.spread)) if tried else []
    ranked = sorted(first, key=_rank)[:BEST]
    best = _best(loads, [t.programme for t in ranked], space, ways)
    one_resin = all(x.resin == loads[0].resin for x in loads)
    designed = False
    if designer is not None and one_resin and (always or best is None or not best.holds):
        own = designer(loads)
        found = None if own is None else _best(loads, [own], space, ways)
        if found is not None and (best is None or _rank(found) < _rank(best)):
            best, designed = found, True
    if best is None:
        return Common(parts=names, trial=None, clashes=(_too_weak(names),), tried=0)
    return Common(parts=names, trial=best, clashes=(), tried=len(tried), designed=designed)


def _rank(trial: Trial) -> tuple[float, float]:
    return trial.badness, trial.duration


def _best(
    loads: Sequence[Load], programmes: Sequence[Programme], space: Space, ways: Sequence[Scenario]
) -> Trial | None:
    """Return the programme that holds in every scenario and is shortest, or comes closest; nothing of none."""
    long_enough = timed(loads, programmes, space, ways) if programmes else []
    return min((verified(loads, t.programme, space, ways) for t in long_enough), key=_rank, default=None)


def _too_weak(names: tuple[str, ...]) -> Clash:
    return Clash(
        what="the heater cannot hold any of their cycles",
        why="what walls and load take is more than it gives",
        do="cure cooler, or use another oven",
        parts=names,
    )
