"""A file of the workshop that a page edits: each change is in the file at once, and can be taken back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from itertools import pairwise
from typing import Any

import tomlkit
from nicegui import ui
from nicegui.element import Element
from tomlkit.items import Item

from bagside.errors import BagsideError, InputError
from bagside.web.founding.workshop_text import COMMON
from bagside.web.model.text_file import TextFile
from bagside.web.parts.controls import verb
from bagside.web.parts.did import did
from bagside.web.parts.frame import Sheet, who_of

Path = tuple[str | int, ...]


class EditedFile:
    """A file on a page.

    Parameters
    ----------
    sheet
        The page.
    file
        The file.
    check
        Raises when a new text may not stand.
    drawn
        Draws the page anew.
    """

    def __init__(self, sheet: Sheet, file: TextFile, check: Callable[[str], None], drawn: Callable[[], None]) -> None:
        self.sheet = sheet
        self.file = file
        self._check = check
        self._drawn = drawn
        self.seen = file.revision
        self.also: Callable[[Any, Path], None] | None = None
        self.wrote: Callable[[Path], None] | None = None
        self._walk_place: Element | None = None
        self._read: tuple[str, Any] | None = None
        ui.timer(3.0, self.look)

    def document(self) -> Any:
        """Return what stands in the file, to be read; what no longer reads is told and taken as empty."""
        if self._read is None or self._read[0] != self.file.revision:
            try:
                self._read = (self.file.revision, self.file.document())
            except InputError as error:
                self.sheet.tell(error)
                self._read = (self.file.revision, tomlkit.document())
        return self._read[1]

    def value(self, path: Path) -> Any:
        """Return what stands at a place; None when nothing does.

        Parameters
        ----------
        path
            Keys, and numbers in a list.
        """
        at: Any = self.document()
        for step in path:
            try:
                at = at[step]
            except (KeyError, IndexError, TypeError):
                return None
        return at

    def edit(self, what: str, change: Callable[[Any], None]) -> None:
        """Change the file.

        Parameters
        ----------
        what
            As a person reads it in the history.
        change
            Changes the document.

        Raises
        ------
        BagsideError
            When it may not be, or somebody else was there first.
        """
        self.file.edit(what, change, who=who_of(self.sheet.client), seen=self.seen, check=self._check)
        self.seen = self.file.revision
        self.sheet.tell("")
        self._verbs_again()

    def put(self, path: Path, value: Any, what: str) -> None:
        """Put a value at a place; None takes away what stands there.

        Parameters
        ----------
        path
            See `value`.
        value
            As the file states it.
        what
            See `edit`.
        """

        def change(document: Any) -> None:
            at: Any = document
            for step, following in pairwise(path):
                if isinstance(step, str) and step not in at:
                    at[step] = tomlkit.aot() if isinstance(following, int) else tomlkit.table()
                at = at[step]
            key = path[-1]
            if value is None:
                if key in at:
                    del at[key]
            else:
                at[key] = value
                item = at[key]
                if isinstance(item, Item) and item.trivia.comment.lstrip("# ").startswith(COMMON):
                    item.trivia.comment, item.trivia.comment_ws = "", ""
            if self.also is not None:
                self.also(document, path)

        self.edit(what, change)
        if self.wrote is not None:
            self.wrote(path)

    def look(self) -> None:
        """See whether the file was changed outside or by another window, and draw it as it stands now."""
        self.file.look()
        if self.file.revision != self.seen:
            self.seen = self.file.revision
            self._drawn()

    def _walk(self, step: Callable[[], object]) -> None:
        step()
        self.seen = self.file.revision
        self._drawn()

    def verbs(self, place: Element) -> None:
        """Show undo and redo.

        Parameters
        ----------
        place
            Where; they are drawn anew with each change.
        """
        self._walk_place = place
        self._verbs_again()

    def _verbs_again(self) -> None:
        if self._walk_place is None or self._walk_place.is_deleted:
            return
        self._walk_place.clear()
        with self._walk_place:
            self._verbs()

    def _verbs(self) -> None:
        say, last, again = self.sheet.say, self.file.undone_next, self.file.redone_next
        for word, act, next_ in (("undo", self.file.undo, last), ("redo", self.file.redo, again)):
            what = did(next_.what, self.sheet.tongue) if next_ else ""
            name = say(f"common.{word}_what", what=what) if next_ else say(f"common.nothing_to_{word}")
            done = self.sheet.doing(partial(self._walk, act))
            verb(say(f"common.{word}"), done, name=name, why="" if next_ else " ")

    def gone_back(self, number: int) -> None:
        """Put the file back to a state it was in.

        Parameters
        ----------
        number
            Of the state.
        """
        text = self.file.state(number)
        self.file.write(self.sheet.say("asked.gone_back"), text, who=who_of(self.sheet.client), check=self._check)
        self.seen = self.file.revision
        self._drawn()

    def tried(self, act: Callable[[], Any]) -> None:
        """Do something and draw the page anew; a refusal is told on the sheet.

        Parameters
        ----------
        act
            What is done.
        """
        try:
            act()
        except BagsideError as error:
            self.sheet.tell(error)
            return
        self._drawn()

    def names(self, path: Path) -> Sequence[str]:
        """Return the keys of a table.

        Parameters
        ----------
        path
            Of the table.
        """
        value = self.value(path)
        return list(value) if isinstance(value, dict) else []
