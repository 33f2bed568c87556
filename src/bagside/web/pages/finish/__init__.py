"""Finish: what hurts first, then the day's air, the coats and their windows, what is mixed, the grits.

page    the page as one person sees it: coats and their windows, what is mixed
air     the day's air, and whether a coat may go on in it
wanted  filler and coats as lines, written into the job
"""

from __future__ import annotations

from bagside.web.house import House
from bagside.web.pages.finish.page import FinishPage
from bagside.web.parts.opened import job_page


def register(house: House) -> None:
    """Name the page's address.

    Parameters
    ----------
    house
        The workshop.
    """

    job_page(house, "finish", "cure", opened=lambda sheet, _: FinishPage(house, sheet))
