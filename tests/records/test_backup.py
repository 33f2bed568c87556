"""A backup is of one moment though people go on working; put back, it is the workshop that it was."""

from __future__ import annotations

import json
import os
import re
import shutil
import sqlite3
import tarfile
import threading
import zipfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from bagside.errors import InputError, OutputError
from bagside.ledger.bodies import Moved, Photographed
from bagside.records import packing
from bagside.records.attachments import Attachments, attached
from bagside.records.backup import Backup, backed_up, restored
from bagside.records.database import Ledger
from databases import Database, drop_database, new_database
from happenings import begun, event, happenings
from recordwriter import writer

NOW = datetime(2026, 3, 3, 14, 5, 9, tzinfo=UTC)
SHOP = '# ours\nname = "Skerry Kayaks"\ncurrency = "EUR"\n'
FORMS = ["folder", "lid.zip", "lid.tar", "lid.tar.gz", "lid.tgz"]


def furnished(folder: Path, records: str = "") -> None:
    """Put a workshop's own files into a folder, with what a backup must leave out."""
    for name, text in {
        "workshop.toml": SHOP + (f'records = "{records}"\n' if records else "") + "# end\n",
        "stock.toml": "# none\n",
        "materials/own.toml": "# ours\n",
        "jobs/lid/job.toml": 'name = "lid"\n',
        "jobs/lid/mould.stl": "solid\n",
        "jobs/lid/photos/Süll, außen.jpg": "a photo",
        "jobs/lid/out/book.pdf": "worked out",
        "jobs/lid/.bagside-cache/x": "worked out",
        ".git/config": "hidden",
        "old/backup.json": "{}",
        "old/records.sqlite": "an earlier backup",
    }.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")


OWN = {
    "workshop.toml", "stock.toml", "materials/own.toml", "jobs/lid/job.toml", "jobs/lid/mould.stl",
    "jobs/lid/photos/Süll, außen.jpg",
}  # fmt: skip


def listing(folder: Path) -> set[str]:
    names = {p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file()}
    return names - {"records.sqlite-wal", "records.sqlite-shm"}  # SQLite's own, beside its file


def stocked(folder: Path, url: str) -> Ledger:
    bare = re.sub(r":[^:/@]*@", "@", url)  # no password stands in a file
    furnished(folder, bare)
    ledger = Ledger.opened(folder, url)
    ledger.add(begun())
    digest = Attachments(folder).put(b"a photo", "roll.jpg")
    ledger.add([event(Photographed(subject="R-1", file=digest, called="roll.jpg"), 5)])
    return ledger


@pytest.fixture
def either(database: Database) -> Iterator[Ledger]:
    with stocked(database.folder, database.url) as opened:
        yield opened


@pytest.fixture
def ledger(tmp_path: Path) -> Iterator[Ledger]:
    (tmp_path / "workshop").mkdir()
    with stocked(tmp_path / "workshop", "") as opened:
        yield opened


def made(ledger: Ledger, to: Path, form: str = "folder") -> Backup:
    return backed_up(ledger, to if form == "folder" else to / form, "Skerry Kayaks", NOW)


def test_a_workshop_comes_back_as_it_was(either: Ledger, tmp_path: Path) -> None:
    comes_back(either, tmp_path, "folder")


@pytest.mark.parametrize("form", FORMS[1:])
def test_a_workshop_comes_back_from_an_archive_too(ledger: Ledger, tmp_path: Path, form: str) -> None:
    comes_back(ledger, tmp_path, form)


def comes_back(ledger: Ledger, tmp_path: Path, form: str) -> None:
    before = list(ledger.events())
    said = made(ledger, tmp_path / "copies", form)
    assert said.path == tmp_path / "copies" / ("skerry-kayaks-2026-03-03-140509" if form == "folder" else form)
    assert (said.events, said.files, said.missing) == (5, len(OWN) + 2, ())
    assert os.listdir(tmp_path / "copies") == [said.path.name]  # no drafts
    ledger.add([event(Moved(things=("R-1",), to="room"), 20)])  # after it
    new = tmp_path / "new"
    back = restored(said.path, new)
    assert (back.events, back.files, back.workshop, back.made) == (5, said.files, "Skerry Kayaks", NOW)
    assert back.records == str(new / "records.sqlite")
    digest = Attachments(new).digests()[0]
    assert listing(new) == OWN | {"records.sqlite", f"records-files/{digest[:2]}/{digest}"}
    for name in OWN - {"workshop.toml"}:
        assert (new / name).read_bytes() == (ledger.folder / name).read_bytes()
    assert (new / "workshop.toml").read_text(encoding="utf-8") == SHOP + "# end\n"  # the records are in the folder now
    with Ledger.opened(new) as other:
        assert list(other.events()) == before
        assert other.things(there=None).keys() == {"freezer", "room", "TAPE-1", "R-1"}
        assert other.differing() == ()
        assert Attachments(new).verify({digest: "roll.jpg"}).whole
        other.add([event(Moved(things=("R-1",), to="room"), 20)])  # and work goes on there


