"""Time: who does what when, as far as the plan knows."""

from __future__ import annotations

from fastapi import Request
from nicegui import ui

from bagside.errors import InputError
from bagside.web.house import House
from bagside.web.model.job_desk import Shown
from bagside.web.parts.findings import findings
from bagside.web.parts.frame import JobSheet, picture, strip
from bagside.web.parts.html import figure, words
from bagside.web.parts.missing import no_such_job


def register(house: House) -> None:
    """Name the page's address.

    Parameters
    ----------
    house
        The workshop.
    """

    @ui.page("/job/{name}/time")
    def time(request: Request, name: str) -> None:
        try:
            desk = house.job(name)
        except InputError as error:
            no_such_job(request, error)
            return
        sheet = JobSheet(request, desk, "time")

        def draw(shown: Shown) -> None:
            view = shown.view
            with picture():
                figure(view.timetable)
            with strip() as (left, _, right):
                with left:
                    findings(desk.findings("time", "stock"), sheet.tongue)
                with right:
                    words(sheet.tongue.duration(view.attended), look="fig")

        sheet.draws(draw)
