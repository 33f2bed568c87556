"""What may happen in an invented kayak workshop, one thing after the other in any number, each allowed by the rules."""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

from bagside.ledger.bodies import (
    Body,
    Corrected,
    Counted,
    Discarded,
    Found,
    Measured,
    Moved,
    Photographed,
    Received,
    Sort,
    Spent,
    Use,
    body_data,
)
from bagside.ledger.event import Event, new_event

START = datetime(2026, 3, 2, 7, 0, tzinfo=UTC)
FREEZER = Received(name="freezer", sort=Sort.PLACE, temperature=255.15)
ROOM = Received(name="room", sort=Sort.PLACE, temperature=294.15)
TAPE = Received(name="TAPE-1", sort=Sort.CONSUMABLE, place="room", use=Use.TAPE, count=100000, batch="T/44")


def event(body: Body, minutes: float = 0.0, *, device: str = "bench", late: bool = False, id: str = "") -> Event:
    """Return an event some minutes after the workshop's first."""
    at = START + timedelta(minutes=minutes)
    return new_event(body, who="Maren", device=device, at=at, zone="Europe/Berlin", late=late, id=id)


def roll(name: str, length: float = 50.0) -> Received:
    return Received(
        name=name, sort=Sort.ROLL, material="twill-200", place="freezer", length=length, width=1.25, batch="B 17",
        price=31.5, life_used=0.0,
    )  # fmt: skip


def begun() -> list[Event]:
    """Return how a workshop begins: its places, tape, one roll."""
    return [event(body, k) for k, body in enumerate((FREEZER, ROOM, TAPE, roll("R-1")))]


def happenings(seed: int, prefix: str) -> Iterator[Body]:
    """Give bodies for ever, on things of one's own, and on the tape and the room that all share."""
    luck = random.Random(seed)
    rolls: list[str] = []
    made = 0
    while True:
        kind = luck.choice(("roll", "move", "count", "spend", "spend", "climate", "photo", "discard"))
        if kind == "roll" or not rolls:
            made += 1
            rolls.append(f"{prefix}-{made}")
            yield roll(rolls[-1], luck.uniform(5.0, 100.0))
        elif kind == "move":
            yield Moved(things=tuple(luck.sample(rolls, min(2, len(rolls)))), to=luck.choice(("freezer", "room")))
        elif kind == "count":
            yield Counted(thing=luck.choice(rolls), length=luck.uniform(1.0, 50.0), why="measured again")
        elif kind == "spend":
            yield Spent(thing="TAPE-1", count=1)
        elif kind == "climate":
            warm, wet = luck.uniform(290.0, 298.0), luck.random()
            yield Measured(subject="room", found=Found.CLIMATE, value=warm, humidity=wet)
        elif kind == "photo":
            digest = f"{luck.getrandbits(256):064x}"
            yield Photographed(subject=luck.choice(rolls), file=digest, called="roll.jpg", caption="its label")
        elif len(rolls) > 2:
            yield Discarded(thing=rolls.pop(luck.randrange(len(rolls))), why="sold")


def correction(of: Event, instead: Body | None, minutes: float, **others: object) -> Event:
    """Return an event that says that another was wrong."""
    from bagside.ledger.bodies import touches

    names = dict.fromkeys((*of.subjects, *(touches(instead) if instead is not None else ())))
    body = Corrected(
        corrects=of.id,
        subjects=tuple(names),
        kind="" if instead is None else type(instead).__name__.lower(),
        data={} if instead is None else body_data(instead),
        why="misread",
        **others,  # type: ignore[arg-type]
    )
    return event(body, minutes)
