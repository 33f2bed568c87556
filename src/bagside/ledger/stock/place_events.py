"""What an event makes of a place: what its loggers saw, and what was read there.

Loggers are read out again before they have forgotten, so their files overlap. Where two agree, the one that begins
later counts for the time it has readings of, and at one beginning the one that was kept later: no moment counts twice.
Where they contradict each other, the ledger does not take the second (`bagside.ledger.stock.place_rules`).
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import replace
from datetime import datetime, timedelta

from bagside.ledger.bodies import Discarded, Found, Logged, Measured, Received, Sort
from bagside.ledger.event import Event
from bagside.ledger.things import LogPart, Place

Span = tuple[datetime, datetime]

LONGEST_LOG = 1e9
"""From the first to the last reading of a log; thirty years [s]."""

MOST_READINGS = 2000
"""Readings of a room that are at hand: some years of what people write down; older ones stay in its history."""


def place_after(thing: Place | None, event: Event, name: str) -> Place | None:
    """Return a place after one more event.

    Parameters
    ----------
    thing
        As it was; None when it is not known.
    event
        Not earlier than any before. What it cannot mean for a place leaves it as it was.
    name
        Of the place.
    """
    body = event.body
    if thing is None:
        if not isinstance(body, Received) or body.name != name or body.sort is not Sort.PLACE:
            return None
        return Place(
            name=name, born=event.at, last=event.at, temperature=body.temperature, note=body.note
        )
    thing = replace(thing, last=max(thing.last, event.at))
    if isinstance(body, Logged):
        return replace(thing, logs=_with(thing.logs, part_of(event.at, body)))
    if isinstance(body, Measured) and body.found is Found.CLIMATE:
        return replace(thing, readings=(*thing.readings, (event.at, body))[-MOST_READINGS:])
    if isinstance(body, Discarded) and thing.gone is None:
        return replace(thing, gone=event.at, why=body.why)
    return thing


def part_of(at: datetime, body: Logged) -> LogPart:
    """Return what a log says, with times of the day: its readings as far as they rise.

    Parameters
    ----------
    at
        Of the event: that of the first reading.
    body
        The log.
    """
    rising: list[tuple[float, float]] = []
    for t, x in zip(body.times, body.temperatures, strict=False):
        if (rising[-1][0] if rising else -1.0) < t <= LONGEST_LOG:
            rising.append((t, x))
    return LogPart(
        file=body.file,
        called=body.called,
        times=tuple(at + timedelta(seconds=t) for t, _ in rising),
        temperatures=tuple(x for _, x in rising),
        gaps=tuple(
            (at + timedelta(seconds=a), at + timedelta(seconds=b)) for a, b in body.gaps if 0.0 <= a < b <= LONGEST_LOG
        ),
    )


def seen_spans(part: LogPart) -> list[Span]:
    """Return the times that a log has readings of: from its first to its last, gaps taken out.

    Parameters
    ----------
    part
        A log with at least one reading.
    """
    spans: list[Span] = []
    start = part.times[0]
    for a, b in sorted(part.gaps):
        if a > start:
            spans.append((start, a))
        start = max(start, b)
    if part.times[-1] >= start:
        spans.append((start, part.times[-1]))
    return spans


def temperature_at(part: LogPart, at: datetime) -> float:
    """Return what a log says of a moment between its first and last reading, on a line between two [K].

    Parameters
    ----------
    part
        A log.
    at
        The moment.
    """
    i = bisect_left(part.times, at)
    if i == len(part.times):
        return part.temperatures[-1]
    if i == 0 or part.times[i] == at:
        return part.temperatures[i]
    a, b = part.times[i - 1], part.times[i]
    share = (at - a) / (b - a)
    return part.temperatures[i - 1] + share * (part.temperatures[i] - part.temperatures[i - 1])


def _with(logs: tuple[LogPart, ...], new: LogPart) -> tuple[LogPart, ...]:
    """Return logs of which none speaks of a moment that the new one has readings of; by their beginnings."""
    if not new.times:
        return logs
    left = list(logs)
    for span in seen_spans(new):
        left = [rest for part in left for rest in _without(part, span)]
    return tuple(sorted((*left, new), key=lambda p: p.times[0]))


def _without(part: LogPart, span: Span) -> list[LogPart]:
    """Return what is left of a log before and after a span; its line is cut there."""
    start, end = span
    if part.times[-1] < start or part.times[0] > end:
        return [part]
    out = []
    if part.times[0] < start:
        out += _clipped(part, part.times[0], start)
    if part.times[-1] > end:
        out += _clipped(part, end, part.times[-1])
    return out


def _clipped(part: LogPart, start: datetime, end: datetime) -> list[LogPart]:
    """Return a log from a moment to another, both within it; what is cut in a gap ends where the gap begins."""
    for a, b in part.gaps:
        start = b if a < start < b else start
        end = a if a < end < b else end
    if start > end:
        return []
    inside = [(t, x) for t, x in zip(part.times, part.temperatures, strict=True) if start < t < end]
    ends = [(start, temperature_at(part, start)), (end, temperature_at(part, end))]
    points = [ends[0], *inside, ends[1]] if start < end else ends[:1]
    gaps = tuple((a, b) for a, b in part.gaps if a < end and b > start)
    return [replace(part, times=tuple(p[0] for p in points), temperatures=tuple(p[1] for p in points), gaps=gaps)]
