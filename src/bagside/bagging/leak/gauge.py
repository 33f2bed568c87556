"""A reading of a vacuum gauge as absolute pressure, whichever kind of gauge it came from.

A dial that shows pressure below ambient moves with the weather by 20 to 30 mbar with no leak at all, so each of its
readings wants the ambient pressure of that moment. A reading carries its own kind: two gauges may be in use.
"""

from __future__ import annotations

from dataclasses import dataclass

from bagside.errors import InputError, Problem
from bagside.quantity import shown
from bagside.spec.leak_file import Gauge

ROOM = 293.15  # [K] where no temperature is stated
STEP_SPREAD = 12.0**-0.5  # standard deviation of a reading rounded to steps of one


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One reading of one gauge on the bag.

    Parameters
    ----------
    time
        Since the pump was shut off [s].
    shows
        As read [Pa]; a gauge below ambient may show it with or without the minus.
    gauge
        Its kind.
    step
        Of its scale or last digit [Pa].
    ambient
        Absolute ambient pressure at that moment [Pa].
    temperature
        Of the bag at that moment [K]; None when it was not read.
    """

    time: float
    shows: float
    gauge: Gauge
    step: float
    ambient: float
    temperature: float | None = None

    @property
    def pressure(self) -> float:
        """Absolute pressure in the bag [Pa]."""
        return self.shows if self.gauge is Gauge.ABSOLUTE else self.ambient - abs(self.shows)

    @property
    def spread(self) -> float:
        """Standard deviation that its step leaves [Pa]."""
        return self.step * STEP_SPREAD


def reading_problems(readings: tuple[Reading, ...], place: str) -> list[Problem]:
    """Return what is wrong with the readings of one test.

    Parameters
    ----------
    readings
        In the order they were taken.
    place
        Where they stand, for messages.

    Returns
    -------
    list of Problem
        Empty when a test can be made of them.
    """
    out = []
    if len(readings) < 2:
        out.append(Problem(place=place, came=str(len(readings)), wanted="two readings or more are wanted"))
    for k, r in enumerate(readings, 1):
        at = f"{place}, reading {k}"
        if k > 1 and not r.time > readings[k - 2].time:
            out.append(
                Problem(place=at, came=shown(r.time, "min"), wanted="a later time than the one before is wanted")
            )
        if not r.step > 0.0:
            out.append(Problem(place=at, came=shown(r.step, "mbar"), wanted="a step of the gauge above zero is wanted"))
        if not r.ambient > 0.0:
            out.append(Problem(place=at, came=shown(r.ambient, "mbar"), wanted="an ambient pressure is wanted"))
        if r.temperature is not None and not r.temperature > 0.0:
            out.append(Problem(place=at, came=shown(r.temperature, "°C"), wanted="a temperature is wanted"))
        if r.gauge is Gauge.ABSOLUTE and r.shows < 0.0:
            out.append(
                Problem(
                    place=at,
                    came=shown(r.shows, "mbar"),
                    wanted="an absolute pressure cannot be negative",
                    hint="does this gauge show pressure below ambient?",
                )
            )
        elif not 0.0 <= r.pressure <= r.ambient + 2.0 * r.step or (k == 1 and r.pressure >= r.ambient):
            out.append(
                Problem(
                    place=at,
                    came=f"{shown(r.shows, 'mbar', 0)} {r.gauge.value}",
                    wanted=f"it is no vacuum at {shown(r.ambient, 'mbar', 0)} ambient",
                    hint="is it the other kind of gauge, or is the ambient pressure of another place?",
                )
            )
    return out


def checked_readings(readings: tuple[Reading, ...], place: str = "leak test") -> tuple[Reading, ...]:
    """Return the readings when a test can be made of them.

    Parameters
    ----------
    readings, place
        As for `reading_problems`.

    Raises
    ------
    InputError
        With every problem found.
    """
    found = reading_problems(readings, place)
    if found:
        raise InputError(found)
    return readings
