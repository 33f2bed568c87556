"""Readings that cannot be: pressures above the weather, times that are none, masses below zero."""

from __future__ import annotations

from bagside.errors import Problem
from bagside.ledger.bodies import Cured, Debulked, Found, Measured, Pulled
from bagside.ledger.things import Build
from bagside.quantity import shown

WEATHER = 1.05
"""How far ambient pressure may be above that of the plan: weather moves it by ±3 % (980 to 1035 mbar), the rest is the
gauge's. Common practice."""

LOWEST, HIGHEST = 50e3, 110e3
"""Ambient pressures that people work in [Pa]: from about 5500 m to the highest measured at sea level (1085 mbar)."""

FELL = 500.0
"""By how much pressure in a shut bag may seem to fall [Pa]: a bag that cools by 10 K at 30 mbar falls by 1 mbar."""

ABSOLUTE = "absolute pressure is wanted: ambient less what a gauge below ambient shows"
YES_NO = (Found.WATER_BREAK, Found.TAP)
ABOVE_ZERO = {Found.MASS: "g", Found.THICKNESS: "mm", Found.DRY_FILM: "µm"}
WARMTH = (Found.CLIMATE, Found.CORE, Found.DEMOULD)
NOT_BELOW = {Found.PINHOLES: "", Found.HOURS: "h", Found.THERMOCOUPLES: "", Found.LEAK: ""}


def debulked_problems(body: Debulked, build: Build) -> list[Problem]:
    """Return what cannot be in a debulk.

    Parameters
    ----------
    body
        The debulk.
    build
        Of which.
    """
    plies = [p.number for p in build.planned.plies]
    place = f"{build.name}, debulk"
    wrong: list[Problem] = []
    if body.after not in plies:
        has = f"it has plies {min(plies)} to {max(plies)}" if plies else "it has no plies"
        wrong.append(Problem(place=f"{place}, after ply", came=str(body.after), wanted=f"no such ply: {has}"))
    if not body.seconds > 0.0:
        wrong.append(Problem(place=f"{place}, time", came=f"{body.seconds:g} s", wanted="a time above zero is wanted"))
    wrong += _vacuum(place, body.pressure, build.planned.ambient)
    wrong += _warm(place, body.temperature)
    return wrong


def cured_problems(body: Cured, build: Build) -> list[Problem]:
    """Return what cannot be in a cure.

    Parameters
    ----------
    body
        The cure.
    build
        One that was in it.
    """
    place = f"{build.name}, cure"
    wrong: list[Problem] = []
    if body.seconds < 0.0:
        wrong.append(
            Problem(place=f"{place}, time", came=f"{body.seconds:g} s", wanted="a time not below zero is wanted")
        )
    if body.cure is not None and not 0.0 <= body.cure <= 1.0:
        wrong.append(Problem(place=f"{place}, degree", came=f"{100 * body.cure:g} %", wanted="0 to 100 % is wanted"))
    for warmth in (body.tg, body.hottest_part, body.hottest_tool):
        wrong += _warm(place, warmth)
    if body.pressure is not None:
        wrong += _vacuum(place, body.pressure, build.planned.ambient)
    return wrong


def pulled_problems(body: Pulled, build: Build) -> list[Problem]:
    """Return what cannot be when a part comes off its mould.

    Parameters
    ----------
    body
        What is stated.
    build
        Which.
    """
    wrong = _warm(f"{build.name}, demould", body.temperature)
    if build.pulled is not None:
        before = build.pulled
        wanted = f"{before.who} pulled it off {before.what.mould} {before.at:%Y-%m-%d %H:%M} UTC"
        wrong.append(
            Problem(
                place=f"{build.name}, demould", came=f'"{body.mould}"', wanted=wanted,
                hint="correct that event if it was wrong",
            )
        )  # fmt: skip
    return wrong


