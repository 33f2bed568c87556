"""What the parts of the page of a new job may ask of each other."""

from __future__ import annotations

from typing import Any, Protocol

from nicegui.element import Element

from bagside.quantity import Quantity
from bagside.spec.library import Library
from bagside.web.founding.draft import Draft
from bagside.web.house import House
from bagside.web.parts.controls import Field
from bagside.web.parts.frame import Sheet


class NewPage(Protocol):
    """The page of a new job, as its parts see it."""

    house: House
    draft: Draft
    fields: dict[str, Field]
    lines: list[Element]
    library: Library | None

    @property
    def sheet(self) -> Sheet:
        """The sheet it stands on."""
        ...

    def drawn(self) -> None:
        """Draw what is asked anew."""
        ...

    def keep(self) -> None:
        """Write down how far the job has come."""
        ...

    def picture_again(self) -> None:
        """Draw the picture anew."""
        ...

    def ask(self, name: str, kind: Quantity, unit: str, wanted: Any, then: Any = None, *, empty: bool = False) -> None:
        """Ask for an amount.

        Parameters
        ----------
        name
            Of the answer.
        kind, unit, wanted
            See `bagside.web.parts.amount.amount`.
        then
            Called after.
        empty
            Whether it may stay empty.
        """
        ...
