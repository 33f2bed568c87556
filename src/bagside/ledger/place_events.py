"""What an event makes of a place."""

from __future__ import annotations

from dataclasses import replace

from bagside.ledger.event import Event
from bagside.ledger.things import Place


def place_after(thing: Place | None, event: Event, name: str) -> Place | None:
    """Return place after one more event."""
    return None if thing is None else replace(thing, last=max(thing.last, event.at))
