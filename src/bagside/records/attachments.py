"""Files that belong to the records: photos and logs, each kept under the digest of its content.

A file is written beside and put in place in one step, on the disk before its name is given out; it is never changed.
The same content is kept once, whatever it was called: the names stand in the ledger.
"""

from __future__ import annotations

import hashlib
import os
import re
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from bagside.errors import InputError
from bagside.ledger.bodies import Corrected, Cured, Logged, Photographed
from bagside.ledger.event import Event
from bagside.records.writing import unwritable

FOLDER = "records-files"
"""In the workshop's folder."""
LARGEST = 64_000_000
"""A file may be so large [bytes]: a photo has 2 to 12 MB, a week's log under 1 MB."""
AT_ONCE = 1 << 20
DIGEST = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Verified:
    """How kept files stand against what the ledger names; each a digest with what it was called.

    Parameters
    ----------
    missing, changed
        Files the ledger names that are not there, or are no longer what they were.
    spare
        Files that are there and nothing names; they do no harm.
    count
        How many the ledger names.
    """

    missing: tuple[tuple[str, str], ...]
    changed: tuple[tuple[str, str], ...]
    spare: tuple[str, ...]
    count: int

    @property
    def whole(self) -> bool:
        """Whether every file that the ledger names is there as it was."""
        return not self.missing and not self.changed


class Attachments:
    """The files of a workshop's records.

    Parameters
    ----------
    folder
        Of the workshop; they are in ``records-files`` there, by the first two letters of their digest.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder / FOLDER

    def path(self, digest: str) -> Path:
        """Return where the file of a digest is kept, whether it is there or not.

        Parameters
        ----------
        digest
            SHA-256 in hexadecimal digits.

        Raises
        ------
        InputError
            When it is none.
        """
        if not DIGEST.fullmatch(digest):
            raise InputError.one("attachment", f'"{digest[:70]}"', "64 hexadecimal digits are wanted")
        return self.folder / digest[:2] / digest

    def put(self, content: bytes | Path, called: str = "") -> str:
        """Keep a file; return its digest.

        Parameters
        ----------
        content
            Of the file, or where it lies.
        called
            For messages; the file's own name when it lies somewhere.

        Raises
        ------
        InputError
            When it is empty, too large or cannot be read.
        OutputError
            When it cannot be kept; then nothing was.
        """
        name = called or (content.name if isinstance(content, Path) else "the file")
        draft: str | None = None
        try:
            self.folder.mkdir(exist_ok=True)
            handle, draft = tempfile.mkstemp(prefix=".new-", dir=self.folder)
            digest, size = _written(handle, content, name)
            if not size:
                raise InputError.one(name, "", "the file is empty", "nothing was kept")
            path = self.path(digest)
            path.parent.mkdir(exist_ok=True)
            if _digest_of(path) != digest:  # not there yet, or damaged
                os.chmod(draft, 0o444)
                os.replace(draft, path)
                draft = None
            for folder in (path.parent, self.folder):
                _on_disk(folder)
        except OSError as error:
            raise unwritable(self.folder, error) from None
        finally:
            if draft is not None:
                Path(draft).unlink(missing_ok=True)
        return digest

    def read(self, digest: str) -> bytes:
        """Return a kept file's content.

        Parameters
        ----------
        digest
            Of the file.

        Raises
        ------
        InputError
            When it is not there, or no longer what it was.
        """
        path = self.path(digest)
        try:
            data = path.read_bytes()
        except OSError:
            raise InputError.one(str(path), "", "the file is missing", "get it back from a backup") from None
        if hashlib.sha256(data).hexdigest() != digest:
            raise InputError.one(str(path), "", "the file is no longer what it was", "get it back from a backup")
        return data

    def digests(self) -> tuple[str, ...]:
        """Return the digests of everything that is kept, whatever the files hold now."""
        found = self.folder.glob("[0-9a-f][0-9a-f]/*")
        return tuple(sorted(p.name for p in found if DIGEST.fullmatch(p.name) and p.name[:2] == p.parent.name))

    def verify(self, named: Mapping[str, str]) -> Verified:
        """Hold every file that the ledger names against its digest.

        Parameters
        ----------
        named
            What each was called, by digest: see `attached`.
        """
        missing: list[tuple[str, str]] = []
        changed: list[tuple[str, str]] = []
        for digest, called in named.items():
            now = _digest_of(self.path(digest)) if DIGEST.fullmatch(digest) else ""
            if not now:
                missing.append((digest, called))
            elif now != digest:
                changed.append((digest, called))
        spare = tuple(d for d in self.digests() if d not in named)
        return Verified(missing=tuple(missing), changed=tuple(changed), spare=spare, count=len(named))


def attached(events: Iterable[Event]) -> dict[str, str]:
    """Return what events' files are called, by digest, in the order in which they are first named.

    Parameters
    ----------
    events
        Any; what a correction names counts too.
    """
    out: dict[str, str] = {}
    for event in events:
        body = event.body
        if isinstance(body, Logged | Cured | Photographed):
            named = {"file": body.file, "called": body.called}
        elif isinstance(body, Corrected):
            named = body.data
        else:
            continue
        digest = str(named.get("file") or "")
        if digest:
            out.setdefault(digest, str(named.get("called") or ""))
    return out


def _written(handle: int, content: bytes | Path, name: str) -> tuple[str, int]:
    """Write a content to an open file and on to the disk; return its digest and size."""
    seen, size = hashlib.sha256(), 0
    with os.fdopen(handle, "wb") as file:
        with _opened(content, name) as parts:
            for part in parts:
                size += len(part)
                if size > LARGEST:
                    raise InputError.one(
                        name, f"more than {LARGEST // 1_000_000} MB", "that is too large for the records",
                        "save the photo smaller, or cut the log to the days that count; nothing was kept",
                    )  # fmt: skip
                seen.update(part)
                file.write(part)
        file.flush()
        os.fsync(file.fileno())
    return seen.hexdigest(), size


@contextmanager
def _opened(content: bytes | Path, name: str) -> Iterator[Iterator[bytes]]:
    """Give a content in parts."""
    if isinstance(content, bytes):
        yield iter([content])
        return
    try:
        file = content.open("rb")
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise InputError.one(name, f'"{content}"', f"it cannot be read: {reason}", "nothing was kept") from None
    with file:
        yield _parts(file)


def _parts(file: IO[bytes]) -> Iterator[bytes]:
    while part := file.read(AT_ONCE):
        yield part


def _digest_of(path: Path) -> str:
    """Return the digest of a file as it is; empty when it is not there or cannot be read."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return ""


def _on_disk(folder: Path) -> None:
    """See that a folder's entries are on the disk, where the system can."""
    if hasattr(os, "O_DIRECTORY"):
        handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
