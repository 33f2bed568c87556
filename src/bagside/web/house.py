"""The workshop's folder, and everything of it that is open: one for the whole server."""

from __future__ import annotations

import asyncio
import getpass
import hashlib
import socket
from collections import OrderedDict
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any

from bagside.errors import InputError
from bagside.records.desk import Desk, desk
from bagside.spec.library import Library, workshop_library
from bagside.spec.reading import load_toml, stated_from
from bagside.spec.workshop import Workshop
from bagside.web.model.job_desk import JobDesk
from bagside.web.model.text_file import TextFile
from bagside.web.work.crew import Crew
from bagside.web.work.warm_task import warmed

MOST_BLOBS = 256_000_000
"""Bytes that are kept for pages to fetch."""


class House:
    """A workshop that is open.

    Parameters
    ----------
    folder
        Of the workshop; it may be empty.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._loop: asyncio.AbstractEventLoop | None = None
        self.crew = Crew(self._back, warmed)
        self._jobs: dict[str, JobDesk] = {}
        self._library: tuple[object, Library | None] = (None, None)
        self._workshop: tuple[object, Workshop | None] = ((), None)
        self._files: dict[str, TextFile] = {}
        self.blobs: OrderedDict[str, bytes] = OrderedDict()

    def lives_in(self, loop: asyncio.AbstractEventLoop) -> None:
        """Say in which loop pages live: what child processes say comes back there."""
        self._loop = loop

    def close(self) -> None:
        """End every child process."""
        self.crew.close()

    def workshop(self) -> Workshop | None:
        """Return the workshop as stated now; None when there is no ``workshop.toml``.

        Raises
        ------
        InputError
            With every problem of the file.
        """
        path = self.folder / "workshop.toml"
        if not path.is_file():
            return None
        stamp = _stamp(path)
        if self._workshop[0] != stamp:
            self._workshop = (stamp, stated_from(load_toml(path), Workshop, path.name))
        return self._workshop[1]

    def library(self) -> Library | None:
        """Return the materials, generic and the workshop's own; None when a file of them cannot be read."""
        stamp = tuple(_stamp(p) for p in sorted((self.folder / "materials").glob("*.toml")))
        if self._library[0] != stamp:
            try:
                self._library = (stamp, workshop_library(self.folder))
            except InputError:
                self._library = (stamp, None)
        return self._library[1]

    def jobs(self) -> tuple[str, ...]:
        """Return the names of the folders under ``jobs/`` that hold a job, in the order of the alphabet."""
        return tuple(sorted(p.parent.name for p in (self.folder / "jobs").glob("*/job.toml")))

    def job(self, name: str) -> JobDesk:
        """Return an open job, the same for every window.

        Parameters
        ----------
        name
            Of its folder.

        Raises
        ------
        InputError
            When there is no such job, or its file is no text.
        """
        if name in self._jobs and not self._jobs[name].file.path.is_file():
            self._jobs.pop(name).stop()  # deleted or renamed; a window that is still open tells so
        if name not in self._jobs:
            if name not in self.jobs():
                raise InputError.one("jobs", f'"{name}"', "there is no such job in this workshop")
            self._jobs[name] = JobDesk(name, self.folder / "jobs" / name, self.crew, self.library)
        return self._jobs[name]

    def file(self, name: str) -> TextFile:
        """Return a file of the workshop that pages edit, the same for every window.

        Parameters
        ----------
        name
            ``workshop.toml`` or ``materials/NAME.toml``.

        Raises
        ------
        InputError
            When it is neither, or no text.
        """
        stem = name.removeprefix("materials/").removesuffix(".toml")
        plain = stem != "" and all(c.isalnum() or c in "-_" for c in stem)
        if name != "workshop.toml" and not (name == f"materials/{stem}.toml" and plain):
            raise InputError.one("file", f'"{name}"', "only workshop.toml and materials/NAME.toml are edited here")
        if name not in self._files:
            self._files[name] = TextFile(self.folder / name, self.folder / ".bagside" / "history" / stem)
        return self._files[name]

    def blob(self, content: bytes) -> str:
        """Return the address under which a page fetches some bytes; the ones asked for longest ago go first.

        Parameters
        ----------
        content
            Such as a packed mesh.
        """
        digest = hashlib.sha256(content).hexdigest()
        self.blobs[digest] = content
        self.blobs.move_to_end(digest)
        while len(self.blobs) > 1 and sum(map(len, self.blobs.values())) > MOST_BLOBS:
            self.blobs.popitem(last=False)
        return f"/blob/{digest}"

    def desk(self, who: str = "", device: str = "", *, begin: bool = False) -> AbstractContextManager[Desk]:
        """Open the records.

        Parameters
        ----------
        who, device
            Of every event that is written; who is logged in here, and this machine, when empty.
        begin
            Whether records are begun when there are none.

        Raises
        ------
        InputError
            When there is no workshop, or it keeps no records.
        """
        return desk(self.folder, who or getpass.getuser(), device or socket.gethostname() or "desk", begin=begin)

    def _back(self, function: Any, *arguments: Any) -> None:
        if self._loop is not None and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(function, *arguments)


def _stamp(path: Path) -> tuple[str, int, int]:
    stat = path.stat()
    return (path.name, stat.st_mtime_ns, stat.st_size)
