"""Where the pictures of builds are kept, and who draws those that are missing.

Pictures belong to a revision of a design: a build under way keeps those it was begun with, even when the program is
newer by then. They are drawn once, in a process of its own, one job at a time; until then a step shows its words.
"""

from __future__ import annotations

import json
import subprocess
import sys
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from bagside.errors import InputError
from bagside.ledger.things import Build
from bagside.spec.beside import stated_job

KEPT = Path(".bagside") / "floor"
"""In the workshop's folder: not where plans are kept, of which an older program's go."""
SCHEMA = 2
"""Of a file of pictures; a change makes them anew."""
AGAIN = 600.0
"""After so long it is tried again whether a job that had moved on, or could not be planned, has been put right [s]."""
LONGEST = 900.0
"""A job that takes longer to plan than this is given up [s]."""


@dataclass
class Pictures:
    """The pictures of a workshop's builds.

    Parameters
    ----------
    folder
        Of the workshop.
    python
        Draws them; the one that runs this.
    """

    folder: Path
    python: str = sys.executable
    _lock: threading.Lock = field(default_factory=threading.Lock, repr=False)
    _running: subprocess.Popen[bytes] | None = field(default=None, repr=False)
    _failed: set[str] = field(default_factory=set, repr=False)
    _under_way: str = field(default="", repr=False)

    def file(self, revision: str) -> Path:
        """Return where the pictures of a revision are kept.

        Parameters
        ----------
        revision
            As a build was begun with.
        """
        return self.folder / KEPT / f"{revision}-{SCHEMA}.json"

    def of(self, build: Build) -> dict[str, Any]:
        """Return the pictures of a build; what is missing is drawn meanwhile.

        Parameters
        ----------
        build
            Which.

        Returns
        -------
        dict
            As `bagside.web.floor.drawing.draw` makes it; its ``why`` is empty when the pictures are there, else
            ``drawing``, ``moved`` (the job has changed since), ``gone`` (there is no such job any more), ``unplanned``
            or ``failed``.
        """
        revision = build.planned.revision
        kept = self.kept(revision)
        if kept is not None:
            return kept
        job = self._job(build)
        if job is None:
            return {"why": "gone"}
        return {"why": self._draw(revision, job)}

    def kept(self, revision: str) -> dict[str, Any] | None:
        """Return pictures that are there already; None when they are not, or cannot be read.

        Parameters
        ----------
        revision
            Of the design.
        """
        file = self.file(revision)
        try:
            found: dict[str, Any] = json.loads(file.read_text(encoding="utf-8"))
            if found.get("why") and time.time() - file.stat().st_mtime > AGAIN:
                file.unlink()
        except (OSError, ValueError):
            return None
        return found if found.get("schema") == SCHEMA else None

    def close(self) -> None:
        """Stop what is being drawn."""
        with self._lock:
            if self._running is not None and self._running.poll() is None:
                self._running.kill()
                self._running.wait()
            self._running = None

    def _job(self, build: Build) -> Path | None:
        """Return the folder of the build's job, by the name it states or by its own."""
        wanted = build.planned.job
        for file in sorted((self.folder / "jobs").glob("*/job.toml")):
            try:
                name = stated_job(file)[0].name
            except InputError:
                name = ""  # a job that cannot be read is not the one that is looked for, unless its folder says so
            if wanted in (name, file.parent.name):
                return file.parent
        return None

    def _draw(self, revision: str, job: Path) -> str:
        with self._lock:
            if self._running is not None:
                if self._running.poll() is None:
                    return "drawing"
                if not self.file(self._under_way).is_file():
                    self._failed.add(self._under_way)
                self._running = None
            if revision in self._failed:
                return "failed"
            words = [self.python, "-m", "bagside.web.floor.drawing", str(self.folder), str(job), revision]
            self._running = subprocess.Popen(
                [*words, str(self.file(revision))], stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
            )  # fmt: skip
            self._under_way = revision
            running = self._running
        timer = threading.Timer(LONGEST, running.kill)
        timer.daemon = True
        timer.start()
        return "drawing"
