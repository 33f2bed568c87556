"""What the ledger does not take of loggers' files."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from itertools import pairwise
from statistics import median

from bagside.errors import Problem
from bagside.ledger.bodies import Logged
from bagside.ledger.event import Event
from bagside.ledger.stock.place_events import LONGEST_LOG, part_of, seen_spans, temperature_at
from bagside.ledger.things import LogPart, Place, Thing
from bagside.ledger.words import amiss, at_text, celsius

APART = 3.0
"""Logs of one place whose readings of the same times differ by more than this at the median contradict each other [K].

Common practice, no source: two good loggers in one freezer differ by 1 to 2 K; a clock that is off, or the file of
another freezer, shows as more.
"""

MOST_COMPARED = 2000
"""Readings of one log that are held against another, evenly spread."""


def logged_problems(event: Event, body: Logged, thing: Thing | None) -> Iterator[Problem]:
    """Yield what is wrong with a logger's file.

    Parameters
    ----------
    event
        In which it stands.
    body
        The file.
    thing
        The place, as it is.
    """
    file = f'"{body.called}"'
    wrong = _unreadable(body)
    if wrong:
        yield amiss(wrong[0], file, wrong[1], "read the logger out again")
        return
    if not isinstance(thing, Place):
        return
    if any(part.file == body.file for part in thing.logs):
        yield amiss("logged, file", file, f"this file is in the records of {thing.name} already", "nothing is to do")
        return
    new = part_of(event.at, body)
    for old in thing.logs:
        apart = _apart(old, new)
        if apart is not None:
            yield apart
            return


def _unreadable(body: Logged) -> tuple[str, str] | None:
    """Return the place and the sentence for readings that are none."""
    if not body.times or len(body.times) != len(body.temperatures):
        return "logged, times", "as many times as temperatures are wanted, and at least one"
    if body.times[0] != 0.0:
        return "logged, times", "the first reading must be at the event's own time"
    back = next(((a, b) for a, b in pairwise(body.times) if not b > a), None)
    if back is not None:
        return "logged, times", f"its clock jumps back from {back[0]:.0f} s to {back[1]:.0f} s after its first reading"
    if body.times[-1] > LONGEST_LOG:
        return "logged, times", f"its last reading is {body.times[-1] / 3.15576e7:.3g} years after its first"
    cold = next((x for x in body.temperatures if not x > 0.0), None)
    if cold is not None:
        return "logged, temperatures", f"{celsius(cold)} is below −273 °C"
    if any(not 0.0 <= a < b <= body.times[-1] for a, b in body.gaps):
        return "logged, gaps", "a gap must begin before it ends, within the file"
    return None


def _apart(old: LogPart, new: LogPart) -> Problem | None:
    """Return why two logs cannot both be true; None when they can."""
    spans = [(max(a, c), min(b, d)) for a, b in seen_spans(old) for c, d in seen_spans(new)]
    both = [k for a, b in spans if a <= b for k in range(bisect_left(new.times, a), bisect_right(new.times, b))]
    both = both[:: len(both) // MOST_COMPARED + 1]
    pairs = [(abs(new.temperatures[k] - temperature_at(old, new.times[k])), k) for k in both]
    if not pairs or median(p[0] for p in pairs) <= APART:
        return None
    _, worst = max(pairs)
    at, seen = new.times[worst], new.temperatures[worst]
    then = temperature_at(old, at)
    told = f"on {at_text(at)} it says {celsius(seen, 1)} where {old.called} says {celsius(then, 1)}"
    return amiss(
        "logged, file", f'"{new.called}"', f"it contradicts what is known of the same time: {told}",
        "look at the logger's clock and place; correct the earlier file when that one is wrong",
    )  # fmt: skip
