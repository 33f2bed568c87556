"""The mould: its mesh, which way is up, how it comes off and where it is tight, and what is clicked on it."""

from __future__ import annotations

from fastapi import Request
from nicegui import ui

from bagside.errors import InputError
from bagside.web.house import House
from bagside.web.pages.mould.page import MouldPage
from bagside.web.pages.mould.watch import mould_watch
from bagside.web.parts.frame import JobSheet
from bagside.web.parts.missing import no_such_job


def register(house: House) -> None:
    """Name the page's address.

    Parameters
    ----------
    house
        The workshop.
    """

    @ui.page("/job/{name}/mould")
    def mould(request: Request, name: str, map: str = "", hand: str = "") -> None:
        try:
            desk = house.job(name)
        except InputError as error:
            no_such_job(request, error)
            return
        MouldPage(house, JobSheet(request, desk, "mould"), mould_watch(house, desk), map, hand)
