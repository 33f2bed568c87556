"""Writing into the records from a page: in a thread, with what they refuse told on the sheet."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from datetime import datetime
from typing import Any

from bagside.errors import BagsideError
from bagside.ledger.bodies import Body
from bagside.web.guard import device_of
from bagside.web.house import House
from bagside.web.parts.frame import Sheet, who_of


def acting(sheet: Sheet, act: Callable[[], Awaitable[Any]]) -> Callable[[], Awaitable[None]]:
    """Return an act that may take a while, whose refusal is told on the sheet.

    Parameters
    ----------
    sheet
        The page.
    act
        What is done.
    """

    async def done() -> None:
        sheet.tell("")
        try:
            await act()
        except BagsideError as error:
            sheet.tell(error)

    return done


async def keep(house: House, sheet: Sheet, *bodies: Body, at: datetime | None = None, late: bool = False) -> None:
    """Write what happened into the records: all of it, or nothing.

    Parameters
    ----------
    house
        The workshop.
    sheet
        The page on which it was said: who sits there stands in the events.
    *bodies
        What happened, in order.
    at
        When, with a zone; now when None.
    late
        Whether it is written down after what came later, on purpose.

    Raises
    ------
    InputError
        When the records refuse it; nothing is kept then.
    OutputError
        When the disk or the server fails.
    """
    who = who_of(sheet.client)
    device = device_of(sheet.client.request) or "desk"

    def write() -> None:
        with house.desk(who, device) as here:
            here.ledger.add([here.event(body, at, late=late) for body in bodies])

    await asyncio.to_thread(write)
