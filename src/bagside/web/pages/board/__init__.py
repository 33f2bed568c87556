"""Board: what runs, each open job with its one next step, what dies, the air, what is to decide."""

from __future__ import annotations

from fastapi import Request
from nicegui import ui

from bagside.errors import InputError
from bagside.web.house import House
from bagside.web.pages.board.page import BoardPage
from bagside.web.parts.frame import house_sheet


def register(house: House) -> None:
    """Name the page's address.

    Parameters
    ----------
    house
        The workshop.
    """

    @ui.page("/")
    def board(request: Request) -> None:
        try:
            workshop = house.workshop()
        except InputError as error:
            sheet = house_sheet(request, "bagside", here="board")
            sheet.tell(error)
            return
        if workshop is None:
            ui.navigate.to("/begin")
            return
        sheet = house_sheet(request, "", here="board")
        ui.add_head_html('<link rel="stylesheet" href="/looks/board.css">')
        BoardPage(request, sheet, house, workshop.name, workshop.people)
