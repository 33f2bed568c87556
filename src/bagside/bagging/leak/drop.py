"""A leak test: readings of a bag with its pump shut off, the leak they mean, and what each criterion says."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from bagside.bagging.criteria import CRITERIA, Criterion
from bagside.bagging.leak.curve import RiseVerdict, rise_verdict
from bagside.bagging.leak.gauge import ROOM, Reading, checked_readings
from bagside.bagging.leak.hole import hole_diameter
from bagside.bagging.leak.volume import FreeVolume
from bagside.bagging.vacuum import standard_flow
from bagside.findings import Basis, weakest

SURE = 2.0  # standard deviations between a drop and its limit that count as told


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """What one criterion says about a leak test.

    Parameters
    ----------
    criterion
        Which.
    drop, drop_spread
        Loss of vacuum scaled to the criterion's time, and its standard deviation [Pa].
    allowed
        What it allows [Pa].
    tight
        Whether the drop is within it; None when the gauge's steps do not tell.
    deep
        Whether the vacuum reached is what it asks for.
    needed
        Length of a test with this gauge that would tell [s]; zero when this one did.
    """

    criterion: Criterion
    drop: float
    drop_spread: float
    allowed: float
    tight: bool | None
    deep: bool
    needed: float

    @property
    def passed(self) -> bool | None:
        """Whether the bag meets it; None when the test was too short to tell."""
        if not self.deep or self.tight is False:
            return False
        return self.tight


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakTest:
    """A leak test, worked out.

    Parameters
    ----------
    reached
        Absolute pressure when the pump was shut off [Pa].
    ambient
        Absolute ambient pressure of the last reading [Pa].
    temperature
        To which pressures were corrected: that of the first reading [K].
    time
        From the first to the last reading [s].
    rise, rise_spread
        Of absolute pressure at one temperature, and its standard deviation [Pa].
    raw
        Rise as the gauges showed it: not corrected for temperature or ambient pressure [Pa].
    volume
        Free volume.
    leak, leak_spread
        All gas that came in or was given off, and its standard deviation [Pa m³/s].
    judged
        What each criterion says, in the order of the table.
    curve
        Leak told from outgassing, from three readings on; None with two.
    basis
        Of the leak's size.
    """

    reached: float
    ambient: float
    temperature: float
    time: float
    rise: float
    rise_spread: float
    raw: float
    volume: FreeVolume
    leak: float
    leak_spread: float
    judged: tuple[Judged, ...]
    curve: RiseVerdict | None
    basis: Basis

    @property
    def flow(self) -> float:
        """The leak as air at 1013 mbar [m³/s]."""
        return standard_flow(max(self.leak, 0.0))

    @property
    def flow_spread(self) -> float:
        """Standard deviation of the flow [m³/s]."""
        return standard_flow(self.leak_spread)

    @property
    def hole(self) -> float:
        """Diameter of the round hole that leaks as much [m]."""
        return hole_diameter(max(self.leak, 0.0), self.ambient, self.reached, self.temperature)

    @property
    def told(self) -> bool:
        """Whether the leak stands out of the gauge's steps."""
        return self.rise > SURE * self.rise_spread

    def of(self, name: str) -> Judged:
        """Return what one criterion says.

        Parameters
        ----------
        name
            Of the criterion.

        Raises
        ------
        KeyError
            When there is none of that name.
        """
        for j in self.judged:
            if j.criterion.name == name:
                return j
        raise KeyError(name)


def leak_test(readings: tuple[Reading, ...], volume: FreeVolume) -> LeakTest:
    """Return a leak test, worked out.

    Parameters
    ----------
    readings
        Two or more, the first when the pump was shut off, 10 to 15 min after pumping began.
    volume
        Free volume of bag and lines.

    Returns
    -------
    LeakTest

    Raises
    ------
    InputError
        With everything that is wrong with the readings.

    Notes
    -----
    Pressures are brought to the first reading's temperature (p / T stays for the same air) before they are compared;
    temperatures of readings that do not say lie on the line between those that do.
    The rise is that of a straight line through all readings, each weighed by its gauge's step; its spread comes from
    those steps alone. Criteria scale it straight to their time, which holds while the bag is below half of ambient.
    """
    rows = checked_readings(readings)
    t = np.array([r.time for r in rows])
    told = [(r.time, r.temperature) for r in rows if r.temperature is not None]
    warmth = np.interp(t, [x for x, _ in told], [y for _, y in told]) if told else np.full(len(t), ROOM)
    base = float(warmth[0])
    p = np.array([r.pressure for r in rows]) * base / warmth
    s = np.array([r.spread for r in rows])
    length = float(t[-1] - t[0])
    weight = 1.0 / s**2
    middle = float((weight * t).sum() / weight.sum())
    strength = float((weight * (t - middle) ** 2).sum())
    slope = float((weight * (t - middle) * p).sum() / strength)
    slope_spread = strength**-0.5
    raw = rows[-1].shows - rows[0].shows
    if rows[0].gauge is not rows[-1].gauge:
        raw = rows[-1].pressure - rows[0].pressure
    elif rows[0].gauge.value != "absolute":
        raw = abs(rows[0].shows) - abs(rows[-1].shows)
    leak = volume.value * slope
    spread = math.hypot(volume.value * slope_spread, volume.spread * slope)
    return LeakTest(
        reached=rows[0].pressure,
        ambient=rows[-1].ambient,
        temperature=base,
        time=length,
        rise=slope * length,
        rise_spread=slope_spread * length,
        raw=raw,
        volume=volume,
        leak=leak,
        leak_spread=spread,
        judged=tuple(_judged(c, rows[0], slope, slope_spread, length) for c in CRITERIA),
        curve=rise_verdict(t, p, s) if len(rows) > 2 else None,
        basis=weakest(Basis.MEASURED, volume.basis),
    )


def _judged(c: Criterion, first: Reading, slope: float, spread: float, length: float) -> Judged:
    reached = first.ambient - first.pressure
    allowed = c.allowed_drop(reached)
    drop, sd = slope * c.time, spread * c.time
    apart = allowed - drop
    told = abs(apart) >= SURE * sd
    # A slope from two readings has a spread of a constant over the length; so has the length that would tell.
    needed = 0.0 if told else length * SURE * sd / max(abs(apart), 0.25 * allowed)
    deep = (c.deepest is None or first.pressure <= c.deepest) and reached >= c.least_vacuum(first.ambient)
    return Judged(
        criterion=c,
        drop=drop,
        drop_spread=sd,
        allowed=allowed,
        tight=apart >= 0.0 if told else None,
        deep=deep,
        needed=needed,
    )
