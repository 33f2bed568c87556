"""The clock of a log: past midnight, to summer time and back, set by hand, hanging, or too coarse for the readings.

What is certain is mended and said. What could mean two things is asked: an hour that is lost or won changes a cure.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside.findings import Severity
from bagside.records.logger.clockwork import Clockwork
from bagside.records.logger.jumps import take_steps
from bagside.records.logger.options import Jumps
from bagside.records.logger.same_times import part_same_times
from bagside.records.logger.saying import Place, told
from bagside.records.logger.times import DAY, How, TimePlan

Floats = NDArray[np.float64]


def mended(raw: Floats, plan: TimePlan, jumps: Jumps | None, place: Place) -> Clockwork:
    """Return times that rise, with what was mended and what must be asked.

    Parameters
    ----------
    raw
        As each row tells it, shape (k,) [s].
    plan
        How they were read.
    jumps
        What a step means that cannot be explained; None to ask.
    place
        Names rows for messages.

    Returns
    -------
    Clockwork
        Its times rise where nothing is asked.
    """
    if plan.how is How.EVERY:
        return Clockwork(time=raw, keep=np.ones(len(raw), bool), interval=plan.scale)
    work = Clockwork(time=raw.copy(), keep=np.ones(len(raw), bool), interval=_usual(raw, plan))
    if plan.half is not None:
        work.time = work.time % (DAY / 2)
    _newest_first(work, place)
    _out_of_order(work, plan, place)
    take_steps(work, plan, jumps, place)
    if not work.asked:
        part_same_times(work, jumps, place)
    return work


def _usual(raw: Floats, plan: TimePlan) -> float:
    """Return the usual time between readings that have different times [s]."""
    steps = np.abs(np.diff(raw))
    if plan.period is not None:
        steps = np.minimum(steps, np.abs(plan.period - steps))
    steps = steps[steps > 0.0]
    return float(np.median(steps)) if len(steps) else 0.0


def _newest_first(work: Clockwork, place: Place) -> None:
    """Turn a file round that begins with its last reading."""
    steps = np.diff(work.time)
    if len(steps) >= 3 and (steps < 0.0).sum() > 0.9 * (steps != 0.0).sum() > 0.0:
        work.time = work.time[::-1].copy()
        place.turn()
        work.noticed.append(
            told(
                Severity.SEEN, place.file, "the newest reading stands first",
                "a cure is judged from its first reading on", "nothing; the rows were turned round",
            )
        )  # fmt: skip


def _out_of_order(work: Clockwork, plan: TimePlan, place: Place) -> None:
    """Sort rows that stand a place or two from where their time belongs."""
    if plan.period is not None or not (np.diff(work.time) < 0.0).any():
        return
    order = np.argsort(work.time, kind="stable")
    moved = np.abs(order - np.arange(len(order)))
    if moved.max() <= 3 and len(np.unique(work.time)) == len(work.time) and (moved > 0).mean() <= 0.1:
        first = int(np.flatnonzero(moved)[0])
        work.time = work.time[order]
        place.sort(order)
        work.noticed.append(
            told(
                Severity.SEEN, place.at(first),
                f"{int((moved > 0).sum())} rows do not stand in the order of their times",
                "readings are taken in the order in which they were made", "nothing; the rows were sorted by time",
            )
        )  # fmt: skip
