"""From an oven run to what its chart shows."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from bagside import bagging
from bagside.bagging.voids import KARDOS_TEMPERATURES
from bagside.cure import CureLog, SectionHistory, Sensor
from bagside.cure.log import HEAT, without_gaps
from bagside.planning.cure_case import CureCase
from bagside.planning.cure_stage import Run
from bagside.quantity import shown
from bagside.sheets.curechart import CureCurves, Logged, Segment
from bagside.sheets.curestrip import Strip, Water

Floats = NDArray[np.float64]

SHARE = 0.4
"""Share of the bag's pressure that the bed of fibres may carry; not measured."""


def run_curves(run: Run, case: CureCase, log: CureLog | None = None) -> CureCurves:
    """Return what the chart of a run shows: the place that lags and the one that leads.

    Parameters
    ----------
    run
        Worked out.
    case
        What was cured.
    log
        What a logger saw; None before the cure.
    """
    lag = min(range(len(run.outcomes)), key=lambda k: run.outcomes[k].alpha_lagging)
    lead = max(range(len(run.outcomes)), key=lambda k: run.outcomes[k].hottest)
    slow, fast = run.histories[lag], run.histories[lead]
    alpha = slow.alpha[:, slow.lagging]
    on_mould = run.limits.tool is not None
    return CureCurves(
        programme=np.column_stack([run.programme.as_air.breaks, run.programme.as_air.programme]),
        time=slow.time,
        leading=fast.laminate_temperature.max(axis=1),
        lagging=slow.laminate_temperature.min(axis=1),
        names=(run.outcomes[lead].name, run.outcomes[lag].name),
        cure=alpha,
        tg=np.asarray(case.resin.tg(alpha), dtype=np.float64),
        air=slow.air - slow.section.air_offset,
        gel=run.outcomes[lag].gel_time if on_mould else None,
        limit=run.limits.tool,
        limit_words=f"{case.tool_limit_words} mould" if on_mould else "",
        segments=tuple(run_segments(run)),
        logged=() if log is None else tuple(logged(log)),
        strip=run_strip(run, case) if on_mould else None,
    )


def run_strip(run: Run, case: CureCase, flows: float = 30.0) -> Strip | None:
    """Return viscosity and water on the way to gel; nothing when neither is known.

    Parameters
    ----------
    run
        On the mould.
    case
        What was cured.
    flows
        Viscosity below which resin counts as flowing [Pa s].
    """
    lag = min(range(len(run.outcomes)), key=lambda k: run.outcomes[k].alpha_lagging)
    slow = run.histories[lag]
    mu = None
    if case.resin.viscosity is not None:
        a, t = slow.alpha[:, slow.lagging], slow.laminate_temperature[:, slow.lagging]
        mu = np.where(a < case.resin.gel, case.resin.viscosity.at(a, t), np.inf)
    pressure = case.pressure
    water = None
    if pressure is not None and case.humidity:
        needed = water_needs(run.histories, case.resin.gel, case.humidity)
        most = np.full(len(slow.time), pressure)
        water = Water(needed=needed, least=(1.0 - SHARE) * most, most=most)
    if mu is None and water is None:
        return None
    return Strip(time=slow.time, viscosity=mu, flows=flows, water=water)


def water_needs(histories: Sequence[SectionHistory], gel: float, humidity: float) -> Floats:
    """Return the resin pressure below which water makes voids, at the worst place that has not gelled.

    Parameters
    ----------
    histories
        All of one run.
    gel
        Degree of cure at gel.
    humidity
        Of the room where it was laid.

    Returns
    -------
    Floats
        Shape (k,) [Pa]; not a number when all has gelled, or outside the criterion's range of temperature.
    """
    hottest = np.full(len(histories[0].time), -np.inf)
    for h in histories:
        liquid = np.where(h.alpha < gel, h.laminate_temperature, -np.inf)
        hottest = np.maximum(hottest, liquid.max(axis=1))
    out = np.full(len(hottest), np.nan)
    low, high = KARDOS_TEMPERATURES
    there = (hottest >= low) & (hottest <= high)
    out[there] = bagging.minimum_resin_pressure_kardos_1986(hottest[there], humidity)
    return out


def logged(log: CureLog) -> list[Logged]:
    """Return what each sensor of temperature wrote.

    Parameters
    ----------
    log
        Of one cure.
    """
    found = []
    for channel in log.of(*HEAT):
        if channel.sensor is Sensor.SET:
            continue
        if len(without_gaps(log, channel)[0]) > 1:
            found.append(Logged(name=channel.name, time=log.time, temperature=channel.values))
    return found


def run_segments(run: Run) -> list[Segment]:
    """Return the segments of a run's programme as they are named under its chart.

    Parameters
    ----------
    run
        Worked out.
    """
    at, now, found = 0.0, run.programme.start, []
    for s in run.programme.segments:
        rise = abs(s.target - now) / s.ramp
        word = "rise" if s.target >= now else "fall"
        if rise > 0:
            found.append(Segment(begin=at, end=at + rise, words=word, under=shown(s.ramp, "°C/min", 2)))
        at += rise
        if s.hold > 0:
            found.append(
                Segment(
                    begin=at, end=at + s.hold, words=f"hold {shown(s.target, '°C', 0)}", under=shown(s.hold, "h", 1)
                )
            )
        at, now = at + s.hold, s.target
    if run.duration > at:
        found.append(Segment(begin=at, end=run.duration, words="cool"))
    return found
