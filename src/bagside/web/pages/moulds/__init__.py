"""Moulds: release coats, pulls, repairs, vacuum tests, the hottest each has seen, and all that happened."""

from __future__ import annotations

from bagside.web.house import House
from bagside.web.pages.moulds.page import MouldsPage
from bagside.web.parts.opened import records_pages


def register(house: House) -> None:
    """Name the page's address.

    Parameters
    ----------
    house
        The workshop.
    """
    records_pages(house, "moulds", lambda sheet, workshop, name: MouldsPage(sheet, house, workshop, name))
