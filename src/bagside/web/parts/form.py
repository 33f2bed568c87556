"""A file of the workshop as lines that can be changed.

Labels come from the catalogue under the page's own name; what a field takes, and what it refuses, comes from its class.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from datetime import date, time
from functools import partial
from typing import Any

from tomlkit.items import Item

from bagside.errors import InputError
from bagside.findings import Basis
from bagside.quantity import Quantity
from bagside.web.founding.workshop_text import COMMON
from bagside.web.model.text_file import TextFile
from bagside.web.parts.amount import amount, parted, text_of
from bagside.web.parts.basis import mark
from bagside.web.parts.controls import Field, choice, entry, tick
from bagside.web.parts.edited_file import EditedFile, Path
from bagside.web.parts.frame import Sheet
from bagside.web.parts.html import box, words
from bagside.web.parts.lists import ON_A_LINE, read_line
from bagside.web.parts.stated import Sort, Stated, checked, stated_fields


class Form(EditedFile):
    """A file on a page, as lines.

    Parameters
    ----------
    sheet, file
        The page and its file.
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
        super().__init__(sheet, file, check, drawn)
        self.prefix = prefix
        self.basis_of: Callable[[Path], Basis | None] = self._common
        self.currency = "EUR"

    def _common(self, path: Path) -> Basis | None:
        item = self.value(path)
        said = item.trivia.comment.lstrip("# ") if isinstance(item, Item) else ""
        return Basis.COMMON if said.startswith(COMMON) else None

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


def _usual(one: Stated, currency: str) -> str:
    """Return what counts when a field is not stated, as a file would state it; nothing when nothing does."""
    if one.default is None or one.default == "":
        return ""
    if one.sort is Sort.AMOUNT and one.kind is not None:
        return text_of(float(one.default), one.kind).replace("EUR", currency)
    return str(one.default) if one.sort in (Sort.WHOLE, Sort.NUMBER) else ""
