"""What an event makes of a roll, a kit or an offcut."""

from __future__ import annotations

from dataclasses import replace

from bagside.ledger.event import Event
from bagside.ledger.things import Cloth


def cloth_after(thing: Cloth | None, event: Event, name: str) -> Cloth | None:
    """Return cloth after one more event."""
    return None if thing is None else replace(thing, last=max(thing.last, event.at))