def measured_problems(body: Measured, build: Build) -> list[Problem]:
    """Return what cannot be measured on a build.

    Parameters
    ----------
    body
        The measurement.
    build
        Of which.
    """
    found, value = body.found, body.value
    place = f"{build.name}, {found.value}"
    wrong: list[Problem] = []
    if found in ABOVE_ZERO and not value > 0.0:
        came = shown(value, ABOVE_ZERO[found])
        wrong.append(Problem(place=place, came=came, wanted="more than zero is wanted"))
    elif found in NOT_BELOW and value < 0.0:
        unit = NOT_BELOW[found]
        came = shown(value, unit) if unit else f"{value:g}"
        wrong.append(Problem(place=place, came=came, wanted="zero or more is wanted"))
    elif found is Found.PINHOLES and value != int(value):
        wrong.append(Problem(place=place, came=f"{value:g}", wanted="a whole number is wanted"))
    elif found in YES_NO and value not in (0.0, 1.0):
        wrong.append(Problem(place=place, came=f"{value:g}", wanted="passed or not is wanted"))
    elif found in WARMTH:
        wrong += _warm(place, value)
    if found is Found.MASS and body.stage is None:
        wanted = "at which moment it was weighed is wanted: kit, laid, raw, trimmed or finished"
        wrong.append(Problem(place=f"{place}, stage", came="", wanted=wanted))
    if found is Found.CLIMATE and body.humidity is None:
        wrong.append(Problem(place=f"{place}, humidity", came="", wanted="the humidity is wanted with the temperature"))
    if body.humidity is not None and not 0.0 <= body.humidity <= 1.0:
        came = f"{100 * body.humidity:g} %"
        wrong.append(Problem(place=f"{place}, humidity", came=came, wanted="0 to 100 % is wanted"))
    if body.sigma is not None and body.sigma < 0.0:
        wrong.append(Problem(place=f"{place}, spread", came=f"{body.sigma:g}", wanted="zero or more is wanted"))
    if found is Found.LEAK:
        wrong += _leak(place, body, build)
    return wrong


def _leak(place: str, body: Measured, build: Build) -> list[Problem]:
    """Return what cannot be in a leak test."""
    wrong: list[Problem] = []
    ambient = body.ambient if body.ambient is not None else build.planned.ambient
    if body.ambient is not None and not LOWEST <= body.ambient <= HIGHEST:
        came = shown(body.ambient, "mbar", 0)
        wanted = "no weather is like that: 500 to 1100 mbar is wanted"
        return [Problem(place=f"{place}, ambient", came=came, wanted=wanted, hint="a barometer shows it")]
    for word, pressure in (("start", body.start), ("end", body.end)):
        if pressure is None:
            wrong.append(Problem(place=f"{place}, {word}", came="", wanted=f"the pressure is wanted; {ABSOLUTE}"))
        else:
            wrong += _vacuum(f"{place}, {word}", pressure, ambient)
    if body.seconds is None or not body.seconds > 0.0:
        came = "" if body.seconds is None else f"{body.seconds:g} s"
        wanted = "how long the pump was shut off is wanted, more than zero"
        wrong.append(Problem(place=f"{place}, time", came=came, wanted=wanted))
    if body.volume is not None and not body.volume > 0.0:
        came = shown(body.volume, "L")
        wrong.append(Problem(place=f"{place}, volume", came=came, wanted="more than zero is wanted"))
    if not wrong and body.start is not None and body.end is not None and body.end < body.start - FELL:
        came = f"{shown(body.start, 'mbar', 0)} to {shown(body.end, 'mbar', 0)}"
        wanted = "a bag that is shut off does not get better: the pump was still on, or the readings are swapped"
        wrong.append(Problem(place=place, came=came, wanted=wanted, hint="shut the valve at the bag and test again"))
    return wrong


def _vacuum(place: str, pressure: float, ambient: float) -> list[Problem]:
    """Return that a pressure in a bag cannot be."""
    if not pressure > 0.0:
        return [Problem(place=f"{place}, pressure", came=shown(pressure, "mbar", 0), wanted=ABSOLUTE)]
    if pressure > WEATHER * ambient:
        wanted = f"that is above ambient, {shown(ambient, 'mbar', 0)}; {ABSOLUTE}"
        return [Problem(place=f"{place}, pressure", came=shown(pressure, "mbar", 0), wanted=wanted)]
    return []


def _warm(place: str, temperature: float | None) -> list[Problem]:
    if temperature is None or temperature > 0.0:
        return []
    wanted = "nothing is colder than −273.15 °C"
    return [Problem(place=f"{place}, temperature", came=shown(temperature, "°C", 0), wanted=wanted)]
