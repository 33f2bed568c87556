"""How a page opens: of a job and a stage, or of the workshop's records; and what stands there when it cannot."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from fastapi import Request
from nicegui import ui

from bagside.errors import InputError
from bagside.spec.workshop import Workshop
from bagside.web.house import House
from bagside.web.parts.controls import link, sentences
from bagside.web.parts.frame import JobSheet, Sheet, house_sheet
from bagside.web.parts.html import box, words


def job_page(house: House, stage: str, *looks: str, opened: Callable[[JobSheet, Mapping[str, str]], object]) -> None:
    """Name the address of a stage of a job.

    Parameters
    ----------
    house
        The workshop.
    stage
        See `bagside.web.views.registry.STAGES`.
    *looks
        Style sheets of the page beside those of the desk.
    opened
        Fills the sheet it is given; what the address asks for comes with it.
    """

    @ui.page(f"/job/{{name}}/{stage}")
    def page(request: Request, name: str) -> None:
        try:
            desk = house.job(name)
        except InputError as error:
            _no_such_job(request, house, name, error)
            return
        sheet = JobSheet(request, desk, stage)
        _look(*looks)
        try:
            opened(sheet, request.query_params)
        except InputError:
            if not desk.problems:
                raise
            _waits_for(sheet)


def records_pages(house: House, room: str, opened: Callable[[Sheet, Workshop, str], object]) -> None:
    """Name the addresses of a room of the workshop whose things have names: freezer, moulds.

    Parameters
    ----------
    house
        The workshop.
    room
        As it stands in the address, and for the room's texts.
    opened
        Fills the sheet it is given, with the workshop and the name of the thing asked for, empty for none.
    """

    def page(request: Request, name: str) -> None:
        sheet = house_sheet(request, "", here=room)
        sheet.head.set_content(sheet.say(f"{room}.title"))
        ui.page_title(f"{name or sheet.say(f'{room}.title')} – bagside")
        _look("board")
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
        opened(sheet, workshop, name)

    @ui.page(f"/{room}")
    def whole(request: Request) -> None:
        page(request, request.query_params.get("name", ""))

    @ui.page(f"/{room}/{{name}}")
    def one(request: Request, name: str) -> None:
        page(request, name)


def _waits_for(sheet: JobSheet) -> None:
    """Say what is wrong with a job's file that a page cannot even show, and open the page when it is mended."""
    desk = sheet.desk
    sheet.body.clear()
    with sheet.body:
        words(sheet.say("common.waits_for"), tag="p", look="lead b")
        with box("ul", "find"):
            for problem in desk.problems:
                words(str(problem), tag="li")

    def heard(what: str) -> None:
        if what == "text" and not desk.problems:
            with sheet.client:
                ui.navigate.reload()

    sheet.leaving(desk.watch(heard))


def _look(*looks: str) -> None:
    for name in looks:
        ui.add_head_html(f'<link rel="stylesheet" href="/looks/{name}.css">')


def _no_such_job(request: Request, house: House, name: str, error: InputError) -> None:
    """Say that there is no such job, or that its file cannot be read, and where to go on."""
    sheet = house_sheet(request, name)
    jobs = house.jobs()
    with sheet.root:
        told = sentences(error) if name in jobs else sheet.say("common.no_job")
        words(told, tag="p", look="lead b")
        if jobs:
            words(sheet.say("common.jobs_here"), tag="p")
            with box("ul", "elsewhere"):
                for job in jobs:
                    with box("li"):
                        link(job, f"/job/{job}/mould")
        link(sheet.say("common.to_board"), "/")
