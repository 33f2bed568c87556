"""A file of the workshop as lines that can be changed: each change is in the file at once, and can be taken back.

Labels come from the catalogue under the page's own name; what a field takes, and what it refuses, comes from its class.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from datetime import date, time
from functools import partial
from itertools import pairwise
from typing import Any

import tomlkit
from nicegui import ui
from nicegui.element import Element
from tomlkit.items import Item

from bagside.errors import BagsideError, InputError
from bagside.findings import Basis
from bagside.quantity import Quantity
from bagside.web.founding.workshop_text import COMMON
from bagside.web.model.text_file import TextFile
from bagside.web.parts.amount import amount, parted, text_of
from bagside.web.parts.basis import mark
from bagside.web.parts.controls import Field, choice, entry, tick, verb
from bagside.web.parts.did import did
from bagside.web.parts.frame import Sheet, who_of
from bagside.web.parts.html import box, words
from bagside.web.parts.lists import ON_A_LINE, read_line
from bagside.web.parts.stated import Sort, Stated, checked, stated_fields

Path = tuple[str | int, ...]


class Form:
    """A file on a page.

    Parameters
    ----------
    sheet
        The page.
    file
        The file.
    prefix
        Of its labels in the catalogue.
    check
        Raises when a new text may not stand.
    drawn
        Draws the page anew.
    """

    def __init__(
        self, sheet: Sheet, file: TextFile, prefix: str, check: Callable[[str], None], drawn: Callable[[], None]
    ) -> None:
        self.sheet = sheet
        self.file = file
        self.prefix = prefix
        self._check = check
        self._drawn = drawn
        self.seen = file.revision
        self.basis_of: Callable[[Path], Basis | None] = self._common
        self.also: Callable[[Any, Path], None] | None = None
        self.wrote: Callable[[Path], None] | None = None
        self._walk_place: Element | None = None
        self._read: tuple[str, Any] | None = None
        self.currency = "EUR"
        ui.timer(3.0, self.look)

    # --- the file

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

    def _common(self, path: Path) -> Basis | None:
        item = self.value(path)
        said = item.trivia.comment.lstrip("# ") if isinstance(item, Item) else ""
        return Basis.COMMON if said.startswith(COMMON) else None

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

    # --- lines

    def label(self, name: str) -> str:
        """Return what a field is called on the page.

        Parameters
        ----------
        name
            Of its words in the catalogue.
        """
        return self.sheet.say(f"{self.prefix}.{name}")

    def _hint(self, name: str) -> str:
        try:
            return self.sheet.say(f"{self.prefix}.h_{name}")
        except KeyError:
            return ""

    def lines(
        self,
        cls: type[Any],
        path: Path = (),
        *,
        only: Collection[str] = (),
        but: Collection[str] = (),
        group: str = "",
        usual: Callable[[str], str] | None = None,
    ) -> dict[str, Field]:
        """Show a line for each field of a table.

        Parameters
        ----------
        cls
            Says what may stand in it.
        path
            Of the table.
        only, but
            Names of the fields shown; all but some when only is empty.
        group
            Before the names of words in the catalogue.
        usual
            What counts when a field is not stated, as a file would state it.
        """
        asked = [
            one
            for one in stated_fields(cls)
            if (not only or one.name in only)
            and one.name not in but
            and (one.sort is not Sort.OTHER or one.name in ON_A_LINE)
        ]
        stands = [one for one in asked if one.must or self.value((*path, one.name)) is not None]
        found: dict[str, Field] = {}

        def shown(lines: Sequence[Stated]) -> None:
            for one in lines:
                says = usual(one.name) if usual is not None else _usual(one, self.currency)
                found[one.name] = self.line(one, (*path, one.name), group, says)

        rest = [one for one in asked if one not in stands]
        if len(stands) < 2 or len(rest) < 2:
            shown(asked)
            return found
        shown(stands)
        with box("details"):
            with box("summary", "act note"):
                words(self.sheet.say("asked.not_stated", count=len(rest)))
            shown(rest)
        return found

    def line(self, one: Stated, path: Path, group: str, usual: str = "") -> Field:
        """Show the line of a field.

        Parameters
        ----------
        one
            The field.
        path
            Where it stands.
        group
            See `lines`.
        usual
            See `lines`.
        """
        word = f"{group}_{one.name}" if group else one.name
        name, hint = self.label(word), self._hint(word)
        value = self.value(path)
        return self._control(one, path, name, hint, value, usual)

    def _control(self, one: Stated, path: Path, name: str, hint: str, value: Any, usual: str) -> Field:
        """Return the line of a field; it marks itself as edited, and on what it rests now, when it was written."""
        say, tongue = self.sheet.say, self.sheet.tongue
        held: list[Field] = []
        took = partial(self._took, one, path, name, held)
        basis = self.basis_of(path) if value is not None else None
        if one.sort is Sort.AMOUNT and one.kind is not None:
            field = amount(
                tongue, name, "" if value is None else str(value), one.kind, self._unit(one.kind, usual), took,
                wanted=one.wanted, hint=hint, basis=basis, may_be_empty=not one.must,
                usual=usual,
            )  # fmt: skip
            held.append(field)
            return field
        if one.sort is Sort.CHOICE:
            stands = str(value if value is not None else one.default or "")
            return choice(name, {o: o or "–" for o in one.options}, stands, took, hint=hint)
        if one.sort is Sort.FLAG:
            return tick(name, bool(value), took, hint=hint)
        if one.name in ON_A_LINE and one.sort is Sort.OTHER:
            way = ON_A_LINE[one.name]
            shown = "" if value is None else way.shown(value)
            return entry(name, shown, took, hint=hint or say("asked.as_in", example=way.example), wide="18em")
        shown = value.strftime("%H:%M") if isinstance(value, time) else "" if value is None else str(value)
        if value is None and isinstance(one.default, time):
            shown = one.default.strftime("%H:%M")
        kind = {Sort.DAY: "date", Sort.CLOCK: "time"}.get(one.sort, "text")
        field = entry(name, shown, took, hint=hint, wide="12em", kind=kind)
        if value is None and one.sort in (Sort.WHOLE, Sort.NUMBER):
            field.control._props["placeholder"] = usual
        return field

    def _unit(self, kind: Quantity, usual: str) -> str:
        unit = parted(usual)[1] or parted(kind.value.example)[1]
        return unit.replace("EUR", self.currency)

    def _took(self, one: Stated, path: Path, name: str, held: list[Field], typed: Any) -> None:
        value = self.read(one, typed)
        if value is not None:
            checked(value, one.wanted)
        elif one.must:
            raise InputError.one("", "", self.sheet.say("asked.missing", example="").rstrip("., "))
        self.put(path, value, name)
        for field in held:
            if not field.unit.is_deleted:
                basis = self.basis_of(path)
                shown = field.unit.content.split("<svg")[0]
                field.unit.set_content(shown + (mark(basis, self.sheet.tongue) if basis is not None else ""))
                field.edited(True)

    def read(self, one: Stated, typed: Any) -> Any:
        """Return what was typed in a field as the file states it; None when nothing was.

        Parameters
        ----------
        one
            The field.
        typed
            In its control.

        Raises
        ------
        InputError
            When it cannot be read.
        """
        say = self.sheet.say
        if one.sort is Sort.FLAG:
            return bool(typed)
        text = str(typed).strip()
        if not text:
            return None
        if one.name in ON_A_LINE and one.sort is Sort.OTHER:
            return read_line(one.name, text, self.sheet.tongue)
        try:
            match one.sort:
                case Sort.WHOLE:
                    return int(text)
                case Sort.NUMBER:
                    return float(text.replace(",", "."))
                case Sort.DAY:
                    return date.fromisoformat(text)
                case Sort.CLOCK:
                    return time.fromisoformat(text)
        except ValueError:
            key = {Sort.DAY: "no_date", Sort.CLOCK: "no_time"}.get(one.sort, "no_whole")
            raise InputError.one("", text, say(f"asked.{key}", came=text).rstrip(".")) from None
        return text

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


def _usual(one: Stated, currency: str) -> str:
    """Return what counts when a field is not stated, as a file would state it; nothing when nothing does."""
    if one.default is None or one.default == "":
        return ""
    if one.sort is Sort.AMOUNT and one.kind is not None:
        return text_of(float(one.default), one.kind).replace("EUR", currency)
    return str(one.default) if one.sort in (Sort.WHOLE, Sort.NUMBER) else ""
