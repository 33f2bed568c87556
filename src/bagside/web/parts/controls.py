"""Controls, drawn by us: verbs, buttons, lines to write on, choices, ticks.

Each calls a function of the page. What that refuses is told under the control itself, and what the person wrote stays
there to be mended.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping
from inspect import isawaitable
from typing import Any

from nicegui import ui
from nicegui.element import Element

from bagside.errors import BagsideError, InputError
from bagside.web.parts.html import words

_COUNT = itertools.count(1)
VALUE = "(e) => emit(e.target.value)"
CHECKED = "(e) => emit(e.target.checked)"
WRITTEN = "^value"
"""What stands on a line at first, as an attribute: the property is set again whenever anything on the page is drawn,
and would wipe what somebody is writing there just then."""


def verb(text: str, act: Callable[[], Any], *, name: str = "", why: str = "") -> Element:
    """Show a verb that does something.

    Parameters
    ----------
    text
        What it does.
    act
        Does it.
    name
        For people who do not see where it stands; the text when empty.
    why
        Why it cannot be done now; it can when empty, and a space says that its name tells.
    """
    return _button(text, act, "act", name, why)


def button(text: str, act: Callable[[], Any], *, go: bool = False, name: str = "", why: str = "") -> Element:
    """Show a button; at most one of a page is the yellow one.

    Parameters
    ----------
    text, act, name, why
        See `verb`.
    go
        Whether it is the one.
    """
    return _button(text, act, "box go" if go else "box", name, why)


def _button(text: str, act: Callable[[], Any], look: str, name: str, why: str) -> Element:
    element = Element("button").classes(look)
    element._props["type"] = "button"
    if name:
        element._props["aria-label"] = name
    if why:
        element._props["disabled"] = True
        if why.strip():
            element._props["title"] = why
    else:
        element.on("click", lambda _: act())
    with element:
        words(text)
    if why.strip():
        words(why, look="why")
    return element


def able(element: Element, can: bool, name: str, *, gone: bool = False) -> None:
    """Say whether a verb or button can be used now, without making it anew.

    Parameters
    ----------
    element
        From `verb` or `button`.
    can
        Whether it can.
    name
        For people who do not see where it stands: what it does now, or why it does nothing.
    gone
        Whether it is not shown while it cannot be used.
    """
    if element._props.get("aria-label") == name and bool(element._props.get("disabled")) is not can:
        return
    element._props["aria-label"] = name
    if can:
        element._props.pop("disabled", None)
    else:
        element._props["disabled"] = True
    if gone:
        element._props["hidden"] = not can
    element.update()


def link(text: str, to: str, *, look: str = "", here: bool = False) -> Element:
    """Show a link to another page.

    Parameters
    ----------
    text
        What it says.
    to
        Address on this server.
    look
        Its classes.
    here
        Whether it leads to the page it stands on.
    """
    element = Element("a").classes(f"to {look}".rstrip())
    element._props["href"] = to
    if here:
        element._props["aria-current"] = "page"
    with element:
        words(text)
    return element


class Field:
    """A control with its name, and room under it for what is wrong."""

    def __init__(self, name: str, control: Element, unit: str, hint: str) -> None:
        self.control = control
        self._says = words(hint, look="says q", tag="div")
        self._hint = hint
        self.is_wrong = False
        """Whether what stands on it was refused."""
        key = f"field-{next(_COUNT)}"
        control._props["id"] = key
        self._says._props["id"] = f"{key}-says"
        control._props["aria-describedby"] = f"{key}-says"
        label = Element("label")
        label._props["for"] = key
        with label:
            words(name)
        row = Element("div").classes("field")
        label.move(row)
        control.move(row)
        with row:
            self.unit = words(unit, look="unit")
        self._says.move(row)
        self.row = row

    def wrong(self, sentence: str) -> None:
        """Say what is wrong with what is written; nothing is when empty.

        Parameters
        ----------
        sentence
            What, and what to do.
        """
        self.is_wrong = bool(sentence)
        if self.control.is_deleted:  # what was written has drawn the page anew
            return
        self.row.classes(add="wrong" if sentence else "", remove="" if sentence else "wrong")
        self.control._props["aria-invalid"] = "true" if sentence else "false"
        self.control.update()
        from html import escape

        self._says.set_content(escape(sentence or self._hint))
        self._says.classes(add="b" if sentence else "q", remove="q" if sentence else "b")

    def edited(self, edited: bool) -> None:
        """Show whether the value was changed in this session.

        Parameters
        ----------
        edited
            Whether it was.
        """
        self.row.classes(add="edited" if edited else "", remove="" if edited else "edited")


def entry(
    name: str,
    value: str,
    on_change: Callable[[str], Any],
    *,
    unit: str = "",
    hint: str = "",
    wide: str = "",
    kind: str = "text",
    mode: str = "",
    known: tuple[str, ...] = (),
) -> Field:
    """Show a line to write on.

    Parameters
    ----------
    name
        What is asked.
    value
        What stands there.
    on_change
        Called with what was written when the person leaves it; what it raises is told under the line.
    unit
        Behind it.
    hint
        Under it, while nothing is wrong.
    wide
        CSS width.
    kind
        ``text``, ``date``, ``time``, ``password``.
    mode
        ``decimal`` or ``numeric`` for a number's keys on a phone.
    known
        What may be meant, offered while writing.
    """
    control = Element("input")
    control._props |= {"type": kind, WRITTEN: value, "autocomplete": "off", "spellcheck": "false"}
    if mode:
        control._props["inputmode"] = mode
    if wide:
        control.style(f"width:{wide}")
    if known:
        options = Element("datalist")
        options._props["id"] = f"known-{next(_COUNT)}"
        control._props["list"] = options._props["id"]
        with options:
            for word in known:
                option = Element("option")
                option._props["value"] = word
    field = Field(name, control, unit, hint)
    _told(field, "change", VALUE, on_change)
    return field


def choice(
    name: str, options: Mapping[str, str], value: str, on_change: Callable[[str], Any], *, hint: str = ""
) -> Field:
    """Show a choice.

    Parameters
    ----------
    name
        What is asked.
    options
        What each value is called.
    value
        Chosen now; may be none of them.
    on_change
        See `entry`.
    hint
        Under it, while nothing is wrong.
    """
    control = options_in(Element("select"), options, value)
    field = Field(name, control, "", hint)
    _told(field, "change", VALUE, on_change)
    return field


def options_in(control: Element, options: Mapping[str, str], value: str) -> Element:
    """Fill a choice, and return it.

    Parameters
    ----------
    control
        The element.
    options
        What each value is called.
    value
        Chosen now; may be none of them.
    """
    with control:
        for key, text in options.items():
            option = Element("option")
            option._props["value"] = key
            if key == value:
                option._props["selected"] = True
            with option:
                words(text)
    return control


def choose(control: Element, value: str) -> None:
    """Have another option of a choice stand; who has it open keeps it.

    Parameters
    ----------
    control
        Filled by `options_in`.
    value
        Chosen now; may be none of them.
    """
    for option in control.default_slot.children:
        if option._props["value"] == value:
            option._props["selected"] = True
        else:
            option._props.pop("selected", None)
        option.update()


def tick(name: str, on: bool, on_change: Callable[[bool], Any], *, hint: str = "") -> Field:
    """Show something that is so or not.

    Parameters
    ----------
    name
        What is so.
    on
        Whether it is.
    on_change
        See `entry`.
    hint
        Under it, while nothing is wrong.
    """
    control = Element("input")
    control._props["type"] = "checkbox"
    if on:
        control._props["checked"] = True
    field = Field(name, control, "", hint)
    _told(field, "change", CHECKED, on_change)
    return field


def _told(field: Field, event: str, handler: str, on_change: Callable[[Any], Any]) -> None:
    async def changed(event_: Any) -> None:
        if field.control.tag != "select":  # else what stands on the line goes back when it is drawn again
            field.control._props[WRITTEN if handler == VALUE else "checked"] = event_.args
        try:
            answer = on_change(event_.args)
            if isawaitable(answer):
                await answer
        except BagsideError as error:
            field.wrong(sentences(error))
        else:
            field.wrong("")

    field.control.on(event, changed, js_handler=handler)


def sentences(error: BagsideError) -> str:
    """Return what is wrong as a person reads it under a control.

    Parameters
    ----------
    error
        What was raised.
    """
    if isinstance(error, InputError):
        return " ".join(f"{p.wanted}{f' ({p.hint})' if p.hint else ''}." for p in error.problems)
    return str(error)


def first_wrong(fields: Mapping[str, Field]) -> Field | None:
    """Return the first line on which something stands that was refused; None when all were taken.

    Nothing may be written while there is one: the person sees another value than would be kept.

    Parameters
    ----------
    fields
        Of the page, in reading order.
    """
    return next((f for f in fields.values() if f.is_wrong and not f.control.is_deleted), None)


def download(text: str, address: str) -> Element:
    """Show a verb that fetches a file.

    Parameters
    ----------
    text
        What it does.
    address
        On this server.
    """
    element = link(text, address)
    element._props["download"] = ""
    return element


def focus(element: Element) -> None:
    """Put the keyboard on an element, once it is there.

    Parameters
    ----------
    element
        The control.
    """
    key = element._props.get("id", f"c{element.id}")  # a field's control has an id of its own, for its label
    ui.run_javascript(f'document.getElementById("{key}")?.focus()')
