"""The records of a workshop that has none yet: what they are for, and the button that begins them."""

from __future__ import annotations

import asyncio
from collections import Counter
from datetime import datetime

from nicegui import ui

from bagside.ledger.bodies import Received
from bagside.ledger.stock.taking_over import Teller, refused, taken_over
from bagside.records.database.ledger import Ledger
from bagside.records.stock_file import StockFile
from bagside.spec.workshop import Workshop
from bagside.web.house import House
from bagside.web.parts.controls import button
from bagside.web.parts.frame import Sheet, who_of
from bagside.web.parts.html import box, figure, words
from bagside.web.parts.records import acting
from bagside.web.parts.shop_pictures import group_picture


def records_begun(house: House, workshop: Workshop, sheet: Sheet) -> bool:
    """Return whether the workshop keeps records; the page offers to begin them when it does not.

    Parameters
    ----------
    house, workshop
        Whose.
    sheet
        The page.
    """
    if Ledger.kept_for(house.folder, workshop.records):
        return True
    say = sheet.say

    async def begin() -> None:
        counts = await asyncio.to_thread(begin_records, house, workshop, who_of(sheet.client))
        sheet.tell(say("freezer.begun", count=sum(counts.values())))
        ui.navigate.reload()

    with sheet.root, box("section", "empty"):
        words(say("freezer.no_records"), tag="p", look="lead b")
        words(say("freezer.no_records_why"), tag="p")
        words(say("freezer.no_records_files"), tag="p", look="q")
        figure(group_picture("roll", {}, sheet.tongue), look="meant")
        button(say("freezer.begin"), acting(sheet, begin), go=True)
    return False


def begin_records(house: House, workshop: Workshop, who: str) -> Counter[str]:
    """Begin the records: what the workshop's files state is taken over; return how many of each sort there are.

    Parameters
    ----------
    house, workshop
        Whose.
    who
        Does it.

    Raises
    ------
    InputError
        When the files contradict themselves; there are no records then.
    """
    stated = StockFile.read(house.folder).stock
    library = house.library()
    if library is not None:
        refused(workshop, stated, library)
    with house.desk(who, "desk", begin=True) as here:
        now = datetime.now().astimezone()
        found = taken_over(
            here.shop,
            stated,
            here.library,
            kept=here.ledger.event,
            there=here.ledger.things(there=None),
            teller=Teller(who=here.who, device=here.device, at=now, zone=f"{now:%z}"[:3] + ":" + f"{now:%z}"[3:]),
        )
        here.ledger.add(found.events)
    return Counter(e.body.sort.value for e in found.events if isinstance(e.body, Received))
