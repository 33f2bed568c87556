"""The laminate: its zones, the stack in each, and whether it is as stiff as what it replaces."""

from __future__ import annotations

from fastapi import Request
from nicegui import ui

from bagside.errors import InputError
from bagside.web.house import House
from bagside.web.pages.laminate.page import LaminatePage
from bagside.web.parts.frame import JobSheet
from bagside.web.parts.missing import no_such_job


def register(house: House) -> None:
    """Name the page's address.

    Parameters
    ----------
    house
        The workshop.
    """

    @ui.page("/job/{name}/laminate")
    def laminate(request: Request, name: str, zone: str = "") -> None:
        try:
            desk = house.job(name)
        except InputError as error:
            no_such_job(request, error)
            return
        ui.add_head_html(
            '<link rel="stylesheet" href="/looks/plies.css"><link rel="stylesheet" href="/looks/laminate.css">'
        )
        sheet = JobSheet(request, desk, "laminate")
        page = LaminatePage(house, sheet, int(zone) if zone.isdecimal() and len(zone) < 4 else 1)
        sheet.draws(page.draw)
        sheet.leaving(desk.watch(page.heard))
