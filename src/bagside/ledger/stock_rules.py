"""What the ledger does not take of stock, moulds and places."""

from __future__ import annotations

from collections.abc import Mapping

from bagside.errors import Problem
from bagside.ledger.event import Event
from bagside.ledger.things import Thing


def stock_problems(event: Event, before: Mapping[str, Thing | None]) -> tuple[Problem, ...]:
    """Return why an event cannot be kept."""
    return ()
