"""Join: where brackets stand, what their adhesive bears, how far holes are from edges, where plies meet.

page    the page as one person sees it
parts   a bond's numbers and its adhesive's time, holes, joins of plies
"""

from __future__ import annotations

from bagside.web.house import House
from bagside.web.pages.join.page import JoinPage
from bagside.web.parts.opened import job_page


def register(house: House) -> None:
    """Name the page's address.

    Parameters
    ----------
    house
        The workshop.
    """

    job_page(house, "join", "cure", opened=lambda sheet, _: JoinPage(house, sheet))
