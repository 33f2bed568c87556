"""Freezer: what the workshop has of cloth and goods, how old it is, and what happens to it."""

from __future__ import annotations

from fastapi import Request
from fastapi.responses import PlainTextResponse, Response
from nicegui import app, ui

from bagside.errors import BagsideError, InputError
from bagside.web.house import House
from bagside.web.pages.freezer.page import FreezerPage
from bagside.web.pages.freezer.records import records_begun
from bagside.web.parts.controls import link
from bagside.web.parts.frame import house_sheet
from bagside.web.parts.html import words
from bagside.web.preferences import tongue_of


def register(house: House) -> None:
    """Name the page's addresses.

    Parameters
    ----------
    house
        The workshop.
    """

    @ui.page("/freezer")
    def freezer(request: Request) -> None:
        _page(request, house, request.query_params.get("name", ""))

    @ui.page("/freezer/{name}")
    def thing(request: Request, name: str) -> None:
        _page(request, house, name)

    @app.get("/freezer-label.pdf")
    def label(request: Request, name: str) -> Response:
        from bagside.web.pages.freezer.labels import labels  # what prints is loaded when something is printed

        try:
            return Response(labels(house, [name]), media_type="application/pdf")
        except BagsideError as error:
            text = "\n".join(map(str, error.problems)) if isinstance(error, InputError) else str(error)
            return PlainTextResponse(tongue_of(request).say("common.went_wrong", why=text), status_code=409)


def _page(request: Request, house: House, name: str) -> None:
    sheet = house_sheet(request, "", here="freezer")
    sheet.head.set_content(sheet.say("freezer.title"))
    ui.page_title(f"{name or sheet.say('freezer.title')} – bagside")
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
    if not records_begun(house, workshop, sheet):
        return
    FreezerPage(sheet, house, workshop, name)
