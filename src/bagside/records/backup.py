"""A copy of everything a workshop knows, taken while people go on working, and how it is put back.

In it are the records, the files that belong to them and the workshop's own files: its tables, materials and jobs,
without what is worked out from them. The records are of one moment: SQLite copies its database while others write;
PostgreSQL's are written as lines of JSON, which are of one moment too, as events only grow. The files of that moment
are there, because a file is kept before the event that names it.

Putting back never writes over anything: it wants an empty folder, and an empty database where one is named.
"""

from __future__ import annotations

import os
import re
import shutil
import sqlite3
import tarfile
import tempfile
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from bagside.errors import InputError, OutputError
from bagside.records.attachments import FOLDER, Attachments, attached
from bagside.records.carrying import NAMING, exported, put_back
from bagside.records.database.engine import FILE, address_of, called
from bagside.records.database.ledger import Ledger
from bagside.records.packing import LIST, TARS, damaged, packing, unpacked
from bagside.records.writing import replaced, unwritable

LINES = "records.jsonl"
WORKED_OUT = ("out", "__pycache__")
"""Folders whose content is worked out from the others."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Backup:
    """A backup that was made.

    Parameters
    ----------
    path
        Where.
    events, files, size
        How many are in it; its files' bytes.
    missing
        Digest and name of each file that the records name and that is missing or damaged.
    left_out
        Links to folders elsewhere: they are not followed.
    same_disk
        Whether it lies where the workshop lies.
    """

    path: Path
    events: int
    files: int
    size: int
    missing: tuple[tuple[str, str], ...]
    left_out: tuple[str, ...]
    same_disk: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Restored:
    """What was put back: when it was copied, how many events and files, and where the records are now."""

    made: datetime
    workshop: str
    events: int
    files: int
    records: str


def backed_up(ledger: Ledger, to: Path, name: str, now: datetime) -> Backup:
    """Copy a workshop while it is in use.

    Parameters
    ----------
    ledger
        Its records, opened; its folder is the workshop's.
    to
        An archive to be made (``.zip``, ``.tar``, ``.tar.gz``), or a folder in which one with today's date is made.
    name
        Of the workshop.
    now
        For its name and its list.

    Raises
    ------
    InputError
        When there is a file of this name already, or the folder lies where it would copy itself.
    OutputError
        When it cannot be written, or the records cannot be read; then there is no backup.
    """
    path = _place(to, name, now)
    shop = ledger.folder.resolve()
    sqlite = ledger.door.address.get_backend_name() == "sqlite"
    database = Path(str(ledger.door.address.database))
    with packing(path, now.timestamp()) as pack:
        with tempfile.TemporaryDirectory(prefix=".backup-", dir=path.parent) as spare:
            records = Path(spare) / (FILE if sqlite else LINES)
            events = _copied(database, records) if sqlite else exported(ledger, records).events
            pack.add(records.name, records)
        named = attached(e for e in ledger.events(kinds=NAMING) if e.order <= events)
        store = Attachments(ledger.folder)
        for digest in store.digests():
            pack.add(f"{FOLDER}/{digest[:2]}/{digest}", store.path(digest))
        left_out: list[str] = []
        for file in _own_files(shop, path.resolve(), ledger):
            name_there = file.relative_to(shop).as_posix()
            if file.is_dir():
                left_out.append(name_there)
            else:
                pack.add(name_there, file)
        packed = {f.sha256 for f in pack.files if f.name.startswith(f"{FOLDER}/") and f.name.endswith(f.sha256)}
        about = {"made": now.astimezone(UTC).isoformat(timespec="seconds"), "workshop": name, "events": events,
                 "records": "sqlite" if sqlite else "lines"}  # fmt: skip
        pack.finish(about)
        files, size = len(pack.files), sum(f.size for f in pack.files)
    return Backup(
        path=path,
        events=events,
        files=files,
        size=size,
        missing=tuple((digest, name) for digest, name in named.items() if digest not in packed),
        left_out=tuple(left_out),
        same_disk=path.stat().st_dev == shop.stat().st_dev,
    )


def restored(backup: Path, folder: Path, url: str = "") -> Restored:
    """Put a backup back into an empty folder.

    Parameters
    ----------
    backup
        Folder or archive.
    folder
        That is empty, or not there yet.
    url
        Of an empty database for the records; a file in the folder when empty.

    Raises
    ------
    InputError
        When the folder or the database is not empty, or the backup is damaged. Nothing is changed then.
    OutputError
        When it cannot be written.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise InputError.one(str(folder), "", "it is not empty", "state a folder that is empty, or a new one")
    try:
        folder.resolve().parent.mkdir(parents=True, exist_ok=True)
        draft = Path(tempfile.mkdtemp(prefix=".restore-", dir=folder.resolve().parent))
    except OSError as error:
        raise unwritable(folder, error) from None
    try:
        about = unpacked(backup, draft)
        records = _records_back(backup, draft, about, url.strip())
        os.chmod(draft, 0o755)
        if folder.exists():
            folder.rmdir()
        os.replace(draft, folder)
    except OSError as error:
        raise unwritable(folder, error) from None
    finally:
        shutil.rmtree(draft, ignore_errors=True)
    return Restored(
        made=datetime.fromisoformat(about["made"]),
        workshop=str(about["workshop"]),
        events=int(about["events"]),
        files=len(about["files"]),
        records=records or str(folder / FILE),
    )


