"""The laminate: its zones, the stack in each, and whether it is as stiff as what it replaces.

page      the page as one person sees it
in_hand   the stack of the zone in hand, what is left out and tried on top
trial     what a trial comes to
compared  bars and numbers beside what is replaced
"""

from __future__ import annotations

from collections.abc import Mapping

from bagside.web.house import House
from bagside.web.pages.laminate.page import LaminatePage
from bagside.web.parts.frame import JobSheet
from bagside.web.parts.opened import job_page


def register(house: House) -> None:
    """Name the page's address.

    Parameters
    ----------
    house
        The workshop.
    """

    def opened(sheet: JobSheet, asked: Mapping[str, str]) -> None:
        zone = asked.get("zone", "")
        page = LaminatePage(house, sheet, int(zone) if zone.isdecimal() and len(zone) < 4 else 1)
        sheet.draws(page.draw)
        sheet.leaving(sheet.desk.watch(page.heard))

    job_page(house, "laminate", "plies", "laminate", opened=opened)
