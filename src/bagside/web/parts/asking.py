"""A few questions that are answered together: each keeps what was written, and says under itself what is wrong."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterator, Mapping
from contextlib import contextmanager
from datetime import date, datetime
from typing import Any, NoReturn

from nicegui.element import Element

from bagside.errors import BagsideError, InputError
from bagside.quantity import Quantity
from bagside.web.parts.controls import Field, button, choice, entry, sentences, tick
from bagside.web.parts.frame import Sheet
from bagside.web.parts.html import box, words
from bagside.web.parts.typed import typed, whole


class Refused(Exception):  # noqa: N818 - it is no fault: the person is told under the field
    """An answer cannot be used; what is wrong stands under it already."""


class Form:
    """A few questions, and what is done with their answers.

    Parameters
    ----------
    sheet
        The page.
    """

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self.values: dict[str, Any] = {}
        self.fields: dict[str, Field] = {}
        self._units: dict[str, tuple[Quantity, str]] = {}

    def text(self, key: str, name: str, value: str = "", **more: Any) -> Field:
        """Ask for words; see `bagside.web.parts.controls.entry`."""
        self.values[key] = value
        self.fields[key] = entry(name, value, self._keeps(key), **more)
        return self.fields[key]

    def number(self, key: str, name: str, kind: Quantity, unit: str, value: str = "", *, hint: str = "") -> Field:
        """Ask for an amount: a number alone is in the unit that stands behind the line.

        Parameters
        ----------
        key, name
            Of the question.
        kind, unit
            Of the answer.
        value
            That stands there.
        hint
            Under it.
        """
        self._units[key] = (kind, unit)
        return self.text(key, name, value, unit=unit, mode="decimal", wide="8em", hint=hint)

    def day(self, key: str, name: str, value: str = "", *, hint: str = "") -> Field:
        """Ask for a day.

        Parameters
        ----------
        key, name, value, hint
            See `number`.
        """
        return self.text(key, name, value, kind="date", wide="10em", hint=hint)

    def pick(self, key: str, name: str, options: Mapping[str, str], value: str = "", *, hint: str = "") -> Field:
        """Ask for one of several.

        Parameters
        ----------
        key, name, hint
            See `number`.
        options
            What each value is called.
        value
            Chosen now; the first when empty.
        """
        self.values[key] = value or next(iter(options), "")
        self.fields[key] = choice(name, options, self.values[key], self._keeps(key), hint=hint)
        return self.fields[key]

    def yes(self, key: str, name: str, on: bool = False, *, hint: str = "") -> Field:
        """Ask whether something is so.

        Parameters
        ----------
        key, name, hint
            See `number`.
        on
            Whether it is.
        """
        self.values[key] = on
        self.fields[key] = tick(name, on, self._keeps(key), hint=hint)
        return self.fields[key]

    def said(self, key: str, *, wanted: str = "") -> str:
        """Return words; refused when they are empty although they are wanted.

        Parameters
        ----------
        key
            Of the question.
        wanted
            What is said then; they may be empty when this is.
        """
        text = str(self.values.get(key, "")).strip()
        if not text and wanted:
            self.wrong(key, wanted)
        return text

    def amount(
        self, key: str, *, wanted: str = "", positive: bool = False, least: float | None = 0.0
    ) -> float | None:
        """Return an amount in SI units; None when nothing was written.

        Parameters
        ----------
        key, wanted
            See `said`.
        positive
            Whether it must be more than zero.
        least
            It may not be less, in SI units; None for no limit, as for a temperature.
        """
        text = self.said(key, wanted=wanted)
        if not text:
            return None
        kind, unit = self._units[key]
        try:
            value = typed(text, kind, unit, self.sheet.tongue)
        except InputError as error:
            self.wrong(key, sentences(error))
        if positive and not value > 0.0:
            self.wrong(key, self.sheet.say("asked.not_positive", came=text))
        if least is not None and value < least:
            self.wrong(key, self.sheet.say("asked.negative", came=text))
        self.fields[key].wrong("")
        return value

    def count(self, key: str) -> int | None:
        """Return a whole number; None when nothing was written.

        Parameters
        ----------
        key
            Of the question.
        """
        text = self.said(key)
        try:
            return whole(text, key)
        except InputError:
            self.wrong(key, self.sheet.say("freezer.no_count", came=text))

    def date(self, key: str) -> date | None:
        """Return a day; None when nothing was written.

        Parameters
        ----------
        key
            Of the question.
        """
        text = self.said(key)
        try:
            return date.fromisoformat(text) if text else None
        except ValueError:
            self.wrong(key, self.sheet.say("freezer.no_day"))

    def moment(self, key: str) -> datetime | None:
        """Return a moment in the zone of this machine; None when nothing was written.

        Parameters
        ----------
        key
            Of the question, which asked for ``2026-11-26T14:05``.
        """
        text = self.said(key)
        try:
            return datetime.fromisoformat(text).astimezone() if text else None
        except ValueError:
            self.wrong(key, self.sheet.say("freezer.no_moment"))

    def wrong(self, key: str, sentence: str) -> NoReturn:
        """Say what is wrong with an answer, and refuse.

        Parameters
        ----------
        key
            Of the question.
        sentence
            What, and what to do.
        """
        self.fields[key].wrong(sentence)
        raise Refused

    def done(self, text: str, act: Callable[[], Awaitable[Any]], *, go: bool = False, name: str = "") -> None:
        """Show the button that takes the answers; what is refused is told on the sheet and nothing is lost.

        Parameters
        ----------
        text, go, name
            See `bagside.web.parts.controls.button`.
        act
            Takes them.
        """

        async def taken() -> None:
            self.sheet.tell("")
            try:
                await act()
            except Refused:
                return
            except BagsideError as error:
                self.sheet.tell(error)

        button(text, taken, go=go, name=name)

    def _keeps(self, key: str) -> Callable[[Any], None]:
        return lambda value: self.values.__setitem__(key, value)


@contextmanager
def folded(title: str, *, open_: bool = False) -> Iterator[Element]:
    """Put what follows behind a verb that unfolds it.

    Parameters
    ----------
    title
        The verb.
    open_
        Whether it is unfolded at first.
    """
    more = {"open": "true"} if open_ else {}
    with box("details", "folded", **more) as element:
        with box("summary", "act"):
            words(title)
        yield element