def _place(to: Path, name: str, now: datetime) -> Path:
    """Return where a backup is made."""
    if to.name.lower().endswith((".zip", *TARS)):
        if to.exists():
            raise InputError.one("TO", f'"{to}"', "there is a file of this name already", "state another name")
        return to
    if to.exists() and not to.is_dir():
        raise InputError.one("TO", f'"{to}"', "a folder, or a name that ends with .zip, .tar or .tar.gz, is wanted")
    word = re.sub(r"[^\w]+", "-", name).strip("-").lower() or "workshop"
    stem = f"{word}-{now:%Y-%m-%d-%H%M%S}"
    path, k = to / stem, 1
    while path.exists():
        k += 1
        path = to / f"{stem}-{k}"
    return path


def _copied(source: Path, to: Path) -> int:
    """Copy a database that others write to; return how many events the copy holds."""
    try:
        with closing(_connected(source)) as old, closing(_connected(to)) as new:
            old.backup(new)
            new.execute("PRAGMA journal_mode = DELETE")  # one file, complete in itself
            said = new.execute("PRAGMA quick_check(1)").fetchone()[0]
            if said != "ok":
                raise OutputError(
                    f'"{source}" is damaged ({said}). No backup was made: keep the last one, and restore from it.'
                )
            return int(new.execute('SELECT coalesce(max("order"), 0) FROM events').fetchone()[0])
    except sqlite3.Error as error:
        raise OutputError(f'"{source}" cannot be copied: {error}. No backup was made.') from None


def _connected(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(path, timeout=30.0, isolation_level=None)


def _own_files(shop: Path, backup: Path, ledger: Ledger) -> Iterator[Path]:
    """Give the workshop's own files, without the records, what is worked out, what is hidden, and backups.

    A link to a folder is given as it is.
    """
    database = Path(str(ledger.door.address.database)).resolve()
    records = {database.with_name(database.name + end) for end in ("", "-wal", "-shm", "-journal")}
    for root, folders, files in os.walk(shop):
        here = Path(root)
        folders[:] = sorted(
            f
            for f in folders
            if f not in WORKED_OUT
            and not f.startswith(".")
            and here / f not in (shop / FOLDER, backup)
            and not (here / f / LIST).is_file()
        )
        yield from (here / f for f in folders if (here / f).is_symlink())
        for name in sorted(files):
            file = here / name
            hidden = name.startswith(".") or file in records or file == backup
            if not hidden and file.is_file() and not _is_backup(file):
                yield file


def _is_backup(file: Path) -> bool:
    """Return whether a file is an earlier backup: they would grow into each other."""
    name = file.name.lower()
    try:
        if name.endswith(".zip"):
            with zipfile.ZipFile(file) as zipped:
                return LIST in zipped.namelist()
        if name.endswith(TARS):
            with tarfile.open(file) as tarred:
                first = tarred.next()  # the records are packed first
                return first is not None and first.name in (FILE, LINES)
    except (OSError, zipfile.BadZipFile, tarfile.TarError, EOFError, zlib.error):
        return False  # what is damaged is the workshop's own affair
    return False


def _records_back(backup: Path, draft: Path, about: dict[str, Any], url: str) -> str:
    """Bring the records to where they are wanted; return that place as stated, empty for a file in the folder."""
    kind = about.get("records")
    copy = draft / (FILE if kind == "sqlite" else LINES)
    if kind not in ("sqlite", "lines") or not copy.is_file():
        raise damaged(backup, "there are no records in it")
    if not url:
        if kind == "lines":
            _filled(draft, "", copy, about, backup)
        else:
            with Ledger.opened(draft) as ledger:
                _refuse_other(backup, ledger, about)
        _state_records(draft / "workshop.toml", "")
        return ""
    address = address_of(draft, url)
    if address.get_backend_name() == "sqlite":
        wanted = "the address of an empty PostgreSQL database is wanted; a file in the folder needs none"
        raise InputError.one("--records", f'"{url}"', wanted)
    lines = draft / LINES
    if kind == "sqlite":
        with Ledger.opened(draft) as old:
            exported(old, lines)
        for end in ("", "-wal", "-shm"):
            copy.with_name(copy.name + end).unlink(missing_ok=True)
    _filled(draft, url, lines, about, backup)
    stated = called(address)
    _state_records(draft / "workshop.toml", stated)
    return stated


def _filled(draft: Path, url: str, lines: Path, about: dict[str, Any], backup: Path) -> None:
    """Put lines back into empty records."""
    with Ledger.opened(draft, url) as new:
        if new.count:
            place = called(new.door.address)
            raise InputError.one("--records", place, "there are records in it already", "state an empty database")
        put_back(new, lines)
        _refuse_other(backup, new, about)
    lines.unlink()


def _refuse_other(backup: Path, ledger: Ledger, about: dict[str, Any]) -> None:
    if ledger.count != about["events"]:
        raise damaged(backup, f"it holds {ledger.count} events, and its list says {about['events']}")


def _state_records(file: Path, url: str) -> None:
    """Write into ``workshop.toml`` where the records are now; everything else in it stays as it is."""
    if not file.is_file():
        return
    try:
        document = tomlkit.parse(file.read_text(encoding="utf-8"))
    except (TOMLKitError, UnicodeDecodeError):
        return  # a file that was broken when it was copied is given back as it was
    if str(document.get("records", "")) == url:
        return
    if url:
        document["records"] = url
    else:
        del document["records"]
    replaced(file, tomlkit.dumps(document))
