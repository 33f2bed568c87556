"""What a logger wrote during a cure, as arrays: one time, and channels that may have gaps."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from bagside.errors import InputError, Problem
from bagside.findings import Finding

Floats = NDArray[np.float64]


class Sensor(StrEnum):
    """What a channel measures."""

    AIR = "air"
    PART = "part"
    TOOL = "tool"
    SET = "set point"
    BAG = "pressure in the bag"
    AMBIENT = "ambient pressure"
    UNKNOWN = "not known"


HEAT = (Sensor.AIR, Sensor.PART, Sensor.TOOL, Sensor.SET)
"""Sensors of temperature."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Channel:
    """One column of a log.

    Parameters
    ----------
    name
        As the file heads it.
    sensor
        What it measures.
    values
        At the log's times; not a number where there is no reading, shape (k,) [K, or Pa absolute].
    section
        Name of the section it sits at; empty when not stated.
    """

    name: str
    sensor: Sensor
    values: Floats
    section: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CureLog:
    """A log of one cure.

    Parameters
    ----------
    name
        Of the file.
    time
        Since the first reading, rising, shape (k,) [s].
    channels
        One or more.
    started
        Clock time of the first reading; None when the file tells none.
    noticed
        What reading it noticed: gaps, spikes, dead sensors, a clock set back.

    Raises
    ------
    InputError
        When times do not rise, a channel has another length, or two channels have one name.
    """

    name: str
    time: Floats
    channels: tuple[Channel, ...]
    started: datetime | None = None
    noticed: tuple[Finding, ...] = ()

    def __post_init__(self) -> None:
        """Refuse what is not a log."""
        wrong: list[Problem] = []
        if self.time.ndim != 1 or len(self.time) < 2 or not (np.diff(self.time) > 0.0).all():
            wrong.append(
                Problem(place=self.name, came=f"{len(self.time)} times", wanted="two rising times or more are wanted")
            )
        names = [c.name for c in self.channels]
        for c in self.channels:
            if c.values.shape != self.time.shape:
                wrong.append(
                    Problem(
                        place=f"{self.name}, {c.name}",
                        came=f"{len(c.values)} readings",
                        wanted=f"one for each of {len(self.time)} times is wanted",
                    )
                )
            if names.count(c.name) > 1:
                wrong.append(
                    Problem(
                        place=f"{self.name}, {c.name}",
                        came="",
                        wanted="two channels have this name; each wants its own",
                    )
                )
        if not self.channels:
            wrong.append(Problem(place=self.name, came="", wanted="one channel or more is wanted"))
        if wrong:
            raise InputError(wrong)

    def of(self, *sensors: Sensor) -> tuple[Channel, ...]:
        """Return the channels that measure any of these.

        Parameters
        ----------
        sensors
            One or more.
        """
        return tuple(c for c in self.channels if c.sensor in sensors)

    def until(self, time: float) -> CureLog:
        """Return the log up to a time.

        Parameters
        ----------
        time
            Since the first reading [s]; readings at it stay.
        """
        stay = self.time <= time
        return CureLog(
            name=self.name,
            time=self.time[stay],
            channels=tuple(
                Channel(name=c.name, sensor=c.sensor, values=c.values[stay], section=c.section) for c in self.channels
            ),
            started=self.started,
            noticed=self.noticed,
        )


def without_gaps(log: CureLog, channel: Channel) -> tuple[Floats, Floats]:
    """Return time and values where a channel has readings.

    Parameters
    ----------
    log
        The log.
    channel
        One of its channels.

    Returns
    -------
    tuple
        Time [s] and values [K or Pa], shape (q,) each.
    """
    there = np.isfinite(channel.values)
    return log.time[there], channel.values[there]
