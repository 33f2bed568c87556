"""Records that are carried out and in again are the same, in either database and from one to the other."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from itertools import islice
from pathlib import Path

import pytest

import busyshop
import everykind
from bagside.errors import InputError
from bagside.ledger.bodies import KINDS, Counted, Logged, Moved, Photographed, Received, Sort
from bagside.records import carrying
from bagside.records.attachments import FOLDER, Attachments
from bagside.records.carrying import Exported, Imported, exported, imported
from bagside.records.database import Ledger
from bagside.records.lines import lines_of
from databases import Database
from happenings import START, begun, correction, event, roll

FIRST = Path(__file__).with_name("form-1.jsonl")
PHOTO = b"a photo without its place"


@pytest.fixture
def ledger(database: Database) -> Iterator[Ledger]:
    with Ledger.opened(database.folder, database.url) as opened:
        yield opened


@pytest.fixture
def other(tmp_path: Path) -> Iterator[Ledger]:
    folder = tmp_path / "other workshop"
    folder.mkdir()
    with Ledger.opened(folder) as opened:
        yield opened


def filled(ledger: Ledger) -> None:
    """Put weeks of a shop into a ledger: builds begun and closed, things cut, moved, corrected, late, with files."""
    group = []
    for k, told in enumerate(islice(busyshop.happened(), 400)):
        group.append(told)
        if k % 7 == 0:
            ledger.add(group)
            group = []
    ledger.add(group)
    store = Attachments(ledger.folder)
    first = event(Received(name="R-900", sort=Sort.ROLL, material="uni-150", length=20.0, width=1.0))
    file = store.put(b"log")
    log = event(Logged(place="freezer", file=file, called="f.csv", times=(0.0, 60.0), temperatures=(255.0, 256.0)), 2)
    fed = [replace(e, device="phone") for e in (
        first,
        event(Moved(things=("R-900",), to="room"), 1),
        log,
        event(Photographed(subject="R-900", file=store.put(PHOTO), called="roll.jpg"), 3),
        event(Photographed(subject="R-900", file="0" * 64, called="lost.jpg"), 4),
        event(Moved(things=("R-900",), to="freezer"), 0.5, late=True),
        correction(first, roll("R-900", 19.0), 6),
    )]  # fmt: skip
    ledger.add(fed, now=fed[-1].at + timedelta(hours=1))


def test_everything_round_trips_to_equality(
    ledger: Ledger, other: Ledger, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(busyshop, "AT_ONCE", 2)
    filled(ledger)
    path, files = tmp_path / "all.jsonl", tmp_path / "files"
    said = exported(ledger, path, files)
    assert (said.events, said.missing[-1]) == (ledger.count, ("0" * 64, "lost.jpg"))
    back = imported(other, path, files)
    assert (back.new, back.already) == (ledger.count, 0)
    assert back.files == said.files
    assert set(back.missing) == set(said.missing)
    assert list(other.events()) == list(ledger.events())  # with their order and when they were kept
    assert other.things(there=None) == ledger.things(there=None)
    assert other.differing() == ()
    store = Attachments(other.folder)
    assert sorted(store.read(d) for d in store.digests()) == [PHOTO, b"log"]
    again = tmp_path / "again.jsonl"
    exported(other, again)
    assert again.read_bytes() == path.read_bytes()


def test_a_file_of_the_first_form_is_read_for_ever(ledger: Ledger, other: Ledger, tmp_path: Path) -> None:
    # Written when this form was new, with every kind of event there was. It is never written again: when this fails,
    # old exports can no longer be read.
    assert imported(ledger, FIRST).new == 32
    back = list(ledger.events())
    assert [replace(e, order=0, kept=None) for e in back] == everykind.events()
    assert all(e.kept is not None and timedelta(0) < e.kept - e.at < timedelta(hours=8) for e in back)
    assert {e.kind for e in back} == set(KINDS)
    assert ledger.differing() == ()
    path = tmp_path / "all.jsonl"
    exported(ledger, path)
    imported(other, path)
    assert list(other.events()) == back
    assert other.things(there=None) == ledger.things(there=None)


def test_an_import_that_is_broken_off_leaves_nothing(ledger: Ledger, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(carrying, "AT_ONCE", 10)
    whole = carrying.keep
    calls = []

    def cut_off(*args: object, **more: object) -> object:
        calls.append(args)
        if len(calls) == 3:
            raise KeyboardInterrupt
        return whole(*args, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(carrying, "keep", cut_off)
    with pytest.raises(KeyboardInterrupt):
        imported(ledger, FIRST)
    assert len(calls) == 3
    assert (ledger.count, ledger.things(there=None)) == (0, {})
    monkeypatch.undo()
    assert imported(ledger, FIRST).new == 32


IMPORTS = """
import sys
from pathlib import Path
from bagside.records.carrying import imported
from bagside.records.database import Ledger
with Ledger.opened(Path(sys.argv[1]), sys.argv[2]) as ledger:
    print("begun", flush=True)
    imported(ledger, Path(sys.argv[3]))
    print("done", flush=True)
