"""Films, lag and limits of this oven from logs of trials, with how sure each is and what it changes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside.cure.calibrate.advice import Advice, advice
from bagside.cure.calibrate.beliefs import Beliefs
from bagside.cure.calibrate.driving import LEAST_LAG, drive_of, lagging
from bagside.cure.calibrate.effect import Effect, effects
from bagside.cure.calibrate.films import BAG, LAG, RATE, TOOL, Films
from bagside.cure.calibrate.least import Fit, least
from bagside.cure.calibrate.oven_fit import OvenFit, oven_fit
from bagside.cure.calibrate.place import Where
from bagside.cure.calibrate.refused import refuse
from bagside.cure.calibrate.spread import spread_seen
from bagside.cure.calibrate.told import Told, Value, factor, plain
from bagside.cure.calibrate.trial import Trial, places_in
from bagside.cure.oven import Oven
from bagside.cure.programme import Programme
from bagside.cure.resin import CureResin
from bagside.cure.section import Section

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SensorFit:
    """A sensor against the model as it was fitted.

    Parameters
    ----------
    log, name, at
        Its log, its channel, and its section.
    where
        In it.
    rms, worst, worst_time
        What is left between both, its own offset taken out, and where it is largest [K, K, s].
    offset, offset_sd
        Of the sensor itself [K].
    wander, together
        Noise around it [K], and the time over which that hangs together [s].
    time, measured, fitted
        Shape (k,) [s, K, K]; fitted has the offset in it.
    """

    log: str
    name: str
    at: str
    where: Where
    rms: float
    worst: float
    worst_time: float
    offset: float
    offset_sd: float
    wander: float
    together: float
    time: Floats
    measured: Floats
    fitted: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceAir:
    """Air at a place of the part against the logged air, or against what was asked for, when hottest.

    Parameters
    ----------
    log, place
        Which.
    offset, sd
        [K].
    """

    log: str
    place: str
    offset: float
    sd: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Calibration:
    """What logs tell of films and oven.

    Parameters
    ----------
    logs
        Their names.
    film_bag, film_tool
        Films [W/(m² K)]; that of the bag's side holds bag and breather, which no log can tell apart.
    film_sum
        Both together, which a section that heats evenly tells best.
    correlation
        Between the logarithms of both: −1 when only one combination of them is told.
    lag, heating, cooling
        Of the oven [s, K/s, K/s]; None where no log tells.
    fastest
        Fastest sustained rise of the air seen [K/s].
    spread
        Of the air between the places logged, hottest against coldest [K]; None with one place.
    offset
        Of the air against what was asked for, when hottest [K].
    rate
        Factor on the rate of reaction; None when it was not asked for.
    places, sensors
        Air at each place, and each sensor against the model.
    advice
        What one thing more would tell, best first.
    effects
        What it changes in the next plan.
    covariance
        Of the logarithms of both films and of the lag, shape (3, 3).
    oven
        As found.
    foreign
        Logs whose air ran another programme than stated.
    """

    logs: tuple[str, ...]
    film_bag: Value
    film_tool: Value
    film_sum: Value
    correlation: float
    lag: Value | None
    heating: Value | None
    cooling: Value | None
    fastest: float
    spread: Value | None
    offset: Value | None
    rate: Value | None
    places: tuple[PlaceAir, ...]
    sensors: tuple[SensorFit, ...]
    advice: tuple[Advice, ...]
    effects: tuple[Effect, ...]
    covariance: Floats
    oven: Oven
    foreign: tuple[str, ...]


def calibrated(
    trials: Sequence[Trial],
    sections: Sequence[Section],
    resin: CureResin,
    oven: Oven,
    *,
    spread: float = 0.0,
    beliefs: Beliefs | None = None,
    rate: bool = False,
    plan: Programme | None = None,
    foresee: bool = True,
) -> Calibration:
    """Return what logs tell of films and oven.

    Parameters
    ----------
    trials
        One log or more of the same part, or of parts with the same sections.
    sections
        Of the part on its mould, with the films as stated.
    resin
        The resin.
    oven
        As stated.
    spread
        Of its air as stated, hottest place against coldest [K].
    beliefs
        How far things may be off; the usual when None.
    rate
        Whether the rate of reaction is fitted too; a real cure with an exotherm tells it.
    plan
        Programme of the next plan; nothing is foreseen of it when None.
    foresee
        Whether to work out what one thing more would tell.

    Raises
    ------
    InputError
        When a log cannot be a trial; with all that is wrong.
    NotSolved
        When a fit does not come to rest.

    Notes
    -----
    Films go by their logarithms, one factor for all sections. What comes and goes in the readings is found from what
    is left of them, with the time over which it hangs together; what comes and goes in the reading of the air drives
    all sensors alike and is counted as shared. Offsets of sensors, air that differs from place to place, and what part
    and mould started from are unknowns of their own, held by what is believed before. The ranges are those of the
    straightened model.
    """
    refuse(trials, sections)
    believed = Beliefs() if beliefs is None else beliefs
    air = oven_fit(trials, oven, believed)
    lag = None if air.fit is None else air.fit.of(LAG)
    drives = [drive_of(t, sections) for t in trials]
    readings = [
        r for k, (t, d) in enumerate(zip(trials, drives, strict=True)) for r in places_in(t, k, sections, d.end)
    ]
    model = Films(trials, drives, sections, resin, oven, readings, believed, spread=spread, rate=rate, lag=lag)
    fit = least(
        model, model.unknowns, [r.time for r in readings], [r.values for r in readings], believed, shared=model.shared
    )
    if LAG in fit.names:
        lag = fit.of(LAG)
    bag, tool = fit.of(BAG), fit.of(TOOL)
    films = fit.block(BAG, TOOL)
    covariance = np.zeros((3, 3))
    covariance[:2, :2] = films
    covariance[2, 2] = believed.lag**2 if lag is None else lag[1] ** 2
    first = sections[0]
    values = {
        "lag": None if lag is None else factor("lag", max(oven.lag, LEAST_LAG), lag[0], lag[1], believed.lag),
        "heating": _heating(air, oven, believed),
        "cooling": _cooling(air, oven),
    }
    found = _found(oven, values)
    return Calibration(
        logs=tuple(t.log.name for t in trials),
        film_bag=factor("film on the bag's side", first.film_bag, *bag, believed.film),
        film_tool=factor("film on the mould's back", first.film_tool, *tool, believed.film),
        film_sum=_sum(first, bag[0], tool[0], films, believed.film),
        correlation=float(films[0, 1] / np.sqrt(films[0, 0] * films[1, 1])),
        lag=values["lag"],
        heating=values["heating"],
        cooling=values["cooling"],
        fastest=air.fastest,
        spread=spread_seen([t.log for t in trials], spread, believed.sensor),
        offset=_offset(air, believed),
        rate=factor("rate of reaction", 1.0, *fit.of(RATE), believed.rate) if RATE in fit.names else None,
        places=tuple(
            PlaceAir(
                log=t.log.name,
                place=sections[i].name,
                offset=fit.of(f"place {k} {i}")[0],
                sd=fit.of(f"place {k} {i}")[1],
            )
            for k, t in enumerate(trials)
            for i in model.used(k)
        ),
        sensors=tuple(_sensor(model, fit, j) for j in range(len(readings))),
        advice=advice(model, fit, found) if foresee else (),
        effects=() if plan is None else effects(sections, resin, plan, oven, found, (bag[0], tool[0]), covariance),
        covariance=covariance,
        oven=found,
        foreign=air.foreign,
    )


def _sum(section: Section, bag: float, tool: float, films: Floats, belief: float) -> Value:
    before = section.film_bag + section.film_tool
    each = np.array([section.film_bag * np.exp(bag), section.film_tool * np.exp(tool)])
    total = float(each.sum())
    share = each / total
    prior = belief * float(np.hypot(section.film_bag, section.film_tool)) / before
    return factor(
        "both films together", before, float(np.log(total / before)), float(np.sqrt(share @ films @ share)), prior
    )


def _heating(air: OvenFit, oven: Oven, believed: Beliefs) -> Value | None:
    if air.fit is None or not air.limited:
        return None
    size, sd = air.fit.of("heating")
    value = factor("fastest rise", air.fastest, size, sd, believed.heating)
    return replace(value, before=oven.heating)


def _cooling(air: OvenFit, oven: Oven) -> Value | None:
    if air.cooling is None:
        return None
    mean, off = air.cooling
    return Value(
        name="cooling",
        before=oven.cooling,
        value=mean,
        low=max(mean - off, 0.0),
        high=mean + off,
        left=0.0,
        told=Told.MEASURED,
    )


def _found(oven: Oven, values: dict[str, Value | None]) -> Oven:
    lag, heating, cooling = values["lag"], values["heating"], values["cooling"]
    return replace(
        lagging(oven, 0.0) if lag is None else replace(oven, lag=lag.value),
        heating=oven.heating if heating is None else heating.value,
        cooling=oven.cooling if cooling is None else cooling.value,
    )


def _offset(air: OvenFit, believed: Beliefs) -> Value | None:
    if air.fit is None:
        return None
    names = [n for r in air.readings for n in (f"offset {r.trial} {r.name}", f"sensor {r.trial} {r.name}")]
    weights = np.full(len(names), 1.0 / len(air.readings))
    values = np.array([air.fit.of(n)[0] for n in names])
    # The sum of both is told; a thermocouple that is off everywhere looks the same as air that is hotter everywhere.
    sd = float(np.sqrt(weights @ air.fit.block(*names) @ weights))
    wide = float(np.hypot(sd, believed.sensor / np.sqrt(len(air.readings))))
    return plain("air against what was asked for", 0.0, float(weights @ values), wide, believed.offset)


def _sensor(model: Films, fit: Fit, j: int) -> SensorFit:
    r, fitted, noise = model.readings[j], fit.fitted[j], fit.noises[j]
    left = r.values - fitted
    worst = int(np.argmax(np.abs(left)))
    offset, sd = fit.of(f"sensor {r.trial} {r.name}")
    return SensorFit(
        log=model.trials[r.trial].log.name,
        name=r.name,
        at=model.sections[r.section].name,
        where=r.where,
        rms=float(np.sqrt(np.mean(left**2))),
        worst=float(left[worst]),
        worst_time=float(r.time[worst]),
        offset=offset,
        offset_sd=sd,
        wander=noise.size,
        together=noise.together,
        time=r.time,
        measured=r.values,
        fitted=fitted,
    )
