"""From the laminate's zones, the mould and the oven to what the stated cycle does.

Every distinct thickness is a section, simulated at the coldest and at the hottest place of the oven. After the last
stated segment the oven cools as fast as it can until every section may be demoulded. A post-cure starts from what the
first cure reached, without the mould.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from bagside import cure as curing
from bagside.cure import CureResin, Energy, Limits, Outcome, Programme, Section, SectionHistory, Segment
from bagside.findings import Basis, Finding, Severity
from bagside.spec.job import Cure
from bagside.spec.job import Segment as StatedSegment
from bagside.spec.material import Resin, ToolMaterial
from bagside.spec.workshop import Oven, Room

COOLING_WATCHED = 4 * 3600.0  # [s] longest time the cooling is followed
FREE_STANDING = 0.65  # degree of cure before a part may stand without its mould: common practice, 0.65 to 0.75


@dataclass(frozen=True, slots=True, kw_only=True)
class Stack:
    """A laminate as heat sees it.

    Parameters
    ----------
    name
        Where: ``5 plies, 1.4 mm``.
    thickness
        [m].
    fibre_volume
        Fibre volume fraction.
    fibre_density
        [kg/m³].
    """

    name: str
    thickness: float
    fibre_volume: float
    fibre_density: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One oven run, worked out.

    Parameters
    ----------
    programme
        As stated, without the cooling that was added.
    histories
        Every section at the coldest and the hottest place.
    outcomes
        The same, judged.
    duration
        From heat on until every section may be taken out [s].
    energy
        From the socket.
    limits
        What it was held against.
    heated
        Heat capacity of all that is heated [J/K].
    """

    programme: Programme
    histories: tuple[SectionHistory, ...]
    outcomes: tuple[Outcome, ...]
    duration: float
    energy: Energy
    limits: Limits
    heated: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CurePlan:
    """The cure on the mould and, when stated, the post-cure off it."""

    resin: CureResin
    first: Run
    post: Run | None

    @property
    def runs(self) -> tuple[Run, ...]:
        """The runs, in order."""
        return (self.first,) if self.post is None else (self.first, self.post)

    @property
    def last(self) -> Run:
        """The run after which the part is done."""
        return self.runs[-1]


def cure_resin(resin: Resin, density: float, name: str) -> CureResin:
    """Return a stated resin as the cure bench takes it.

    Parameters
    ----------
    resin
        As stated.
    density
        As the prepreg's sheet gives it [kg/m³].
    name
        For messages.

    Raises
    ------
    InputError
        When its rate law or a parameter is unknown.
    """
    return CureResin(
        kinetics=curing.model_from(resin.kinetics, resin.parameters, f"resin {name}, kinetics"),
        heat=resin.heat,
        density=density,
        heat_capacity=resin.heat_capacity,
        conductivity=resin.conductivity,
        tg0=resin.tg_uncured,
        tg1=resin.tg_cured,
        tg_lambda=resin.tg_lambda,
        gel=resin.gel,
        alpha0=resin.start,
        viscosity=(
            curing.viscosity_from(resin.viscosity, resin.viscosity_parameters, f"resin {name}, viscosity")
            if resin.viscosity
            else None
        ),
        hottest=resin.hottest,
    )


def simulated(
    sections: tuple[Section, ...], resin: CureResin, programme: Programme, oven: curing.Oven, coolest: float
) -> tuple[tuple[SectionHistory, ...], float]:
    """Return the histories, cut where every section has cooled enough after the programme, and when that is [s].

    Parameters
    ----------
    coolest
        Temperature at which the part may be taken off [K].
    """
    last = programme.segments[-1].target
    cooling = Segment(target=coolest - 10.0, ramp=oven.cooling, hold=COOLING_WATCHED)
    cooled = last > coolest
    asked = replace(programme, segments=(*programme.segments, cooling)) if cooled else programme
    histories = curing.simulate(sections, resin, oven.air(asked))
    if not cooled:
        return histories, programme.duration
    time = histories[0].time
    hottest = np.max([h.temperature[:, h.reacting[0] :].max(axis=1) for h in histories], axis=0)
    done = np.flatnonzero((time >= programme.duration) & (hottest <= coolest))
    end = int(done[0]) if len(done) else len(time) - 1
    # The programme that people see ends where cooling begins; a dwell asked for is not asked for while cooling.
    cut = tuple(
        replace(
            h,
            time=h.time[: end + 1],
            programme=h.programme[: end + 1],
            air=h.air[: end + 1],
            temperature=h.temperature[: end + 1],
            alpha=h.alpha[: end + 1],
        )
        for h in histories
    )
    return cut, float(time[end])


