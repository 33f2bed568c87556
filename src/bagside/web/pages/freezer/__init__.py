"""Freezer: what the workshop has of cloth and goods, how old it is, and what happens to it."""

from __future__ import annotations

from fastapi import Request
from fastapi.responses import PlainTextResponse, Response
from nicegui import app

from bagside.errors import BagsideError, InputError
from bagside.spec.workshop import Workshop
from bagside.web.house import House
from bagside.web.pages.freezer.page import FreezerPage
from bagside.web.pages.freezer.records import records_begun
from bagside.web.parts.frame import Sheet
from bagside.web.parts.opened import records_pages
from bagside.web.preferences import tongue_of


def register(house: House) -> None:
    """Name the page's addresses.

    Parameters
    ----------
    house
        The workshop.
    """

    def opened(sheet: Sheet, workshop: Workshop, name: str) -> None:
        if records_begun(house, workshop, sheet):
            FreezerPage(sheet, house, workshop, name)

    records_pages(house, "freezer", opened)

    @app.get("/freezer-label.pdf")
    def label(request: Request, name: str) -> Response:
        from bagside.web.pages.freezer.labels import labels  # what prints is loaded when something is printed

        try:
            return Response(labels(house, [name]), media_type="application/pdf")
        except BagsideError as error:
            text = "\n".join(map(str, error.problems)) if isinstance(error, InputError) else str(error)
            return PlainTextResponse(tongue_of(request).say("common.went_wrong", why=text), status_code=409)
