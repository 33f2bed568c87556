"""Things read as far as they are asked for."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bagside.ledger.bodies import Discarded, Received, Sort
from bagside.ledger.event import new_event
from bagside.records.database import Ledger
from bagside.records.database.standing import Standing


def test_what_is_gone_is_found_by_name_only(tmp_path: Path) -> None:
    at = datetime(2026, 3, 2, 8, tzinfo=UTC)
    with Ledger.opened(tmp_path) as ledger:
        for k, name in enumerate(("freezer", "room")):
            place = Received(name=name, sort=Sort.PLACE, temperature=255.15 + 40 * k)
            ledger.add([new_event(place, who="Ann", device="desk", at=at)])
        gone = Discarded(thing="room", why="pulled down")
        ledger.add([new_event(gone, who="Ann", device="desk", at=at + timedelta(days=1))])
        standing = Standing(ledger)
        assert list(standing) == ["freezer"]
        assert len(standing) == 1
        assert standing["room"].there is False
        assert standing["room"] is standing["room"]
        assert standing.get("attic") is None
        with pytest.raises(KeyError):
            standing["attic"]
