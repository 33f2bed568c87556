"""What an event makes of an adhesive, a coating or a consumable."""

from __future__ import annotations

from dataclasses import replace

from bagside.ledger.event import Event
from bagside.ledger.things import Goods


def goods_after(thing: Goods | None, event: Event, name: str) -> Goods | None:
    """Return goods after one more event."""
    return None if thing is None else replace(thing, last=max(thing.last, event.at))
