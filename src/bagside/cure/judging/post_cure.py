"""A post-cure without the mould, as fast as the part's own growing glass transition allows."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from bagside.cure.judging.finish import BELOW, LONGEST, STEP, Finish, Where, in_words
from bagside.cure.judging.places import PlaceState
from bagside.cure.noticed import Limits
from bagside.cure.outcome import crossed
from bagside.cure.oven import Oven
from bagside.cure.programme import Programme, Segment
from bagside.cure.resin import CureResin
from bagside.cure.section import Section
from bagside.cure.solve import simulate

FREE_FROM = 0.65
"""Degree of cure from which a part may stand without its mould: common practice, 0.65 to 0.75."""

STIFF = 20.0
"""By how much Tg must exceed the temperature at which a free-standing post-cure begins [K]: common practice."""

SLOW, FAST = 5.0 / 3600.0, 40.0 / 3600.0
"""Slowest and fastest rise that is tried where the rise has to wait for Tg [K/s]."""


def post_cured(
    places: Sequence[PlaceState],
    free: Sequence[Section],
    resin: CureResin,
    wanted: float,
    limits: Limits,
    oven: Oven,
    *,
    room: float,
    margin: float = 5.0,
) -> Finish | None:
    """Return the fastest free-standing post-cure tried that keeps Tg above the temperature; nothing when there is none.

    Parameters
    ----------
    places
        Every section at the end of the log.
    free
        The same laminates without the mould.
    resin
        The resin.
    wanted
        Degree of cure at the least cured point.
    limits
        What the resin bears; the mould is not in the oven.
    oven
        What it can do.
    room
        Temperature it begins at [K].
    margin
        By which Tg must exceed the temperature everywhere, always, if the part is as far behind as the log allows [K].

    Notes
    -----
    Two rises: quickly to below the Tg that is there, then so slowly that Tg grows ahead. A constant rise was too slow
    or too fast wherever it was tried.
    """
    least = min(places, key=lambda p: p.cure.low)
    if least.cure.low < max(FREE_FROM, resin.gel) or float(resin.tg(least.cure.low)) < room + STIFF:
        return None
    starts = [replace(f, alpha0=p.slower.alpha0, start=room) for f, p in zip(free, places, strict=True)]
    ceiling = min(oven.hottest, (limits.resin or math.inf) - BELOW)
    goal = float(resin.tg(wanted))
    tops = sorted({min(goal + more, ceiling) for more in (-20.0, -10.0, 0.0, 10.0)})
    fast = min(1.0 / 60.0, oven.heating)
    knee = float(resin.tg(least.cure.low)) - margin
    best: Finish | None = None
    rates = np.geomspace(SLOW, min(FAST, fast), 6)
    for rises in (rates, None):
        if rises is None:
            if best is None:
                return None
            ridden = best.programme.segments[-1].ramp
            rises = ridden * np.array([1.1, 1.2, 1.3, 1.4])
            tops = [best.programme.segments[-1].target]
        cases = [
            _two_rises(room, first, top, fast, float(rise))
            for first in (knee - 3.0, knee - 10.0)
            for top in tops
            for rise in rises
            if first > room and top > room
        ]
        for found in _tried(cases, starts, resin, wanted, margin, oven):
            if best is None or found.duration < best.duration:
                best = found
    return best


def _two_rises(room: float, knee: float, top: float, fast: float, slow: float) -> Programme:
    segments = [Segment(target=top, ramp=fast, hold=LONGEST)]
    if knee < top:
        segments = [Segment(target=knee, ramp=fast), Segment(target=top, ramp=slow, hold=LONGEST)]
    return Programme(start=room, segments=tuple(segments))


def _tried(
    cases: list[Programme], starts: list[Section], resin: CureResin, wanted: float, margin: float, oven: Oven
) -> list[Finish]:
    """Return the cases that keep the margin and reach the degree of cure, each with as long a hold as it needs."""
    if not cases:
        return []
    lanes = starts * len(cases)
    airs = [air for case in cases for air in [oven.air(case)] * len(starts)]
    runs = simulate(lanes, resin, airs, output_interval=300.0, tolerance=0.2)
    out = []
    for k, case in enumerate(cases):
        mine = runs[k * len(starts) : (k + 1) * len(starts)]
        times = [crossed(h.time, h.alpha.min(axis=1), wanted) for h in mine]
        if any(t is None for t in times):
            continue
        up = float(case.breaks[-2])
        hold = STEP * math.ceil(max(max(t for t in times if t is not None) - up, STEP) / STEP)
        end = up + hold
        room = min(float((resin.tg(h.alpha) - h.laminate_temperature)[h.time <= end].min()) for h in mine)
        if room < margin:
            continue
        final = replace(case, segments=(*case.segments[:-1], replace(case.segments[-1], hold=hold)))
        cure = min(float(np.interp(end, h.time, h.alpha.min(axis=1))) for h in mine)
        out.append(
            Finish(
                where=Where.FREE,
                programme=final,
                words=in_words(final),
                hold=hold,
                duration=final.duration,
                cure=cure,
                tg=float(resin.tg(cure)),
                margin=room,
                hottest=max(float(h.laminate_temperature[h.time <= end].max()) for h in mine),
            )
        )
    return out
