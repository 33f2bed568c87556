"""The same walk through any sequence of events about cloth on the disk: the ledger takes and refuses what it should.

Every event is told late, so that each way to a thing's new state is gone: one step on, and all of it anew.
"""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from hypothesis import settings

from bagside.errors import InputError, Problem
from bagside.ledger.event import Event
from bagside.records.database import Ledger
from memory import Memory, hours
from stockwalk import Stock

NOW = hours(24 * 365)


class Kept(Memory):
    """Events in memory and on the disk."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp(prefix="walk-"))
        self.ledger = Ledger.opened(self.folder)

    def refused(self, event: Event) -> tuple[Problem, ...]:
        wrong = super().refused(event)
        if wrong:
            count = self.ledger.count
            try:
                self.ledger.add([event], now=NOW)
            except InputError as error:
                assert {p.place for p in error.problems} & {p.place for p in wrong}  # noqa: PT017
            else:
                raise AssertionError(f"the ledger takes what it should refuse: {[str(p) for p in wrong]}")
            assert self.ledger.count == count
        return wrong

    def put(self, event: Event) -> Event:
        kept = super().put(event)
        added = self.ledger.add([event, event], now=NOW)  # sent twice, it counts once
        assert [e.order for e in added.new] == [kept.order]
        assert added.already == (event.id,)
        return kept


class Walk(Stock):
    """On the disk."""

    def begun(self) -> Kept:
        return Kept()

    def teardown(self) -> None:
        kept = self.memory
        assert isinstance(kept, Kept)
        try:
            super().teardown()
            assert kept.ledger.differing() == ()
            assert kept.ledger.things(there=None) == dict(sorted(kept.things().items()))
            kept.ledger.rebuild()
            assert kept.ledger.things(there=None) == dict(sorted(kept.things().items()))
        finally:
            kept.ledger.close()
            shutil.rmtree(kept.folder)


Walk.TestCase.settings = settings(max_examples=15, stateful_step_count=30, deadline=None)
TestWalk = Walk.TestCase
