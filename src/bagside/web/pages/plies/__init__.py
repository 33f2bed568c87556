"""Plies: the order in which they lie, how each drapes, where it starts and is cut, and what is cut for it."""

from __future__ import annotations

from fastapi import HTTPException, Request
from fastapi.responses import Response
from nicegui import app, ui

from bagside.errors import InputError
from bagside.web.house import House
from bagside.web.pages.plies.page import PlyPage
from bagside.web.parts.frame import JobSheet
from bagside.web.parts.missing import no_such_job
from bagside.web.views.plies_shown import FIELDS
from bagside.web.work.answer import answered


def register(house: House) -> None:
    """Name the page's address.

    Parameters
    ----------
    house
        The workshop.
    """

    @ui.page("/job/{name}/plies")
    def plies(request: Request, name: str, ply: str = "") -> None:
        try:
            desk = house.job(name)
        except InputError as error:
            no_such_job(request, error)
            return
        ui.add_head_html('<link rel="stylesheet" href="/looks/plies.css">')
        sheet = JobSheet(request, desk, "plies")
        page = PlyPage(house, sheet, int(ply) - 1 if ply.isdecimal() and len(ply) < 4 else None)
        sheet.draws(page.draw)
        sheet.leaving(desk.watch(page.heard))

    @app.get("/job/{name}/plies/still/{ply}")
    async def still(name: str, ply: int, by: str = "shear") -> Response:
        from bagside.web.work.drape_task import still_picture  # loads what draws it

        if by not in FIELDS or not 0 <= ply < 1000:
            raise HTTPException(404)
        try:
            desk = house.job(name)
        except InputError:
            raise HTTPException(404) from None
        ended = await answered(house.crew, f"still:{name}:{ply}:{by}", still_picture, desk.file.path, ply, by)
        if not isinstance(ended.result, str):
            raise HTTPException(404)
        return Response(ended.result, media_type="image/svg+xml", headers={"Cache-Control": "no-store"})
