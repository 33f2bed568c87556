"""How warm a place was, from its logs, and how much life lying there cost: one running sum for each sheet.

A sum is worked out once for a place and a sheet and asked at as many moments as there are things that lay there. It
only grows, and from one moment to another it is the same whichever things ask: what is cut from a roll can never have
less on its clock than the roll had.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections import OrderedDict
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from bagside.cure.life import LifeSheet
from bagside.ledger.clocks.life_now import Filled, Gap
from bagside.ledger.things import LogPart, Place

Floats = NDArray[np.float64]

BRIDGED = 12 * 3600.0
"""A logger's gap up to this is counted at the warmer of the readings at its ends; over a longer one a freezer can have
thawed and frozen again, and the room's temperature counts [s]: a full freezer keeps cold for a day, common practice."""

KEPT = 64
"""Courses that are remembered."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Summed:
    """A running sum of life used in a place by one sheet [s at its temperature], from its first reading on."""

    before: list[float]
    within: list[float]
    bend: list[float]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Course:
    """What is known of a place's temperature: stretches between readings, in order, with holes where nobody looked.

    Parameters
    ----------
    starts, ends
        Of each stretch [s since 1970, Greenwich], shape (k,).
    first, last
        Temperature at both [K], shape (k,).
    lasted
        Seconds that are known, before each stretch, shape (k,).
    gaps
        Stretches that are filled, in order.
    """

    starts: list[float]
    ends: list[float]
    first: Floats
    last: Floats
    lasted: list[float]
    gaps: tuple[Gap, ...]
    sums: dict[LifeSheet, Summed] = field(default_factory=dict)

    def known(self, start: float, end: float) -> float:
        """Return for how long of a time the temperature is known [s].

        Parameters
        ----------
        start, end
            [s since 1970].
        """
        return self._lasted(end) - self._lasted(start)

    def used(self, sheet: LifeSheet, start: float, end: float) -> float:
        """Return the life that lying here used, as far as the temperature is known [s].

        Parameters
        ----------
        sheet
            By which life is counted.
        start, end
            [s since 1970].
        """
        if not self.starts or end <= self.starts[0] or start >= self.ends[-1]:
            return 0.0
        summed = self.sums.get(sheet)
        if summed is None:
            summed = self.sums[sheet] = self._summed(sheet)
        return max(0.0, self._at(summed, end) - self._at(summed, start))

    def temperature(self, at: float) -> float | None:
        """Return the temperature at a moment [K]; None where nobody looked.

        Parameters
        ----------
        at
            [s since 1970].
        """
        k = bisect_right(self.starts, at) - 1
        if k < 0 or at > self.ends[k]:
            return None
        share = (at - self.starts[k]) / (self.ends[k] - self.starts[k])
        return float(self.first[k] + share * (self.last[k] - self.first[k]))

    def recent(self, sheet: LifeSheet, until: float, over: float) -> float | None:
        """Return how fast life was used here lately, on average; None when less than a tenth of it is known.

        Parameters
        ----------
        sheet
            By which life is counted.
        until
            [s since 1970].
        over
            How far back [s].
        """
        known = self.known(until - over, until)
        return self.used(sheet, until - over, until) / known if known >= 0.1 * over else None

    def _summed(self, sheet: LifeSheet) -> Summed:
        within = sheet.mean_rates(self.first, self.last) * (np.array(self.ends) - np.array(self.starts))
        before = np.concatenate([[0.0], np.cumsum(within)[:-1]])
        bend = np.log(sheet.rate(self.last) / sheet.rate(self.first))
        return Summed(before=before.tolist(), within=within.tolist(), bend=bend.tolist())

    def _at(self, summed: Summed, at: float) -> float:
        k = bisect_right(self.starts, at) - 1
        if k < 0:
            return 0.0
        start, end = self.starts[k], self.ends[k]
        if at >= end:
            return summed.before[k] + summed.within[k]
        share, bend = (at - start) / (end - start), summed.bend[k]
        if abs(bend) > 1e-9:  # the rate grows evenly on a logarithmic scale from one reading to the next
            share = math.expm1(bend * share) / math.expm1(bend)
        return summed.before[k] + share * summed.within[k]

    def _lasted(self, at: float) -> float:
        k = bisect_right(self.starts, at) - 1
        return 0.0 if k < 0 else self.lasted[k] + min(at, self.ends[k]) - self.starts[k]


NOTHING = np.empty(0)
_courses: OrderedDict[tuple[int, float], tuple[tuple[LogPart, ...], Course]] = OrderedDict()


def course_of(place: Place, room: float) -> Course:
    """Return how warm a place was.

    Parameters
    ----------
    place
        With its logs.
    room
        Temperature of the room, at which a long gap of a logger is counted [K].

    Notes
    -----
    The last courses are remembered by the logs they were made of; logs are frozen, so that cannot go stale.
    """
    key = (id(place.logs), room)
    kept = _courses.get(key)
    if kept is not None and kept[0] is place.logs:
        _courses.move_to_end(key)
        return kept[1]
    made = _course(place, room)
    _courses[key] = (place.logs, made)
    while len(_courses) > KEPT:
        _courses.popitem(last=False)
    return made


def _course(place: Place, room: float) -> Course:
    """Return the stretches of all logs of a place, one after the other."""
    parts: list[tuple[Floats, Floats, Floats, Floats]] = []
    gaps: list[Gap] = []
    until = -np.inf
    for part in sorted((p for p in place.logs if len(p.times) > 1), key=lambda p: p.times[0]):
        t = np.array([x.timestamp() for x in part.times])
        v = np.array(part.temperatures, dtype=np.float64)
        start, end, first, last = t[:-1], t[1:], v[:-1].copy(), v[1:].copy()
        for a, b in sorted(part.gaps):
            inside = (start >= a.timestamp() - 1e-6) & (end <= b.timestamp() + 1e-6)
            if not inside.any():
                continue
            k = np.flatnonzero(inside)
            warm = max(float(first[k[0]]), float(last[k[-1]]))
            long = (b - a).total_seconds() > BRIDGED
            level = max(warm, room) if long else warm
            first[k], last[k] = level, level
            gaps.append(
                Gap(
                    place=place.name,
                    start=a,
                    end=b,
                    temperature=level,
                    filled=Filled.ROOM if long and room >= warm else Filled.WARMER_END,
                )
            )
        fresh = start >= until - 1e-6  # logs of a place do not overlap; what would is not counted twice
        parts.append((start[fresh], end[fresh], first[fresh], last[fresh]))
        until = max(until, float(end[-1]))
    if not parts:
        return Course(starts=[], ends=[], first=NOTHING, last=NOTHING, lasted=[], gaps=())
    starts, ends, first, last = (np.concatenate(x) for x in zip(*parts, strict=True))
    lasted = np.concatenate([[0.0], np.cumsum(ends - starts)[:-1]])
    return Course(
        starts=starts.tolist(), ends=ends.tolist(), first=first, last=last, lasted=lasted.tolist(), gaps=tuple(gaps)
    )
