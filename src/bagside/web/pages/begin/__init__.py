"""The first page in a folder without a workshop: play with an invented one, or set up one's own.

page    the choice
own     one's own workshop, question by question
"""

from __future__ import annotations

from typing import Any

from fastapi import Request
from fastapi.responses import RedirectResponse
from nicegui import ui

from bagside.web.founding.kept import answers_kept
from bagside.web.house import House
from bagside.web.pages.begin.own import workshop_page
from bagside.web.pages.begin.page import begin_page


def register(house: House) -> None:
    """Name the addresses.

    Parameters
    ----------
    house
        The workshop, whose folder is still empty.
    """
    answers = answers_kept(house.folder / ".bagside")

    @ui.page("/begin")
    def begin(request: Request) -> Any:
        if (house.folder / "workshop.toml").is_file():
            return RedirectResponse("/", status_code=303)
        begin_page(house, request, answers)
        return None

    @ui.page("/begin/workshop")
    def workshop(request: Request) -> Any:
        if (house.folder / "workshop.toml").is_file():
            return RedirectResponse("/new", status_code=303)
        workshop_page(house, request, answers)
        return None
