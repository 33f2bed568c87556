"""Vacuum: what the air outside gives, how long the pump takes and how much leaks.

Pressures are absolute [Pa] unless a name says otherwise. A fixed reading below ambient cannot be met at altitude: what
holds the part together is today's ambient pressure minus what is left in the bag.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from bagside.bagging.criteria import CRITERIA, Criterion
from bagside.errors import InputError

ATMOSPHERE = 101325.0  # [Pa] standard
ALTITUDES = (-500.0, 11000.0)  # [m] troposphere of the standard atmosphere


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
