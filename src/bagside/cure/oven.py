"""What the programme asks of the oven, and the air that the oven really gives.

Everything is piecewise in closed form: the programme is straight lines; a limit on the oven's own ramps makes other
straight lines; a first-order lag of the air adds one exponential to each. The programme runs by the clock: an oven that
cannot follow a ramp is late, and its dwell is shorter by as much.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.cure.air import Air
from bagside.cure.programme import Programme
from bagside.errors import InputError, Problem

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Oven:
    """What the oven can do.

    Parameters
    ----------
    hottest
        Air temperature it can hold [K].
    heating, cooling
        Fastest its air can change [K/s].
    lag
        Time constant of the air behind the limited programme [s].
    offsets
        Air at the coldest and at the hottest place against the mean [K]; (−3, 3) for ±3 K.

    Raises
    ------
    InputError
        When a value makes no sense.
    """

    hottest: float
    heating: float
    cooling: float
    lag: float = 0.0
    offsets: tuple[float, float] = (0.0, 0.0)

    def __post_init__(self) -> None:
        """Refuse what makes no sense."""
        wrong = [
            Problem(place=f"oven, {name}", came=repr(getattr(self, name)), wanted="above zero is wanted")
            for name in ("hottest", "heating", "cooling")
            if not float(getattr(self, name)) > 0.0
        ]
        if not 0.0 <= self.lag < math.inf:
            wrong.append(Problem(place="oven, lag", came=repr(self.lag), wanted="zero or more is wanted"))
        if not -math.inf < self.offsets[0] <= self.offsets[1] < math.inf:
            wrong.append(Problem(place="oven, offsets", came=repr(self.offsets), wanted="coldest first, then hottest"))
        if wrong:
            raise InputError(wrong)

    def air(self, programme: Programme) -> Air:
        """Return the air this oven gives when asked for a programme.

        Parameters
        ----------
        programme
            What it is asked to do.

        Returns
        -------
        Air
            Limited in ramp and in height, then lagged.
        """
        t, y = programme.as_air.breaks, programme.as_air.programme
        times, reference = self._followed(t, y)
        values = np.empty_like(reference)
        values[0] = reference[0]
        for i, (dt, slope) in enumerate(zip(np.diff(times), np.diff(reference) / np.diff(times), strict=True)):
            if self.lag == 0.0:
                values[i + 1] = reference[i + 1]
                continue
            left = (values[i] - reference[i] + slope * self.lag) * math.exp(-dt / self.lag)
            values[i + 1] = reference[i + 1] - slope * self.lag + left
        return Air(breaks=times, reference=reference, values=values, lag=self.lag, programme=np.interp(times, t, y))

    def _followed(self, t: Floats, y: Floats) -> tuple[Floats, Floats]:
        """Return the corners of what the oven can follow of a line through corners."""
        times, reach = [float(t[0])], [float(y[0])]
        for t0, t1, y0, y1 in zip(t[:-1], t[1:], y[:-1], y[1:], strict=True):
            now, slope = float(t0), float((y1 - y0) / (t1 - t0))
            bounds = [float(t1)]
            if slope and t0 < (crossing := t0 + (self.hottest - y0) / slope) < t1:
                bounds.insert(0, float(crossing))
            for bound in bounds:
                wanted = min(float(y0) + slope * (now - float(t0)), self.hottest)
                above = float(y0) + slope * (0.5 * (now + bound) - float(t0)) >= self.hottest
                want = 0.0 if above else slope
                now = self._run(times, reach, now, bound, wanted, want)
        return np.array(times), np.array(reach)

    def _run(
        self, times: list[float], reach: list[float], now: float, end: float, wanted: float, slope: float
    ) -> float:
        """Follow one straight line from now to its end, catching up on the way; add the corners passed."""
        gap = wanted - reach[-1]
        behind = 0.0 if abs(gap) < 1e-9 else math.copysign(1.0, gap)
        limit = min(max(slope, -self.cooling), self.heating)
        rate = {1.0: self.heating, -1.0: -self.cooling, 0.0: limit}[behind]
        if behind and (rate - slope) * behind > 0.0:
            meet = now + gap / (rate - slope)
            if meet < end - 1e-9:
                times.append(meet)
                reach.append(wanted + slope * (meet - now))
                now, rate = meet, limit
        if end - now > 1e-9:
            times.append(end)
            reach.append(reach[-1] + rate * (end - now))
        return end