def test_it_comes_back_into_an_empty_database_too(either: Ledger, tmp_path: Path) -> None:
    said = made(either, tmp_path, "lid.zip")
    url = new_database()
    try:
        back = restored(said.path, tmp_path / "new", url)
        word = url.split(":")[2].split("@")[0]
        assert word not in back.records  # no password is shown or written
        assert f'records = "{back.records}"' in (tmp_path / "new" / "workshop.toml").read_text(encoding="utf-8")
        assert "records.sqlite" not in listing(tmp_path / "new")
        with Ledger.opened(tmp_path / "new", url) as other:
            assert list(other.events()) == list(either.events())
            assert other.differing() == ()
        with pytest.raises(InputError, match="there are records in it already"):
            restored(said.path, tmp_path / "again", url)
        assert not (tmp_path / "again").exists()
    finally:
        drop_database(url)
    with pytest.raises(InputError, match="the address of an empty PostgreSQL database is wanted"):
        restored(said.path, tmp_path / "again", "sqlite:///other.sqlite")


def test_a_backup_taken_while_others_write_is_a_beginning_of_the_ledger(database: Database, tmp_path: Path) -> None:
    furnished(database.folder)
    with Ledger.opened(database.folder, database.url) as ledger:
        ledger.add(begun())
        process = writer(database.folder, database.url, "P", 7, 4000, 3)
        assert process.stdout is not None
        try:
            backups = []
            for k in range(2):
                while ledger.count < 40 * (k + 1):
                    assert process.poll() is None, process.communicate()
                backups.append(made(ledger, tmp_path, f"{k}.tar"))
            running = process.poll() is None
        finally:
            process.kill()
            process.communicate()
        assert running  # it wrote all the while
        events = list(ledger.events())
        counts = [b.events for b in backups]
        assert counts == sorted(set(counts))
        for k, backup in enumerate(backups):
            restored(backup.path, tmp_path / f"new {k}")
            with Ledger.opened(tmp_path / f"new {k}") as other:
                assert list(other.events()) == events[: backup.events]
                assert (backup.events - 4) % 3 == 0  # no group of three is parted
                assert other.differing() == ()


def test_photos_that_come_while_it_is_taken_are_all_there(either: Ledger, tmp_path: Path) -> None:
    stop = threading.Event()
    failed: list[BaseException] = []

    def photographs() -> None:
        try:
            with Ledger.opened(either.folder, either.url) as mine:
                store = Attachments(mine.folder)
                for k in range(10_000):
                    if stop.is_set():
                        return
                    name = f"{k}.jpg"
                    digest = store.put(f"photo {k}".encode() * 1000, name)
                    mine.add([event(Photographed(subject="R-1", file=digest, called=name), 10 + k, device="phone")])
        except BaseException as error:
            failed.append(error)

    camera = threading.Thread(target=photographs)
    camera.start()
    try:
        backups = []
        for k in range(3):
            while either.count < 12 * (k + 1):
                assert not failed
            backups.append(made(either, tmp_path, f"{k}.tar"))
    finally:
        stop.set()
        camera.join()
    assert not failed
    for k, backup in enumerate(backups):
        assert backup.missing == ()
        restored(backup.path, tmp_path / f"new {k}")
        with Ledger.opened(tmp_path / f"new {k}") as other:
            named = attached(other.events())
            assert len(named) == backup.events - 4
            assert Attachments(other.folder).verify(named).whole


def test_missing_files_are_named_and_the_rest_is_copied(ledger: Ledger, tmp_path: Path) -> None:
    ledger.add([event(Photographed(subject="R-1", file="0" * 64, called="lost.jpg"), 6)])
    store = Attachments(ledger.folder)
    path = store.path(store.digests()[0])
    path.chmod(0o644)
    path.write_bytes(b"scribble")
    said = made(ledger, tmp_path)
    assert said.missing == ((path.name, "roll.jpg"), ("0" * 64, "lost.jpg"))
    assert said.same_disk
    restored(said.path, tmp_path / "new")


