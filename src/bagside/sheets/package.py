"""A folder of results that appears whole or not at all.

Everything is first written into a hidden folder beside the target, on the same disk; only when all of it is there are
the files moved over, each in one step. Files of an earlier package that this one does not have are removed; files that
were never ours are left alone.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path, PurePosixPath

from bagside.errors import OutputError

LIST = "plan.json"


class Package:
    """A target folder, checked to be writable before any work is done.

    Parameters
    ----------
    out
        Folder of the results; made when it does not exist.

    Raises
    ------
    OutputError
        When it cannot be made or written; names it and says why.
    """

    def __init__(self, out: Path) -> None:
        self.out = out
        self._new = not out.exists()
        try:
            out.mkdir(parents=True, exist_ok=True)
            self._draft = Path(tempfile.mkdtemp(prefix=".draft-", dir=out))
        except OSError as error:
            raise OutputError(_sentence(out, error)) from None

    def written(self, files: Mapping[str, bytes | str]) -> list[str]:
        """Write all files and return their names, sorted.

        Parameters
        ----------
        files
            Content by relative name with forward slashes; one of them may be ``plan.json`` whose ``files`` names the
            others.

        Raises
        ------
        OutputError
            When something cannot be written; then nothing in the folder has changed.
        """
        before = self._listed()
        try:
            for name, content in files.items():
                target = self._draft / PurePosixPath(name)
                target.parent.mkdir(parents=True, exist_ok=True)
                target.write_bytes(content.encode("utf-8") if isinstance(content, str) else content)
            for name in sorted(files, key=lambda n: n == LIST):
                target = self.out / PurePosixPath(name)
                target.parent.mkdir(parents=True, exist_ok=True)
                os.replace(self._draft / PurePosixPath(name), target)
            for name in before - set(files):
                self._removed(name)
        except OSError as error:
            raise OutputError(_sentence(self.out, error)) from None
        finally:
            self.dropped()
        return sorted(files)

    def dropped(self) -> None:
        """Remove the draft, and the folder when it was made for nothing; safe to call twice."""
        shutil.rmtree(self._draft, ignore_errors=True)
        if self._new and self.out.is_dir() and not any(self.out.iterdir()):
            self.out.rmdir()

    def _listed(self) -> set[str]:
        try:
            names = [*json.loads((self.out / LIST).read_text(encoding="utf-8"))["files"], LIST]
        except (OSError, ValueError, KeyError, TypeError):
            return set()
        return {n for n in names if isinstance(n, str) and ".." not in PurePosixPath(n).parts and not n.startswith("/")}

    def _removed(self, name: str) -> None:
        target = self.out / PurePosixPath(name)
        target.unlink(missing_ok=True)
        parent = target.parent
        while parent != self.out and not any(parent.iterdir()):
            parent.rmdir()
            parent = parent.parent


def file_name(label: str) -> str:
    """Return a label as a file name that every system takes.

    Examples
    --------
    >>> file_name("3A")
    '3A'
    """
    return re.sub(r"[^\w.-]+", "-", label).strip("-.") or "piece"


def _sentence(out: Path, error: OSError) -> str:
    reason = (error.strerror or str(error)).lower()
    return f'the results cannot be written to "{out}": {reason}; state another folder with --out. Nothing was changed.'
