"""Everything that can be noticed about a log's readings: gaps, spikes, sensors that cannot be right."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from bagside.cure import Channel, Sensor
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown
from bagside.records.logger.gaps import channel_gaps, gap_findings
from bagside.records.logger.offsets import offsets
from bagside.records.logger.saying import Moment, duration, told
from bagside.records.logger.sensors import dead, fell_off, swapped
from bagside.records.logger.spikes import excursions, spikes

Floats = NDArray[np.float64]
MEASURED = (Sensor.AIR, Sensor.PART, Sensor.TOOL, Sensor.UNKNOWN)
RESTLESS = 0.02
"""With more spikes than this share of its readings a sensor has a loose contact."""


def watched(
    time: Floats, channels: list[Channel], started: datetime | None, name: str
) -> tuple[list[Channel], list[Finding]]:
    """Return channels without spikes, and what was noticed.

    Parameters
    ----------
    time
        Of the readings [s].
    channels
        Of the log.
    started
        Clock time of the first reading; None when not known.
    name
        Of the file.
    """
    when = Moment(started=started)
    found = gap_findings(time, name, when)
    still: list[Channel] = []
    for channel in channels:
        at = spikes(time, channel.values, channel.sensor)
        if len(at):
            found.append(_spiked(time, channel, at, name, when))
            values = channel.values.copy()
            values[at] = np.nan
            channel = replace(channel, values=values)
        for a, b in excursions(time, channel.values, channel.sensor):
            found.append(_gone(time, channel, a, b, name, when))
            values = channel.values.copy()
            values[a : b + 1] = np.nan
            channel = replace(channel, values=values)
        still.append(channel)
    heat = [c for c in still if c.sensor in MEASURED]
    found += channel_gaps(time, channels, name, when)
    found += dead(time, heat, name, when)
    found += fell_off(time, heat, name, when)
    found += swapped(time, heat, name)
    found += offsets(time, heat, name)
    return still, found


def _gone(time: Floats, channel: Channel, a: int, b: int, name: str, when: Moment) -> Finding:
    """Return a stretch between two jumps as a finding."""
    about = shown(float(np.nanmedian(channel.values[a : b + 1])), "°C")
    lasted = duration(float(time[b + 1] - time[a]))
    return told(
        Severity.WATCH,
        f"{name}, {channel.name}, {when(time[a])}",
        f"for {lasted} it reads about {about} between two jumps that no heat can make",
        "its contact was gone; what it would have read is not known, and these readings were taken out",
        "look at plug and wire",
        Basis.COMMON,
    )


def _spiked(time: Floats, channel: Channel, at: NDArray[np.intp], name: str, when: Moment) -> Finding:
    """Return spikes as a finding."""
    worst = shown(float(channel.values[at[0]]), "°C")
    loose = len(at) > max(3, RESTLESS * len(time))
    return told(
        Severity.DECIDE if loose else Severity.SEEN,
        f"{name}, {channel.name}, {when(time[at[0]])}",
        f"{len(at)} single readings, the first of {worst}, stand off those around them further than heat can carry"
        if len(at) > 1
        else f"a single reading of {worst} stands off those around it further than heat can carry",
        "a plug that makes and breaks, or a switching heater, gives such readings; they were taken out",
        "mend its contact; until then judge by another sensor" if loose else "nothing",
        Basis.COMMON,
    )
