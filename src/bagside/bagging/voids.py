"""Whether water in the prepreg makes voids before the resin sets.

Water dissolved in resin comes out as vapour when its pressure exceeds the resin's. Ambient pressure is all a bag can
give, so moist prepreg has to gel cool.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.bagging.vacuum import ATMOSPHERE
from bagside.errors import InputError
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown

Floats = NDArray[np.float64]

KARDOS_TEMPERATURES = (280.0, 460.0)  # [K] where the fit stays within 5 % of steam tables
_KARDOS_A = 4962.0 * ATMOSPHERE * 100.0  # [Pa] printed for atm and percent; here for Pa and a fraction
_KARDOS_B = 4892.0  # [K]


def _checked_water(T: float | Floats, humidity: float) -> Floats:
    temperature = np.asarray(T, dtype=np.float64)
    low, high = KARDOS_TEMPERATURES
    if not ((temperature >= low) & (temperature <= high)).all():
        raise InputError.one("void growth", f"{T} K", f"temperatures between {low:.0f} and {high:.0f} K are wanted")
    if not 0.0 <= humidity <= 1.0:
        raise InputError.one("void growth", f"humidity {humidity}", "a relative humidity between 0 and 1 is wanted")
    return temperature


def minimum_resin_pressure_kardos_1986(T: float | Floats, humidity: float) -> float | Floats:
    """Return the resin pressure below which voids of water vapour grow.

    Parameters
    ----------
    T
        Temperature of the resin [K], one or many.
    humidity
        Relative humidity in which the prepreg came to rest, 0…1.

    Returns
    -------
    float or ndarray
        Absolute pressure in the resin [Pa], as many as temperatures.

    Raises
    ------
    InputError
        Outside 280…460 K or 0…1.

    Notes
    -----
    Constants belong to one early epoxy and to prepreg in equilibrium with the room: use it to rank risk.

    References
    ----------
    Kardos, Dudukovic & Dave 1986, Advances in Polymer Science 80: p[atm] = 4962 exp(−4892/T) RH[%], quoted from memory.

    Examples
    --------
    >>> round(minimum_resin_pressure_kardos_1986(393.15, 0.5) / 101325, 3)
    0.979
    """
    temperature = _checked_water(T, humidity)
    pressure: Floats = _KARDOS_A * np.exp(-_KARDOS_B / temperature) * humidity
    return float(pressure) if pressure.ndim == 0 else pressure


def hottest_gel_temperature(pressure: float, humidity: float) -> float:
    """Return the hottest temperature at which resin under a pressure may gel without growing voids of water.

    Parameters
    ----------
    pressure
        Absolute pressure in the resin [Pa].
    humidity
        Relative humidity in which the prepreg came to rest, above 0 up to 1.

    Returns
    -------
    float
        Temperature [K].

    Raises
    ------
    InputError
        When the pressure or humidity is not above zero, or the answer lies outside 280…460 K.

    Notes
    -----
    The inverse of `minimum_resin_pressure_kardos_1986`.
    """
    if not (pressure > 0 and 0 < humidity <= 1):
        raise InputError.one(
            "void growth", f"{pressure} Pa, humidity {humidity}", "a pressure and a humidity above zero are wanted"
        )
    ratio = _KARDOS_A * humidity / pressure
    T = _KARDOS_B / math.log(ratio) if ratio > 1 else math.inf
    _checked_water(T, humidity)
    return T


def hottest_gel_temperatures(pressure: Floats, humidity: float) -> Floats:
    """Return `hottest_gel_temperature` for many pressures, not a number where there is no answer.

    Parameters
    ----------
    pressure
        Absolute pressures in the resin, any shape [Pa].
    humidity
        Relative humidity in which the prepreg came to rest, above 0 up to 1.

    Returns
    -------
    ndarray
        Temperatures [K]; not a number where the pressure is zero or less or the answer lies outside 280…460 K.
    """
    p = np.asarray(pressure, dtype=np.float64)
    ratio = np.divide(_KARDOS_A * humidity, p, out=np.full(p.shape, np.nan), where=p > 0.0)
    T = _KARDOS_B / np.log(np.where(ratio > 1.0, ratio, np.nan))
    low, high = KARDOS_TEMPERATURES
    out: Floats = np.where((low <= T) & (high >= T), T, np.nan)
    return out


@dataclass(frozen=True, slots=True, kw_only=True)
class VoidMargin:
    """Whether water in the prepreg makes voids when the resin gels.

    Parameters
    ----------
    needed
        Resin pressure needed at gelation [Pa].
    given
        Resin pressure there is [Pa].
    margin
        Given over needed; above one is safe by this criterion.
    """

    needed: float
    given: float
    margin: float


def void_margin(gel_temperature: float, resin_pressure: float, humidity: float) -> VoidMargin:
    """Return the margin against voids of water at gelation.

    Parameters
    ----------
    gel_temperature
        Temperature at which the resin gels [K].
    resin_pressure
        Absolute pressure in the resin: what presses on the laminate, less what fibres carry [Pa].
    humidity
        Relative humidity of the room where the prepreg was laid, above 0 up to 1.

    Returns
    -------
    VoidMargin
        Pressures [Pa] and their ratio.

    Raises
    ------
    InputError
        Outside the range of `minimum_resin_pressure_kardos_1986`, or when pressure or humidity is not above zero.
    """
    if not (resin_pressure > 0 and humidity > 0):
        raise InputError.one(
            "void growth", f"{resin_pressure} Pa, humidity {humidity}", "a pressure and a humidity above 0 are wanted"
        )
    needed = float(minimum_resin_pressure_kardos_1986(gel_temperature, humidity))
    return VoidMargin(needed=needed, given=resin_pressure, margin=resin_pressure / needed)


def void_findings(gel_temperature: float, resin_pressure: float, humidity: float) -> tuple[Finding, ...]:
    """Return a finding when water may make voids at gelation.

    Parameters
    ----------
    gel_temperature, resin_pressure, humidity
        As for `void_margin`.

    Raises
    ------
    InputError
        As `void_margin`.
    """
    m = void_margin(gel_temperature, resin_pressure, humidity)
    if m.margin >= 1.25:
        return ()
    safe = m.margin >= 1.0
    coolest = _KARDOS_B / math.log(_KARDOS_A * humidity / (resin_pressure / 1.25))
    return (
        Finding(
            severity=Severity.WATCH if safe else Severity.DECIDE,
            stage="bagging",
            place="resin at gelation",
            what=f"resin gels at {shown(gel_temperature, '°C', 0)} under {shown(m.given, 'mbar', 0)}; "
            f"{shown(m.needed, 'mbar', 0)} are needed at {shown(humidity, '%', 0)} humidity",
            why="below that, water in the prepreg boils into voids before the resin sets",
            do=f"let it gel at {math.floor(coolest - 273.15)} °C or cooler, or dry the lay-up under vacuum overnight",
            basis=Basis.PUBLISHED,
            source="Kardos, Dudukovic & Dave 1986; for ranking risk, not a limit",
        ),
    )
