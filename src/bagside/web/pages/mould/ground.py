"""What the rooms of the mould's page ask of the page itself."""

from __future__ import annotations

from collections.abc import Awaitable
from contextlib import AbstractContextManager
from typing import Protocol

from nicegui.element import Element

from bagside.findings import Finding
from bagside.web.house import House
from bagside.web.model.job_desk import JobDesk
from bagside.web.pages.mould.watch import MouldWatch
from bagside.web.parts.frame import JobSheet
from bagside.web.scene.view import MeshView


class Ground(Protocol):
    """The page of one job's mould, as its rooms see it."""

    house: House
    sheet: JobSheet
    desk: JobDesk
    watch: MouldWatch
    view: MeshView | None

    def anew(self, place: Element, hangs_on: object) -> AbstractContextManager[bool]:
        """Empty a place and draw into it, unless what it hangs on is as before."""

    def draw(self) -> None:
        """Draw everything as it stands."""

    def remember(self) -> None:
        """Put what is shown into the address."""

    def findings(self) -> tuple[Finding, ...]:
        """Return what was noticed of the mould."""

    def noted(self) -> tuple[Finding, ...]:
        """Return the findings that stand on the picture."""

    def turn_over(self) -> None:
        """State that the laminate lies on the other side."""

    def laminate_towards_me(self) -> Awaitable[None]:
        """State that the laminate lies on the side that is looked at now."""
