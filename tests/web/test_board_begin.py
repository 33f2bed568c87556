"""A part is begun from the board: planned, numbered, named, on the mould of the part before."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest

from bagside.errors import InputError
from bagside.ledger.bodies import Received, Sort
from bagside.ledger.things import Build
from bagside.web.house import House
from bagside.web.pages.freezer.records import begin_records
from bagside.web.work.begin_task import begin_part
from bagside.web.work.child import Teller


def test_one_part_after_the_other_until_all_are_begun(shop: Path) -> None:
    file = shop / "jobs" / "footrest-plate" / "job.toml"
    text = file.read_text(encoding="utf-8")
    assert "quantity = 6" in text
    file.write_text(text.replace("quantity = 6", "quantity = 2").replace('"4 s"', '"0.5 s"'), encoding="utf-8")
    house = House(shop)
    try:
        workshop = house.workshop()
        assert workshop is not None
        begin_records(house, workshop, "Mara")
        with house.desk("Mara", "desk") as here:
            here.ledger.add([here.event(Received(name="plate mould", sort=Sort.MOULD, material="glass-epoxy"))])
        heard: list[object] = []
        teller = Teller(heard.append, threading.Event())
        first = begin_part(teller, shop, "footrest-plate", "plate mould", "Mara", "desk")
        second = begin_part(teller, shop, "footrest-plate", "", "Mara", "desk")
        assert heard, "who waits hears how far the plan has come"
        with house.desk("Mara", "desk") as here:
            builds = {n: t for n, t in here.ledger.things(Sort.BUILD).items() if isinstance(t, Build)}
        assert {n: (b.planned.number, b.planned.quantity, b.mould) for n, b in builds.items()} == {
            first: (1, 2, "plate mould"), second: (2, 2, "plate mould"),
        }  # fmt: skip
        assert first.startswith("FP")
        assert first.endswith("-1")
        with pytest.raises(InputError, match="every part of Footrest plate has been begun: it makes 2"):
            begin_part(teller, shop, "footrest-plate", "", "Mara", "desk")
    finally:
        house.close()
