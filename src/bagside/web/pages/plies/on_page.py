"""What the parts of the page of plies want of the page they stand on."""

from __future__ import annotations

from typing import Protocol

from bagside.web.house import House
from bagside.web.model.job_desk import JobDesk
from bagside.web.pages.plies.rows import Laid, Stack
from bagside.web.parts.frame import JobSheet
from bagside.web.scene.view import MeshView
from bagside.web.views.plies_shown import PliesView


class OnPage(Protocol):
    """The page, as far as its parts know it.

    Parameters
    ----------
    house, desk, sheet
        The workshop, the job, and the page's sheet.
    view
        What is known of the plies; None before anything is.
    stack
        The plies as the file states them.
    hand
        The ply in hand, from 0.
    field
        Key of the map that is shown.
    """

    house: House
    desk: JobDesk
    sheet: JobSheet
    view: PliesView | None
    stack: Stack
    hand: int | None
    field: str

    @property
    def laid(self) -> Laid | None:
        """The ply in hand."""

    @property
    def mesh(self) -> MeshView | None:
        """The picture in three dimensions; None when there is none."""
