"""A programme tried on parts that share it: how long its last dwell must be, and what it breaks."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside.cure.chance.limits import Reached, asked, margin, reached
from bagside.cure.history import SectionHistory
from bagside.cure.hold import cure_for_tg
from bagside.cure.outcome import crossed
from bagside.cure.programme import Programme, Segment
from bagside.cure.scenario import Scenario
from bagside.cure.sharing.load import Load, Space
from bagside.cure.solve import simulate

Floats = NDArray[np.float64]

LONGEST = 24 * 3600.0
"""Longest last dwell that is looked at [s]."""

COOLING = 12 * 3600.0
"""Longest the cooling is followed [s]."""

MINUTE = 60.0
"""To which a dwell is rounded up [s]."""

LANES = 400
"""Sections that are simulated at a time."""

ARRIVED = 3.0
"""How far below the dwell the coolest point may be for the dwell to count [K]: 3 to 5, common practice."""

WEIGHTS = {"target": 0.05, "spread": 0.05, "flow": 600.0}
"""What counts as much as `KELVINS` when broken limits are compared."""

KELVINS = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """How one limit of one part stands on a programme.

    Parameters
    ----------
    part, limit
        Whose, and which.
    place
        Where it is worst, and in which scenario.
    margin
        By how much it holds, below zero when it does not [SI].
    value
        What is reached there [SI].
    """

    part: str
    limit: str
    place: str
    margin: float
    value: float

    @property
    def weight(self) -> float:
        """By how much it is broken, so that different limits compare; zero when it holds."""
        return max(0.0, -self.margin) / WEIGHTS.get(self.limit, KELVINS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """A programme on all parts of a run.

    Parameters
    ----------
    programme
        With its last dwell as long as the slowest part needs; without cooling.
    verdicts
        Each limit of each part, at its worst place.
    duration
        From heat on until every part may be taken out [s].
    arrivals
        When the coolest point of each part is within 3 K of the last dwell, in the order of the parts [s]; infinite
        when it never is.
    """

    programme: Programme
    verdicts: tuple[Verdict, ...]
    duration: float
    arrivals: tuple[float, ...]

    @property
    def holds(self) -> bool:
        """Whether every limit of every part holds."""
        return all(v.margin >= 0.0 for v in self.verdicts)

    @property
    def broken(self) -> tuple[Verdict, ...]:
        """Limits that do not hold, worst first."""
        return tuple(sorted((v for v in self.verdicts if v.margin < 0.0), key=lambda v: -v.weight))

    @property
    def badness(self) -> float:
        """Sum of what is broken."""
        return sum(v.weight for v in self.verdicts)


def timed(
    loads: Sequence[Load], programmes: Sequence[Programme], space: Space, scenarios: Sequence[Scenario]
) -> list[Trial]:
    """Return programmes with their last dwell as long as the slowest part needs, and what they break.

    Parameters
    ----------
    loads
        Parts that share the oven.
    programmes
        To try; the length of their last dwell does not matter.
    space
        Their oven.
    scenarios
        What may turn out otherwise; the dwell is long enough in all of them.

    Returns
    -------
    list of Trial
        In the order of the programmes; cooling is not in their duration yet.
    """
    opened = [_with_last(p, LONGEST) for p in programmes]
    runs = [_run(load, opened, space, scenarios) for load in loads]
    out = []
    for k, programme in enumerate(opened):
        begins = programme.duration - LONGEST
        verdicts: list[Verdict] = []
        ends, arrivals = begins, []
        for load, histories in zip(loads, runs, strict=True):
            verdicts += _verdicts(load, histories[k], scenarios)
            ends = max(ends, *(_done(load, h) for h in histories[k]))
            arrivals.append(_arrival(histories[k], programme.segments[-1].target))
        hold = LONGEST if math.isinf(ends) else MINUTE * math.ceil((ends - begins) / MINUTE)
        out.append(
            Trial(
                programme=_with_last(programme, hold),
                verdicts=tuple(verdicts),
                duration=begins + hold,
                arrivals=tuple(arrivals),
            )
        )
    return out


def verified(loads: Sequence[Load], programme: Programme, space: Space, scenarios: Sequence[Scenario]) -> Trial:
    """Return a programme as it is, with the cooling after it until every part may be taken out.

    Parameters
    ----------
    loads, space, scenarios
        As for `timed`.
    programme
        To run.

    Returns
    -------
    Trial
        With the time from heat on until the last part may be taken out; infinite when one never cools enough.
    """
    coolest = max(min(x.demould for x in loads) - 10.0, space.room)
    cooling = Segment(target=coolest, ramp=space.oven.cooling, hold=COOLING)
    asked_for = replace(programme, segments=(*programme.segments, cooling))
    verdicts: list[Verdict] = []
    until, arrivals = programme.duration, []
    for load in loads:
        (histories,) = _run(load, [asked_for], space, scenarios)
        verdicts += _verdicts(load, histories, scenarios)
        until = max(until, *(_cooled(h, load.demould, programme.duration) for h in histories))
        arrivals.append(_arrival(histories, programme.segments[-1].target))
    return Trial(programme=programme, verdicts=tuple(verdicts), duration=until, arrivals=tuple(arrivals))


def _with_last(programme: Programme, hold: float) -> Programme:
    *before, last = programme.segments
    return replace(programme, segments=(*before, replace(last, hold=hold)))


def _run(
    load: Load, programmes: Sequence[Programme], space: Space, scenarios: Sequence[Scenario]
) -> list[tuple[SectionHistory, ...]]:
    """Return the histories of each programme: all sections in the first scenario, then in the next."""
    sections = [s for way in scenarios for s in way.of(load.sections)]
    at_once = max(1, LANES // len(sections))
    out: list[tuple[SectionHistory, ...]] = []
    for first in range(0, len(programmes), at_once):
        some = programmes[first : first + at_once]
        airs = [a for a in (space.oven.air(p) for p in some) for _ in sections]
        histories = simulate(sections * len(some), load.resin, airs, output_interval=120.0)
        out += [histories[k : k + len(sections)] for k in range(0, len(histories), len(sections))]
    return out


def _verdicts(load: Load, histories: Sequence[SectionHistory], scenarios: Sequence[Scenario]) -> list[Verdict]:
    flow = load.bounds.flow
    own = any(way.void_free is not None for way in scenarios)
    names = asked(load.bounds, own)
    ways = [way for way in scenarios for _ in load.sections]
    each: list[tuple[Reached, str, Floats | None]] = []
    for h, way in zip(histories, ways, strict=True):
        void_free = way.void_free if way.void_free is not None else load.bounds.void_free
        got = reached([h], load.resin, None if flow is None else flow.viscosity)
        each.append((got, h.name, None if void_free is None else np.array([void_free])))
    out = []
    for name in names:
        margins = [float(margin(name, load.bounds, got, own_void)[0]) for got, _, own_void in each]
        k = int(np.argmin(margins))
        value = getattr(each[k][0], {"target": "alpha", "void_free": "wet"}.get(name, name))
        out.append(Verdict(part=load.name, limit=name, place=each[k][1], margin=margins[k], value=float(value[0])))
    return out


def wanted_cure(load: Load) -> float:
    """Return the degree of cure at which target and glass transition of a part are reached.

    Parameters
    ----------
    load
        The part.
    """
    by_tg = 0.0 if load.bounds.tg is None else cure_for_tg(load.resin, load.bounds.tg)
    return max(load.bounds.target or 0.0, by_tg)


def _done(load: Load, history: SectionHistory) -> float:
    when = crossed(history.time, history.alpha.min(axis=1), wanted_cure(load))
    return math.inf if when is None else when


def _arrival(histories: Sequence[SectionHistory], dwell: float) -> float:
    arrived = [crossed(h.time, h.laminate_temperature.min(axis=1), dwell - ARRIVED) for h in histories]
    return max(math.inf if t is None else t for t in arrived)


def _cooled(history: SectionHistory, demould: float, after: float) -> float:
    warmest = history.temperature[:, history.reacting[0] :].max(axis=1)
    done = np.flatnonzero((history.time >= after - 1e-9) & (warmest <= demould))
    return float(history.time[done[0]]) if len(done) else math.inf
