"""The freezer, the room and the first roll, written into the records: a life nobody knows is kept as such there."""

from __future__ import annotations

from datetime import date

from bagside.ledger.bodies import Received, Sort
from bagside.ledger.stock.taking_over import FREEZER, ROOM
from bagside.quantity import Quantity, read
from bagside.records.desk import Desk


def records_begun(desk: Desk, *, freezer: str, life_known: bool, made: date | None = None) -> None:
    """Write what is there on the first day.

    Parameters
    ----------
    desk
        Opened with new records; its workshop states the roll.
    freezer
        Temperature it is set to, as stated.
    life_known
        Whether the roll's ``life_used`` is what was really used.
    made
        Day on which the cloth was made, when its label says it: a life that nobody knows counts from that day.

    Raises
    ------
    InputError
        When the records refuse it; nothing is kept then.
    """
    roll = desk.shop.stock[0]
    note = "as typed when the workshop was set up"
    bodies = (
        Received(name=FREEZER, sort=Sort.PLACE, temperature=read(freezer, Quantity.TEMPERATURE), note=note),
        Received(name=ROOM, sort=Sort.PLACE, temperature=desk.shop.room.temperature, note=note),
        Received(
            name=roll.called,
            sort=Sort.ROLL,
            material=roll.material,
            place=FREEZER,
            length=roll.length,
            width=roll.width or desk.library.prepreg[roll.material].width,
            batch=roll.batch,
            price=roll.price,
            made=made,
            life_used=roll.life_used if life_known else None,
            note=note,
        ),
    )
    desk.ledger.add([desk.event(body) for body in bodies])
