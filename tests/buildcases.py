"""A small part for tests of builds: three plies of two cloths, one debulk, a coat, a hole; its numbers by hand."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache
from typing import Any

from bagside.ledger.bodies import Begun, Body, Found, MassStage, Measured
from bagside.ledger.builds.build_events import build_after
from bagside.ledger.builds.build_rules import build_problems
from bagside.ledger.event import Event, new_event
from bagside.ledger.planned import (
    Planned,
    PlannedCloth,
    PlannedCoat,
    PlannedDebulk,
    PlannedHole,
    PlannedMass,
    PlannedPly,
    PlannedPoint,
    PlannedStep,
)
from bagside.ledger.shop import Shop
from bagside.ledger.things import Build, Thing
from bagside.spec.library import Library, generic_library
from bagside.spec.reading import stated_from
from bagside.spec.workshop import Workshop
from domeshop import WORKSHOP

DAY = datetime(2026, 11, 30, 8, 0, tzinfo=UTC)
HOUR = 3600.0

STEPS = (
    ("thaw", "Get ready", 20.0), ("cut", "Cut", 10.0), ("release", "Lay", 8.0), ("ply-1", "Lay", 6.0),
    ("debulk-1", "Lay", 5.5), ("ply-2", "Lay", 5.0), ("ply-3", "Lay", 4.5), ("bag", "Bag", 3.0), ("leak", "Bag", 2.0),
    ("hold", "Cure", 1.0), ("cure", "Cure", 0.0), ("demould", "Trim", 0.0), ("post-cure", "Cure", 0.0),
    ("trim", "Trim", 0.0), ("bond", "Bond", 0.0), ("degrease", "Finish", 0.0), ("fill-1", "Finish", 0.0),
    ("coat-clear", "Finish", 0.0), ("polish", "Finish", 0.0), ("fit", "Check", 0.0),
)  # fmt: skip
"""Key, chapter and hours until heat."""


def ply(number: int, material: str, pieces: tuple[str, ...], **values: Any) -> PlannedPly:
    """Return a ply whose cloth scatters by 2 %."""
    return PlannedPly(number=number, material=material, pieces=pieces, scatter=0.02, **values)


def plan(**changes: Any) -> Planned:
    """Return the plan of the small part, with fields replaced."""
    steps = tuple(
        PlannedStep(
            key=key, name=key, stage=stage, boxes=("kit 1 complete", "roll back") if key == "cut" else ("done",),
            attended=600.0, to_heat=hours * HOUR,
        )
        for key, stage, hours in STEPS
    )  # fmt: skip
    made = Planned(
        job="Lid", part="lid", revision="r1", number=1, quantity=2, steps=steps,
        plies=(
            ply(1, "twill-200", ("1A", "1B"), films=2, area=0.2, mass=0.070),
            ply(2, "twill-400", ("2", "2"), films=2, area=0.1, mass=0.065),
            ply(3, "twill-200", ("3",), films=1, area=0.2, mass=0.070),
        ),
        debulks=(PlannedDebulk(after=1, seconds=1200.0, pressure=10e3),),
        masses=(
            PlannedMass(stage="kit", mass=0.205, sigma=0.003), PlannedMass(stage="raw", mass=0.205, sigma=0.003),
            PlannedMass(stage="trimmed", mass=0.180, sigma=0.003), PlannedMass(stage="finished", mass=0.2, sigma=0.006),
        ),
        points=(
            PlannedPoint(place="rim", thickness=0.0020, tolerance=0.00016),
            PlannedPoint(place="middle", thickness=0.0010, tolerance=0.00008),
        ),
        cloths=(PlannedCloth(material="twill-200", area=0.4, hours=20 * HOUR),),
        holes=(PlannedHole(name="pivot", off=0.001),),
        coats=(
            PlannedCoat(step="fill-1", name="filler", coats=1, flash=0.0, recoat_latest=6 * HOUR, cure_time=14 * HOUR,
                        pot_life=2400.0, dry=40e-6, coldest=289.15, wettest=0.7),
            PlannedCoat(step="coat-clear", name="clear", coats=2, flash=720.0, recoat_latest=2 * HOUR,
                        cure_time=16 * HOUR, pot_life=5400.0, dry=40e-6, coldest=291.15, wettest=0.85),
        ),
        leak=1000.0 / 600.0, leak_rule="cosmetic oven cure", leak_volume=0.001, ambient=100e3, vacuum=2e3,
        tg=353.15, cure=0.9, demould=318.15, mould_limit=363.15, mould_words="glass-epoxy", hottest_tool=358.15,
        thermocouples=("air", "rim, mould side"), release_each=3,
        lay_coldest=288.15, lay_hottest=298.15, lay_wettest=0.70,
    )  # fmt: skip
    return replace(made, **changes)


def at(hours: float) -> datetime:
    """Return a time so many hours after the part was begun."""
    return DAY + timedelta(hours=hours)


def event(body: Body, hours: float, who: str = "Ada") -> Event:
    """Return an event so many hours after the part was begun."""
    return new_event(body, who=who, device="desk", at=at(hours), zone="UTC")


def begun(planned: Planned | None = None, mould: str = "", name: str = "L-1") -> Build:
    """Return a build that has just begun."""
    made = build_after(None, event(Begun(build=name, planned=planned or plan(), mould=mould), 0.0), name)
    assert made is not None
    return made


def after(build: Build, *told: tuple[Body, float] | tuple[Body, float, str]) -> Build:
    """Return a build after events: body, hours, and who when not Ada. Every rule must let them pass."""
    for body, hours, *who in told:
        happened = event(body, hours, *who)
        problems = build_problems(happened, {name: build if name == build.name else None for name in happened.subjects})
        assert not problems, problems
        made = build_after(build, happened, build.name)
        assert made is not None
        build = made
    return build


def refused(build: Build, body: Body, hours: float, who: str = "Ada") -> list[str]:
    """Return why an event is refused, each as its sentence."""
    happened = event(body, hours, who)
    before: dict[str, Thing | None] = dict.fromkeys(happened.subjects)
    before[build.name] = build
    return [str(p) for p in build_problems(happened, before)]


def read(found: Found, value: float, **more: Any) -> Measured:
    """Return a measurement of the small part."""
    return Measured(subject="L-1", found=found, value=value, **more)


def mass(stage: str, grams: float) -> Measured:
    """Return a weighing of the small part."""
    return read(Found.MASS, grams / 1000.0, stage=MassStage(stage))



def shop(*things: Thing) -> Shop:
    """Return a workshop with these things and the generic library; its room is at 20 °C."""
    library, workshop = _stated()
    return Shop(things={t.name: t for t in things}, library=library, workshop=workshop)


@cache
def _stated() -> tuple[Library, Workshop]:
    return generic_library(), stated_from(tomllib.loads(WORKSHOP), Workshop, "workshop.toml")