def run_of(
    stacks: tuple[Stack, ...],
    resin: Resin,
    resin_density: float,
    tool: ToolMaterial | None,
    tool_thickness: float,
    start: float,
    segments: tuple[StatedSegment, ...],
    oven: Oven,
    room: Room,
    coolest: float,
    limits: Limits,
    heated: dict[str, float],
    alphas: tuple[float, ...] = (),
) -> Run:
    """Return one oven run, worked out.

    Parameters
    ----------
    stacks
        Laminates, one for each section.
    tool
        Under them, or None for a part that stands free.
    coolest
        Temperature at which it may be taken out [K].
    heated
        Mass times heat capacity of what is heated, by name [J/K].
    alphas
        Degree of cure each stack starts with; the resin's own when empty.
    """
    mixed = cure_resin(resin, resin_density, resin.kinetics)
    half = 0.5 * oven.spread
    sections: list[Section] = []
    for k, stack in enumerate(stacks):
        layers = [
            curing.laminate_layer(
                resin=mixed,
                thickness=stack.thickness,
                fibre_volume=stack.fibre_volume,
                fibre_density=stack.fibre_density,
                fibre_heat_capacity=resin.fibre_heat_capacity,
                fibre_conductivity=resin.fibre_conductivity,
            )
        ]
        if tool is not None:
            layers.append(
                curing.Layer(
                    name="tool",
                    thickness=tool_thickness,
                    density=tool.density,
                    heat_capacity=tool.heat_capacity,
                    conductivity=tool.conductivity,
                )
            )
        for word, offset in (("coldest", -half), ("hottest", half)):
            sections.append(
                Section(
                    name=f"{stack.name}, {word} place",
                    layers=tuple(layers),
                    film_bag=oven.film_bag if tool is not None else oven.film_tool,
                    film_tool=oven.film_tool,
                    alpha0=alphas[k] if alphas else None,
                    start=start,
                    air_offset=offset,
                )
            )
    programme = Programme(start=start, segments=tuple(Segment(target=s.to, ramp=s.rate, hold=s.hold) for s in segments))
    real = curing.Oven(hottest=oven.hottest, heating=oven.heating, cooling=oven.cooling, lag=oven.lag)
    histories, duration = simulated(tuple(sections), mixed, programme, real, coolest)
    energy = curing.oven_energy(heated, real.air(programme), loss=oven.loss, room=room.temperature)
    return Run(
        programme=programme,
        histories=histories,
        outcomes=curing.outcomes(histories, mixed),
        duration=duration,
        energy=energy,
        limits=limits,
        heated=sum(heated.values()),
    )


