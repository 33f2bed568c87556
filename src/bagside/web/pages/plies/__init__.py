"""Plies: the order in which they lie, how each drapes, where it starts and is cut, and what is cut for it."""

from __future__ import annotations

from collections.abc import Mapping

from fastapi import HTTPException
from fastapi.responses import Response
from nicegui import app

from bagside.errors import InputError
from bagside.web.house import House
from bagside.web.pages.plies.page import PlyPage
from bagside.web.parts.frame import JobSheet
from bagside.web.parts.opened import job_page
from bagside.web.views.plies_shown import FIELDS
from bagside.web.work.answer import answered


def register(house: House) -> None:
    """Name the page's address.

    Parameters
    ----------
    house
        The workshop.
    """

    def opened(sheet: JobSheet, asked: Mapping[str, str]) -> None:
        ply = asked.get("ply", "")
        page = PlyPage(house, sheet, int(ply) - 1 if ply.isdecimal() and len(ply) < 4 else None)
        sheet.draws(page.draw)
        sheet.leaving(sheet.desk.watch(page.heard))

    job_page(house, "plies", "plies", opened=opened)

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
