"""Bag and cure: the cycle under the hand, what it does to the part, the log of the oven over it, and the bag.

page        the page as one person sees it
chart       the chart that is drawn and dragged in the browser; its scripts are in ``script``
tried       what the hand sets, worked out and shown over what is planned
table, edit the segments as a table, and how they stand in the job's file
wanted      what a cure is held to
design      a cycle looked for, and how sure one is
logged      a logger's file: dropped, asked about, judged, accepted
margins     what is kept and by how much, and what the chart's marks say
bag         the section through the bag, what it is made of, what proves it
said        words of the benches in the reader's language
"""

from __future__ import annotations

from collections.abc import Mapping

from bagside.web.house import House
from bagside.web.pages.cure.page import CurePage
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
        CurePage(house, sheet, "post-cure" if asked.get("run") == "post-cure" else "cure")

    job_page(house, "cure", "cure", opened=opened)
