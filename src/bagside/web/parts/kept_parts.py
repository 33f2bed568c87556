"""Parts of a page that outlast a new plan: each is built anew only when what it shows has changed.

A line that is being written on, a surface that was turned, a handle that is held stay as they are.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from nicegui.element import Element

from bagside.web.model.job_desk import Shown
from bagside.web.parts.frame import JobSheet


class Parts:
    """Places on a page, each drawn anew only when what it shows has changed: what is written elsewhere stays."""

    def __init__(self) -> None:
        self._drawn: dict[str, object] = {}

    def part(self, name: str, place: Element, shows: object, draw: Callable[[], object]) -> None:
        """Draw a part anew when what it shows has changed.

        Parameters
        ----------
        name
            Of the part.
        place
            It stands in.
        shows
            Equal as long as it would look the same.
        draw
            Draws it.
        """
        if self.changed(name, shows):
            place.clear()
            with place:
                draw()

    def changed(self, name: str, shows: object) -> bool:
        """Return whether a part shows something else than it did, and take note of it.

        Parameters
        ----------
        name, shows
            See `part`.
        """
        if name in self._drawn and self._drawn[name] == shows:
            return False
        self._drawn[name] = shows
        return True

    def forget(self, name: str) -> None:
        """Have a part drawn anew the next time, whatever it shows.

        Parameters
        ----------
        name
            Of the part.
        """
        self._drawn.pop(name, None)


class KeptParts(Parts):
    """The part of a sheet under its messages.

    Parameters
    ----------
    sheet
        The page.
    """

    def __init__(self, sheet: JobSheet) -> None:
        super().__init__()
        self.sheet = sheet
        self.holder = Element("div")
        self.holder.move(sheet.root, sheet.root.default_slot.children.index(sheet.body) + 1)
        self.holder.set_visibility(False)
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

    def part(self, name: str, place: Element, shows: object, draw: Callable[[], object]) -> None:
        """Draw a part anew when what it shows has changed and it is not kept.

        Parameters
        ----------
        name, place, shows, draw
            See `Parts.part`.
        """
        if name in self._drawn and name in self._kept:
            self._drawn[name] = shows
            return
        super().part(name, place, shows, draw)

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
