"""A copy of the folder that is taken while somebody writes can be opened, and holds what had been kept before."""

from __future__ import annotations

import os
import shutil
import time
from pathlib import Path

import pytest

from bagside.errors import OutputError
from bagside.records.database import Ledger
from bagside.records.database.engine import QUIET
from databases import Database
from happenings import begun, event, happenings
from recordwriter import writer


@pytest.fixture
def folder(database: Database) -> Path:
    if database.kind != "sqlite":
        pytest.skip("the records of PostgreSQL are not in the folder")
    return database.folder


@pytest.mark.parametrize("anew", [False, True], ids=["one program writes on", "a command for each"])
def test_copies_taken_during_writes_open(folder: Path, tmp_path: Path, anew: bool) -> None:
    with Ledger.opened(folder) as ledger:
        ledger.add(begun())
    process = writer(folder, "", "W", 3, 100 if anew else 300, 2, anew)
    assert process.stdout is not None
    assert process.stdout.readline() == "open\n"
    kept: list[str] = []
    copies: list[tuple[Path, list[str]]] = []
    for turn in range(4):
        for _ in range(15):
            kept += process.stdout.readline().split()
        copy = tmp_path / f"copy {turn}"
        shutil.copytree(folder, copy)
        copies.append((copy, list(kept)))
    assert process.poll() is None, "nobody was writing any more"
    process.communicate(timeout=60)
    for copy, before in copies:
        with Ledger.opened(copy) as ledger:
            there = {e.id for e in ledger.events()}
            assert there >= set(before)
            assert (len(there) - 4) % 2 == 0
            assert ledger.differing() == ()


def test_a_command_that_ends_leaves_the_file_alone(folder: Path) -> None:
    with Ledger.opened(folder) as ledger:
        ledger.add(begun()[:2])
    before = (folder / "records.sqlite").read_bytes()
    with Ledger.opened(folder) as ledger:
        ledger.add(begun()[2:])
    assert Ledger.kept_for(folder, "")
    assert (folder / "records.sqlite").read_bytes() == before
    journal = folder / "records.sqlite-wal"
    assert journal.stat().st_size > 0
    long_ago = time.time() - QUIET - 60
    os.utime(journal, (long_ago, long_ago))
    with Ledger.opened(folder) as ledger:
        assert ledger.count == 4
    assert journal.stat().st_size == 0
    journal.unlink()
    with Ledger.opened(folder) as ledger:
        assert ledger.count == 4, "what was brought home is in the file alone"


def test_a_copy_that_does_not_fit_together_is_refused_when_it_is_opened(folder: Path, tmp_path: Path) -> None:
    with Ledger.opened(folder) as ledger:
        ledger.add(begun())
    one, other = tmp_path / "one", tmp_path / "other"
    shutil.copytree(folder, one)
    _at_home(one)
    with Ledger.opened(one) as ledger:
        bodies = happenings(2, "C")
        ledger.add([event(next(bodies), 10 + k) for k in range(300)])
    shutil.copytree(one, other)
    _at_home(other)
    early, late = ((f / "records.sqlite").read_bytes() for f in (one, other))
    assert len(late) > 3 * len(early) / 2
    torn = tmp_path / "torn"
    torn.mkdir()
    half = len(early) // 8192 * 4096
    (torn / "records.sqlite").write_bytes(early[:half] + late[half:])
    with pytest.raises(OutputError, match=r"is a damaged copy of records|it is damaged"):
        Ledger.opened(torn)


def _at_home(folder: Path) -> None:
    """Bring the journal home, as happens after a quiet while."""
    journal = folder / "records.sqlite-wal"
    long_ago = time.time() - QUIET - 60
    if journal.exists():
        os.utime(journal, (long_ago, long_ago))
    Ledger.opened(folder).close()
