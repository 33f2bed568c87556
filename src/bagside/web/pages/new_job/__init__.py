"""A new job: from cards – sizes, a drawing, a photo – or from the mesh of a mould; then it goes to its own pages.

page    the page as one person sees it
cards   sizes typed, a drawing sent, a photo of the card on its sheet
mesh    the mesh of a mould, with its unit said by a person
plies   the plies in laying order
asked   what these may ask of the page
"""

from __future__ import annotations

from typing import Any

from fastapi import Request, Response
from fastapi.responses import RedirectResponse
from nicegui import app, ui

from bagside.sheets.photo_frame import frame_pdf
from bagside.web.founding.kept import draft_kept
from bagside.web.house import House
from bagside.web.pages.new_job.page import NewJob


def register(house: House) -> None:
    """Name the addresses.

    Parameters
    ----------
    house
        The workshop.
    """
    draft = draft_kept(house.folder / ".bagside" / "new-job")

    @ui.page("/new")
    def new(request: Request) -> Any:
        if not (house.folder / "workshop.toml").is_file():
            return RedirectResponse("/begin", status_code=303)
        NewJob(house, request, draft).show()
        return None

    @app.get("/new/sheet-{paper}.pdf")
    def sheet(paper: str) -> Response:
        if paper not in ("A4", "A3"):
            return Response(status_code=404)
        return Response(frame_pdf(paper), media_type="application/pdf")