def test_a_backup_inside_the_workshop_does_not_copy_itself(ledger: Ledger, tmp_path: Path) -> None:
    first = made(ledger, ledger.folder / "copies")
    second = made(ledger, ledger.folder / "copies", "now.tar.gz")
    made(ledger, ledger.folder / "copies", "now.zip")
    third = made(ledger, ledger.folder / "copies")
    assert third.path.name == "skerry-kayaks-2026-03-03-140509-2"
    assert first.files == third.files
    assert second.files == first.files
    restored(third.path, tmp_path / "new")
    with pytest.raises(InputError, match="there is a file of this name already"):
        made(ledger, ledger.folder / "copies", "now.zip")
    with pytest.raises(InputError, match=r"a folder, or a name that ends with \.zip"):
        backed_up(ledger, ledger.folder / "stock.toml", "x", NOW)


def test_a_folder_that_is_not_empty_is_left_alone(ledger: Ledger, tmp_path: Path) -> None:
    said = made(ledger, tmp_path / "copies")
    full, empty = tmp_path / "full", tmp_path / "empty"
    full.mkdir()
    empty.mkdir()
    (full / "note.txt").write_text("ours")
    with pytest.raises(InputError, match=r"it is not empty \(state a folder that is empty, or a new one\)"):
        restored(said.path, full)
    assert listing(full) == {"note.txt"}
    assert restored(said.path, empty).events == 5


