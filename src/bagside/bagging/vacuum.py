"""Vacuum: what the air outside gives, how long the pump takes, how much leaks, and whether water makes voids.

Pressures are absolute [Pa] unless a name says otherwise. A fixed reading below ambient cannot be met at altitude: what
holds the part together is today's ambient pressure minus what is left in the bag.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.bagging.criteria import CRITERIA, Criterion
from bagside.errors import InputError
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown

Floats = NDArray[np.float64]

ATMOSPHERE = 101325.0  # [Pa] standard
ALTITUDES = (-500.0, 11000.0)  # [m] troposphere of the standard atmosphere
KARDOS_TEMPERATURES = (280.0, 460.0)  # [K] where the fit stays within 5 % of steam tables
_KARDOS_A = 4962.0 * ATMOSPHERE * 100.0  # [Pa] printed for atm and percent; here for Pa and a fraction
_KARDOS_B = 4892.0  # [K]


def ambient_pressure(altitude: float) -> float:
    """Return the ambient pressure of the standard atmosphere.

    Parameters
    ----------
    altitude
        Above sea level [m].

    Returns
    -------
    float
        Pressure [Pa].

    Raises
    ------
    InputError
        Outside −500…11 000 m.

    Notes
    -----
    Weather moves it by ±3 %; today's barometer is better.

    References
    ----------
    International standard atmosphere, ISO 2533.

    Examples
    --------
    >>> round(ambient_pressure(500.0) / 100)
    955
    """
    if not ALTITUDES[0] <= altitude <= ALTITUDES[1]:
        raise InputError.one("altitude", f"{altitude} m", "a height between −500 and 11 000 m is wanted")
    return float(ATMOSPHERE * (1.0 - 0.0065 * altitude / 288.15) ** 5.25588)


def available_pressure(ambient: float, left: float) -> float:
    """Return what presses on the laminate: ambient pressure minus the pressure left in the bag.

    Parameters
    ----------
    ambient
        Absolute pressure around the bag [Pa].
    left
        Absolute pressure left in the bag [Pa].

    Returns
    -------
    float
        Pressure on the laminate [Pa].

    Raises
    ------
    InputError
        When the bag is above ambient or a pressure is negative.
    """
    if not 0.0 <= left <= ambient:
        raise InputError.one(
            "vacuum", f"{left} Pa in the bag, {ambient} Pa outside", "absolute pressures are wanted, less in the bag"
        )
    return ambient - left


def pump_down(volume: float, flow: float, start: float, end: float) -> float:
    """Return the ideal time to pump a volume down.

    Parameters
    ----------
    volume
        Free volume of bag and lines [m³].
    flow
        Of the pump at its inlet [m³/s].
    start, end
        Absolute pressures [Pa].

    Returns
    -------
    float
        Time [s].

    Raises
    ------
    InputError
        When volume or flow is not positive or the end is not below the start and above zero.

    Notes
    -----
    Constant flow, tight bag, no gas from breather or resin: real bags take three to five times as long.
    """
    if not (volume > 0 and flow > 0):
        raise InputError.one("pump-down", f"{volume} m³, {flow} m³/s", "a volume and a flow above zero are wanted")
    if not 0 < end <= start:
        raise InputError.one("pump-down", f"{start} to {end} Pa", "absolute pressures are wanted, the end above zero")
    return volume / flow * math.log(start / end)


def leak_rate(volume: float, rise: float, time: float) -> float:
    """Return the leak that makes the pressure in an isolated bag rise.

    Parameters
    ----------
    volume
        Free volume of the bag [m³].
    rise
        Of absolute pressure [Pa].
    time
        During which it rose [s].

    Returns
    -------
    float
        Leak [Pa m³/s].

    Raises
    ------
    InputError
        When volume or time is not positive or the rise is negative.

    Notes
    -----
    Right after pumping, moisture and breather still give off gas and read as a leak; pump 10 to 15 min first.
    """
    if not (volume > 0 and time > 0 and rise >= 0):
        raise InputError.one(
            "leak test", f"{volume} m³, {rise} Pa, {time} s", "a volume and a time above zero and a rise are wanted"
        )
    return volume * rise / time


def standard_flow(leak: float) -> float:
    """Return a leak as a flow of air at standard pressure.

    Parameters
    ----------
    leak
        Leak [Pa m³/s].

    Returns
    -------
    float
        Flow at 1013.25 mbar [m³/s]; one standard cm³/min is 1.667e-8 m³/s.
    """
    return leak / ATMOSPHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakVerdict:
    """What one criterion says about a leak test.

    Parameters
    ----------
    criterion
        Which.
    passed
        Whether the bag meets it.
    drop
        Loss of vacuum scaled to the criterion's time [Pa].
    allowed
        What it allows in that time [Pa].
    """

    criterion: Criterion
    passed: bool
    drop: float
    allowed: float


def leak_verdicts(*, ambient: float, pulled: float, drop: float, time: float) -> tuple[LeakVerdict, ...]:
    """Return what each criterion says about a bag whose pump was shut off.

    Parameters
    ----------
    ambient
        Absolute ambient pressure today [Pa].
    pulled
        Absolute pressure in the bag when the pump was shut off [Pa].
    drop
        Rise of absolute pressure since [Pa].
    time
        Since then [s].

    Returns
    -------
    tuple of LeakVerdict
        One for each criterion, in the order of the table.

    Raises
    ------
    InputError
        When pressures or time make no sense.

    Notes
    -----
    The drop is scaled linearly to each criterion's time, which is fair while the bag stays well below ambient.
    """
    reached = available_pressure(ambient, pulled)
    if not (time > 0 and drop >= 0):
        raise InputError.one("leak test", f"{drop} Pa in {time} s", "a rise of zero or more and a time are wanted")
    out = []
    for c in CRITERIA:
        scaled = drop * c.time / time
        allowed = c.allowed_drop(reached)
        deep = c.deepest is None or pulled <= c.deepest
        strong = c.least is None or reached >= c.least_vacuum(ambient)
        out.append(LeakVerdict(criterion=c, passed=scaled <= allowed and deep and strong, drop=scaled, allowed=allowed))
    return tuple(out)


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
