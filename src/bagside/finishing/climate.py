"""Dew point, and whether a surface is warm and the air dry enough to coat."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bagside.errors import InputError
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown

ABOVE_DEW = 3.0  # [K] ISO 8502-4, the usual rule
WARMEST = 308.15  # [K] to which a room is heated to dry its air
_B, _C, _ES0 = 17.62, 243.12, 611.2  # Magnus over water, WMO-8 (2008): –, °C, Pa


@dataclass(frozen=True, slots=True, kw_only=True)
class Climate:
    """The air and the surface to be coated.

    Parameters
    ----------
    air, surface, dew_point
        [K].
    humidity
        Relative, 0 to 1.
    """

    air: float
    surface: float
    dew_point: float
    humidity: float

    @property
    def margin(self) -> float:
        """By how much the surface is above the dew point [K]."""
        return self.surface - self.dew_point


def saturation_pressure_magnus(temperature: float) -> float:
    """Return the pressure of saturated water vapour over water [Pa].

    Parameters
    ----------
    temperature
        −45 to 60 °C [K].

    Raises
    ------
    InputError
        Outside that range.

    References
    ----------
    WMO-8, Guide to Meteorological Instruments, 2008, annex 4.B.
    """
    celsius = temperature - 273.15
    if not -45.0 <= celsius <= 60.0:
        raise InputError.one("air", f"{celsius:.1f} °C", "a temperature from −45 to 60 °C is wanted")
    return _ES0 * math.exp(_B * celsius / (_C + celsius))


def dew_point_magnus(temperature: float, humidity: float) -> float:
    """Return the dew point [K].

    Parameters
    ----------
    temperature
        Of the air [K].
    humidity
        Relative, above 0 up to 1.

    Raises
    ------
    InputError
        When either is out of range.

    References
    ----------
    WMO-8, Guide to Meteorological Instruments, 2008, annex 4.B.
    """
    if not 0.0 < humidity <= 1.0:
        raise InputError.one("humidity", f"{100 * humidity:g} %", "more than 0 and at most 100 % is wanted")
    return _saturated_at(humidity * saturation_pressure_magnus(temperature))


def warmed_until(temperature: float, humidity: float, wanted: float) -> float:
    """Return how warm air must get, no water added, until it is as dry as wanted [K].

    Parameters
    ----------
    temperature
        Of the air now [K].
    humidity
        Relative, now.
    wanted
        Relative humidity to reach, above 0 up to 1.

    Returns
    -------
    float
        The temperature now when the air is dry enough already [K].

    Raises
    ------
    InputError
        When one is out of range.

    Notes
    -----
    A heater that burns gas or paraffin in the room adds water: this does not hold for it.

    References
    ----------
    WMO-8, Guide to Meteorological Instruments, 2008, annex 4.B.
    """
    dew_point_magnus(temperature, humidity)  # refuses what is out of range
    if not 0.0 < wanted <= 1.0:
        raise InputError.one("humidity wanted", f"{100 * wanted:g} %", "more than 0 and at most 100 % is wanted")
    if humidity <= wanted:
        return temperature
    return _saturated_at(humidity / wanted * saturation_pressure_magnus(temperature))


def _saturated_at(pressure: float) -> float:
    g = math.log(pressure / _ES0)
    return _C * g / (_B - g) + 273.15


def climate_of(air: float, humidity: float, surface: float | None = None) -> Climate:
    """Return the climate.

    Parameters
    ----------
    air
        [K].
    humidity
        Relative, above 0 up to 1.
    surface
        Of the part [K]; as warm as the air when not stated.

    Returns
    -------
    Climate
        With its dew point.

    Raises
    ------
    InputError
        When air or humidity is out of range.
    """
    return Climate(
        air=air,
        surface=air if surface is None else surface,
        dew_point=dew_point_magnus(air, humidity),
        humidity=humidity,
    )


def climate_findings(climate: Climate, *, coldest: float, wettest: float, place: str) -> tuple[Finding, ...]:
    """Return whether coating must wait, and for what.

    Parameters
    ----------
    climate
        Air and surface.
    coldest, wettest
        Limits of the coat: temperature [K] and relative humidity.
    place
        Which coat.

    Returns
    -------
    tuple of Finding
        Empty when it may be coated.
    """
    found: list[Finding] = []

    def note(severity: Severity, what: str, why: str, do: str, source: str, basis: Basis) -> None:
        found.append(
            Finding(
                severity=severity, stage="finishing", place=place, what=what, why=why, do=do, basis=basis, source=source
            )
        )

    wanted = climate.dew_point + ABOVE_DEW
    if climate.surface < wanted:
        note(
            Severity.STOP,
            f"the surface is {shown(climate.surface, '°C')}, the dew point {shown(climate.dew_point, '°C')}",
            "water condenses on the part and the coat turns white or lifts",
            f"warm the part to {shown(wanted, '°C')} or more, or dry the air",
            "ISO 8502-4: 3 K above the dew point",
            Basis.PUBLISHED,
        )
    if min(climate.surface, climate.air) < coldest:
        note(
            Severity.DECIDE,
            f"the shop is {shown(min(climate.surface, climate.air), '°C')}; this coat wants {shown(coldest, '°C')}",
            "a cold coat does not flow, traps solvent and stays soft",
            "warm shop, part and paint for half a day, or bake as its sheet says; no flame near solvent",
            "limit stated with the coating",
            Basis.COMMON,
        )
    if climate.humidity > wettest:
        warm = warmed_until(climate.air, climate.humidity, wettest)
        note(
            Severity.DECIDE,
            f"the air holds {shown(climate.humidity, '%', 0)}; this coat allows {shown(wettest, '%', 0)}",
            "damp air makes an amine bloom or fogs the clear",
            f"heat the room to {shown(warm, '°C', 0)} with a heater that burns nothing in it, or wait for drier air"
            if warm <= WARMEST
            else "wait for drier air or dry it: heating the room alone does not do it",
            "limit stated with the coating",
            Basis.COMMON,
        )
    return tuple(found)
