"""A cure that goes on from where a log left it: every section as it most probably is, behind, and ahead."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside.cure.air import Air
from bagside.cure.history import SectionHistory, continued
from bagside.cure.judging.places import PlaceState
from bagside.cure.judging.softness import softened, viscosity_of
from bagside.cure.outcome import crossed, time_above
from bagside.cure.oven import Oven
from bagside.cure.programme import Programme
from bagside.cure.resin import CureResin
from bagside.cure.section import Section
from bagside.cure.solve import simulate

Floats = NDArray[np.float64]

PROBABLE, BEHIND, AHEAD = 0, 1, 2
"""Of the three lanes of a place, which is which."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Onward:
    """Sections at a moment, three lanes for each place, and the air then.

    Parameters
    ----------
    sections
        Probable, behind and ahead, place by place.
    resin
        The resin.
    air
        Of the oven [K].
    since
        Time since the end of the log [s].
    """

    sections: tuple[Section, ...]
    resin: CureResin
    air: float
    since: float = 0.0

    @classmethod
    def of(cls, places: Sequence[PlaceState], resin: CureResin, air: float) -> Onward:
        """Return the end of a log.

        Parameters
        ----------
        places
            Every section then.
        resin
            The resin.
        air
            Of the oven then [K].
        """
        return cls(
            sections=tuple(s for p in places for s in (continued(p.section, p.history), p.slower, p.faster)),
            resin=resin,
            air=air,
        )

    def cold(self, room: float) -> Onward:
        """Return the same when all has cooled to the room.

        Parameters
        ----------
        room
            [K].
        """
        return replace(self, sections=tuple(replace(s, start=room) for s in self.sections), air=room)

    def under(self, air: Air, *, interval: float = 60.0, tolerance: float = 0.1) -> Went:
        """Return how it goes on under an air.

        Parameters
        ----------
        air
            From now on.
        interval
            Between outputs [s].
        tolerance
            Of a step [K].
        """
        runs = simulate(self.sections, self.resin, air, output_interval=interval, tolerance=tolerance)
        return Went(start=self, runs=runs)

    def asked(self, programme: Programme, oven: Oven) -> Went:
        """Return how it goes on when the oven is asked for a programme.

        Parameters
        ----------
        programme
            Starting from the air there is.
        oven
            What it can do.
        """
        return self.under(oven.air(programme))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Went:
    """How it went on.

    Parameters
    ----------
    start
        From where.
    runs
        Three for each place.
    """

    start: Onward
    runs: tuple[SectionHistory, ...]

    @property
    def resin(self) -> CureResin:
        """The resin."""
        return self.start.resin

    def lanes(self, which: int) -> tuple[SectionHistory, ...]:
        """Return one lane of every place.

        Parameters
        ----------
        which
            `PROBABLE`, `BEHIND` or `AHEAD`.
        """
        return self.runs[which::3]

    def at(self, time: float) -> Onward:
        """Return the state at a time from its start, as far as its outputs are close; its end exactly.

        Parameters
        ----------
        time
            [s].
        """
        sections = []
        for s, h in zip(self.start.sections, self.runs, strict=True):
            i = min(int(np.searchsorted(h.time, time - 1e-6)), len(h.time) - 1)
            cut = replace(h, temperature=h.temperature[: i + 1], alpha=h.alpha[: i + 1], time=h.time[: i + 1])
            sections.append(continued(s, cut))
        h = self.runs[0]
        return replace(
            self.start,
            sections=tuple(sections),
            air=float(np.interp(time, h.time, h.air)),
            since=self.start.since + time,
        )

    def reached(self, alpha: float, which: int = BEHIND) -> float | None:
        """Return when every place has reached a degree of cure [s]; none when one does not.

        Parameters
        ----------
        alpha
            Degree of cure at the least cured point.
        which
            Lane.
        """
        times = [crossed(h.time, h.alpha.min(axis=1), alpha) for h in self.lanes(which)]
        return None if any(t is None for t in times) else max(t for t in times if t is not None)

    def first_gel(self, which: int = AHEAD) -> float | None:
        """Return when the first point anywhere gels [s]; none when none does.

        Parameters
        ----------
        which
            Lane.
        """
        times = [crossed(h.time, h.alpha.max(axis=1), self.resin.gel) for h in self.lanes(which)]
        known = [t for t in times if t is not None]
        return min(known) if known else None

    def softens(self, which: int = AHEAD) -> float | None:
        """Return when resin is first soft anywhere [s]; none when it is not.

        Parameters
        ----------
        which
            Lane.
        """
        times = []
        for h in self.lanes(which):
            soft = softened(h, self.resin).any(axis=1)
            if soft.any():
                times.append(float(h.time[int(np.argmax(soft))]))
        return min(times) if times else None

    def flow_time(self, limit: float, which: int = PROBABLE) -> float:
        """Return the shortest time for which the resin of a place flows before it gels [s].

        Parameters
        ----------
        limit
            Viscosity below which it flows [Pa s]; without a law for viscosity the time it is soft.
        which
            Lane.
        """
        out = math.inf
        for h in self.lanes(which):
            mu = viscosity_of(h, self.resin)
            if mu is None:
                soft = softened(h, self.resin).all(axis=1).astype(np.float64)
                out = min(out, float(np.trapezoid(soft, h.time)))
            else:
                thickest = np.minimum(np.log(mu.max(axis=1)), 700.0)
                out = min(out, time_above(h.time, -thickest, -math.log(limit)))
        return out

    def least(self, which: int = PROBABLE, until: float | None = None) -> float:
        """Return the degree of cure of the least cured point at a time, or at the end.

        Parameters
        ----------
        which
            Lane.
        until
            [s].
        """
        return min(
            float(np.interp(h.time[-1] if until is None else until, h.time, h.alpha.min(axis=1)))
            for h in self.lanes(which)
        )

    def hottest(self, until: float | None = None) -> float:
        """Return the hottest laminate in any lane [K].

        Parameters
        ----------
        until
            Up to when it counts [s].
        """
        return max(
            float(h.laminate_temperature[h.time <= (math.inf if until is None else until + 1.0)].max())
            for h in self.runs
        )

    def tool_hottest(self, until: float | None = None) -> float | None:
        """Return the hottest tool in any lane [K]; none without tools.

        Parameters
        ----------
        until
            Up to when it counts [s].
        """
        found = [
            float(y[h.time <= (math.inf if until is None else until + 1.0)].max())
            for h in self.runs
            if (y := h.tool_hottest) is not None
        ]
        return max(found) if found else None


def oven_off(air: float, room: float, time_constant: float, time: float) -> Air:
    """Return the air of an oven without heat: it falls to the room with one time constant.

    Parameters
    ----------
    air
        When the heat goes [K].
    room
        [K].
    time_constant
        Of the oven and what is in it [s].
    time
        How long [s].
    """
    left = room + (air - room) * math.exp(-time / time_constant)
    level = np.array([room, room])
    return Air(
        breaks=np.array([0.0, time]),
        reference=level,
        values=np.array([air, left]),
        lag=float(time_constant),
        programme=level,
    )


def fall_of(time: Floats, air: Floats, since: float, room: float) -> float | None:
    """Return the time constant by which a logged air fell to the room; none when it did not fall by ten kelvin.

    Parameters
    ----------
    time, air
        As logged [s], [K].
    since
        When the heat went [s].
    room
        [K].
    """
    after = (time >= since) & (air > room + 3.0)
    if after.sum() < 4 or float(air[after][0] - air[after][-1]) < 10.0:
        return None
    slope = float(np.polyfit(time[after], np.log(air[after] - room), 1)[0])
    return -1.0 / slope if slope < 0.0 else None