def cure_plan(
    stacks: tuple[Stack, ...],
    resin: Resin,
    resin_density: float,
    tool: ToolMaterial,
    tool_thickness: float,
    cure: Cure,
    oven: Oven,
    room: Room,
    mould_mass: float,
    part_mass: float,
) -> CurePlan:
    """Return what the stated cycle does to every section.

    Parameters
    ----------
    stacks
        Every distinct laminate of the part.
    mould_mass, part_mass
        What is heated besides the oven's own load [kg].
    """
    first_limits = Limits(
        service=cure.demould if cure.post_cure else cure.service,
        margin=cure.margin,
        target=FREE_STANDING if cure.post_cure else cure.target,
        demould=cure.demould,
        tool=tool.limit,
        resin=resin.hottest,
    )
    laminate_heat = part_mass * 1000.0
    racks = oven.load * 480.0
    first = run_of(
        stacks, resin, resin_density, tool, tool_thickness, cure.start, cure.segments, oven, room, cure.demould,
        first_limits, {"mould": mould_mass * tool.heat_capacity, "part": laminate_heat, "racks": racks},
    )  # fmt: skip
    post = None
    if cure.post_cure:
        reached = tuple(min(o.alpha_lagging for o in first.outcomes[2 * k : 2 * k + 2]) for k in range(len(stacks)))
        post_limits = Limits(
            service=cure.service, margin=cure.margin, target=cure.target, demould=cure.demould, resin=resin.hottest
        )
        post = run_of(
            stacks, resin, resin_density, None, 0.0, room.temperature, cure.post_cure, oven, room, cure.demould,
            post_limits, {"part": laminate_heat, "racks": racks}, reached,
        )  # fmt: skip
    return CurePlan(resin=cure_resin(resin, resin_density, resin.kinetics), first=first, post=post)


def power_wanted(run: Run, oven: Oven, room: Room) -> tuple[float, int]:
    """Return the most heater power that the programme asks for, and in which segment.

    Parameters
    ----------
    run
        One oven run.
    oven, room
        As stated.

    Returns
    -------
    tuple
        Power [W] at the end of a rise, load and walls together; number of the segment from 1.
    """
    at, most, where = run.programme.start, 0.0, 1
    for k, s in enumerate(run.programme.segments, 1):
        rising = s.ramp if s.target > at else 0.0
        wanted = run.heated * rising + oven.loss * max(s.target - room.temperature, 0.0)
        if wanted > most:
            most, where = wanted, k
        at = s.target
    return most, where


def _power_findings(run: Run, word: str, oven: Oven, room: Room) -> tuple[Finding, ...]:
    wanted, segment = power_wanted(run, oven, room)
    if wanted <= oven.power:
        return ()
    return (
        Finding(
            severity=Severity.DECIDE,
            stage="cure",
            place=f"{word}, segment {segment}",
            what=f"it asks for {wanted / 1000:.1f} kW and the heater has {oven.power / 1000:.1f} kW",
            why="the air falls behind the programme, and every dwell starts late",
            do="ramp slower, take part of the load out, or start the dwell by the lagging thermocouple",
            basis=Basis.MEASURED,
            source="heat of mould, part and racks at this rate, and the loss through the walls, as stated",
        ),
    )


def cure_findings(plan: CurePlan, resin: Resin, oven: Oven, room: Room) -> tuple[Finding, ...]:
    """Return what the cure noticed; the same thing at several sections is said once, at the worst of them."""
    basis = resin.basis.of("kinetics")
    real = curing.Oven(hottest=oven.hottest, heating=oven.heating, cooling=oven.cooling, lag=oven.lag)
    found: list[Finding] = []
    for run, word in zip(plan.runs, ("cure", "post-cure"), strict=False):
        noticed = curing.findings(
            run.outcomes,
            run.limits,
            programme=run.programme,
            oven=real,
            basis=basis,
            source=resin.basis.source,
            resin=plan.resin,
            free_standing=word == "post-cure",
        )
        found.extend(replace(f, place=f"{word}, {f.place}") for f in _worst_of_each(noticed))
        found.extend(_power_findings(run, word, oven, room))
    return tuple(found)


def _worst_of_each(noticed: Sequence[Finding]) -> list[Finding]:
    seen: dict[tuple[str, str], Finding] = {}
    order = ["stop", "decide", "watch", "seen"]
    for finding in noticed:
        key = (finding.why, finding.do.split(" ")[0])
        before = seen.get(key)
        if before is None or order.index(finding.severity.value) < order.index(before.severity.value):
            seen[key] = finding
    return list(seen.values())
