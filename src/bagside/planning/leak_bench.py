"""A stated leak test, worked out whole: verdicts, size, pump, hold, warm check, places, findings."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from bagside import bagging
from bagside.bagging import BagPlan
from bagside.bagging import leak as leaks
from bagside.bagging.assemble import LOOSE_VOID
from bagside.bagging.leak.volume import LINE_VOLUME
from bagside.errors import InputError, Problem, did_you_mean
from bagside.findings import Finding
from bagside.planning.shaped import Heat
from bagside.planning.shaping import shaped_from
from bagside.planning.stages import Stages
from bagside.spec.leak_file import Gauge, LeakFile, LeakPlaces, LeakPump, LeakReading
from bagside.spec.opening import Opened
from bagside.spec.workshop import Workshop

BUSY = 100 / 6e7  # [m³/s] leak from which a small pump runs hot and blows oil
ATMOSPHERE = 101325.0  # [Pa] where an absolute gauge makes ambient pressure matter little


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedLeak:
    """A leak test, worked out.

    Parameters
    ----------
    criterion
        Name of the one that counts.
    test, hot
        Cold, and warm beside the cold one when it was made.
    hot_test
        The warm test itself.
    held, without
        Absolute pressure at which the pump holds the bag with this leak and without any [Pa]; None without a pump.
    reach
        Time to the target [s]; None when it is not reached, or without a pump.
    target, limit
        Absolute pressures to be reached, and at which the margin is lost [Pa].
    ideal
        The same for a tight bag, a pump of constant flow and no hose [s].
    hold, hold_received
        Time until the margin is lost when the pump stops, without and with the receiver [s]; None without one.
    ranked, halvings
        Where to look, and which tests halve the places; empty when the bag was not described.
    ambient_known
        Whether barometer or altitude was stated.
    findings
        What it noticed.
    """

    criterion: str
    test: leaks.LeakTest
    hot: leaks.HotCheck | None
    hot_test: leaks.LeakTest | None
    held: float | None
    without: float | None
    reach: float | None
    ideal: float | None
    target: float
    limit: float
    hold: float
    hold_received: float | None
    ranked: tuple[leaks.Suspect, ...]
    halvings: tuple[leaks.Halving, ...]
    ambient_known: bool
    findings: tuple[Finding, ...]


def judged_leak(stated: LeakFile, place: str) -> JudgedLeak:
    """Return a stated leak test, worked out.

    Parameters
    ----------
    stated
        As written down.
    place
        Where it stands, for messages.

    Raises
    ------
    InputError
        With everything that is wrong with it.
    """
    ambient = _ambient(stated, place)
    cold = _readings(stated, stated.readings, ambient)
    warm = _readings(stated, stated.hot, ambient)
    wrong = leaks.reading_problems(cold, place)
    if stated.hot:
        wrong += leaks.reading_problems(warm, f"{place}, hot")
        if any(r.temperature is None for r in stated.hot):
            wrong.append(
                Problem(place=f"{place}, hot", came="", wanted="the temperature of the bag is wanted with each reading")
            )
    names = [c.name for c in bagging.CRITERIA]
    if stated.criterion not in names:
        wrong.append(
            Problem(
                place=f"{place}, criterion",
                came=f'"{stated.criterion}"',
                wanted="this is not known here",
                hint=did_you_mean(stated.criterion, names),
            )
        )
    wrong += _volume_problems(stated, place)
    if (stated.liquid_hottest is None) != (stated.humidity is None):
        wrong.append(
            Problem(place=f"{place}, liquid_hottest", came="", wanted="it is wanted together with humidity, or neither")
        )
    if wrong:
        raise InputError(wrong)
    volume = _volume(stated)
    test = leaks.leak_test(cold, volume)
    gas = max(test.leak, 0.0)
    hot_test = leaks.leak_test(warm, volume) if stated.hot else None
    hot = leaks.hot_check(test, hot_test, stated.criterion) if hot_test is not None else None
    held = without = reach = ideal = None
    if stated.pump is not None:
        pump = leaks.Pump(
            flow=stated.pump.flow,
            ultimate=stated.pump.ultimate,
            hose_length=stated.pump.hose_length,
            hose_bore=stated.pump.hose_bore,
        )
        held, without = leaks.pressure_held(pump, gas), leaks.pressure_held(pump, 0.0)
        loose = stated.loose if stated.loose is not None else volume.value
        if stated.target < test.ambient:
            reach = leaks.time_to_reach(pump, loose, stated.target, start=test.ambient, leak=gas)
            ideal = bagging.pump_down(loose, stated.pump.flow, test.ambient, stated.target)
    amounts = _amounts(stated)
    ranked = leaks.suspects(amounts, test.flow if test.told else 0.0) if amounts else ()

    limit = min(stated.limit, 0.999 * test.ambient)
    if stated.liquid_hottest is not None and stated.humidity is not None:
        water = bagging.most_in_bag(test.ambient, stated.liquid_hottest, stated.humidity, max(bagging.BED_SHARES))
        limit = min(limit, max(water, 0.0))

    def hold(receiver: float) -> float:
        return leaks.time_held(volume.value, gas, test.reached, limit, ambient=test.ambient, receiver=receiver)

    return JudgedLeak(
        criterion=stated.criterion,
        test=test,
        hot=hot,
        hot_test=hot_test,
        held=held,
        without=without,
        reach=reach,
        ideal=ideal,
        target=stated.target,
        limit=limit,
        hold=hold(0.0),
        hold_received=hold(stated.receiver) if stated.receiver is not None else None,
        ranked=ranked,
        halvings=leaks.halvings(ranked),
        ambient_known=stated.ambient is not None or stated.altitude is not None,
        findings=(
            *leaks.leak_findings(test, stated.criterion, held=held, ranked=ranked),
            *(leaks.hot_findings(hot) if hot is not None else ()),
            *((leaks.caution_vessel(),) if stated.receiver is not None or stated.vessel is not None else ()),
            *((leaks.caution_pump(),) if stated.pump is not None and test.flow > BUSY else ()),
        ),
    )


def bag_of_job(opened: Opened, stages: Stages) -> BagPlan:
    """Return the bag of a job, as its plan has it but for ratings and debulks.

    Parameters
    ----------
    opened
        The job.
    stages
        Keep what is worked out.

    Raises
    ------
    InputError
        When what is stated cannot be built.
    """
    shape = shaped_from(opened, stages, "job.toml")
    room = opened.workshop.room.temperature
    heat = Heat(gel=room, hottest=room, bag=room, room=room)
    return shape.bagged(shape.told(shape.laminated(stages), heat, stages), heat, opened.workshop, stages)


def filled(stated: LeakFile, plan: BagPlan, workshop: Workshop) -> LeakFile:
    """Return a leak test with what its job knows where nothing was written down.

    Parameters
    ----------
    stated
        As written down.
    plan
        The job's bag: area under it and places at which it can leak.
    workshop
        Its pump and altitude.
    """
    measured = (stated.volume, stated.area, stated.vessel, stated.bleed)
    told = stated.ambient is not None or stated.altitude is not None
    p = leaks.places_of(plan)
    return replace(
        stated,
        area=plan.area if all(m is None for m in measured) else stated.area,
        altitude=stated.altitude if told else workshop.room.altitude,
        loose=stated.loose or plan.area * LOOSE_VOID + LINE_VOLUME,
        pump=stated.pump or LeakPump(flow=workshop.pump.flow, ultimate=min(workshop.pump.reaches, stated.target)),
        places=stated.places
        or LeakPlaces(
            pleats=int(p["pleats"]),
            corners=int(p["corners"]),
            tape=p["tape run"],
            ports=int(p["ports"]),
            film=p["film"],
            mould=p["mould porosity"],
            wires=int(p["thermocouple wires"]),
            connectors=int(p["connectors"]),
            hose=p["hose"],
        ),
    )


def _ambient(stated: LeakFile, place: str) -> float:
    if stated.ambient is not None and stated.altitude is not None:
        raise InputError.one(f"{place}, altitude", "", "barometer or altitude, one of the two is wanted")
    if stated.ambient is not None:
        return stated.ambient
    if stated.altitude is not None:
        return bagging.ambient_pressure(stated.altitude)
    below = [
        k
        for k, r in enumerate((*stated.readings, *stated.hot), 1)
        if (r.gauge or stated.gauge) is Gauge.BELOW and r.ambient is None
    ]
    if below:
        raise InputError.one(
            f"{place}, ambient",
            "",
            "a gauge below ambient says nothing without today's ambient pressure",
            "read a barometer at the workshop, or state its altitude",
        )
    return ATMOSPHERE


def _readings(stated: LeakFile, rows: tuple[LeakReading, ...], ambient: float) -> tuple[leaks.Reading, ...]:
    return tuple(
        leaks.Reading(
            time=r.at,
            shows=r.shows,
            gauge=r.gauge or stated.gauge,
            step=stated.step if r.step is None else r.step,
            ambient=ambient if r.ambient is None else r.ambient,
            temperature=r.temperature,
        )
        for r in rows
    )


def _volume_problems(stated: LeakFile, place: str) -> list[Problem]:
    ways = {"volume": stated.volume, "area": stated.area, "vessel": stated.vessel, "bleed": stated.bleed}
    told = [name for name, value in ways.items() if value is not None]
    if len(told) != 1:
        return [
            Problem(
                place=f"{place}, volume",
                came=", ".join(told),
                wanted="the bag's free volume is wanted in one way: volume, area, vessel or bleed",
                hint="area under the bag is enough for a first look",
            )
        ]
    if not stated.limit > 0.0 or not stated.target > 0.0:
        return [Problem(place=f"{place}, limit", came="", wanted="target and limit above zero are wanted")]
    return []


def _volume(stated: LeakFile) -> leaks.FreeVolume:
    if stated.volume is not None:
        return leaks.stated_volume(stated.volume)
    if stated.vessel is not None:
        v = stated.vessel
        return leaks.volume_by_vessel(
            v.volume, vessel_pressure=v.vessel, bag_pressure=v.bag, shared=v.together, step=stated.step
        )
    if stated.bleed is not None:
        b = stated.bleed
        return leaks.volume_by_bleed(b.flow, time=b.time, rise=b.rise, rise_without=b.rise_without, step=stated.step)
    return leaks.volume_of_area(stated.area or math.nan, layers=float(stated.layers))


def _amounts(stated: LeakFile) -> dict[str, float]:
    p = stated.places
    if p is None:
        return {}
    found = {
        "pleats": float(p.pleats),
        "corners": float(p.corners),
        "tape run": p.tape,
        "film joints": p.joints,
        "ports": float(p.ports),
        "film at edges": float(p.edges),
        "film": p.film,
        "mould seams": p.seams,
        "mould holes": float(p.holes),
        "mould porosity": p.mould,
        "thermocouple wires": float(p.wires),
        "connectors": float(p.connectors),
        "hose": p.hose,
    }
    return found if any(found.values()) else {}