def tampered(path: Path, how: str) -> None:
    """Damage a backup that is a folder."""
    records = next(p for p in (path / "records.sqlite", path / "records.jsonl") if p.exists())
    listed = path / packing.LIST
    if how == "a bit":
        data = bytearray(records.read_bytes())
        data[len(data) // 2] ^= 4
        records.write_bytes(data)
    elif how == "cut":
        os.truncate(records, records.stat().st_size // 2)
    elif how == "gone":
        (path / "jobs/lid/job.toml").unlink()
    elif how == "two":
        (path / "jobs/lid/job.toml").write_text("other")
        (path / "stock.toml").unlink()
    elif how == "no list":
        listed.unlink()
    elif how == "cut list":
        os.truncate(listed, listed.stat().st_size // 2)
    elif how == "other list":
        listed.write_text(listed.read_text(encoding="utf-8").replace('"events": 5', '"events": 6'), encoding="utf-8")
    elif how == "newer":
        listed.write_text(listed.read_text(encoding="utf-8").replace('"form": 1', '"form": 2'), encoding="utf-8")


DAMAGED = {
    "a bit": "this backup is damaged: records.{} is not as it was written",
    "cut": "this backup is damaged: records.{} is not as it was written",
    "gone": "this backup is damaged: jobs/lid/job.toml is missing",
    "two": "this backup is damaged: stock.toml is missing, and 1 more",
    "cut list": "this backup is damaged: its list backup.json cannot be read",
    "other list": "this backup is damaged: its list backup.json is not as it was written",
}


@pytest.mark.parametrize("how", [*DAMAGED, "no list", "newer"])
def test_a_damaged_backup_is_refused_in_one_sentence(ledger: Ledger, tmp_path: Path, how: str) -> None:
    path = made(ledger, tmp_path / "copies").path
    tampered(path, how)
    with pytest.raises(InputError) as caught:
        restored(path, tmp_path / "new")
    said = str(caught.value)
    kind = "sqlite" if (path / "records.sqlite").exists() else "jsonl"
    if how in DAMAGED:
        assert said == f"{path} – {DAMAGED[how].format(kind)} (take another backup; nothing was changed)"
    elif how == "newer":
        assert "a newer bagside made this backup; this one reads form 1 (update bagside)" in said
    else:
        assert said == f'{path} – this is no backup (what "bagside backup" made is wanted)'
    assert sorted(p.name for p in tmp_path.iterdir()) == ["copies", "workshop"]


@pytest.mark.parametrize("form", FORMS[1:])
@pytest.mark.parametrize("share", [0.0, 0.1, 0.5, 0.9])
def test_an_archive_that_is_cut_off_is_refused(tmp_path: Path, form: str, share: float) -> None:
    folder = tmp_path / "workshop"
    furnished(folder)
    with Ledger.opened(folder) as ledger:
        ledger.add(begun())
        path = made(ledger, tmp_path, form).path
    data = path.read_bytes()
    path.write_bytes(data.rstrip(b"\0")[: int(share * len(data.rstrip(b"\0")))])  # a tar ends with nothing but noughts
    with pytest.raises(InputError) as caught:
        restored(path, tmp_path / "new")
    assert str(caught.value).startswith(f"{path} – this backup is damaged: ")
    assert len(caught.value.problems) == 1
    assert sorted(p.name for p in tmp_path.iterdir()) == sorted([path.name, "workshop"])


def refusal(path: Path, new: Path) -> str:
    try:
        restored(path, new)
    except InputError as error:
        return str(error)
    return ""


def test_a_wrong_bit_in_an_archive_is_found_or_does_no_harm(tmp_path: Path) -> None:
    found = 0
    folder = tmp_path / "workshop"
    furnished(folder)
    with Ledger.opened(folder) as ledger:
        ledger.add(begun())
        for form in FORMS[1:]:
            path = made(ledger, tmp_path, form).path
            whole = path.read_bytes()
            for place in range(12):
                data = bytearray(whole)
                data[place * len(data) // 12] ^= 16
                path.write_bytes(data)
                new = tmp_path / f"{form} {place}"
                said = refusal(path, new)
                if said:
                    found += 1
                    assert "this backup is damaged" in said or "is no backup" in said
                    assert not new.exists()
                else:
                    assert all((new / name).read_bytes() == (folder / name).read_bytes() for name in OWN)
                    with Ledger.opened(new) as other:
                        assert [e.order for e in other.events()] == [1, 2, 3, 4]
    assert found > 20


def test_an_archive_that_reaches_outside_is_refused(tmp_path: Path) -> None:
    zipped, tarred = tmp_path / "evil.zip", tmp_path / "evil.tar"
    (tmp_path / "x").write_text("x")
    with zipfile.ZipFile(zipped, "w") as archive:
        archive.write(tmp_path / "x", "../outside.txt")
    with tarfile.open(tarred, "w") as archive2:
        archive2.add(tmp_path / "x", "jobs/../../outside.txt")
    for path in (zipped, tarred):
        with pytest.raises(InputError, match=r'"[^"]*" would lie outside of it'):
            restored(path, tmp_path / "a" / "new")
    assert not list(tmp_path.rglob("outside.txt"))


@pytest.mark.parametrize("content", ["", "hello", '{"bagside": "records"}'])
def test_what_is_no_backup_is_refused(tmp_path: Path, content: str) -> None:
    file = tmp_path / "note.txt"
    file.write_text(content)
    with pytest.raises(InputError, match=r'this is no backup \(what "bagside backup" made is wanted\)'):
        restored(file, tmp_path / "new")
    with pytest.raises(InputError, match="there is no such backup"):
        restored(tmp_path / "nowhere", tmp_path / "new")
    other = tmp_path / "other"
    other.mkdir()
    (other / packing.LIST).write_text(content)
    with pytest.raises(InputError):
        restored(other, tmp_path / "new")
    assert not (tmp_path / "new").exists()


def test_a_disk_that_fails_leaves_no_half_backup(
    ledger: Ledger, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    to = tmp_path / "copies"

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(shutil, "copyfileobj", full)
    monkeypatch.setattr(tarfile, "copyfileobj", full)
    for form in ("folder", "lid.zip", "lid.tar"):
        with pytest.raises(OutputError, match="cannot be written: no space left on device"):
            made(ledger, to, form)
    assert os.listdir(to) == []


def test_records_that_are_damaged_make_no_backup(tmp_path: Path) -> None:
    folder = tmp_path / "workshop"
    furnished(folder)
    bodies = happenings(3, "P")
    with Ledger.opened(folder) as ledger:
        ledger.add(begun())
        ledger.add([event(next(bodies), 10 + k) for k in range(400)])
    path = folder / "records.sqlite"
    with sqlite3.connect(path) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    with path.open("r+b") as file:
        size = file.seek(0, 2)
        file.seek(size // 2 // 4096 * 4096)
        file.write(b"\xa5" * 4096)
    with Ledger.opened(folder) as ledger, pytest.raises(OutputError, match="No backup was made"):
        made(ledger, tmp_path / "copies")
    assert os.listdir(tmp_path / "copies") == []


def test_the_list_says_what_is_in_it(ledger: Ledger, tmp_path: Path) -> None:
    data = json.loads((made(ledger, tmp_path).path / packing.LIST).read_text(encoding="utf-8"))
    assert data["made"] == "2026-03-03T14:05:09+00:00"
    assert data["records"] == ("sqlite" if not ledger.url else "lines")
    assert {f["name"] for f in data["files"]} >= OWN
