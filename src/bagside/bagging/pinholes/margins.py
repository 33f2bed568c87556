"""How far each cause was from its limit, worked out from the record: one at the limit, above it safe.

Each margin is an array over the draws, with a sentence that holds its numbers. Nothing here knows where the defects
are; that is weighed later.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.bagging.air import RATE, air_left, air_time
from bagside.bagging.pinholes.record import Record
from bagside.bagging.voids import minimum_resin_pressure_kardos_1986
from bagside.quantity import shown

Floats = NDArray[np.float64]
Drawn = Mapping[str, Floats]

VOIDS = 0.01  # share of volume that may stay, the usual aim of oven cures
REJECT_DROP = 3400.0  # [Pa] in five minutes
FIVE = 300.0  # [s]
FIBRE_RADIUS = 3.5e-6  # [m] carbon
FIBRE, RESIN = 1780.0, 1220.0  # [kg/m³] where no sheet says otherwise
COMFORTABLE, WITH_SLIP = 5e-3, 3e-3  # [m] inside radius laid with ease, and with a slip joint
TIMES_THICK = 3.0  # inside radius over thickness of laminate
PLIES_EACH = 4.0  # further debulks: one for every so many plies
DEW_STEP, HEAT_STEP = 3.0, 10.0  # [K] that count as one step of a factor e
LIKELY, UNLIKELY = 0.25, 6.0  # margin where a yes or no was recorded


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Margin:
    """How far a cause was from its limit.

    Parameters
    ----------
    values
        Over the draws; one at the limit, shape (count,).
    words
        The numbers behind it, in half a sentence.
    """

    values: Floats
    words: str


def margins(record: Record, d: Drawn) -> dict[str, Margin]:
    """Return the margin of every cause, by its name.

    Parameters
    ----------
    record
        What is known.
    d
        From `drawn`.
    """
    return {name: margin(record, d) for name, margin in _MARGINS.items()}


def permeability_gebart_1992(fibre_volume: Floats, radius: float = FIBRE_RADIUS) -> Floats:
    """Return the permeability across a tow of fibres packed in hexagons.

    Parameters
    ----------
    fibre_volume
        Fibre volume fraction within the tow, below 0.9069.
    radius
        Of a fibre [m].

    Returns
    -------
    ndarray
        Permeability [m²].

    References
    ----------
    Gebart 1992, Journal of Composite Materials 26:1100, from memory: 16/(9π√6) (√(0.9069/Vf) − 1)^2.5 R².
    """
    full = np.pi / (2.0 * np.sqrt(3.0))
    out: Floats = np.asarray(
        16.0 / (9.0 * np.pi * np.sqrt(6.0)) * (np.sqrt(full / fibre_volume) - 1.0) ** 2.5 * radius**2, dtype=np.float64
    )
    return out


def _resin_pressure(d: Drawn, bag: Floats) -> Floats:
    return np.asarray(bag + (d["ambient"] - bag) * (1.0 - d["share"]), dtype=np.float64)


def _voids_of(d: Drawn, trapped: Floats, bag: Floats) -> Floats:
    """Return the share of volume that trapped gas keeps once the resin presses on it."""
    return np.asarray(d["pores"] * trapped / _resin_pressure(d, bag), dtype=np.float64)


def _mid(values: Floats) -> float:
    return float(np.median(values))


def _first_air(r: Record, d: Drawn) -> Margin:
    scale = air_time(1.0, d["permeability"], 1.0, d["pores"]) * d["path"] ** 2 / d["ambient"]
    time = d["first_debulk"] + d["hold"] * d["closed"]
    vacuum = d["vacuum"] / d["ambient"]
    left = air_left(np.maximum(time, 1e-9), scale, vacuum)
    # What the bag's own pressure leaves is another cause.
    own = np.maximum(left - vacuum, 1e-6)
    voids = _voids_of(d, own * d["ambient"], d["vacuum"])
    return Margin(
        values=VOIDS / voids,
        words=f"first debulk {shown(_mid(d['first_debulk']), 'min', 0)}; air needs "
        f"{shown(_mid(scale * 10.0 / RATE), 'min', 0)} to be down to a tenth over "
        f"{shown(_mid(d['path']), 'mm', 0)}; {100 * _mid(voids):.1f} % voids of it, 1 % are aimed at",
    )


def _later_air(r: Record, d: Drawn) -> Margin:
    breathes = d["edges_breathe"] > 0.5
    open_ = np.where(breathes, 1.0, d["blocked"])
    scale = air_time(1.0, d["permeability"] * open_, 1.0, d["pores"]) * d["path"] ** 2 / d["ambient"]
    due = np.maximum((d["plies"] - 1.0) / PLIES_EACH, 1.0)
    time = d["hold"] + d["debulk_time"] * np.minimum(d["debulks"] / due, 1.0)
    vacuum = d["vacuum"] / d["ambient"]
    own = np.maximum(air_left(np.maximum(time, 1e-9), scale, vacuum) - vacuum, 1e-6)
    voids = _voids_of(d, own * d["ambient"], d["vacuum"])
    edge = {True: "edges breathe", False: "edges did not breathe", None: "edges not recorded"}[r.edges_breathe]
    return Margin(
        values=VOIDS / voids,
        words=f"{_mid(d['debulks']):.0f} further debulks for {_mid(d['plies']):.0f} plies, "
        f"{shown(_mid(d['hold']), 'min', 0)} of hold, {edge}; {100 * _mid(voids):.1f} % voids of it",
    )


def _water(r: Record, d: Drawn) -> Margin:
    given = np.maximum(d["ambient"] - d["vacuum"], 1.0) * (1.0 - d["share"])
    one = np.asarray(minimum_resin_pressure_kardos_1986(d["liquid_hottest"], 1.0), dtype=np.float64)
    needed = one * d["humidity"]
    return Margin(
        values=given / needed,
        words=f"at {shown(_mid(d['liquid_hottest']), '°C', 0)} before gel and {100 * _mid(d['humidity']):.0f} % "
        f"humidity {shown(_mid(needed), 'mbar', 0)} are needed, {shown(_mid(given), 'mbar', 0)} given",
    )


def _condensed(r: Record, d: Drawn) -> Margin:
    room = d["room"]
    core = (
        np.full_like(room, r.opened_at)
        if r.opened_at is not None
        else room - (room - d["freezer"]) * np.exp(-d["thawed"] / d["warming"])
    )
    log = np.log(d["humidity"]) + 17.62 * (room - 273.15) / (243.12 + room - 273.15)  # Magnus, WMO-8
    dew = 243.12 * log / (17.62 - log) + 273.15
    values = np.exp((core - dew) / DEW_STEP)
    if r.wet_seen is not None:
        values = np.minimum(values, LIKELY) if r.wet_seen else np.maximum(values, math.e)
    seen = {True: ", it was moist", False: ", no moisture seen", None: ""}[r.wet_seen]
    return Margin(
        values=values,
        words=f"opened at {shown(_mid(core), '°C', 0)}, dew point {shown(_mid(dew), '°C', 0)}{seen}",
    )


def _weak(r: Record, d: Drawn) -> Margin:
    voids = _voids_of(d, d["vacuum"], d["vacuum"])
    return Margin(
        values=VOIDS / np.maximum(voids, 1e-9),
        words=f"{shown(_mid(d['vacuum']), 'mbar', 0)} left in the bag keep {100 * _mid(voids):.2f} % voids open",
    )


def _leak(r: Record, d: Drawn) -> Margin:
    return Margin(
        values=REJECT_DROP / np.maximum(d["drop"], 1.0),
        words=f"it lost {shown(_mid(d['drop']), 'mbar', 0)} in 5 min, above 34 mbar it is not cured",
    )


def _stopped(r: Record, d: Drawn) -> Margin:
    rate = d["drop"] / FIVE * d["volume"] / (d["volume"] + d["receiver"])
    # Tape leaks more when warm; the cold rate is the least it can be.
    off = np.minimum(d["vacuum"] + rate * d["unpumped"], 0.999 * d["ambient"])
    at = np.where(d["pump_on"] > 0.5, 0.0, off)
    voids = _voids_of(d, at, np.maximum(at, d["vacuum"]))
    values = np.where(d["pump_on"] > 0.5, UNLIKELY, np.minimum(VOIDS / np.maximum(voids, 1e-9), UNLIKELY))
    words = (
        "the pump ran until gel"
        if r.pump_on
        else f"{shown(_mid(off), 'mbar', 0)} in the bag at gel if the pump stopped "
        f"{shown(_mid(d['unpumped']), 'min', 0)} before"
    )
    return Margin(values=values, words=words)


def _thick(r: Record, d: Drawn) -> Margin:
    """Return how far resin gets along a tow before gel, over the way to a weave crossing."""
    if r.fluidity is not None:
        fluid = np.full_like(d["share"], r.fluidity)
    else:
        fluid = d["liquid_time"] / (d["viscosity"] * d["thickening"] ** d["life_used"])
    press = np.maximum(d["ambient"] - d["vacuum"], 1.0) * (1.0 - d["share"])
    depth = np.sqrt(2.0 * permeability_gebart_1992(d["tow"]) * press * fluid / (1.0 - d["tow"]))
    return Margin(
        values=np.maximum(depth, 1e-12) / d["step"],
        words=f"resin gets {shown(_mid(depth), 'mm', 2)} through the tows before gel, "
        f"{shown(_mid(d['step']), 'mm', 2)} are needed to the next weave crossing",
    )


def _old(r: Record, d: Drawn) -> Margin:
    return Margin(
        values=1.0 / np.maximum(d["life_used"], 0.01), words=f"{100 * _mid(d['life_used']):.0f} % of its life was used"
    )


def _starved(r: Record, d: Drawn) -> Margin:
    lost = np.where(d["perforated"] > 0.5, 0.04, 0.005) * d["bleed"]
    content = np.maximum(d["resin_content"] - lost, 0.05)
    fibre = 1.0 / (1.0 + FIBRE / RESIN * content / (1.0 - content))
    return Margin(
        values=(1.0 - fibre) / (1.0 - d["packed"]),
        words=f"{100 * _mid(content):.0f} % resin left of {100 * _mid(d['resin_content']):.0f} % fill "
        f"{100 * _mid(1.0 - fibre):.0f} % of the volume, the pressed cloth has {100 * _mid(1.0 - d['packed']):.0f} %",
    )


def radius_wanted(thickness: Floats, slip_joint: Floats) -> Floats:
    """Return the inside radius that cloth is laid into without spanning it [m].

    Parameters
    ----------
    thickness
        Of the laminate, shape (count,) [m].
    slip_joint
        Whether plies can slide in, 1 or 0, shape (count,).

    Notes
    -----
    Common practice: 5 mm and three times the laminate; with a slip joint 3 mm and half of that.
    """
    plain = np.maximum(COMFORTABLE, TIMES_THICK * thickness)
    slid = np.maximum(WITH_SLIP, 0.5 * TIMES_THICK * thickness)
    return np.where(slip_joint > 0.5, slid, plain)


def _bridged(r: Record, d: Drawn) -> Margin:
    needed = radius_wanted(d["thickness"], d["slip_joint"])
    radius = np.minimum(d["corner_radius"], 1.0)
    words = (
        "no inside corner"
        if r.corner_radius is not None and not np.isfinite(r.corner_radius)
        else f"inside radius {shown(_mid(radius), 'mm')}, {shown(_mid(needed), 'mm')} wanted"
    )
    return Margin(values=np.maximum(radius, 1e-6) / needed, words=words)


def _bag_bridged(r: Record, d: Drawn) -> Margin:
    words = {True: "the bag touched every corner", False: "the bag did not reach every corner", None: "not recorded"}
    return Margin(values=np.where(d["bag_touched"] > 0.5, UNLIKELY, LIKELY), words=words[r.bag_touched])


def _film(r: Record, d: Drawn) -> Margin:
    told = r.films_supplied is not None and r.films_removed is not None
    words = f"{r.films_removed:.0f} of {r.films_supplied:.0f} films counted" if told else "films were not counted"
    return Margin(values=np.where(d["films_right"] > 0.5, 2.0 * UNLIKELY, LIKELY), words=words)


def _mould(r: Record, d: Drawn) -> Margin:
    words = {True: "the bare mould held", False: "the bare mould leaks", None: "the bare mould was not tested"}
    return Margin(values=np.where(d["mould_tight"] > 0.5, UNLIKELY, LIKELY), words=words[r.mould_tight])


def _release(r: Record, d: Drawn) -> Margin:
    return Margin(
        values=np.exp((d["release_limit"] - d["hottest"]) / HEAT_STEP),
        words=f"it stands {shown(_mid(d['release_limit']), '°C', 0)}, the cycle reached "
        f"{shown(_mid(d['hottest']), '°C', 0)}",
    )


_MARGINS: dict[str, Callable[[Record, Drawn], Margin]] = {
    "air under the first ply": _first_air,
    "air between plies": _later_air,
    "water in the prepreg": _water,
    "opened cold": _condensed,
    "weak vacuum": _weak,
    "leak": _leak,
    "pump stopped": _stopped,
    "resin too thick": _thick,
    "old prepreg": _old,
    "starved of resin": _starved,
    "cloth spans a corner": _bridged,
    "bag spans a corner": _bag_bridged,
    "backing film left in": _film,
    "mould not tight": _mould,
    "release agent too soft": _release,
}
