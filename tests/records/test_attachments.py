"""Files of the records: kept once under their content, whole or not at all, and told when they are no longer so."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.errors import InputError, OutputError
from bagside.ledger.bodies import Cured, Logged, Moved, Photographed
from bagside.records import attachments
from bagside.records.attachments import FOLDER, LARGEST, Attachments, attached
from happenings import correction, event

LOG = b"time;freezer\n2026-03-02 07:00;-19.5\n"
DIGEST = hashlib.sha256(LOG).hexdigest()


def test_a_file_is_kept_under_its_content_and_once(tmp_path: Path) -> None:
    store = Attachments(tmp_path)
    source = tmp_path / "freezer.csv"
    source.write_bytes(LOG)
    assert store.put(LOG, "freezer.csv") == store.put(source) == DIGEST
    assert store.path(DIGEST) == tmp_path / FOLDER / DIGEST[:2] / DIGEST
    assert store.read(DIGEST) == LOG
    assert store.digests() == (DIGEST,)
    assert [p for p in (tmp_path / FOLDER).rglob("*") if p.is_file()] == [store.path(DIGEST)]  # no draft is left
    assert store.path(DIGEST).stat().st_mode & 0o222 == 0  # nobody writes into it by mistake


@given(st.binary(min_size=1, max_size=3_000_000))
def test_any_content_comes_back(tmp_path_factory: pytest.TempPathFactory, content: bytes) -> None:
    store = Attachments(tmp_path_factory.mktemp("shop"))
    assert store.read(store.put(content)) == content


def test_missing_changed_and_spare_files_are_named(tmp_path: Path) -> None:
    store = Attachments(tmp_path)
    whole, changed, spare = store.put(b"whole"), store.put(b"changed"), store.put(b"spare")
    path = store.path(changed)
    path.chmod(0o644)
    path.write_bytes(b"Changed")
    missing = hashlib.sha256(b"missing").hexdigest()
    found = store.verify({whole: "a.jpg", changed: "b.jpg", missing: "c.jpg", "none": "d.jpg"})
    assert found.changed == ((changed, "b.jpg"),)
    assert found.missing == ((missing, "c.jpg"), ("none", "d.jpg"))
    assert found.spare == (spare,)
    assert (found.count, found.whole) == (4, False)
    assert store.verify({whole: ""}).whole
    for digest, words in ((changed, "the file is no longer what it was"), (missing, "the file is missing")):
        with pytest.raises(InputError, match=words):
            store.read(digest)
    assert store.put(b"changed") == changed  # put again, it is whole again
    assert store.read(changed) == b"changed"


def test_a_file_that_is_too_large_or_empty_is_refused_and_nothing_is_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = Attachments(tmp_path)
    assert LARGEST == 64_000_000
    large = tmp_path / "film.mov"
    with large.open("wb") as file:
        file.truncate(LARGEST + 1)
    with pytest.raises(InputError) as caught:
        store.put(large)
    assert str(caught.value) == (
        "film.mov: more than 64 MB – that is too large for the records (save the photo smaller, or cut the log to the "
        "days that count; nothing was kept)"
    )
    with pytest.raises(InputError, match=r"log\.csv – the file is empty"):
        store.put(b"", "log.csv")
    with pytest.raises(InputError, match="it cannot be read: no such file"):
        store.put(tmp_path / "nowhere.jpg")
    assert list((tmp_path / FOLDER).rglob("*")) == []
    monkeypatch.setattr(attachments, "LARGEST", 10)
    assert store.put(b"0123456789")
    with pytest.raises(InputError, match="too large"):
        store.put(b"0123456789a")


def test_a_disk_that_fails_leaves_what_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    store = Attachments(tmp_path)
    store.put(b"before")

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OutputError, match=r"cannot be written: no space left on device\. Nothing was changed\."):
        store.put(b"after")
    monkeypatch.undo()
    assert [store.read(d) for d in store.digests()] == [b"before"]
    assert [p.name for p in (tmp_path / FOLDER).iterdir() if p.is_file()] == []


@pytest.mark.parametrize("digest", ["", "../../etc/passwd", "A" * 64, "0" * 63, "0" * 65, "0" * 64 + "\n"])
def test_what_is_no_digest_is_no_path(tmp_path: Path, digest: str) -> None:
    with pytest.raises(InputError, match="64 hexadecimal digits are wanted"):
        Attachments(tmp_path).path(digest)


def test_events_name_their_files_also_where_they_were_corrected() -> None:
    photo = event(Photographed(subject="R-1", file="a" * 64, called="label.jpg"))
    log = event(Logged(place="freezer", file="b" * 64, called="f.csv", times=(0.0,), temperatures=(255.0,)))
    events = [
        photo,
        log,
        event(Cured(builds=("B-1",))),  # no log
        event(Moved(things=("R-1",), to="room")),
        event(Photographed(subject="R-1", file="a" * 64, called="again.jpg")),
        correction(photo, Photographed(subject="R-1", file="c" * 64, called="right.jpg"), 5.0),
        correction(log, None, 6.0),
    ]
    assert attached(events) == {"a" * 64: "label.jpg", "b" * 64: "f.csv", "c" * 64: "right.jpg"}
