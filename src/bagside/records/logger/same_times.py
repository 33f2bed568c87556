"""Readings at one and the same time: a clock too coarse, one that hung, or a row written twice."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside.errors import Problem
from bagside.findings import Severity
from bagside.records.logger.clockwork import Clockwork
from bagside.records.logger.options import Jumps
from bagside.records.logger.saying import Place, duration, told


def part_same_times(work: Clockwork, jumps: Jumps | None, place: Place) -> None:
    """Part readings that stand at one time.

    Parameters
    ----------
    work
        Times as they stand; they are changed.
    jumps
        Whether readings went on while the clock hung; None to ask.
    place
        Names rows for messages.
    """
    steps = np.diff(work.time)
    if not (steps == 0.0).any() or work.interval == 0.0:
        return
    starts = np.flatnonzero(np.concatenate([[True], steps > 0.0]))
    counts = np.diff(np.concatenate([starts, [len(work.time)]]))
    if (steps == 0.0).mean() > 0.3:
        _spread(work, starts, counts, place)
        return
    for start, count in zip(starts.tolist(), counts.tolist(), strict=True):
        if count > 1:
            _hung(work, start, count, jumps, place)


def _spread(work: Clockwork, starts: NDArray[np.intp], counts: NDArray[np.intp], place: Place) -> None:
    """Spread readings evenly over the steps of a coarse clock."""
    usual = int(np.median(counts[1:-1])) if len(counts) > 2 else int(counts.max())
    at = work.time[starts]
    lengths = np.concatenate([np.minimum(np.diff(at), 1.5 * work.interval), [work.interval]])
    apart = lengths / np.maximum(counts, 1)
    apart[[0, -1]] = work.interval / max(usual, int(counts[0]), int(counts[-1]))
    within = np.arange(len(work.time)) - np.repeat(starts, counts)
    shift = np.zeros(len(starts))
    shift[0] = lengths[0] - counts[0] * apart[0] if len(starts) > 1 else 0.0  # the first minute may have begun before
    work.time = np.repeat(at + shift, counts) + within * np.repeat(apart, counts)
    work.noticed.append(
        told(
            Severity.SEEN, place.file,
            f"the clock steps by {duration(work.interval)} while there are {usual} readings to each step",
            "readings need times of their own", "nothing; they were spread evenly over each step",
        )
    )  # fmt: skip
    work.interval = work.interval / max(usual, 1)


def _hung(work: Clockwork, start: int, count: int, jumps: Jumps | None, place: Place) -> None:
    """Take a run of readings at one time."""
    at = work.time[start]
    after = work.time[start + count] - at if start + count < len(work.time) else None
    if after is not None and abs(after - count * work.interval) <= 0.3 * count * work.interval and count > 1:
        work.time[start : start + count] = at + np.arange(count) * after / count
        work.noticed.append(
            told(
                Severity.SEEN, place.at(start),
                f"the clock hung at {place.clock(at)} for {count} readings and caught up",
                "readings need times of their own", "nothing; they were spread evenly until it went on",
            )
        )  # fmt: skip
    elif count == 2:
        work.keep[start + 1] = False
        work.noticed.append(
            told(
                Severity.SEEN, place.at(start + 1), f"{place.clock(at)} stands twice",
                "there is one reading at a time", "nothing; the second row was left out",
            )
        )  # fmt: skip
    elif jumps is Jumps.CONTINUE:
        work.time[start + count :] += (count - (after is not None)) * work.interval if after is not None else 0.0
        work.time[start : start + count] = at + np.arange(count) * work.interval
        work.noticed.append(
            told(
                Severity.WATCH, place.at(start), f"the clock hung at {place.clock(at)} for {count} readings",
                "as stated, readings went on at their usual interval", "nothing; what follows was moved on",
            )
        )  # fmt: skip
    else:
        work.asked.append(
            Problem(
                place=place.at(start),
                came=f"{count} readings at {place.clock(at)}",
                wanted="the clock hung and the file does not tell for how long; if readings went on "
                f"{duration(work.interval)} apart, say --jumps continue, else take these rows out",
            )
        )
