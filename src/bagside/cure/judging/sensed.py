"""What the resin beside a thermocouple went through: the rate law over the temperature that was measured."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.cure.judging.corners import smoothed
from bagside.cure.judging.dose import cured_along
from bagside.cure.judging.readings import Series, bounds_in_gaps, with_middles
from bagside.cure.judging.trust import SIGMAS, Range, Trust
from bagside.cure.log import Sensor
from bagside.cure.outcome import crossed, time_above
from bagside.cure.resin import CureResin

Floats = NDArray[np.float64]

PEAK = 180.0
"""Time over which noise is averaged before a peak is read [s]; a runaway lasts longer."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SensorState:
    """Resin at one sensor, from its readings alone.

    Parameters
    ----------
    name
        Of the channel.
    sensor
        What it measures: part or tool.
    section
        Where it sits; empty when not stated.
    until
        Time of the last reading [s].
    lost
        Whether it stopped before the log did.
    time, temperature, alpha
        Its line and the degree of cure along it, shape (k,) [s], [K].
    cure, tg
        At its last reading [–], [K].
    gel
        When resin there gelled [s]; none when it has not. An end of the range that is infinite: not gelled within it.
    flow_time
        Time its viscosity was below ``flow_viscosity`` before gel [s]; none without a law.
    hottest, hottest_time
        [K], [s].
    gaps
        Longest first, each from and to [s].
    from_gaps
        By how much the gaps alone may have moved the degree of cure, either way.
    """

    name: str
    sensor: Sensor
    section: str
    until: float
    lost: bool
    time: Floats
    temperature: Floats
    alpha: Floats
    cure: Range
    tg: Range
    gel: Range | None
    flow_time: float | None
    hottest: float
    hottest_time: float
    gaps: tuple[tuple[float, float], ...]
    from_gaps: float


def sensed(
    line: Series,
    resin: CureResin,
    alpha0: float,
    *,
    others: tuple[Series, ...] = (),
    trust: Trust | None = None,
    end: float | None = None,
    flow_viscosity: float = 30.0,
) -> SensorState:
    """Return the state of the resin at a sensor.

    Parameters
    ----------
    line
        Of a sensor on part or tool.
    resin
        The resin.
    alpha0
        Degree of cure at the first reading.
    others
        Lines of the same oven, which bound what happened in gaps.
    trust
        How far readings may be off; the usual when not given.
    end
        End of the log [s]; the last reading when not given.
    flow_viscosity
        Viscosity below which resin is counted as flowing [Pa s].

    Notes
    -----
    One thing at a time is put off by two standard deviations: offset up and down, the sensor ahead and behind, rate up
    and down, and each gap as far as it can have bowed; what they do is added in quadrature. Offset and place matter
    most, noise and short gaps hardly.
    """
    how = Trust() if trust is None else trust
    time, straight = with_middles(line)
    low, high = bounds_in_gaps(line, others)
    off, late, pace = SIGMAS * how.sensor, SIGMAS * how.lag, SIGMAS * how.rate
    rows = np.array(
        [
            straight,
            straight + off,
            straight - off,
            np.interp(time + late, time, straight),
            np.interp(time - late, time, straight),
            straight,
            straight,
            straight + high,
            straight - low,
        ]
    )
    rate = np.array([1.0, 1.0, 1.0, 1.0, 1.0, 1.0 + pace, max(1.0 - pace, 0.0), 1.0, 1.0])
    alpha = cured_along(resin.kinetics, time, rows, alpha0, rate)
    mine, last = alpha[0], alpha[:, -1]
    cure = Range.around(float(last[0]), last[1:].tolist(), highest=1.0)
    calm = smoothed(line, PEAK)
    return SensorState(
        name=line.name,
        sensor=line.sensor,
        section=line.section,
        until=line.end,
        lost=end is not None and end - line.end > 600.0,
        time=time,
        temperature=straight,
        alpha=mine,
        cure=cure,
        tg=tg_range(resin, cure, how),
        gel=_gel(time, alpha, resin.gel),
        flow_time=_flow(time, straight, mine, resin, flow_viscosity),
        hottest=float(calm.max()),
        hottest_time=float(line.time[int(np.argmax(calm))]),
        gaps=tuple(sorted(line.gaps, key=lambda g: g[0] - g[1])),
        from_gaps=float(max(last[7] - last[0], last[0] - last[8])),
    )


def tg_range(resin: CureResin, cure: Range, trust: Trust) -> Range:
    """Return the glass transition of a range of cure, with what the law itself leaves open.

    Parameters
    ----------
    resin
        The resin.
    cure
        Degree of cure.
    trust
        How far the law may be off.
    """
    value, low, high = (float(resin.tg(a)) for a in (cure.value, cure.low, cure.high))
    own = SIGMAS * trust.tg
    return Range(
        value=value, low=value - float(np.hypot(value - low, own)), high=value + float(np.hypot(high - value, own))
    )


def _gel(time: Floats, alpha: Floats, gel: float) -> Range | None:
    found = [crossed(time, a, gel) for a in alpha]
    if found[0] is None:
        return None
    return Range.around(found[0], [np.inf if g is None else g for g in found[1:]])


def _flow(time: Floats, temperature: Floats, alpha: Floats, resin: CureResin, limit: float) -> float | None:
    if resin.viscosity is None:
        return None
    liquid = alpha < resin.gel
    mu = np.where(liquid, resin.viscosity.at(np.where(liquid, alpha, 0.0), temperature), np.inf)
    return time_above(time, -np.minimum(np.log(mu), 700.0), -float(np.log(limit)))
