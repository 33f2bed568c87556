"""Controls without a visible name, for cells of a table whose head names them; readers hear the name all the same."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from nicegui.element import Element

from bagside.web.parts.controls import VALUE, WRITTEN, options_in
from bagside.web.parts.frame import Sheet


def bare_entry(
    sheet: Sheet, name: str, value: str, on_change: Callable[[str], Any], *, wide: str = "5em", mode: str = ""
) -> Element:
    """Show a line to write on; what is refused is told on the sheet.

    Parameters
    ----------
    sheet
        The page.
    name
        For readers.
    value
        What stands there.
    on_change
        Called with what was written.
    wide
        CSS width.
    mode
        See `bagside.web.parts.controls.entry`.
    """
    control = Element("input").classes("write")
    control._props |= {"type": "text", WRITTEN: value, "autocomplete": "off", "spellcheck": "false", "aria-label": name}
    if mode:
        control._props["inputmode"] = mode
    control.style(f"width:{wide}")

    def changed(event: Any) -> None:
        control._props[WRITTEN] = event.args

        def taken() -> None:
            control._props["aria-invalid"] = "true"
            on_change(event.args)
            control._props["aria-invalid"] = "false"

        sheet.doing(taken)()
        if not control.is_deleted:
            control.update()

    control.on("change", changed, js_handler=VALUE)
    return control


def is_refused(control: Element) -> bool:
    """Return whether what stands on a line was refused.

    Parameters
    ----------
    control
        From `bare_entry`.
    """
    return control._props.get("aria-invalid") == "true" and not control.is_deleted


def bare_choice(
    sheet: Sheet, name: str, options: Mapping[str, str], value: str, on_change: Callable[[str], Any]
) -> Element:
    """Show a choice; what is refused is told on the sheet.

    Parameters
    ----------
    sheet, name, on_change
        See `bare_entry`.
    options
        What each value is called.
    value
        Chosen now.
    """
    control = options_in(Element("select").classes("write"), options, value)
    control._props["aria-label"] = name
    control.on("change", lambda event: sheet.doing(lambda: on_change(event.args))(), js_handler=VALUE)
    return control
