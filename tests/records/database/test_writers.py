"""Two processes write at once: nothing is lost, and nothing that both touch is counted once only."""

from __future__ import annotations

import time

from bagside.ledger.bodies import Measured, Spent
from bagside.ledger.things import Goods, Place
from bagside.records.database import Ledger
from databases import Database
from happenings import begun
from recordwriter import writer

EACH = 200


def test_two_processes_lose_nothing(database: Database) -> None:
    with Ledger.opened(database.folder, database.url) as ledger:
        ledger.add(begun())
    writers = [writer(database.folder, database.url, prefix, seed, EACH) for seed, prefix in ((1, "A"), (2, "B"))]
    with Ledger.opened(database.folder, database.url) as ledger:
        while any(process.poll() is None for process in writers):
            assert ledger.differing() == (), "a reader saw half of a write"
            time.sleep(0.2)
    told = [process.communicate(timeout=120) for process in writers]
    assert [process.returncode for process in writers] == [0, 0], told
    ids = [line.split() for out, _ in told for line in out.splitlines() if line not in ("open", "done")]
    kept = {id for group in ids for id in group}
    assert len(kept) == 2 * EACH
    with Ledger.opened(database.folder, database.url) as ledger:
        events = list(ledger.events())
        assert kept == {e.id for e in events[4:]}
        assert [e.order for e in events] == list(range(1, 4 + 2 * EACH + 1))
        assert ledger.count == 4 + 2 * EACH
        assert {e.device for e in events[4:]} == {"A", "B"}
        tape, room = ledger.thing("TAPE-1"), ledger.thing("room")
        assert isinstance(tape, Goods)
        assert isinstance(room, Place)
        assert tape.count == 100000 - sum(isinstance(e.body, Spent) for e in events)
        assert len(room.readings) == sum(isinstance(e.body, Measured) for e in events)
        assert ledger.differing() == ()


def test_both_begin_the_same_records(database: Database) -> None:
    writers = [writer(database.folder, database.url, prefix, 1, 0) for prefix in "AB"]
    told = [process.communicate(timeout=120) for process in writers]
    assert [out for out, _ in told] == ["open\ndone\n"] * 2, told
    with Ledger.opened(database.folder, database.url) as ledger:
        assert ledger.count == 0
