"""Materials: the library's generic ones and the workshop's own, typed from their data sheets value by value.

page    all of them
new     one that is begun
one     one, value by value
"""

from __future__ import annotations

from typing import Any

from fastapi import Request, Response
from fastapi.responses import FileResponse, RedirectResponse
from nicegui import app, ui

from bagside.web.founding.material_text import KINDS, TYPED
from bagside.web.house import House
from bagside.web.pages.materials.new import NewMaterial
from bagside.web.pages.materials.one import SHEETS_AT, material_page
from bagside.web.pages.materials.page import materials_page


def register(house: House) -> None:
    """Name the addresses.

    Parameters
    ----------
    house
        The workshop.
    """

    @app.get("/materials/sheets/{name}")
    def sheet(name: str) -> Response:
        folder = house.folder / SHEETS_AT
        known = {p.name for p in folder.iterdir() if not p.name.startswith(".")} if folder.is_dir() else set()
        if name not in known:
            return Response(status_code=404)
        return FileResponse(folder / name, headers={"Cache-Control": "no-cache"})

    @ui.page("/materials")
    def materials(request: Request) -> None:
        materials_page(house, request)

    @ui.page("/materials/new")
    def new(request: Request, kind: str = "prepreg", to: str = "") -> None:
        NewMaterial(house, request, kind if kind in TYPED else "prepreg", to).show()

    @ui.page("/materials/{kind}/{name}")
    def one(request: Request, kind: str, name: str, to: str = "") -> Any:
        if kind not in KINDS:
            return RedirectResponse("/materials", status_code=303)
        material_page(house, request, kind, name, to)
        return None
