"""How long there is to pull vacuum again: until resin no longer flows long enough to press bubbles out."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from bagside.cure.air import Air
from bagside.cure.history import continued
from bagside.cure.judging.heated import Ask, rest_of
from bagside.cure.judging.onward import AHEAD, PROBABLE, Onward, Went
from bagside.cure.judging.softness import flowing
from bagside.cure.programme import Programme, Segment
from bagside.cure.solve import simulate

WATCHED = 24 * 3600.0
"""Longest that a cooling part is followed [s]."""

TRIED = np.array([0.0, 900.0, 1800.0, 3600.0, 7200.0, 14400.0, 28800.0, 57600.0, 86400.0])
"""Delays that are tried first [s]; the last one that serves is then narrowed down."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Deadlines:
    """Times from now without vacuum, each with its own heat [s].

    Parameters
    ----------
    softens
        When resin is first soft if the programme goes on; zero when it is, none when it will not be.
    gels_on
        When the first resin gels if the programme goes on; none when it does not.
    gels_here
        When it gels if the air stays as it is; none within a day.
    mend
        Latest time at which vacuum may be back with the heat left on, after which resin most probably still flows long
        enough under it; none when it is too late already.
    mend_sure
        The same if the resin is as far ahead as the log allows.
    rebag
        Latest start of pulling vacuum, heaters off now, after which resin most probably still flows long enough under
        it when the programme is taken up from its beginning; none when it is too late already.
    rebag_sure
        The same if the resin is as far ahead as the log allows.
    flow
        How long it flows if vacuum is back at once [s].
    whole_day
        Whether ``rebag`` is as long as was looked at.
    """

    softens: float | None
    gels_on: float | None
    gels_here: float | None
    mend: float | None
    mend_sure: float | None
    rebag: float | None
    rebag_sure: float | None
    flow: float
    whole_day: bool


def deadlines(ask: Ask, programme: Programme, segment: int, hold: float, off: Air) -> Deadlines:
    """Return how long there is to pull vacuum again.

    Parameters
    ----------
    ask
        Where it begins.
    programme
        As planned.
    segment, hold
        Where the programme is, and what is left of that hold [s].
    off
        Air of the oven when its heat is off, for a day.
    """
    on = ask.state.asked(rest_of(programme, segment, hold, ask.state.air), ask.oven)
    stay = Programme(start=ask.state.air, segments=(Segment(target=ask.state.air, ramp=1.0, hold=WATCHED),))
    here = ask.state.asked(stay, ask.oven)
    cooling = ask.state.under(off, interval=300.0)
    delays = TRIED[off.end >= TRIED]
    flows = _flows(ask, cooling, programme, delays)
    rebag, sure = (_latest(ask, cooling, programme, delays, flows, k) for k in (0, 1))
    return Deadlines(
        softens=on.softens(),
        gels_on=on.first_gel(),
        gels_here=here.first_gel(),
        mend=_mend(ask, on, PROBABLE),
        mend_sure=_mend(ask, on, AHEAD),
        rebag=rebag,
        rebag_sure=sure,
        flow=float(flows[0, 0]),
        whole_day=rebag is not None and rebag >= float(delays[-1]),
    )


def _latest(
    ask: Ask, cooling: Went, programme: Programme, delays: np.ndarray, flows: np.ndarray, row: int
) -> float | None:
    """Return the longest delay after which resin still flows long enough [s]."""
    good = np.flatnonzero(flows[row] >= ask.enough)
    if not len(good):
        return None
    last = int(good[-1])
    if last + 1 == len(delays):
        return float(delays[last])
    finer = np.linspace(delays[last], delays[last + 1], 9)[1:-1]
    more = np.flatnonzero(_flows(ask, cooling, programme, finer)[row] >= ask.enough)
    return float(finer[more[-1]]) if len(more) else float(delays[last])


def _mend(ask: Ask, on: Went, which: int) -> float | None:
    """Return the latest time after which all resin still flows long enough if the programme goes on [s]."""
    latest = np.inf
    for h in on.lanes(which):
        steps = np.append(np.diff(h.time), 0.0) * flowing(h, ask.state.resin, ask.flow_viscosity)
        still = np.cumsum(steps[::-1])[::-1]
        good = np.flatnonzero(still >= ask.enough)
        if not len(good):
            return None
        latest = min(latest, float(h.time[good[-1]]))
    return latest


def _flows(ask: Ask, cooling: Went, programme: Programme, delays: np.ndarray) -> np.ndarray:
    """Return how long resin flows if vacuum and programme begin after each delay, probably and if ahead [s]."""
    starts = [cooling.at(float(d)) for d in delays]
    lanes = [s for o in starts for s in o.sections]
    airs = []
    for o in starts:
        air = ask.oven.air(rest_of(programme, 1, programme.segments[0].hold, o.air))
        airs += [air] * len(o.sections)
    runs = simulate(lanes, ask.state.resin, airs, output_interval=120.0, tolerance=0.1)
    each = len(starts[0].sections)
    out = []
    for k, o in enumerate(starts):
        went = Went(start=o, runs=tuple(runs[k * each : (k + 1) * each]))
        out.append([went.flow_time(ask.flow_viscosity, which) for which in (PROBABLE, AHEAD)])
    return np.array(out).T


def after(went: Went) -> Onward:
    """Return the state at the end of what went on.

    Parameters
    ----------
    went
        How it went on.
    """
    last = [continued(s, h) for s, h in zip(went.start.sections, went.runs, strict=True)]
    h = went.runs[0]
    return replace(went.start, sections=tuple(last), air=float(h.air[-1]), since=went.start.since + float(h.time[-1]))
