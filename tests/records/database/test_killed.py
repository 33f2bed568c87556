"""A program that is killed in the middle of writing: what it said was kept is there, nothing is there by half."""

from __future__ import annotations

import random
import sqlite3
import time

import pytest

from bagside.records.database import Ledger
from databases import Database
from happenings import begun
from recordwriter import writer

ROUNDS = 3
WRITES = 50
SIZE = 3


def test_killed_in_the_middle(database: Database) -> None:
    luck = random.Random(20261126)
    with Ledger.opened(database.folder, database.url) as ledger:
        ledger.add(begun())
    killed = 0
    kept: list[list[str]] = []
    for turn in range(ROUNDS):
        process = writer(database.folder, database.url, f"K{turn}", turn, WRITES, SIZE)
        assert process.stdout is not None
        assert process.stdout.readline() == "open\n"
        for _ in range(luck.randrange(1, WRITES - 10)):
            line = process.stdout.readline()
            kept.append(line.split())
        time.sleep(luck.uniform(0.0, 0.008))  # about as long as one write takes
        process.kill()
        rest, _ = process.communicate(timeout=60)
        killed += "done" not in rest
        kept += [line.split() for line in rest.splitlines() if len(line) == 33 * SIZE - 1]  # the last may be cut off
        with Ledger.opened(database.folder, database.url) as ledger:
            events = list(ledger.events())
            there = {e.id for e in events}
            assert [group for group in kept if not there >= set(group)] == []
            assert (len(events) - 4) % SIZE == 0, "a group is there by half"
            assert [e.order for e in events] == list(range(1, len(events) + 1))
            untold = (len(events) - 4) // SIZE - len(kept)  # kept, but killed before it could say so
            assert 0 <= untold <= turn + 1
            assert ledger.differing() == ()
    assert killed >= ROUNDS - 1, "the processes were not killed while they wrote"


def test_the_file_is_whole_afterwards(database: Database) -> None:
    if database.kind != "sqlite":
        pytest.skip("PostgreSQL checks its files itself")
    with Ledger.opened(database.folder, database.url) as ledger:
        ledger.add(begun())
    process = writer(database.folder, database.url, "K", 7, WRITES, SIZE)
    assert process.stdout is not None
    for _ in range(12):
        process.stdout.readline()
    process.kill()
    process.communicate(timeout=60)
    connection = sqlite3.connect(database.folder / "records.sqlite")
    try:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
    finally:
        connection.close()
