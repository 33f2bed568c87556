"""What a pump makes of a leak: the pressure in the bag, and how long it takes to get there.

A pump's flow falls to nothing at its ultimate pressure, and a long thin hose passes less the thinner the air is. So
depth comes from tightness, not from a larger pump.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.errors import InputError, NotSolved

Floats = NDArray[np.float64]

AIR_VISCOSITY = 1.82e-5  # [Pa s] at 20 °C
LONGEST = 6 * 3600.0  # [s] a pump-down is followed


@dataclass(frozen=True, slots=True, kw_only=True)
class Pump:
    """A pump at the end of a hose.

    Parameters
    ----------
    flow
        At its inlet, from atmospheric pressure [m³/s].
    ultimate
        Absolute pressure at which it moves no more air [Pa].
    hose_length, hose_bore
        Between bag and pump [m]; a bore of zero for no hose.
    """

    flow: float
    ultimate: float
    hose_length: float = 0.0
    hose_bore: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what pumps nothing."""
        if not (self.flow > 0.0 and self.ultimate >= 0.0 and self.hose_length >= 0.0 and self.hose_bore >= 0.0):
            raise InputError.one("pump", f"{self.flow} m³/s down to {self.ultimate} Pa", "a flow above zero is wanted")

    def hose(self) -> float:
        """Return what the hose passes for each pascal of mean pressure [m³/(s Pa)]; infinite without a hose."""
        if not (self.hose_bore > 0.0 and self.hose_length > 0.0):
            return math.inf
        return math.pi * self.hose_bore**4 / (128.0 * AIR_VISCOSITY * self.hose_length)

    def drawn(self, bag: float) -> float:
        """Return the air drawn from a bag [Pa m³/s].

        Parameters
        ----------
        bag
            Absolute pressure in the bag [Pa].

        Notes
        -----
        At the pump flow · (p − ultimate), through the hose C (bag² − p²) / 2 for laminar flow: both are the same air,
        which is a quadratic equation in the pressure p at the pump.
        """
        c = self.hose()
        if math.isinf(c):
            return self.flow * (bag - self.ultimate)
        a = self.flow / c
        at = -a + math.sqrt(a * a + bag * bag + 2.0 * a * self.ultimate)
        return self.flow * (at - self.ultimate)


def pressure_held(pump: Pump, leak: float) -> float:
    """Return the absolute pressure at which a pump holds a leaking bag.

    Parameters
    ----------
    pump
        The pump.
    leak
        Leak [Pa m³/s].

    Returns
    -------
    float
        Absolute pressure in the bag [Pa]: ultimate + leak / flow, and more through a hose.

    Raises
    ------
    InputError
        When the leak is negative.

    Examples
    --------
    >>> round(pressure_held(Pump(flow=6 / 3600, ultimate=1000.0), 1.0))
    1600
    """
    if not leak >= 0.0:
        raise InputError.one("leak", f"{leak} Pa m³/s", "a leak of zero or more is wanted")
    at = pump.ultimate + leak / pump.flow
    c = pump.hose()
    return at if math.isinf(c) else math.sqrt(at * at + 2.0 * leak / c)


@dataclass(frozen=True, slots=True, kw_only=True)
class Soak:
    """Gas that breather, resin and mould give off under vacuum, falling with time.

    Parameters
    ----------
    first
        When pumping begins [Pa m³/s].
    half
        After which it is half of that [s]; it falls as 1 / (1 + t / half), as moist surfaces do.
    """

    first: float
    half: float

    def at(self, time: float) -> float:
        """Return what is given off [Pa m³/s].

        Parameters
        ----------
        time
            Since pumping began [s].
        """
        return self.first / (1.0 + time / self.half)


def time_to_reach(
    pump: Pump, volume: float, target: float, *, start: float, leak: float = 0.0, soak: Soak | None = None
) -> float | None:
    """Return how long a pump takes to bring a bag to a pressure.

    Parameters
    ----------
    pump
        The pump.
    volume
        Free volume of bag and lines [m³].
    target, start
        Absolute pressures [Pa].
    leak
        Leak [Pa m³/s].
    soak
        What else gives off gas.

    Returns
    -------
    float or None
        Time [s]; None when it is not reached within six hours.

    Raises
    ------
    InputError
        When volume is not positive or the target is not below the start.
    NotSolved
        When the integration fails.

    Notes
    -----
    V dp/dt = leak + soak(t) − drawn(p). Without hose, leak and soak, and an ultimate pressure of zero, it is the ideal
    V / S · ln(start / target).
    """
    if not (volume > 0.0 and 0.0 < target < start and leak >= 0.0):
        raise InputError.one(
            "pump-down", f"{volume} m³ from {start} to {target} Pa", "a volume and a target below the start are wanted"
        )

    def slope(t: float, p: Floats) -> list[float]:
        return [(leak + (soak.at(t) if soak else 0.0) - pump.drawn(float(p[0]))) / volume]

    def there(t: float, p: Floats) -> float:
        return float(p[0]) - target

    from scipy.integrate import solve_ivp

    there.terminal = True  # type: ignore[attr-defined]
    there.direction = -1.0  # type: ignore[attr-defined]
    solved = solve_ivp(
        slope, (0.0, LONGEST), [start], method="LSODA", events=there, rtol=1e-8, atol=1e-6 * target, first_step=1e-3
    )
    if not solved.success:
        raise NotSolved(f"the pump-down could not be followed: {solved.message}")
    return float(solved.t_events[0][0]) if len(solved.t_events[0]) else None


def time_held(
    volume: float, leak: float, start: float, limit: float, *, ambient: float, receiver: float = 0.0
) -> float:
    """Return how long a bag stays under a pressure when its pump stops.

    Parameters
    ----------
    volume
        Free volume of bag and lines behind the non-return valve [m³].
    leak
        Leak at full vacuum [Pa m³/s].
    start, limit
        Absolute pressures, now and when the margin is lost [Pa].
    ambient
        Absolute ambient pressure [Pa].
    receiver
        Volume of a receiver at the same pressure, open to the bag [m³].

    Returns
    -------
    float
        Time [s]; infinite for a bag that does not leak.

    Raises
    ------
    InputError
        When pressures do not rise from start over limit to ambient, or the volume is not positive.

    Notes
    -----
    The leak stays the same while the bag is below half of ambient pressure (choked flow), so above that the answer is
    on the short side, which is the safe one.
    """
    if not (volume > 0.0 and receiver >= 0.0 and leak >= 0.0 and start >= 0.0 and limit < ambient):
        raise InputError.one(
            "pump stopped",
            f"{volume} m³, {start} to {limit} Pa, {ambient} Pa outside",
            "pressures below ambient and a volume are wanted",
        )
    if start >= limit:
        return 0.0
    return math.inf if leak == 0.0 else (volume + receiver) * (limit - start) / leak
