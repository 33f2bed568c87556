"""A file that pages edit: what people wrote stays, every state can be gone back to, nobody's change is run over.

The file on disk is the truth. Beside it lies a folder with every state it was in; undo and redo walk through them and
outlast a restart. A file that was changed outside is taken over as a state of its own, never written over.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

import tomlkit
from tomlkit.exceptions import TOMLKitError

from bagside.errors import InputError, OutputError
from bagside.records.writing import replaced, unwritable

MOST = 500
"""States kept of one file; the oldest go first."""
OUTSIDE = "changed outside"
BEGUN = "as it was found"


@dataclass(frozen=True, slots=True, kw_only=True)
class Version:
    """One state of a file.

    Parameters
    ----------
    number
        Its place in the order of all states, from 1.
    what
        What was done, as a person reads it.
    when
        In UTC.
    who
        Did it.
    """

    number: int
    what: str
    when: datetime
    who: str


class Conflict(InputError):  # noqa: N818 - reads as a sentence where it is caught
    """An edit that was made from an older state than the present one."""


class TextFile:
    """One TOML file with its states.

    Parameters
    ----------
    path
        The file; it need not be there yet.
    history
        Folder of its states; made with the first edit.
    most
        States kept; `MOST` when 0.

    Raises
    ------
    InputError
        When the file is no UTF-8 text.
    """

    def __init__(self, path: Path, history: Path, most: int = 0) -> None:
        self.path = path
        self._history = history
        self._most = most
        self._log: list[Version] = []
        self._at = 0  # index in _log of the state that stands
        self._text = ""
        self._digest = ""
        self._owed = ""  # what was done to the state that stands, while there is no room to keep it
        self._read_log()
        self.look()

    @property
    def text(self) -> str:
        """What stands in the file, as far as is known; `look` sees anew."""
        return self._text

    @property
    def revision(self) -> str:
        """Name of the present state: a page hands it back with its edit."""
        return self._digest[:16]

    @property
    def versions(self) -> tuple[Version, ...]:
        """Every state that is kept, the oldest first."""
        return tuple(self._log)

    @property
    def undone_next(self) -> Version | None:
        """What undo takes back; None when there is nothing."""
        return self._log[self._at] if self._at > 0 else None

    @property
    def redone_next(self) -> Version | None:
        """What redo does again; None when there is nothing."""
        return self._log[self._at + 1] if self._at + 1 < len(self._log) else None

    def beside(self, by: int) -> str:
        """Return the text of a state before or after the one that stands; empty when there is none.

        Parameters
        ----------
        by
            How many steps, less than zero for back.
        """
        at = self._at + by
        return _read(self._state(self._log[at].number)) if 0 <= at < len(self._log) else ""

    def document(self) -> tomlkit.TOMLDocument:
        """Return the file as a document of its own that may be changed.

        Raises
        ------
        InputError
            When it is not TOML; names the line.
        """
        try:
            return tomlkit.parse(self._text)
        except TOMLKitError as error:
            raise InputError.one(self.path.name, "", f"this is not TOML: {error}") from None

    def look(self) -> bool:
        """Read the file again and return whether it was changed outside; such a state is kept like any other."""
        text = _read(self.path)
        digest = _digest(text)
        if digest == self._digest:
            with suppress(OutputError):
                self._settle()
            return False
        first = not self._digest
        self._text, self._digest = text, digest
        standing = self._log[self._at] if self._log else None
        if standing is None or _digest(_read(self._state(standing.number))) != digest:
            if text or self._log:
                self._owed = OUTSIDE if self._log else BEGUN
                with suppress(OutputError):  # a full or locked disk: what stands is shown all the same
                    self._settle()
            return not first
        return not first

    def edit(
        self,
        what: str,
        change: Callable[[tomlkit.TOMLDocument], None],
        *,
        who: str = "",
        seen: str = "",
        check: Callable[[str], None] | None = None,
    ) -> None:
        """Change the file.

        Parameters
        ----------
        what
            What is done, as a person reads it.
        change
            Changes the document it is given.
        who
            Does it.
        seen
            Revision that the person had before them; empty when it does not matter.
        check
            Raises when the new text may not stand.

        Raises
        ------
        Conflict
            When the file is no longer what the person saw.
        InputError
            When the file is not TOML, or from `check`.
        OutputError
            When it cannot be written; it is then as before.
        """
        outside = self.look()
        if outside or (seen and seen != self.revision):
            who_else = f" by {self._log[self._at].who}" if self._log and self._log[self._at].who else ""
            raise Conflict.one(
                self.path.name, "", f"it was changed meanwhile{who_else}, so this was not done",
                "look at how it stands now, and do it again if it is still wanted",
            )  # fmt: skip
        document = self.document()
        change(document)
        self.write(what, tomlkit.dumps(document), who=who, check=check)

    def write(self, what: str, text: str, *, who: str = "", check: Callable[[str], None] | None = None) -> None:
        """Put a whole new text in the file.

        Parameters
        ----------
        what, who, check
            See `edit`.
        text
            TOML.
        """
        if text == self._text and self.path.exists():
            return
        if check is not None:
            check(text)
        self._put(text)
        del self._log[self._at + 1 :]
        try:
            self._keep(text, what, who)
        except OutputError:
            self._owed = what  # the file itself is written

    def written(self, what: str, *, who: str = "") -> bool:
        """Take what was written at our request, by a process of its own, as a state, and return whether it is another.

        Parameters
        ----------
        what, who
            See `edit`.
        """
        if not self.look() or not self._log:
            return False
        self._log[self._at] = replace(self._log[self._at], what=what, who=who)
        self._write_log()
        return True

    def forget(self) -> None:
        """Let go of every state but the one that stands: what is done cannot be gone back from."""
        for old in self._log[: self._at] + self._log[self._at + 1 :]:
            self._state(old.number).unlink(missing_ok=True)
        self._log = self._log[self._at : self._at + 1]
        self._at = 0
        self._write_log()

    def undo(self) -> Version:
        """Take the last change back and return it.

        Raises
        ------
        InputError
            When there is nothing to take back, or the file was changed outside.
        """
        self._unchanged()
        taken = self.undone_next
        if taken is None:
            raise InputError.one(self.path.name, "", "there is nothing to undo")
        self._go(self._at - 1)
        return taken

    def redo(self) -> Version:
        """Do what was taken back again and return it.

        Raises
        ------
        InputError
            When there is nothing to do again, or the file was changed outside.
        """
        self._unchanged()
        again = self.redone_next
        if again is None:
            raise InputError.one(self.path.name, "", "there is nothing to redo")
        self._go(self._at + 1)
        return again

    def state(self, number: int) -> str:
        """Return the text of a state.

        Parameters
        ----------
        number
            See `Version`.

        Raises
        ------
        InputError
            When it is not kept.
        """
        if number not in {v.number for v in self._log}:
            raise InputError.one(self.path.name, str(number), "no such state is kept")
        return _read(self._state(number))

    def _unchanged(self) -> None:
        if self.look():
            raise Conflict.one(self.path.name, "", "it was changed outside meanwhile, so this was not done")

    def _go(self, at: int) -> None:
        kept = self._state(self._log[at].number)
        if not kept.is_file():  # the folder was deleted or renamed: it is not made anew with an empty file
            raise InputError.one(self.path.name, "", "its states are no longer there", "look what became of its folder")
        text = _read(kept)
        self._put(text)
        self._at = at
        self._write_log()

    def _settle(self) -> None:
        """Keep the state that stands, when that is still owed; nothing is written over before that is done."""
        if self._owed:
            what = self._owed
            del self._log[self._at + 1 :]
            self._keep(self._text, what, "")
            self._owed = ""

    def _put(self, text: str) -> None:
        self._settle()
        _made(self.path.parent)
        replaced(self.path, text)
        self._text, self._digest = text, _digest(text)

    def _state(self, number: int) -> Path:
        return self._history / f"{number:06d}.toml"

    def _keep(self, text: str, what: str, who: str) -> None:
        _made(self._history)
        number = 1 + max((v.number for v in self._log), default=0)
        replaced(self._state(number), text)
        self._log.append(Version(number=number, what=what, when=datetime.now(UTC), who=who))
        most = self._most or MOST
        for old in self._log[:-most]:
            self._state(old.number).unlink(missing_ok=True)
        self._log = self._log[-most:]
        self._at = len(self._log) - 1
        self._write_log()

    def _read_log(self) -> None:
        """Read which states are kept; what cannot be read is begun anew, and the file itself is never touched."""
        try:
            kept = json.loads((self._history / "states.json").read_text(encoding="utf-8"))
            log = [
                Version(number=v["number"], what=v["what"], when=datetime.fromisoformat(v["when"]), who=v["who"])
                for v in kept["states"]
            ]
            at = int(kept["at"])
        except (OSError, ValueError, KeyError, TypeError):
            return
        here = [v for v in log if self._state(v.number).is_file()]
        if len(here) == len(log) and 0 <= at < len(log):
            self._log, self._at = log, at
        elif here:
            self._log, self._at = here, len(here) - 1

    def _write_log(self) -> None:
        states = [{"number": v.number, "what": v.what, "when": v.when.isoformat(), "who": v.who} for v in self._log]
        replaced(
            self._history / "states.json", json.dumps({"at": self._at, "states": states}, ensure_ascii=False, indent=0)
        )


def _made(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise unwritable(folder, error) from None


def _read(path: Path) -> str:
    try:
        return path.read_bytes().decode("utf-8")
    except FileNotFoundError:
        return ""
    except UnicodeDecodeError:
        raise InputError.one(path.name, "", "this is not UTF-8 text", "save it as UTF-8 in an editor") from None
    except OSError as error:
        raise InputError.one(path.name, "", f"it cannot be read: {(error.strerror or str(error)).lower()}") from None


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8")).hexdigest()
