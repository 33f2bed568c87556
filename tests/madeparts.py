"""Invented parts of a sea-kayak maker as the ledger would tell them: plans and events, every figure made up."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import cache
from pathlib import Path

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
    Finished,
    Found,
    Label,
    Laid,
    MassStage,
    Measured,
    Moved,
    Passed,
    Photographed,
    Pulled,
    Received,
    Released,
    Sort,
    Started,
    Use,
)
from bagside.ledger.event import Event
from bagside.ledger.planned import Planned, PlannedDebulk, PlannedMass, PlannedPly, PlannedPoint, PlannedStep
from bagside.ledger.replay import in_order, replayed
from bagside.ledger.shop import Shop
from bagside.ledger.things import Thing
from bagside.spec.library import workshop_library
from bagside.spec.reading import load_toml, stated_from
from bagside.spec.workshop import Workshop

DEMO = Path(__file__).parents[1] / "demo" / "workshop"
BEGIN = datetime(2026, 11, 2, 7, 0, tzinfo=UTC)
WIDTH, PULL = 1.27, 0.9


@cache
def workshop() -> Workshop:
    """Return the demo's workshop."""
    return stated_from(load_toml(DEMO / "workshop.toml"), Workshop, "workshop.toml")


def plan(plies: int = 4, *, job: str = "Day-hatch lid", part: str = "lid", number: int = 1) -> Planned:
    """Return a plan of so many plies of two pieces."""
    steps = [
        PlannedStep(key="cut", name="Cut 4 kits", stage="Cut", boxes=("kit complete", "roll back"), attended=7200.0,
                    each=False),
        PlannedStep(key="release", name="Clean and release the mould", stage="Lay", boxes=("pull number written",),
                    attended=1500.0, unattended=1800.0),
    ]  # fmt: skip
    for k in range(1, plies + 1):
        steps.append(
            PlannedStep(key=f"ply-{k}", name=f"Lay ply {k}: {k}A and {k}B, twill-200", stage="Lay",
                        boxes=("4 films off", "corners pressed down"), attended=900.0)
        )  # fmt: skip
    steps += [
        PlannedStep(key="debulk-1", name="Debulk after ply 1", stage="Lay", boxes=("start and end", "mbar"),
                    attended=240.0, unattended=1200.0),
        PlannedStep(key="bag", name="Bag the part", stage="Bag", attended=2400.0),
        PlannedStep(key="leak", name="Test for leaks", stage="Bag", attended=600.0, unattended=900.0),
        PlannedStep(key="cure", name="Cure", stage="Cure", attended=600.0, unattended=25200.0),
        PlannedStep(key="demould", name="Take it off the mould", stage="Trim", attended=1500.0),
        PlannedStep(key="trim", name="Trim", stage="Trim", attended=1800.0),
    ]  # fmt: skip
    area = 0.12
    mass = 0.345 * area
    return Planned(
        job=job,
        part=part,
        revision="7f3c91ae55d01b22",
        number=number,
        quantity=4,
        steps=tuple(steps),
        plies=tuple(
            PlannedPly(number=k, material="twill-200", pieces=(f"{k}A", f"{k}B"), films=2, area=area, mass=mass,
                       scatter=0.02)
            for k in range(1, plies + 1)
        ),
        debulks=(PlannedDebulk(after=1, seconds=1200.0, pressure=10e3),),
        masses=(
            PlannedMass(stage="kit", mass=plies * mass, sigma=0.003),
            PlannedMass(stage="raw", mass=plies * mass, sigma=0.003),
            PlannedMass(stage="trimmed", mass=0.9 * plies * mass, sigma=0.003),
        ),
        points=(PlannedPoint(place="plies 1, 2, 3, 4", thickness=0.00088, tolerance=0.00007),),
        film_mass=0.075,
        resin_mass=0.42 * plies * mass,
        finished_area=0.108,
        leak=500.0 / 300.0,
        vacuum=1800.0,
        programme="heat to 80 °C at 2.0 °C/min, hold 90 min; heat to 110 °C at 1.4 °C/min, hold 240 min",
        tg=378.15,
        cure=0.95,
        demould=323.15,
        mould_limit=393.15,
        thermocouples=("air", "open panel, mould side"),
        release_each=3,
        price=412.0,
        currency="EUR",
        hours=9000.0,
    )  # fmt: skip


