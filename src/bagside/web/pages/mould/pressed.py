"""Which of several verbs is the one chosen, shown without putting them anew."""

from __future__ import annotations

from collections.abc import Mapping

from nicegui.element import Element


def press(buttons: Mapping[str, Element], chosen: str, *, quiet: str = "", look: str = "") -> None:
    """Show one of several verbs as chosen.

    Parameters
    ----------
    buttons
        By their keys.
    chosen
        Key of the one.
    quiet
        Key of one that gets no look of its own when chosen.
    look
        Class of the chosen one.
    """
    for key, element in buttons.items():
        pressed = "true" if key == chosen else "false"
        if element._props.get("aria-pressed") == pressed:
            continue
        element._props["aria-pressed"] = pressed
        if look:
            mine = key == chosen != quiet
            element.classes(add=look if mine else "", remove="" if mine else look)
        element.update()
