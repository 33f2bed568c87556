"""A copy of the folder that is taken while somebody writes can be opened, and holds what had been kept before."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from databases import Database
from happenings import begun
from recordwriter import writer

from bagside.records.database import Ledger


@pytest.fixture
def folder(database: Database) -> Path:
    if database.kind != "sqlite":
        pytest.skip("the records of PostgreSQL are not in the folder")
    return database.folder


def test_copies_taken_during_writes_open(folder: Path, tmp_path: Path) -> None:
    with Ledger.opened(folder) as ledger:
        ledger.add(begun())
    process = writer(folder, "", "W", 3, 400, 2)
    assert process.stdout is not None
    assert process.stdout.readline() == "open\n"
    kept: list[str] = []
    copies: list[tuple[Path, list[str]]] = []
    for turn in range(6):
        for _ in range(25):
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
