"""What the ledger does not take: an event that cannot be true of the things as they are.

A rule gives one sentence with the place and the cure. What merely looks wrong (a late debulk, a mass that is off) is
kept and told as a finding; what is refused here would make the records contradict themselves.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta

from bagside.errors import Problem
from bagside.ledger.bodies import Logged
from bagside.ledger.builds.build_rules import build_problems
from bagside.ledger.event import Event
from bagside.ledger.stock.place_events import LONGEST_LOG
from bagside.ledger.stock.stock_rules import stock_problems
from bagside.ledger.things import Thing

AHEAD = timedelta(minutes=10)
"""By how much a device's clock may be ahead of the ledger's."""
BACK = timedelta(minutes=2)
"""By how much an event may be older than the last one of its device: two commands at once end in either order."""


def problems_of(
    event: Event, before: Mapping[str, Thing | None], now: datetime, device_last: datetime | None
) -> tuple[Problem, ...]:
    """Return why an event cannot be kept; nothing when it can.

    Parameters
    ----------
    event
        New.
    before
        Everything it touches, as it is; None for what is not known.
    now
        By the ledger's clock [UTC].
    device_last
        Time of the last event that this device wrote, except those written down late; None when it is its first.
    """
    wrong: list[Problem] = []
    place = f"{event.kind}, at"
    if event.at > now + AHEAD:
        wrong.append(
            Problem(
                place=place,
                came=f"{event.at:%Y-%m-%d %H:%M} UTC",
                wanted=f"it has not happened yet: it is {now:%Y-%m-%d %H:%M} UTC",
                hint=f"set the clock of {event.device}, or state the time with its zone",
            )
        )
    elif device_last is not None and event.at < device_last - BACK and not event.late:
        wrong.append(
            Problem(
                place=place,
                came=f"{event.at:%Y-%m-%d %H:%M:%S} UTC",
                wanted=f"{event.device} has already told of {device_last:%Y-%m-%d %H:%M:%S} UTC: its clock has jumped "
                "back, or this is written down late",
                hint="look at the clock; when it did happen then, say that it is late (--late)",
            )
        )
    body = event.body
    if not wrong and isinstance(body, Logged) and body.times and (last := _last(event, body)) > now + AHEAD:
        wrong.append(
            Problem(
                place="logged, times",
                came=f'"{body.called}"',
                wanted=f"its last reading is of {last:%Y-%m-%d %H:%M} UTC, and it is {now:%Y-%m-%d %H:%M} UTC",
                hint="look at the logger's clock and its zone",
            )
        )
    return (*wrong, *stock_problems(event, before), *build_problems(event, before))


def _last(event: Event, body: Logged) -> datetime:
    """Return when a logger read last."""
    return event.at + timedelta(seconds=min(body.times[-1], LONGEST_LOG))
