"""Cure along a temperature course without thickness, for many parameter sets at once.

The Rosenbrock method of the cure's own solver on one degree of cure for each lane, with one step for all lanes. It is
L-stable, so a reaction that vitrifies does not make it unstable, and it controls its error; a fixed explicit step does
neither. Below order one a reaction ends in finite time: every lane stops where isotherms do.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from bagside.cure import rodas4
from bagside.cure.fit.family import rate_of, slopes_of, tg_of
from bagside.cure.fit.isotherm import LAST
from bagside.errors import NotSolved

Floats = NDArray[np.float64]

LONGEST = 240.0
"""Longest step [s], but for pieces that last very long: what is read between steps is interpolated."""
SHARE = 1.0 / 60.0
"""Share of a piece that a step may always be."""
FIRST = 30.0
"""Longest first step after a corner [s]."""
MOST = 4000
"""Steps after which a course is given up; an usual one takes a hundred."""
TOLERANCE = 1e-6
"""Error of a step, in degree of cure."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Course:
    """Degree of cure along courses, one for each lane, read at steps common to all.

    Parameters
    ----------
    time
        Shape (lanes, steps) [s].
    temperature
        Same shape [K].
    alpha
        Same shape.
    rate
        dα/dt, same shape [1/s].
    """

    time: Floats
    temperature: Floats
    alpha: Floats
    rate: Floats

    def at(self, lane: int, times: Floats) -> Floats:
        """Return the degree of cure of one lane at times within its course, same shape.

        Parameters
        ----------
        lane
            Which.
        times
            Shape (k,) [s].
        """
        t, alpha, rate = self.time[lane], self.alpha[lane], self.rate[lane]
        k = np.clip(np.searchsorted(t, times, side="right") - 1, 0, len(t) - 2)
        h = t[k + 1] - t[k]
        s = (times - t[k]) / h
        level = alpha[k] + (alpha[k + 1] - alpha[k]) * s * s * (3 - 2 * s)
        out: Floats = level + h * s * (1 - s) * (rate[k] * (1 - s) - rate[k + 1] * s)
        return out

    def time_to(self, alpha: Floats) -> Floats:
        """Return when each lane reaches a degree of cure; infinite when it does not, shape (lanes,) [s].

        Parameters
        ----------
        alpha
            Of each lane, shape (lanes,).
        """
        out = np.full(len(alpha), np.inf)
        for lane, wanted in enumerate(alpha):
            k = int(np.searchsorted(self.alpha[lane], wanted)) - 1
            if k < 0 or k + 1 >= self.alpha.shape[1]:
                continue

            def late(t: float, lane: int = lane, wanted: float = wanted) -> float:
                return float(self.at(lane, np.array([t]))[0] - wanted)

            out[lane] = brentq(late, self.time[lane, k], self.time[lane, k + 1], xtol=1e-6)
        return out

    def tg(self, theta: Floats) -> Floats:
        """Return the glass transition along the courses, shape (lanes, steps) [K].

        Parameters
        ----------
        theta
            The lanes' parameter sets, shape (lanes, 12).
        """
        return tg_of(theta[:, None, :], self.alpha)


def along(
    theta: Floats, middle: float, times: Floats, temperatures: Floats, start: float, tolerance: float = TOLERANCE
) -> Course:
    """Return the degree of cure along courses of straight pieces.

    Parameters
    ----------
    theta
        Parameter sets, one for each lane, shape (lanes, 12).
    middle
        Temperature at which their rate constants are stated [K].
    times, temperatures
        Corners of the courses, shape (k,) when all lanes share one, else (lanes, k) [s, K].
    start
        Degree of cure at the first corner; above 0.
    tolerance
        Error of a step, in degree of cure.

    Returns
    -------
    Course
        With every corner among its times.

    Raises
    ------
    NotSolved
        When it takes too many steps.
    """
    lanes = len(theta)
    times, temperatures = (np.broadcast_to(x, (lanes, np.shape(x)[-1])) for x in (times, temperatures))
    alpha = np.full(lanes, start)
    kept = [(times[:, 0], temperatures[:, 0], alpha, slopes_of(theta, middle, alpha, temperatures[:, 0])[0])]
    tried = 0
    for k in range(times.shape[1] - 1):
        lasts = times[:, k + 1] - times[:, k]
        slope = (temperatures[:, k + 1] - temperatures[:, k]) / lasts
        longest = min(1.0, max(LONGEST / float(lasts.max()), SHARE))
        share, h = 0.0, min(longest, FIRST / float(lasts.max()))
        while share < 1.0:
            left = 1.0 - share
            step = left if left <= 1.001 * h else min(h, 0.5 * left)
            here = temperatures[:, k] + slope * lasts * share
            new, error = _step(theta, middle, alpha, here, slope, step * lasts)
            good = np.isfinite(error).all() and (new > 0.0).all()
            size = float(np.max(np.abs(error))) / tolerance if good else np.inf
            if size <= 1.0:
                share = 1.0 if step == left else share + step
                alpha = new
                here = temperatures[:, k] + slope * lasts * share
                f = slopes_of(theta, middle, alpha, here)[0]
                kept.append((times[:, k] + lasts * share, here, alpha, f))
            tried += 1
            if tried > MOST:
                raise NotSolved(f"the cure cannot be followed along its cycle: {MOST} steps do not reach its end")
            h = min(longest, step * min(5.0, max(0.2, 0.9 * max(size, 1e-6) ** -0.25)))
    time, temperature, alphas, rate = (np.array(x).T.copy() for x in zip(*kept, strict=True))
    return Course(time=time, temperature=temperature, alpha=alphas, rate=rate)


def _step(
    theta: Floats, middle: float, alpha: Floats, temperature: Floats, slope: Floats, h: Floats
) -> tuple[Floats, Floats]:
    """Return the degree of cure at a step's end and its error."""
    f, fa, ft = slopes_of(theta, middle, alpha, temperature)
    pivot = 1.0 / (h * rodas4.GAMMA) - fa
    stages: list[Floats] = []
    argument = alpha
    for i in range(6):
        argument = argument + stages[-1] if i == len(rodas4.A) else alpha + _sum(rodas4.A[i], stages)
        if i > 0:
            if not (argument > 0.0).all():
                return argument, np.full_like(alpha, np.inf)
            f = rate_of(theta, middle, np.minimum(argument, LAST), temperature + slope * h * rodas4.TIMES[i])
        stages.append((f + _sum(rodas4.C[i], stages) / h + h * rodas4.SLOPES[i] * ft * slope) / pivot)
    return np.minimum(argument + stages[-1], LAST), stages[-1]


def _sum(weights: Floats, stages: list[Floats]) -> Floats | float:
    return sum((float(w) * k for w, k in zip(weights, stages, strict=True)), start=0.0)
