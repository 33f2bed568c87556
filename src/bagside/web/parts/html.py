"""Elements of plain HTML: text that is escaped, and drawings that are ours."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from html import escape

from nicegui import ui
from nicegui.element import Element

from bagside.sheets.themed import themed


def words(text: str, *, tag: str = "span", look: str = "") -> ui.html:
    """Show a text.

    Parameters
    ----------
    text
        Plain; it is escaped.
    tag
        Of the element.
    look
        Its classes.
    """
    return ui.html(escape(text), sanitize=False, tag=tag).classes(look)


def markup(html: str, *, tag: str = "div", look: str = "") -> ui.html:
    """Show HTML that was made here, never by a person.

    Parameters
    ----------
    html
        With every text in it escaped.
    tag
        Of the element.
    look
        Its classes.
    """
    return ui.html(html, sanitize=False, tag=tag).classes(look)


@contextmanager
def box(tag: str = "div", look: str = "", **properties: str) -> Iterator[Element]:
    """Put what follows into an element.

    Parameters
    ----------
    tag
        Of the element.
    look
        Its classes.
    properties
        Further attributes; ``_`` in a name is written ``-``.
    """
    element = Element(tag).classes(look)
    for name, value in properties.items():
        element._props[name.rstrip("_").replace("_", "-")] = value
    with element:
        yield element


def figure(svg: str, *, look: str = "") -> ui.html:
    """Show a drawing of the sheets in the page's own inks.

    Parameters
    ----------
    svg
        As drawn for paper; nothing is shown when it is empty.
    look
        Classes of the figure.
    """
    return ui.html(themed(svg) if svg else "", sanitize=False, tag="figure").classes(look)
