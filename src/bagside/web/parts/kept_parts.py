"""Parts of a page that outlast a new plan: each is built anew only when what it shows has changed.

A line that is being written on, a surface that was turned, a handle that is held stay as they are.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from nicegui.element import Element

from bagside.web.model.job_desk import Shown
from bagside.web.parts.frame import JobSheet


class KeptParts:
    """The part of a sheet under its messages.

    Parameters
    ----------
    sheet
        The page.
    """

    def __init__(self, sheet: JobSheet) -> None:
        self.sheet = sheet
        self.holder = Element("div")
        self.holder.move(sheet.root, sheet.root.default_slot.children.index(sheet.body) + 1)
        self.holder.set_visibility(False)
        self._drawn: dict[str, object] = {}
        self._kept: set[str] = set()

    def follow(self, draw: Callable[[Shown], None]) -> None:
        """Draw now, and whenever what the stage shows has changed.

        Parameters
        ----------
        draw
            Calls `part` for each part.
        """

        def drawn(shown: Shown) -> None:
            self.holder.set_visibility(True)
            with self.holder:
                draw(shown)

        self.sheet.draws(drawn)

    def part(self, name: str, holder: Element, state: object, build: Callable[[], object]) -> None:
        """Build a part anew when what it shows has changed.

        Parameters
        ----------
        name
            Of the part.
        holder
            It stands in.
        state
            Equal as long as it would look the same.
        build
            Builds it.
        """
        if name in self._drawn and (self._drawn[name] == state or name in self._kept):
            self._drawn[name] = state
            return
        self._drawn[name] = state
        holder.clear()
        with holder:
            build()

    @contextmanager
    def keeping(self, name: str) -> Iterator[None]:
        """Leave a part as it is while something is written from it: what it shows is what was written.

        Parameters
        ----------
        name
            Of the part.
        """
        self._kept.add(name)
        try:
            yield
        finally:
            self._kept.discard(name)

    def forget(self, name: str) -> None:
        """Have a part built anew the next time, whatever it shows.

        Parameters
        ----------
        name
            Of the part.
        """
        self._drawn.pop(name, None)
