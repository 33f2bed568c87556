"""Bag and cure: the cycle under the hand, what it does to the part, the log of the oven over it, and the bag.

page        the page as one person sees it
chart       the chart that is drawn and dragged in the browser; its scripts are in ``script``
table, edit the segments as a table, and how they stand in the job's file
wanted      what a cure is held to
design      a cycle looked for, and how sure one is
logged      a logger's file: dropped, asked about, judged, accepted
parts       margins, section through the bag, bag list, cautions
said        words of the benches in the reader's language
"""

from __future__ import annotations

from fastapi import Request
from nicegui import ui

from bagside.errors import InputError
from bagside.web.house import House
from bagside.web.pages.cure.page import CurePage
from bagside.web.parts.frame import JobSheet
from bagside.web.parts.missing import no_such_job


def register(house: House) -> None:
    """Name the page's address.

    Parameters
    ----------
    house
        The workshop.
    """

    @ui.page("/job/{name}/cure")
    def cure(request: Request, name: str, run: str = "cure") -> None:
        try:
            desk = house.job(name)
        except InputError as error:
            no_such_job(request, error)
            return
        ui.add_head_html('<link rel="stylesheet" href="/looks/cure.css">')
        CurePage(house, JobSheet(request, desk, "cure"), "post-cure" if run == "post-cure" else "cure")
