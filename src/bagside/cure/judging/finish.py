"""What finishes a part that is not cured enough: a longer hold on the mould, or a post-cure that its own Tg allows."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from bagside.cure.history import SectionHistory
from bagside.cure.judging.places import PlaceState
from bagside.cure.noticed import Limits
from bagside.cure.outcome import crossed
from bagside.cure.oven import Oven
from bagside.cure.programme import Programme, Segment
from bagside.cure.resin import CureResin
from bagside.cure.solve import simulate
from bagside.quantity import shown

LONGEST = 16 * 3600.0
"""Longest hold that is proposed [s]."""

STEP = 300.0
"""Holds are proposed in steps of this [s]."""

BELOW = 2.0
"""By how much a proposed hold stays below what mould and resin bear [K]."""


class Where(StrEnum):
    """On what the part stands while it is finished."""

    MOULD = "on its mould, under vacuum"
    FREE = "without its mould, supported"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finish:
    """A programme that finishes a part.

    Parameters
    ----------
    where
        On what the part stands.
    programme
        For the oven.
    words
        The same in words.
    hold
        Time at its last target [s].
    duration
        From now to the end of that hold [s].
    cure, tg
        At the least cured point when it is over: if it is as far behind as the log allows [–], [K].
    margin
        Least by which Tg exceeds the temperature meanwhile [K]; none on the mould.
    hottest
        Hottest laminate meanwhile, if it is as far behind as the log allows [K].
    """

    where: Where
    programme: Programme
    words: str
    hold: float
    duration: float
    cure: float
    tg: float
    margin: float | None
    hottest: float


def in_words(programme: Programme) -> str:
    """Return a programme as a person would say it.

    Parameters
    ----------
    programme
        The programme.
    """
    at, out = programme.start, []
    for s in programme.segments:
        hold = f"hold {shown(s.hold, 'min', 0)}" if s.hold > 0.0 else ""
        if abs(s.target - at) > 0.5:
            rise = f"{'heat' if s.target > at else 'cool'} to {shown(s.target, '°C', 0)} at {_rate(s.ramp)}"
            out.append(f"{rise}, {hold}" if hold else rise)
        elif hold:
            out.append(f"{hold} at {shown(s.target, '°C', 0)}")
        at = s.target
    return "; ".join(out)


def _rate(ramp: float) -> str:
    return shown(ramp, "°C/min", 1 if ramp >= 0.5 / 60.0 else 2)


def held_longer(
    places: Sequence[PlaceState],
    resin: CureResin,
    wanted: float,
    limits: Limits,
    oven: Oven,
    programme: Programme,
    *,
    air: float,
    warm: bool,
) -> Finish | None:
    """Return the shortest hold on the mould that reaches a degree of cure everywhere; nothing when there is none.

    Parameters
    ----------
    places
        Every section at the end of the log.
    resin
        The resin.
    wanted
        Degree of cure at the least cured point.
    limits
        What mould and resin bear.
    oven
        What it can do.
    programme
        As planned; its last ramp and its hottest hold are tried first, then hotter ones; all its holds come first
        where resin has not gelled.
    air
        Of the oven now [K].
    warm
        Whether part and mould are as hot as at the end of the log; otherwise they start at ``air``.

    Notes
    -----
    Every section is tried as it most probably is, as far behind, and as far ahead, as the log allows: the first two
    must reach the degree of cure, the last must not overheat.
    """
    ceiling = min(oven.hottest, *(x - BELOW for x in (limits.tool, limits.resin) if x is not None))
    ramp = min(programme.segments[-1].ramp, oven.heating)
    tried = [programme.hottest + more for more in (0.0, 5.0, 10.0, 20.0) if programme.hottest + more <= ceiling]
    before: tuple[Segment, ...] = ()
    if min(p.cure.value for p in places) < resin.gel:
        # resin that has not gelled still has its heat of reaction in it: it goes through the holds as planned
        before = tuple(s for s in programme.segments[:-1] if s.target > air - 1.0 and s.target < programme.hottest)
    for target in tried or [ceiling]:
        last = Segment(target=target, ramp=ramp, hold=LONGEST)
        found = _held(places, resin, wanted, limits, oven, (*before, last), air, warm)
        if found is not None:
            return found
    return None


def _held(
    places: Sequence[PlaceState],
    resin: CureResin,
    wanted: float,
    limits: Limits,
    oven: Oven,
    segments: tuple[Segment, ...],
    air: float,
    warm: bool,
) -> Finish | None:
    lanes = [s for p in places for s in (p.slower, p.faster)]
    if not warm:
        lanes = [replace(s, start=air) for s in lanes]
    asked = Programme(start=air, segments=segments)
    runs = simulate(lanes, resin, oven.air(asked), output_interval=120.0, tolerance=0.1)
    slow, fast = runs[::2], runs[1::2]
    times = [crossed(h.time, h.alpha.min(axis=1), wanted) for h in slow]
    if any(t is None for t in times):
        return None
    need = max(t for t in times if t is not None)
    up = float(asked.breaks[-2]) if len(asked.breaks) > 2 else 0.0
    hold = STEP * math.ceil(max(need - up, 0.0) / STEP)
    if not _within([*slow, *fast], limits, up + hold):
        return None
    ends = [float(np.interp(up + hold, h.time, h.alpha.min(axis=1))) for h in slow]
    final = Programme(start=air, segments=(*segments[:-1], replace(segments[-1], hold=max(hold, STEP))))
    return Finish(
        where=Where.MOULD,
        programme=final,
        words=in_words(final),
        hold=max(hold, STEP),
        duration=final.duration,
        cure=min(ends),
        tg=float(resin.tg(min(ends))),
        margin=None,
        hottest=max(float(h.laminate_temperature[h.time <= up + hold + 1.0].max()) for h in slow),
    )


def _within(runs: Sequence[SectionHistory], limits: Limits, until: float) -> bool:
    for h in runs:
        counted = h.time <= until + 1.0
        if limits.resin is not None and float(h.laminate_temperature[counted].max()) > limits.resin:
            return False
        tool = h.tool_hottest
        if limits.tool is not None and tool is not None and float(tool[counted].max()) > limits.tool:
            return False
    return True