class Story:
    """Events in the order they are told, each some minutes after the one before."""

    def __init__(self, at: datetime = BEGIN, who: str = "Ada") -> None:
        self.at, self.who, self.events = at, who, list[Event]()

    def tell(self, body: Body, minutes: float = 5.0, who: str = "") -> Event:
        """Tell what happened so many minutes later."""
        self.at += timedelta(minutes=minutes)
        count = len(self.events) + 1
        id = hashlib.sha256(f"{self.at.isoformat()} {count} {body!r}".encode()).hexdigest()[:32]
        event = Event(id=id, at=self.at, zone="+01:00", who=who or self.who, device="bench", body=body, order=count)
        self.events.append(event)
        return event


def stocked(story: Story) -> None:
    """Tell of a roll, a mould, a freezer and a bag."""
    story.tell(Received(name="freezer", sort=Sort.PLACE, temperature=255.15), 0)
    story.tell(Received(name="room", sort=Sort.PLACE, temperature=292.15), 0)
    story.tell(
        Received(
            name="K-114", sort=Sort.ROLL, material="twill-200", place="freezer", length=14.0, width=WIDTH, batch="B7",
            price=46.0, use_by=date(2027, 5, 1), life_used=60 * 3600.0, tack_used=20 * 3600.0,
        ),
        0,
    )  # fmt: skip
    story.tell(Received(name="M-14", sort=Sort.MOULD, material="epoxy-tool", limit=393.15), 0)
    story.tell(Received(name="bag-9", sort=Sort.CONSUMABLE, material="bag-nylon", use=Use.BAG, cures=1, count=1), 0)
    story.tell(Released(mould="M-14", agent="semi-permanent", coats=2), 60)


