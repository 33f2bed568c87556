"""From the plan of a job to what is held against one part for ever: numbers and sentences, no reference to any file."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping

from bagside.bagging import ambient_pressure
from bagside.cure import Limits
from bagside.cure.judging import in_words
from bagside.errors import InputError
from bagside.ledger.builds.planned_masses import film_in, planned_masses, planned_plies, resin_in
from bagside.ledger.builds.planned_times import times_to_heat
from bagside.ledger.planned import (
    Planned,
    PlannedCloth,
    PlannedCoat,
    PlannedDebulk,
    PlannedHole,
    PlannedPly,
    PlannedPoint,
    PlannedStep,
)
from bagside.planning.plan import BuildPlan
from bagside.quantity import shown

THICKNESS = 0.08
"""Share by which a thickness may be off: ±8 % at five marked points. Common practice, no source."""

DEBULKED = 10e3
"""Highest absolute pressure at the end of a debulk [Pa]: 100 mbar, from which a bag is not cured either. Common
practice, no source."""

HOLE = 0.001
"""How far a hole may be from its place [m]: mould, spring-in, template and hand drill together make ±0.5 mm over half a
metre; from 1 mm on a bolt no longer finds it. Common practice, no source."""

PULLS_EACH = 3
"""Pulls that one release coat serves: 3 to 5, one each when the mould is split or deep. Common practice, no source."""

LAY = (288.15, 298.15, 0.70)
"""Room for laying: coldest, hottest [K], wettest."""

LAY_SOURCE = "a resin maker's guide to processing prepreg: 15 to 25 °C, under 70 %"


STOCK = ("records", "stock.toml")
"""Inputs that change as cloth ages and is used: a part is none the newer for that."""


def revision_of(inputs: Mapping[str, str]) -> str:
    """Return one digest of everything a design was worked out from: the same files, the same revision.

    Parameters
    ----------
    inputs
        Digest of each file, by its name; see `bagside.planning.plan.BuildPlan`. What the stock is does not count.
    """
    counted = sorted(n for n in inputs if n.rpartition("/")[2] not in STOCK)
    text = "\n".join(f"{name} {inputs[name]}" for name in counted)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def planned_of(plan: BuildPlan, number: int) -> Planned:
    """Return what is planned for one part of a job.

    Parameters
    ----------
    plan
        The build of all its parts.
    number
        Which part, from 1. What is done only for the first batch, such as templates, is left out of the others.

    Raises
    ------
    InputError
        When the job has no such part.
    """
    job, room = plan.job, plan.workshop.room
    if not 1 <= number <= job.quantity:
        raise InputError.one("part", str(number), f"this job makes parts 1 to {job.quantity}")
    plies = planned_plies(plan)
    heat = times_to_heat(plan, number)
    first, last = plan.case.limits, plan.case.post_limits or plan.case.limits
    leak = plan.bag.leak_limits[0] if plan.bag.leak_limits else None
    coats = _coats(plan)
    tools = [o.tool_hottest for o in plan.cure.first.outcomes if o.tool_hottest is not None]
    return Planned(
        job=job.name,
        part=job.part,
        revision=revision_of(plan.inputs),
        number=number,
        quantity=job.quantity,
        steps=_steps(plan, number, heat),
        plies=plies,
        debulks=tuple(
            PlannedDebulk(after=d.after, seconds=60.0 * d.minutes, pressure=max(DEBULKED, plan.workshop.pump.reaches))
            for d in plan.bag.debulks
        ),
        masses=planned_masses(plan, plies),
        points=_points(plan),
        cloths=_cloths(plies, heat),
        holes=tuple(PlannedHole(name=h.name, off=HOLE) for h in job.holes),
        coats=coats,
        resin_mass=resin_in(plan, plies),
        film_mass=film_in(plan, plies),
        finished_area=plan.laminate.part.area,
        leak=leak.drop / leak.time if leak is not None else None,
        leak_rule=leak.criterion.name if leak is not None else "",
        leak_volume=plan.bag.free_volume,
        ambient=ambient_pressure(room.altitude),
        vacuum=plan.workshop.pump.reaches,
        programme=_programme(plan),
        tg=_tg(last),
        cure=last.target,
        demould=job.cure.demould,
        mould_limit=first.tool,
        mould_words=plan.case.tool_limit_words,
        hottest_tool=max(tools, default=None),
        thermocouples=_thermocouples(plan),
        release_each=1 if job.mould.pieces else PULLS_EACH,
        lay_coldest=LAY[0],
        lay_hottest=LAY[1],
        lay_wettest=LAY[2],
        lay_source=LAY_SOURCE,
        coat_coldest=max((c.coldest for c in coats), default=None),
        coat_wettest=min((c.wettest for c in coats), default=None),
        price=plan.cost.price,
        currency=plan.cost.currency,
        hours=sum(s.attended if s.each else s.attended / job.quantity for s in plan.steps if not s.one_off),
    )


def _steps(plan: BuildPlan, number: int, heat: Mapping[str, float]) -> tuple[PlannedStep, ...]:
    return tuple(
        PlannedStep(
            key=s.key,
            name=s.name,
            stage=s.stage,
            do=s.do,
            boxes=s.boxes,
            attended=s.attended,
            unattended=s.unattended,
            hazards=s.hazards,
            each=s.each,
            to_heat=heat.get(s.key, 0.0),
        )
        for s in plan.steps
        if number == 1 or not s.one_off
    )


def _points(plan: BuildPlan) -> tuple[PlannedPoint, ...]:
    """Return the thickness of each zone that is not small, T1 the largest; one for zones of the same plies."""
    found = plan.laminate
    named: dict[str, float] = {}
    for zone in found.zones:
        if zone.small and len(found.zones) > 1:
            continue
        plies = [str(k + 1) for k in found.plies_in(zone)]
        name = f"plies {', '.join(plies)}" if len(plies) > 1 else f"ply {plies[0]}"
        named.setdefault(name, zone.laminate.thickness)  # zones of one name differ by shear: the largest counts
    return tuple(
        PlannedPoint(place=f"T{k}", thickness=t, tolerance=THICKNESS * t, where=words)
        for k, (words, t) in enumerate(named.items(), 1)
    )


def _cloths(plies: tuple[PlannedPly, ...], heat: Mapping[str, float]) -> tuple[PlannedCloth, ...]:
    hours = max(heat.values(), default=0.0)
    areas: dict[str, float] = {}
    for ply in plies:
        areas[ply.material] = areas.get(ply.material, 0.0) + ply.area
    return tuple(PlannedCloth(material=m, area=a, hours=hours) for m, a in areas.items())


def _coats(plan: BuildPlan) -> tuple[PlannedCoat, ...]:
    finish = plan.finish
    named = [(f"fill-{n + 1}", finish.fill, 1) for n in range(finish.fill.times)] if finish.fill is not None else []
    named += [(f"coat-{c.name}", c, c.times) for c in finish.coats]
    return tuple(
        PlannedCoat(
            step=step,
            name=coat.name,
            coats=times,
            flash=coat.flash,
            recoat_latest=coat.recoat_latest,
            cure_time=coat.cure_time,
            pot_life=coat.pot_life,
            dry=coat.dry,
            coldest=plan.library.coating[coat.name].coldest,
            wettest=plan.library.coating[coat.name].wettest,
        )
        for step, coat, times in named
    )


def _programme(plan: BuildPlan) -> str:
    words = in_words(plan.cure.first.programme)
    if plan.cure.post is not None:
        words += f"; then off the mould: {in_words(plan.cure.post.programme)}"
    return f"{words}; off under {shown(plan.job.cure.demould, '°C', 0)}"


def _tg(limits: Limits) -> float:
    """Return the least glass transition wanted [K]."""
    return limits.service + limits.margin


def _thermocouples(plan: BuildPlan) -> tuple[str, ...]:
    lead, lag = plan.cure.leading, plan.cure.lagging
    places = plan.case.places
    if lead == lag:
        return ("air", f"{places[lag]}, mould side")
    return ("air", f"{places[lag]}, mould side (last to cure)", f"{places[lead]}, bag side (first to cure)")
