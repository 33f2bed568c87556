"""What the page of bag and cure shows."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from bagside.bagging import BagPlan
from bagside.findings import Basis
from bagside.mould.radius import corner_pressure
from bagside.planning.cure_case import CureCase, case_of_part
from bagside.planning.cure_stage import cure_plan
from bagside.planning.plan import BuildPlan
from bagside.planning.shaped import Shaped
from bagside.planning.stages import Stages
from bagside.sheets.bag_sketch import bag_sketch
from bagside.sheets.plan_pictures import bag_picture
from bagside.spec.opening import Opened
from bagside.web.views.cure.run import RunShown, runs_shown
from bagside.web.views.cure.section import Through, through_the_bag

ROOM = (86.0, 74.0)
"""For the picture of the bag [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmShown:
    """A film, cloth or tape of the bag.

    Parameters
    ----------
    role
        ``film``, ``release``, ``breather`` or ``tape``.
    name
        In the library.
    limit
        Hottest it may be [K].
    basis, source
        On what that rests.
    """

    role: str
    name: str
    limit: float
    basis: Basis
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BagShown:
    """The bag in figures.

    Parameters
    ----------
    envelope
        Whether it goes round mould and part; over the part alone else.
    items
        Name, quantity, unit, how it was found, basis.
    films
        What they bear.
    sheet
        Of film, long and wide [m].
    tape_run, tape_distance
        [m].
    pleats
        How high each is [m].
    ports
        The gauge's included.
    pump_down
        [s].
    pressure, left
        What presses, and what is left in a good bag [Pa].
    debulks
        After which ply, for how long [s], whether warm, why, basis.
    leaks
        What a criterion is called, loss allowed [Pa] and in what time [s], whether pump and place can meet it, basis
        and source.
    hold
        Under vacuum before heat [s].
    advice
        Of the debulks, in sentences.
    corners
        Tight inside corners, longest first: name, length [m], radius and the one wanted [m], what it asks of the
        laying, and what presses there when plies slide freely [Pa].
    picture
        The mould with the line of tape, or a sketch from above.
    """

    envelope: bool
    items: tuple[tuple[str, float, str, str, Basis], ...]
    films: tuple[FilmShown, ...]
    sheet: tuple[float, float]
    tape_run: float
    tape_distance: float
    pleats: tuple[float, ...]
    ports: int
    pump_down: float
    pressure: float
    left: float
    debulks: tuple[tuple[int, float, bool, str, Basis], ...]
    leaks: tuple[tuple[str, float, float, bool, Basis, str], ...]
    hold: float
    advice: tuple[str, ...]
    corners: tuple[tuple[str, float, float, float, str, float], ...]
    picture: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CureView:
    """What the page of bag and cure shows.

    Parameters
    ----------
    case
        What is cured, in which oven: small, and enough to simulate another cycle.
    runs
        The oven runs as planned.
    heat_on
        When heat comes on in each, as the calendar has it for the first part; None where it has none.
    stated
        Whether the job states the segments; else they were looked for.
    reasons, post_reasons
        What holds back each segment of a cycle that was looked for.
    chance
        Least and most chance that every limit holds; None when nobody asked.
    energy_price, oven_price
        For the cheapest cycle [money/J], [money/s].
    through
        The section through the bag.
    bag
        The bag; None while it is not worked out.
    parts
        Cured each by itself.
    demould
        Coolest at which the part comes off [K].
    """

    case: CureCase
    runs: tuple[RunShown, ...]
    heat_on: tuple[datetime | None, ...]
    stated: bool
    reasons: tuple[str, ...]
    post_reasons: tuple[str, ...]
    chance: tuple[float, float] | None
    energy_price: float
    oven_price: float
    through: Through
    bag: BagShown | None
    parts: int
    demould: float


def view(plan: BuildPlan, stages: Stages) -> CureView:
    """Return what the page of bag and cure shows.

    Parameters
    ----------
    plan
        The build.
    stages
        Keep what is worked out.
    """
    job, found = plan.job, plan.cycle
    films = {"bag film": job.bag.film, "breather": job.bag.breather, "release film": job.bag.release}
    odds = None if plan.chance is None else plan.chance.all_hold
    return CureView(
        case=plan.case,
        runs=runs_shown(plan.case, plan.cure),
        heat_on=tuple(_heat_on(plan, key) for key in ("cure", "post-cure")),
        stated=found is None,
        reasons=() if found is None else found.reasons,
        post_reasons=() if found is None else found.post_reasons,
        chance=None if odds is None else (odds.low, odds.high),
        energy_price=plan.workshop.prices.energy,
        oven_price=plan.workshop.prices.oven,
        through=through_the_bag(plan.case, plan.cure, films, job.mould.material),
        bag=_bag(plan, stages),
        parts=job.quantity,
        demould=plan.case.demould,
    )


def early(shape: Shaped, opened: Opened, stages: Stages) -> CureView | None:
    """Return what can be shown as soon as the plies are shaped: the cycle, without its day and the bag.

    Parameters
    ----------
    shape
        The part as far as its pieces.
    opened
        The job.
    stages
        Keep what is worked out.

    Returns
    -------
    CureView or None
        Nothing while the cycle is still to be looked for.
    """
    job = shape.job
    case = case_of_part(shape, shape.laminated(stages), opened.workshop)
    if case.wanted is not None:
        return None
    plan = stages.run("Curing", cure_plan, case)
    films = {"bag film": job.bag.film, "breather": job.bag.breather, "release film": job.bag.release}
    return CureView(
        case=case,
        runs=runs_shown(case, plan),
        heat_on=(None, None),
        stated=True,
        reasons=(),
        post_reasons=(),
        chance=None,
        energy_price=opened.workshop.prices.energy,
        oven_price=opened.workshop.prices.oven,
        through=through_the_bag(case, plan, films, job.mould.material),
        bag=None,
        parts=job.quantity,
        demould=case.demould,
    )


def _heat_on(plan: BuildPlan, key: str) -> datetime | None:
    """Return when the oven is closed on the first part, to the minute."""
    step = next((s for s in plan.steps if s.key == key), None)
    if step is None:
        return None
    slots = [s for s in plan.calendar.slots if s.task in (step.name, f"{step.name}, part 1")]
    if not slots:
        return None
    begins = slots[0].spells[-1][1] if slots[0].spells else slots[0].start
    return begins.replace(second=0, microsecond=0)


def _bag(plan: BuildPlan, stages: Stages) -> BagShown:
    bag, stated, library = plan.bag, plan.job.bag, plan.library
    roles = (("film", stated.film), ("breather", stated.breather), ("release", stated.release), ("tape", stated.tape))
    return BagShown(
        envelope=bag.kind.value == "envelope",
        items=tuple((i.name, i.quantity, i.unit, i.how, i.basis) for i in bag.items),
        films=tuple(
            FilmShown(
                role=role,
                name=name,
                limit=library.film[name].limit,
                basis=library.film[name].basis.of("limit"),
                source=library.film[name].basis.source,
            )
            for role, name in roles
        ),
        sheet=(max(bag.sheet), min(bag.sheet)),
        tape_run=bag.tape_run,
        tape_distance=bag.tape_distance,
        pleats=tuple(float(h) for h in bag.pleats.heights),
        ports=bag.ports,
        pump_down=bag.pump_down,
        pressure=bag.pressure,
        left=plan.workshop.pump.reaches,
        debulks=tuple((d.after, 60.0 * d.minutes, d.warm, d.why, d.basis) for d in bag.debulks),
        leaks=tuple(
            (
                limit.criterion.name,
                limit.drop,
                limit.time,
                limit.reachable,
                limit.criterion.basis,
                limit.criterion.source,
            )
            for limit in bag.leak_limits
        ),
        hold=plan.job.cure.vacuum_hold,
        advice=() if bag.course is None else tuple(bag.course.advice),
        corners=tuple(
            (c.id, c.length, c.radius, c.needed, c.verdict.value, _presses(bag.pressure, c.radius, c.thickness))
            for c in plan.mould.corners
        ),
        picture=_picture(plan, bag, stages),
    )


def _presses(pressure: float, radius: float, thickness: float) -> float:
    """Return what presses in an inside corner [Pa]; nothing does where the lay-up fills it."""
    return corner_pressure(pressure, radius, thickness) if radius > thickness else 0.0


def _picture(plan: BuildPlan, bag: BagPlan, stages: Stages) -> str:
    if plan.surface is not None and plan.part is not None:
        tape, pleats = bag.tape_line, bag.pleats.places
        drawn: str = stages.run(
            "Drawing the bag", bag_picture, plan.surface.work, plan.part, tape, pleats, bag.edge_spacing, ROOM
        )
        return drawn
    if plan.job.measured is None:
        return ""
    return bag_sketch(plan.job.measured, bag, ROOM)