def made(
    story: Story,
    name: str,
    planned: Planned,
    *,
    kit: str = "kit-1",
    films: int = 2,
    debulk: float = 1500.0,
    humidity: float = 0.5,
    tg: float = 391.15,
    mass: float = 1.0,
    pinholes: int = 3,
    leak: float = 300.0,
    slow: float = 1.0,
    verdict: str = "good",
    log: str = "",
    photo: str = "",
) -> None:
    """Tell of a part from its kit to its end."""
    pieces = tuple(
        CutPiece(label=label, ply=p.number, area=p.area / len(p.pieces)) for p in planned.plies for label in p.pieces
    )
    story.tell(Moved(things=("K-114",), to="room"), 30)
    story.tell(
        Cut(
            source="K-114", length=PULL, kits={kit: pieces}, job=planned.job, place="room",
            of=Label(material="twill-200", batch="B7", price=46.0, use_by=date(2027, 5, 1)),
        ),
        120,
    )  # fmt: skip
    story.tell(Moved(things=("K-114",), to="freezer"), 5)
    story.tell(Begun(build=name, planned=planned, mould="M-14"), 5)
    story.tell(Finished(build=name, step="cut", boxes=(0, 1), attended=6600.0 * slow), 1)
    if humidity:
        story.tell(Measured(subject=name, found=Found.CLIMATE, value=292.15, humidity=humidity), 1)
    backing = sum(p.films * p.area for p in planned.plies) * planned.film_mass
    story.tell(Measured(subject=name, found=Found.MASS, value=mass * _planned(planned, "kit") + backing,
                        stage=MassStage.KIT, sigma=0.0005), 1)  # fmt: skip
    _step(story, name, "release", 25 * slow, boxes=1)
    for p in planned.plies:
        story.tell(Started(build=name, step=f"ply-{p.number}"), 1)
        for label in p.pieces:
            story.tell(Laid(build=name, ply=p.number, piece=label, films=films, kit=kit), 6 * slow)
        story.tell(Finished(build=name, step=f"ply-{p.number}", boxes=(0, 1)), 2 * slow, who="Ben")
        if p.number == 1:
            story.tell(Debulked(build=name, after=1, seconds=debulk, pressure=4200.0), debulk / 60 + 1)
            story.tell(Finished(build=name, step="debulk-1", boxes=(0, 1), attended=240.0), 1)
    _step(story, name, "bag", 38 * slow, boxes=0)
    story.tell(Bagged(build=name, items=("bag-9",), note="breather from the last part"), 1)
    story.tell(Measured(subject=name, found=Found.LEAK, value=0.0, start=2100.0, end=2100.0 + leak, ambient=101_000.0,
                        seconds=300.0, volume=0.004, gauge="G-2"), 20)  # fmt: skip
    story.tell(Finished(build=name, step="leak", attended=540.0), 1)
    story.tell(Measured(subject=name, found=Found.THERMOCOUPLES, value=2.0, place="air; open panel, mould side"), 2)
    story.tell(
        Cured(
            builds=(name,), seconds=27000.0, programme=planned.programme, verdict="good", file=log,
            called="oven 2026-11-02.csv" if log else "",
            reasons=("the part held 109 °C for 3 h 34 min; 3 h 00 min were wanted",), cure=0.962, tg=tg,
            hottest_part=389.15, hottest_tool=387.15, pressure=2600.0, bag=("bag-9",),
        ),
        15,
    )  # fmt: skip
    story.tell(Finished(build=name, step="cure", attended=480.0), 460)
    story.tell(Pulled(build=name, mould="M-14", temperature=310.15), 60)
    story.tell(Finished(build=name, step="demould", attended=1400.0 * slow), 5)
    raw = mass * _planned(planned, "raw")
    story.tell(Measured(subject=name, found=Found.MASS, value=raw, stage=MassStage.RAW, sigma=0.0005), 2)
    for k, place in enumerate(("plies 1, 2, 3, 4", "bow", "stern", "port", "starboard")):
        story.tell(Measured(subject=name, found=Found.THICKNESS, value=0.00086 + 1e-5 * k, place=place,
                            sigma=1e-5, gauge="ball micrometer"), 1)  # fmt: skip
    _step(story, name, "trim", 33 * slow, boxes=0)
    trimmed = mass * _planned(planned, "trimmed")
    story.tell(Measured(subject=name, found=Found.MASS, value=trimmed, stage=MassStage.TRIMMED, sigma=0.0005), 2)
    story.tell(Measured(subject=name, found=Found.PINHOLES, value=float(pinholes), place="weave crossings all over"), 2)
    if photo:
        story.tell(Photographed(subject=name, file=photo, called="IMG_0412.jpg", caption="the finished lid",
                                step="trim"), 1)  # fmt: skip
    why = "delaminated at the hinge" if verdict == "scrap" else ""
    story.tell(Closed(build=name, verdict=verdict, why=why), 5)


def _planned(planned: Planned, stage: str) -> float:
    return next(m.mass for m in planned.masses if m.stage == stage)


def _step(story: Story, name: str, key: str, minutes: float, *, boxes: int) -> None:
    story.tell(Started(build=name, step=key), 2)
    story.tell(Finished(build=name, step=key, boxes=tuple(range(boxes))), minutes)


def conceded(story: Story, name: str, customer: str = "") -> None:
    """Tell of a concession and of a gate that was passed."""
    what, why = "overlap 12 mm instead of 15 mm at the hinge", "piece 3B was cut short"
    effect = "none that shows; the overlap still carries"
    story.tell(Conceded(build=name, what=what, why=why, effect=effect, by="Ada", customer=customer), 1)
    story.tell(Passed(build=name, gate="room", step="ply-1", by="Ada", why="rain; 66 % for one hour only"), 1)


def shop(story: Story) -> Shop:
    """Return the workshop after all that was told."""
    names = dict.fromkeys(n for e in story.events for n in e.subjects)
    things: dict[str, Thing] = {}
    for name in names:
        thing = replayed([e for e in in_order(story.events) if name in e.subjects], name)
        if thing is not None:
            things[name] = thing
    return Shop(things=things, library=workshop_library(DEMO), workshop=workshop())


def longer(planned: Planned, job: str, step: str) -> Planned:
    """Return a plan whose names are as long as people make them."""
    steps = tuple(replace(s, name=f"{s.name}, {step}") for s in planned.steps)
    return replace(planned, job=job, steps=steps)
