"""An invented kayak workshop that never stops: twenty builds at a time, with all that is written down about them.

About 125 events belong to one part: its plan, its kit, steps begun and finished, ticks, debulks, readings, photos.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from bagside.ledger.bodies import (
    Bagged,
    Begun,
    Body,
    Closed,
    Conceded,
    Cured,
    Cut,
    CutPiece,
    Debulked,
    Discarded,
    Finished,
    Found,
    Label,
    Laid,
    MassStage,
    Measured,
    Moved,
    NewOffcut,
    Photographed,
    Pulled,
    Received,
    Sort,
    Spent,
    Started,
    Use,
)
from bagside.ledger.event import Event, new_event
from bagside.ledger.planned import Planned, PlannedDebulk, PlannedMass, PlannedPly, PlannedPoint, PlannedStep

OPENING = datetime(2001, 1, 8, 6, 0, tzinfo=UTC)
AT_ONCE = 20
STEPS = 26
PLIES = 10
MOULDS = 6
SHELF = 60
LABEL = Label(material="twill-200", batch="B 17", price=31.5)


def plan(number: int) -> Planned:
    """Return the plan of a hatch lid, as large as a real one is."""
    steps = tuple(
        PlannedStep(
            key=f"step-{k}", name=f"Step {k} of a hatch lid", stage="lay" if k < 14 else "cure",
            do=(f"First thing to do in step {k}, told in a sentence.", "Then look whether it lies flat, and go on."),
            attended=900.0 + 30 * k, unattended=0.0,
        )
        for k in range(1, STEPS + 1)
    )  # fmt: skip
    plies = tuple(
        PlannedPly(
            number=k, material="twill-200", pieces=(f"{k}a", f"{k}b"), films=1, area=0.31, mass=0.107, scatter=0.03
        )
        for k in range(1, PLIES + 1)
    )
    return Planned(
        job=f"hatch-lid-{number % 40}", part="hatch lid", revision=f"{number:064x}", number=1, quantity=1, steps=steps,
        plies=plies, debulks=tuple(PlannedDebulk(after=k, seconds=900.0, pressure=12e3) for k in (3, 6, 9)),
        masses=tuple(PlannedMass(stage=s, mass=1.0, sigma=0.03) for s in ("kit", "raw", "trimmed", "finished")),
        points=tuple(PlannedPoint(place=f"P{k}", thickness=0.0022, tolerance=2e-4) for k in range(1, 7)),
        resin_mass=0.4, finished_area=0.5, programme="2 K/min to 120 °C, 60 min",
    )  # fmt: skip


@dataclass
class Shelves:
    """What the workshop has, as far as it must know to write down nothing that is not so."""

    rolls: int = 0
    left: float = 0.0
    cuts: int = 0
    tapes: int = 0
    tape_left: int = 0
    offcuts: list[str] = field(default_factory=list)


def _begins() -> Iterator[Body]:
    yield Received(name="freezer", sort=Sort.PLACE, temperature=255.15)
    yield Received(name="room", sort=Sort.PLACE, temperature=294.15)
    for k in range(MOULDS):
        yield Received(name=f"M-{k}", sort=Sort.MOULD, material="carbon-epoxy", coats_last=8)


def _taped(shelves: Shelves, build: str) -> Iterator[Body]:
    """Give all at once: tape is spent, from a new roll of it when the old one is done."""
    if shelves.tape_left < 1:
        if shelves.tapes:
            yield Discarded(thing=f"T-{shelves.tapes}", why="dried up")
        shelves.tapes, shelves.tape_left = shelves.tapes + 1, 200
        yield Received(name=f"T-{shelves.tapes}", sort=Sort.CONSUMABLE, place="room", use=Use.TAPE, count=400)
    shelves.tape_left -= 1
    yield Spent(thing=f"T-{shelves.tapes}", count=1, build=build)


def _cut(shelves: Shelves, kit: str) -> Iterator[Body]:
    """Give all at once: a kit is cut off a roll, an offcut goes to the shelf and the oldest off it."""
    if shelves.left < 8.0:
        if shelves.rolls:
            yield Discarded(thing=f"R-{shelves.rolls}", why="too short")
        shelves.rolls, shelves.left = shelves.rolls + 1, 50.0
        yield Received(
            name=f"R-{shelves.rolls}", sort=Sort.ROLL, material="twill-200", place="freezer", length=50.0, width=1.25,
            batch="B 17", price=31.5, life_used=0.0,
        )  # fmt: skip
    shelves.left -= 8.0
    shelves.cuts += 1
    offcut = f"O-{shelves.cuts}"
    pieces = tuple(CutPiece(label=f"{k}{x}", ply=k, area=0.155) for k in range(1, PLIES + 1) for x in "ab")
    outline = ((0.0, 0.0), (0.9, 0.0), (0.95, 0.3), (0.4, 0.42), (0.05, 0.38))
    yield Cut(
        source=f"R-{shelves.rolls}", length=8.0, kits={kit: pieces}, job="hatch-lid", of=LABEL,
        offcuts=(NewOffcut(name=offcut, outline=outline),),
    )  # fmt: skip
    shelves.offcuts.append(offcut)
    if len(shelves.offcuts) > SHELF:
        yield Discarded(thing=shelves.offcuts.pop(0), why="expired")


def _build(number: int, shelves: Shelves, luck: random.Random) -> Iterator[tuple[Body, ...]]:
    """Give all that is written down about one part, from its plan to its end."""
    build, kit, mould = f"B-{number}", f"K-{number}", f"M-{number % MOULDS}"
    yield (Begun(build=build, planned=plan(number), mould=mould),)
    yield tuple(_cut(shelves, kit))
    yield (Moved(things=(kit,), to="room", temperature=294.0),)
    yield (Measured(subject=build, found=Found.MASS, stage=MassStage.KIT, value=luck.gauss(1.1, 0.03), sigma=1e-3),)
    for k in range(1, STEPS + 1):
        yield (Started(build=build, step=f"step-{k}"),)
        if k <= PLIES:
            for piece in "ab":
                yield (Laid(build=build, ply=k, piece=f"{k}{piece}", films=1, kit=kit),)
            if k % 3 == 0:
                yield (Debulked(build=build, after=k, seconds=900.0, pressure=luck.uniform(5e3, 15e3)),)
                climate = Measured(
                    subject="room", found=Found.CLIMATE, value=luck.gauss(294.0, 1.0), humidity=luck.uniform(0.3, 0.6)
                )
                yield (climate,)
            if k == 6:
                yield (Photographed(subject=build, file=f"{luck.getrandbits(256):064x}", called="6.jpg", caption="6"),)
        elif k == 12:
            yield tuple(_taped(shelves, build))
            yield (Bagged(build=build, items=(), note="new bag"),)
        elif k == 14:
            yield (Cured(builds=(build,), seconds=14400.0, verdict="good", cure=0.93, tg=395.0, hottest_part=394.0),)
        elif k == 16:
            yield (Pulled(build=build, mould=mould, temperature=305.0),)
            yield (Measured(subject=build, found=Found.MASS, stage=MassStage.RAW, value=luck.gauss(1.0, 0.03)),)
            for p in range(1, 7):
                value = max(1e-4, luck.gauss(0.0022, 5e-5))
                yield (Measured(subject=build, found=Found.THICKNESS, value=value, place=f"P{p}", gauge="micrometer"),)
            yield (Photographed(subject=build, file=f"{luck.getrandbits(256):064x}", called="raw.jpg", caption="raw"),)
        yield (Finished(build=build, step=f"step-{k}", attended=luck.uniform(300.0, 2400.0)),)
    yield (Conceded(build=build, what="a scratch", why="slipped", effect="none", by="Maren", customer="yes"),)
    yield (Closed(build=build, verdict="conceded"),)


def happened(seed: int = 15) -> Iterator[Event]:
    """Give events for ever, two minutes apart, each allowed by what was before."""
    luck = random.Random(seed)
    shelves = Shelves()
    number = 0
    at = OPENING

    def told(body: Body) -> Event:
        id = f"{luck.getrandbits(128):032x}"
        who = luck.choice(("Maren", "Jonte", "Ida"))
        return new_event(body, who=who, device="bench", at=at, zone="Europe/Berlin", id=id)

    for body in _begins():
        at += timedelta(minutes=2)
        yield told(body)
    running: list[Iterator[tuple[Body, ...]]] = []
    while True:
        while len(running) < AT_ONCE:
            number += 1
            running.append(_build(number, shelves, luck))
        one = luck.randrange(AT_ONCE)
        bodies = next(running[one], None)
        if bodies is None:
            running.pop(one)
            continue
        for body in bodies:
            at += timedelta(minutes=2)
            yield told(body)
