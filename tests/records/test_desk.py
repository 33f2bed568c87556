"""The records opened for a command or a page: for one thing, with the device's own ids, and let go again."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

from bagside.errors import InputError
from bagside.ledger.bodies import Received, Sort
from bagside.records.database import Ledger
from bagside.records.desk import desk
from pageserver import DEMO

ID = "0123456789abcdef0123456789abcdef"


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    shutil.copy(DEMO / "workshop.toml", tmp_path)
    return tmp_path


def test_a_folder_without_a_workshop_or_without_records_says_what_to_do(tmp_path: Path, shop: Path) -> None:
    empty = tmp_path / "empty"
    empty.mkdir()
    with pytest.raises(InputError, match=r"there is no workshop\.toml in it \(set the workshop up first\)"), desk(
        empty, "a", "b"
    ):
        pass
    with pytest.raises(InputError, match="this workshop has no records yet"), desk(shop, "a", "b"):
        pass
    assert not (shop / "records.sqlite").exists()
    with desk(shop, "a", "b", begin=True) as opened:
        assert opened.ledger.count == 0


def test_an_event_has_the_id_time_and_zone_of_the_device(shop: Path) -> None:
    at = datetime(2026, 11, 26, 14, 5, tzinfo=UTC)
    with desk(shop, "Ann", "phone-1", begin=True) as opened:
        body = Received(name="room", sort=Sort.PLACE, material="")
        event = opened.event(body, at, ID, zone="Europe/Berlin")
        assert (event.id, event.at, event.zone, event.who, event.device) == (ID, at, "Europe/Berlin", "Ann", "phone-1")
        now = opened.event(body)
        assert now.id != ID
        assert abs((now.at - datetime.now(UTC)).total_seconds()) < 60
        assert opened.library is opened.library
        assert opened.standing().workshop is opened.shop


def test_others_write_between_two_requests(shop: Path) -> None:
    with desk(shop, "Ann", "phone-1", begin=True):
        pass
    with Ledger.opened(shop) as other:
        body = Received(name="room", sort=Sort.PLACE, material="")
        with desk(shop, "Ben", "desk") as here:
            other.add([here.event(body)])
            assert here.ledger.names(Sort.PLACE) == ("room",)
    with desk(shop, "Ann", "phone-1") as again:
        assert again.ledger.count == 1
