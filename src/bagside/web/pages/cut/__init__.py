"""Cut: nests on rolls and offcuts, pieces pinned by hand, and what goes back to stock.

page    the page as one person sees it
drawn   a cloth on the table in the reader's words and units
nest    the element that shows a cloth under the hand; drawn in the browser by ``nest.js``
strip   how the nest grows, what is cut where, and the one yellow button
"""

from __future__ import annotations

from collections.abc import Mapping

from bagside.web.house import House
from bagside.web.model.cut_bench import cut_bench
from bagside.web.pages.cut.page import CutPage
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
        page = CutPage(sheet, cut_bench(sheet.desk), asked.get("cloth", ""))
        sheet.leaving(page.bench.watch(page.heard))
        sheet.leaving(sheet.desk.watch(page.planned))
        page.refresh()

    job_page(house, "cut", "cut", opened=opened)
