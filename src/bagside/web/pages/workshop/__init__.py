"""The workshop: everything its file says, in groups, with a picture where that helps; and what one person prefers.

page    the page as one person sees it
lists   rolls as received, what can be bought, equipment, prices by name
"""

from __future__ import annotations

from typing import Any

from fastapi import Request
from fastapi.responses import RedirectResponse
from nicegui import ui

from bagside.web.house import House
from bagside.web.pages.workshop.page import WorkshopPage


def register(house: House) -> None:
    """Name the page's address.

    Parameters
    ----------
    house
        The workshop.
    """

    @ui.page("/workshop")
    def workshop(request: Request) -> Any:
        if not (house.folder / "workshop.toml").is_file():
            return RedirectResponse("/begin", status_code=303)
        WorkshopPage(house, request).show()
        return None
