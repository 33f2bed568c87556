"""The mould: its mesh, which way is up, how it comes off and where it is tight, and what is clicked on it."""

from __future__ import annotations

from collections.abc import Mapping

from bagside.web.house import House
from bagside.web.pages.mould.page import MouldPage
from bagside.web.pages.mould.watch import mould_watch
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
        MouldPage(house, sheet, mould_watch(house, sheet.desk), asked.get("map", ""), asked.get("hand", ""))

    job_page(house, "mould", opened=opened)
