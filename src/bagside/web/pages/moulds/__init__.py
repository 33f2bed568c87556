"""Moulds: release coats, pulls, repairs, vacuum tests, the hottest each has seen, and all that happened."""

from __future__ import annotations

from fastapi import Request
from nicegui import ui

from bagside.errors import InputError
from bagside.web.house import House
from bagside.web.pages.moulds.page import MouldsPage
from bagside.web.parts.controls import link
from bagside.web.parts.frame import house_sheet
from bagside.web.parts.html import words


def register(house: House) -> None:
    """Name the page's addresses.

    Parameters
    ----------
    house
        The workshop.
    """

    @ui.page("/moulds")
    def moulds(request: Request) -> None:
        _page(request, house, request.query_params.get("name", ""))

    @ui.page("/moulds/{name}")
    def mould(request: Request, name: str) -> None:
        _page(request, house, name)


def _page(request: Request, house: House, name: str) -> None:
    sheet = house_sheet(request, "", here="moulds")
    sheet.head.set_content(sheet.say("moulds.title"))
    ui.page_title(f"{name or sheet.say('moulds.title')} – bagside")
    ui.add_head_html('<link rel="stylesheet" href="/looks/board.css">')
    try:
        workshop = house.workshop()
    except InputError as error:
        sheet.tell(error)
        return
    if workshop is None:
        with sheet.root:
            words(sheet.say("freezer.no_workshop"), tag="p", look="lead b")
            link(sheet.say("freezer.to_begin"), "/begin")
        return
    MouldsPage(sheet, house, workshop, name)