"""


def test_an_import_that_is_killed_leaves_all_or_nothing(database: Database, other: Ledger, tmp_path: Path) -> None:
    other.add(list(islice(busyshop.happened(), 200)))
    path = tmp_path / "all.jsonl"
    exported(other, path)
    with Ledger.opened(database.folder, database.url) as ledger:
        for wait in (0.05, 0.3):
            words = [sys.executable, "-c", IMPORTS, str(database.folder), database.url, str(path)]
            process = subprocess.Popen(words, stdout=subprocess.PIPE, text=True)
            assert process.stdout is not None
            assert process.stdout.readline() == "begun\n"
            time.sleep(wait)
            process.kill()
            done = "done" in process.communicate()[0]
            assert ledger.count in ((200,) if done else (0, 200))
            assert ledger.differing() == ()
        assert imported(ledger, path).new in (0, 200)
        assert list(ledger.events()) == list(other.events())


def test_twice_adds_nothing_and_more_adds_what_is_new(ledger: Ledger, other: Ledger, tmp_path: Path) -> None:
    path = tmp_path / "all.jsonl"
    ledger.add(begun())
    exported(ledger, path)
    assert imported(other, path) == Imported(new=4, already=0, files=0, missing=())
    assert imported(other, path) == Imported(new=0, already=4, files=0, missing=())
    assert imported(ledger, path).new == 0
    ledger.add([event(Moved(things=("R-1",), to="room"), 10)])
    exported(ledger, path)
    assert imported(other, path) == Imported(new=1, already=4, files=0, missing=())
    assert list(other.events()) == list(ledger.events())
    assert other.count == 5


def test_nothing_is_carried_from_nothing(ledger: Ledger, other: Ledger, tmp_path: Path) -> None:
    path = tmp_path / "all.jsonl"
    assert exported(ledger, path, tmp_path / "files") == Exported(events=0, files=0, missing=())
    assert imported(other, path) == Imported(new=0, already=0, files=0, missing=())
    assert other.count == 0


def test_what_cannot_be_read_changes_nothing(ledger: Ledger, tmp_path: Path) -> None:
    events = [*begun(), event(Moved(things=("R-1",), to="room"), 10)]
    whole = b"".join(lines_of(events, len(events), {}))
    path = tmp_path / "all.jsonl"
    for content in (whole[: len(whole) // 2], whole.replace(b"50.0", b"51.0"), b"not ours\n"):
        path.write_bytes(content)
        with pytest.raises(InputError) as caught:
            imported(ledger, path)
        assert len(caught.value.problems) == 1
        assert "all.jsonl, line" in str(caught.value)
        assert (ledger.count, ledger.things()) == (0, {})
        assert not (ledger.folder / FOLDER).exists()


def test_what_the_rules_refuse_is_told_with_its_line_and_changes_nothing(ledger: Ledger, tmp_path: Path) -> None:
    kept = [replace(e, kept=START + timedelta(hours=1)) for e in begun()]
    stray = [event(Counted(thing="R-77", length=3.0), 20), event(Moved(things=("R-1",), to="nowhere"), 21)]
    path = tmp_path / "all.jsonl"
    path.write_bytes(b"".join(lines_of([*kept, *stray], 6, {})))
    with pytest.raises(InputError) as caught:
        imported(ledger, path)
    places = [p.place for p in caught.value.problems]
    assert [p.partition(", ")[2].partition(",")[0] for p in places] == ["line 6", "line 7"]
    assert ledger.count == 0


def test_another_event_of_the_same_id_is_refused_with_its_line(ledger: Ledger, tmp_path: Path) -> None:
    events = begun()
    ledger.add(events)
    other = [*events[:3], replace(events[3], body=roll("R-1", 49.0))]
    path = tmp_path / "all.jsonl"
    path.write_bytes(b"".join(lines_of(other, 4, {})))
    with pytest.raises(InputError, match=r"all\.jsonl, line 5, received, id: .* has another event of this id"):
        imported(ledger, path)
    assert ledger.count == 4


def test_files_that_are_damaged_are_not_taken(ledger: Ledger, other: Ledger, tmp_path: Path) -> None:
    digest = Attachments(ledger.folder).put(PHOTO)
    ledger.add([*begun(), event(Photographed(subject="R-1", file=digest, called="roll.jpg"), 9)])
    path, files = tmp_path / "all.jsonl", tmp_path / "files"
    exported(ledger, path, files)
    copied = Attachments(files).path(digest)
    copied.chmod(0o644)
    copied.write_bytes(b"something else")
    said = imported(other, path, files)
    assert (said.new, said.missing) == (5, ((digest, "roll.jpg"),))
    assert not Attachments(other.folder).path(digest).exists()
