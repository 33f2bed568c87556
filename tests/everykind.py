"""One event at least of every kind, each allowed by the rules: from a roll to a bulkhead, with what goes wrong."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from bagside.ledger.bodies import (
    Bagged,
    Begun,
    Body,
    Closed,
    Conceded,
    Corrected,
    Counted,
    Cured,
    Cut,
    CutPiece,
    Debulked,
    Discarded,
    Finished,
    Found,
    Label,
    Laid,
    Logged,
    MassStage,
    Measured,
    Moved,
    NewOffcut,
    Opened,
    Passed,
    Photographed,
    Pulled,
    Received,
    Released,
    Repaired,
    Sort,
    Spent,
    Started,
    Use,
    body_data,
)
from bagside.ledger.event import Event, new_event
from bagside.ledger.planned import Planned, PlannedDebulk, PlannedMass, PlannedPly, PlannedPoint, PlannedStep

OPENING = datetime(2026, 3, 2, 7, 0, tzinfo=UTC)
PHOTO, LOG = "ab" * 32, "cd" * 32
PLANNED = Planned(
    job="bulkhead", part="Schott „vorn“", revision="5e" * 8, number=1, quantity=2,
    steps=(PlannedStep(key="lay-1", name="Lay ply 1", stage="lay", boxes=("film off",), attended=600.0),
           PlannedStep(key="cure", name="Cure", stage="cure", unattended=14400.0, hazards=("hot oven",))),
    plies=(
        PlannedPly(number=1, material="twill-200", pieces=("1A", "1B"), films=2, area=0.5, mass=0.175, scatter=0.02),
    ),
    debulks=(PlannedDebulk(after=1, seconds=900.0, pressure=12e3),),
    masses=(PlannedMass(stage="raw", mass=0.175, sigma=0.004),),
    points=(PlannedPoint(place="rim", thickness=2.3e-4, tolerance=2e-5),), resin_mass=0.07, finished_area=0.4,
    programme="2 K/min to 120 °C, 60 min", price=118.25, currency="EUR",
)  # fmt: skip


def bodies() -> Iterator[Body]:
    """Give what happens, in order; corrections are added by `events`."""
    yield Received(name="freezer", sort=Sort.PLACE, temperature=255.15)
    yield Received(name="room", sort=Sort.PLACE, temperature=294.15)
    yield Received(
        name="R-1", sort=Sort.ROLL, material="twill-200", place="freezer", length=25.0, width=1.25, batch="B 17",
        price=31.5, use_by=date(2027, 1, 31), life_used=3600.0,
    )  # fmt: skip
    yield Received(name="M-1", sort=Sort.MOULD, material="carbon-epoxy", limit=413.15, coats_last=4)
    yield Received(name="T-1", sort=Sort.CONSUMABLE, place="room", use=Use.TAPE, count=12)
    yield Moved(things=("R-1",), to="room", temperature=294.65)
    yield Opened(thing="R-1", core=293.15, room=294.65, humidity=0.45)
    label = Label(material="twill-200", batch="B 17", price=31.5, use_by=date(2027, 1, 31))
    yield Cut(
        source="R-1", length=1.2, job="bulkhead", of=label,
        kits={"K-1": (CutPiece(label="1A", ply=1, area=0.25), CutPiece(label="1B", ply=1, area=0.25))},
        offcuts=(NewOffcut(name="O-1", outline=((0.0, 0.0), (0.6, 0.0), (0.5, 0.4))),),
    )  # fmt: skip
    yield Counted(thing="R-1", length=23.7, why="end was creased")
    yield Spent(thing="T-1", count=1, build="B-1")
    seen = (254.9, 255.2, 255.0)
    yield Logged(place="freezer", file=LOG, called="Truhe.csv", times=(0.0, 60.0, 120.0), temperatures=seen)
    yield Released(mould="M-1", agent="semi-permanent", coats=3, sealed=True)
    yield Repaired(mould="M-1", what="chip filled", where="flange")
    yield Begun(build="B-1", planned=PLANNED, mould="M-1")
    yield Started(build="B-1", step="lay-1")
    yield Laid(build="B-1", ply=1, piece="1A", films=2, kit="K-1", angle=0.01)
    yield Laid(build="B-1", ply=1, piece="1B", films=2, kit="K-1")
    yield Debulked(build="B-1", after=1, seconds=960.0, pressure=9e3)
    yield Finished(build="B-1", step="lay-1", boxes=(0,), attended=540.0, note="ging glatt")
    yield Bagged(build="B-1", items=("T-1",), note="new bag")
    yield Passed(build="B-1", gate="leak", step="cure", by="Maren", why="gauge is being mended")
    yield Cured(
        builds=("B-1",), seconds=14400.0, verdict="good", cure=0.94, tg=398.15, hottest_part=394.0, hottest_tool=393.0
    )
    yield Finished(build="B-1", step="cure")
    yield Pulled(build="B-1", mould="M-1", temperature=305.0)
    yield Measured(subject="B-1", found=Found.MASS, stage=MassStage.RAW, value=0.1763, sigma=0.0005, gauge="scale 2")
    yield Measured(subject="B-1", found=Found.THICKNESS, value=2.31e-4, place="rim")
    yield Photographed(subject="B-1", file=PHOTO, called="Rand.jpg", caption="rim", step="cure")
    yield Conceded(build="B-1", what="a scratch", why="slipped", effect="none", by="Maren", customer="yes")
    yield Closed(build="B-1", verdict="conceded", why="shown to the customer")
    yield Discarded(thing="O-1", why="sold")


def events() -> list[Event]:
    """Return what happened, corrections among it, always the same."""
    out: list[Event] = []
    for k, body in enumerate(bodies()):
        out.append(_told(body, k))
    measured = next(e for e in out if isinstance(e.body, Measured) and e.body.found is Found.MASS)
    instead = replace(measured.body, value=0.1736)  # type: ignore[type-var]
    data = body_data(instead)
    correction = Corrected(corrects=measured.id, subjects=("B-1",), kind="measured", data=data, why="misread")
    out.append(_told(correction, 90))
    late = Measured(subject="room", found=Found.CLIMATE, value=294.3, humidity=0.45)
    out.append(replace(_told(late, 91), at=OPENING + timedelta(minutes=33), late=True))
    return out


def _told(body: Body, k: int) -> Event:
    at = OPENING + timedelta(minutes=5 * k, microseconds=k)
    return new_event(body, who="Maren", device="Werkbank", at=at, zone="Europe/Berlin", id=f"{k + 1:032x}")
