"""A DSC curve: what it was, its baseline, and the heat of reaction over it.

A ramp's baseline is a straight line before the reaction and one of the same slope after it, joined in proportion to
what has reacted. How far a straight line describes the curve's ends is found out and not guessed. At one temperature
the baseline is the level on which the curve ends.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import cumulative_trapezoid

from bagside.errors import InputError, Problem

Floats = NDArray[np.float64]

SLOWEST = 0.3 / 60.0
"""Heating slower than this is a hold [K/s]."""
STEADY = 0.3
"""A ramp ends where its rate is off by this share."""
NEAR = 1.0
"""A hold begins this near to its temperature [K]."""
LEAST_END, MOST_END = 0.04, 0.45
"""Share of a curve that its straight end has at least, and may have."""
STRAIGHT = 1.25
"""An end is straight as long as it is off the line by less than this times the noise."""
FEWEST = 60
"""Readings that a curve has at least."""
CLEAR = 6.0
"""A reaction stands out of the noise by this."""
RUNNING, AT_END = 0.05, 0.2
"""A curve whose end is higher than this share of its peak, or whose top lies in this share of its length at an end, is
cut off."""
UNSEEN = "no reaction stands out of its baseline"


class DscKind(StrEnum):
    """How the sample was heated."""

    RAMP = "ramp"
    HOLD = "isothermal"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DscCurve:
    """A curve as it was read.

    Parameters
    ----------
    name
        Of the file.
    time
        Rising, shape (k,) [s].
    temperature
        Of the sample, shape (k,) [K].
    heat
        Given off, baseline included, shape (k,) [W/kg resin].
    """

    name: str
    time: Floats
    temperature: Floats
    heat: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Reacted:
    """A curve without its baseline.

    Parameters
    ----------
    name, kind
        Which, and how it was heated.
    times, temperatures
        Corners of the heating from its first reading on, shape (3,) [s, K].
    time, temperature, heat
        Of the reaction alone, shape (k,) [s, K, W/kg resin].
    given
        Heat given off since the reaction's first reading, shape (k,) [J/kg resin].
    noise
        Of a reading [W/kg resin].
    rate
        Heating rate [K/s]; zero for a hold.
    """

    name: str
    kind: DscKind
    times: Floats
    temperatures: Floats
    time: Floats
    temperature: Floats
    heat: Floats
    given: Floats
    noise: float
    rate: float

    @property
    def total(self) -> float:
        """Heat given off in all [J/kg resin]."""
        return float(self.given[-1])


def reacted(curve: DscCurve) -> Reacted:
    """Return a curve without its baseline.

    Parameters
    ----------
    curve
        As read.

    Raises
    ------
    InputError
        When it is neither a ramp nor a hold, or does not show a whole reaction.
    """
    if len(curve.time) < FEWEST:
        came = f"{len(curve.time)} readings"
        raise InputError.one(curve.name, came, f"{FEWEST} or more are wanted", "export it with more points")
    third = len(curve.time) // 3
    slope = float(np.median(np.gradient(curve.temperature, curve.time)[third : 2 * third]))
    if slope < -SLOWEST:
        raise InputError.one(curve.name, "", "it cools where it should heat or hold", "export the heating alone")
    return _ramp(curve, slope) if slope > SLOWEST else _hold(curve)


def _noise(y: Floats) -> float:
    """Return the noise of a reading, from second differences."""
    return float(np.median(np.abs(np.diff(y, 2))) / 0.6745 / np.sqrt(6.0))


def _straight(x: Floats, y: Floats, noise: float, degree: int) -> int:
    """Return how many readings from the first on lie on a line of a degree."""
    n = len(x)
    best = max(5, round(LEAST_END * n))
    for count in np.unique(np.linspace(best, MOST_END * n, 40).astype(int)):
        u = (x[:count] - x[0]) / (x[count - 1] - x[0])
        off = y[:count] - np.polyval(np.polyfit(u, y[:count], degree), u)
        # The last readings tell first that a reaction begins: they must not all lie on one side.
        tail = float(np.mean(off[-max(5, count // 5) :]))
        if np.sqrt(np.mean(off**2)) > STRAIGHT * noise or abs(tail) > noise:
            break
        best = int(count)
    return best


def _ramp(curve: DscCurve, slope: float) -> Reacted:
    local = np.gradient(curve.temperature, curve.time)
    steady = np.abs(local / slope - 1.0) < STEADY
    edges = np.flatnonzero(np.diff(np.concatenate([[0], steady.astype(int), [0]])))
    begin, end = max(zip(edges[::2], edges[1::2], strict=True), key=lambda x: x[1] - x[0])
    t, heat, y = curve.time[begin:end], curve.temperature[begin:end], curve.heat[begin:end]
    if len(t) < FEWEST:
        raise InputError.one(curve.name, "", "it neither heats at one rate nor holds one temperature")
    noise = max(_noise(y), 1e-3 * float(np.ptp(y)))
    left, right = _straight(heat, y, noise, 1), _straight(-heat[::-1], y[::-1], noise, 1)
    middle = float(heat.mean())
    ends = np.r_[0:left, len(y) - right : len(y)]
    table = np.column_stack([ends < left, ends >= left, heat[ends] - middle]).astype(np.float64)
    before, after, tilt = np.linalg.lstsq(table, y[ends], rcond=None)[0]
    share = np.linspace(0.0, 1.0, len(y))
    for _ in range(12):
        q = y - (before + (after - before) * share + tilt * (heat - middle))
        q[:left] = q[len(q) - right :] = 0.0
        given = cumulative_trapezoid(q, t, initial=0.0)
        if not given[-1] > 0.0:
            break
        share = np.clip(given / given[-1], 0.0, 1.0)
    peak = float(q.max())
    least = round(LEAST_END * len(y))
    nothing = not given[-1] > 0.0 or peak < CLEAR * noise
    level = float(np.median(y))
    top = int(np.argmax(y)) / len(y) if y.max() - level > level - y.min() else 0.5  # else it points down
    early = (nothing and top < AT_END) or (left <= least and q[left : left + 5].mean() > RUNNING * peak)
    tail = q[len(q) - right - 5 : len(q) - right].mean()
    late = (nothing and top > 1.0 - AT_END) or (right <= least and tail > RUNNING * peak)
    if early:
        raise InputError.one(curve.name, "", "it reacts already where it begins", "begin the ramp colder")
    if late:
        raise InputError.one(curve.name, "", "it still reacts where it ends", "go on to a hotter end")
    if nothing:
        raise InputError.one(curve.name, "", UNSEEN, "is exo right, and is the sample fresh?")
    inside = slice(left, len(y) - right)
    return Reacted(
        name=curve.name,
        kind=DscKind.RAMP,
        times=np.array([t[0], 0.5 * (t[0] + t[-1]), t[-1]]),
        temperatures=np.array([heat[0], 0.5 * (heat[0] + heat[-1]), heat[-1]]),
        time=t[inside],
        temperature=heat[inside],
        heat=q[inside],
        given=given[inside],
        noise=noise,
        rate=float((heat[-1] - heat[0]) / (t[-1] - t[0])),
    )


def _hold(curve: DscCurve) -> Reacted:
    held = float(np.median(curve.temperature[len(curve.time) // 2 :]))
    there = np.abs(curve.temperature - held) < NEAR
    if not there.any() or np.abs(curve.temperature[len(curve.time) // 2 :] - held).max() > 3.0 * NEAR:
        raise InputError.one(curve.name, "", "it neither heats at one rate nor holds one temperature")
    begin = int(np.argmax(there))
    t, y = curve.time[begin:], curve.heat[begin:]
    if len(t) < FEWEST:
        raise InputError.one(curve.name, f"{len(t)} readings", f"{FEWEST} or more at its temperature are wanted")
    noise = max(_noise(y), 1e-3 * float(np.ptp(y)))
    flat = _straight(-t[::-1], y[::-1], noise, 0)
    level = float(y[len(y) - flat :].mean())
    q = y - level
    peak = float(q.max())
    if peak < CLEAR * noise:
        raise InputError.one(curve.name, "", UNSEEN, "is exo right, and is the sample fresh?")
    if flat <= round(LEAST_END * len(y)):
        late = float(q[len(q) - 4 * flat : len(q) - flat].mean())
        if late > RUNNING * peak:
            raise InputError.one(curve.name, "", "it still reacts where it ends", "hold it longer")
    first, heating = curve.time[0], curve.temperature[0]
    if begin == 0:  # nothing of the heating up was kept: an instant
        first, heating = t[0] - 1.0, held
    return Reacted(
        name=curve.name,
        kind=DscKind.HOLD,
        times=np.array([first, t[0], t[-1]]),
        temperatures=np.array([heating, held, held]),
        time=t,
        temperature=np.full(len(t), held),
        heat=q,
        given=cumulative_trapezoid(q, t, initial=0.0),
        noise=noise,
        rate=0.0,
    )


def all_reacted(curves: tuple[DscCurve, ...]) -> tuple[Reacted, ...]:
    """Return curves without their baselines, or every problem with them.

    Parameters
    ----------
    curves
        One or more.

    Raises
    ------
    InputError
        With each curve's problem.
    """
    out: list[Reacted] = []
    problems: list[Problem] = []
    for curve in curves:
        try:
            out.append(reacted(curve))
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(problems)
    return tuple(out)
