"""Where a log has no readings: of all sensors, or of one."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from bagside.cure import Channel
from bagside.findings import Finding, Severity
from bagside.records.logger.saying import Moment, duration, told

Floats = NDArray[np.float64]
WINDOW = 7
"""Steps before and after, by which a step is held to be usual or not."""
LONG = 120.0
"""A gap that is worth looking at [s]."""
SHOWN = 5


def gaps(time: Floats) -> NDArray[np.intp]:
    """Return the readings after which a log pauses.

    A logger whose interval was changed has no gap: a step counts as one when it is more than three times the usual one
    both before and after it.

    Parameters
    ----------
    time
        Of the readings, rising, shape (k,) [s].

    Returns
    -------
    numpy.ndarray
        Index of the last reading before each gap.

    Examples
    --------
    >>> gaps(np.array([0.0, 1, 2, 3, 9, 10, 11, 12])).tolist()
    [3]
    """
    steps = np.diff(time)
    if len(steps) < 3:
        return np.empty(0, np.intp)
    wide = np.flatnonzero(steps > 3.0 * np.median(steps))
    found = []
    for k in wide.tolist():
        before, after = steps[max(0, k - WINDOW) : k], steps[k + 1 : k + 1 + WINDOW]
        usual = [float(np.median(s)) for s in (before, after) if len(s)]
        if steps[k] > 3.0 * max(usual):
            found.append(k)
    return np.array(found, np.intp)


def gap_findings(time: Floats, name: str, when: Moment) -> list[Finding]:
    """Return the gaps of a whole log as findings: each of the longest, and how many more there are.

    Parameters
    ----------
    time
        Of the readings [s].
    name
        Of the file.
    when
        Says moments.
    """
    at = gaps(time)
    lengths = time[at + 1] - time[at]
    longest = np.sort(np.argsort(-lengths, kind="stable")[:SHOWN])
    found = [
        told(
            Severity.WATCH if lengths[k] >= LONG else Severity.SEEN,
            f"{name}, {when(time[at[k]])}",
            f"there is no reading for {duration(float(lengths[k]))}",
            "what happened in it is not known; a straight line between its ends is taken",
            "nothing, unless the oven was opened or stopped then" if lengths[k] >= LONG else "nothing",
        )
        for k in longest.tolist()
    ]
    if len(at) > SHOWN:
        rest = np.delete(lengths, longest)
        found.append(
            told(
                Severity.SEEN,
                name,
                f"there are {len(rest)} more gaps, the longest of {duration(float(rest.max()))}, "
                f"{duration(float(rest.sum()))} in all",
                "what happened in them is not known",
                "see that the logger's memory and wire are sound",
            )
        )
    return found


def channel_gaps(time: Floats, channels: Sequence[Channel], name: str, when: Moment) -> list[Finding]:
    """Return where single sensors have no readings.

    Parameters
    ----------
    time
        Of the readings [s].
    channels
        Of the log.
    name
        Of the file.
    when
        Says moments.
    """
    found: list[Finding] = []
    usual = float(np.median(np.diff(time))) if len(time) > 1 else 0.0
    for channel in channels:
        there = np.isfinite(channel.values)
        if there.all():
            continue
        place = f"{name}, {channel.name}"
        if not there.any():
            found.append(
                told(
                    Severity.DECIDE, place, "it has no reading at all",
                    "the sensor is open, not plugged in, or its channel is off",
                    "judge the run by the others, and mend it before the next one",
                )
            )  # fmt: skip
            continue
        last = int(np.flatnonzero(there)[-1])
        if len(time) - 1 - last >= 3 and time[-1] - time[last] >= LONG:
            found.append(
                told(
                    Severity.DECIDE, f"{place}, {when(time[last])}",
                    f"it stops reading {duration(float(time[-1] - time[last]))} before the log ends",
                    "its wire or plug failed; what the part did after that it does not tell",
                    "judge the end of the run by the others",
                )
            )  # fmt: skip
        runs = _runs(~there)
        inner = [(a, b) for a, b in runs if a > 0 and b <= last]
        long = [(a, b) for a, b in inner if time[b] - time[a - 1] >= max(LONG, 4.0 * usual)]
        if long:
            a, b = max(long, key=lambda r: float(time[r[1]] - time[r[0] - 1]))
            more = f", the longest of {len(long)} such gaps" if len(long) > 1 else ""
            found.append(
                told(
                    Severity.WATCH, f"{place}, {when(time[a - 1])}",
                    f"it has no reading for {duration(float(time[b] - time[a - 1]))}{more}",
                    "what it would have read is not known; a straight line between the ends is taken",
                    "look at plug and wire",
                )
            )  # fmt: skip
        missing = int(sum(b - a for a, b in inner))
        if missing and not long:
            found.append(
                told(
                    Severity.SEEN, place, f"{missing} of its {len(time)} readings are missing",
                    "short gaps change little", "nothing",
                )
            )  # fmt: skip
    return found


def _runs(flags: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Return beginning and end (not included) of each run of true."""
    edges = np.diff(np.concatenate([[0], flags.astype(np.int8), [0]]))
    return list(zip(np.flatnonzero(edges == 1).tolist(), np.flatnonzero(edges == -1).tolist(), strict=True))
