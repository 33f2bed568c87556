"""What an event makes of a mould."""

from __future__ import annotations

from dataclasses import replace

from bagside.ledger.event import Event
from bagside.ledger.things import Mould


def mould_after(thing: Mould | None, event: Event, name: str) -> Mould | None:
    """Return mould after one more event."""
    return None if thing is None else replace(thing, last=max(thing.last, event.at))
