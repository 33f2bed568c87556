"""What a cure is worked on with when it is worked on alone: designed, judged, rescued, calibrated.

A case comes from a job, by the same stages as its plan, or from a small file of stated sections; nothing after it asks
which.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside import bagging
from bagside.cure import CureResin, Fixing, Layer, Limits, Oven, Programme, Section, Segment, Thickening
from bagside.errors import InputError, Problem
from bagside.findings import Basis
from bagside.planning.cure_life import room_life, share_used, start_from_life
from bagside.planning.cure_places import stacks
from bagside.planning.cure_programmes import programme_of
from bagside.planning.cure_sections import (
    Stack,
    cure_resin,
    fixing_of,
    plain_sections,
    real_oven,
    sections_on,
    spot_of,
)
from bagside.planning.laminate_stage import LaminateMap, laid_ply
from bagside.planning.mould_heat import MouldHeat, mould_heat
from bagside.planning.shaped import Shaped
from bagside.planning.shaping import shaped_from
from bagside.planning.stages import Stages
from bagside.quantity import shown
from bagside.spec.bench import CureFile
from bagside.spec.job import Cure, CycleWanted
from bagside.spec.job_check import cure_problems
from bagside.spec.library import Library, lookup
from bagside.spec.material import Resin, ToolMaterial
from bagside.spec.opening import Opened
from bagside.spec.region import EVERYTHING
from bagside.spec.workshop import Oven as StatedOven
from bagside.spec.workshop import Pump, Room, Workshop

Point = tuple[float, float, float]
PART_HEAT, RACK_HEAT = 1000.0, 480.0  # [J/(kg K)] of laminate, of steel racks
FREE_STANDING = 0.65  # degree of cure before a part may stand without its mould: common practice, 0.65 to 0.75


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CureCase:
    """A part on its mould in its oven, and the cycle stated for it.

    Parameters
    ----------
    name
        Of the job or the file.
    places
        What people call each place; one for each distinct laminate.
    points
        Where each is on the mould [m]; None when it is not known.
    on_mould
        A section through bag, laminate and mould at each place, at the oven's mean air.
    free
        The same laminates without the mould.
    resin, resin_name
        The resin, and what it is called.
    basis, source
        Of its rate law.
    fitted
        Where the law was fitted here: to a ``data sheet`` or to ``dsc`` curves; empty when it was stated.
    oven
        What it can do.
    spread
        Of its air, hottest place against coldest [K].
    stated_oven, room
        As stated.
    start
        Of the first programme [K].
    programme, post
        As stated; no post-cure when None.
    limits, post_limits
        What each is held against.
    demould
        Coolest temperature at which the part is taken off [K].
    ambient, vacuum
        Absolute pressure outside and left in a good bag [Pa]; None when not stated.
    humidity
        Of the room where it was laid; None when not stated.
    heated, post_heated
        Heat capacity of what is heated, by name [J/K].
    tool_limit_words
        What the mould's limit rests on.
    mould
        How hot it may be by its own resin's state; None for stated sections.
    tg_error
        By how much a fitted law may be off in the glass transition half-way through a cure [K].
    life_share
        Share of its out-life that the cloth has used when the oven is switched on.
    fresh
        Degree of cure of fresh resin; that at the start is the resin's.
    spots
        Places at metal or a strip of thicker mould, and what a section through them makes too much or too little of.
    wanted
        What is wanted of a cycle that is still to be found; None once there is one. Until then the programme keeps the
        room's temperature.
    """

    name: str
    places: tuple[str, ...]
    points: tuple[Point | None, ...]
    on_mould: tuple[Section, ...]
    free: tuple[Section, ...]
    resin: CureResin
    resin_name: str
    basis: Basis
    source: str
    fitted: str
    oven: Oven
    spread: float
    stated_oven: StatedOven
    room: Room
    start: float
    programme: Programme
    post: Programme | None
    limits: Limits
    post_limits: Limits | None
    demould: float
    ambient: float | None
    vacuum: float | None
    humidity: float | None
    heated: Mapping[str, float]
    post_heated: Mapping[str, float]
    tool_limit_words: str
    mould: MouldHeat | None = None
    tg_error: float = 0.0
    life_share: float = 0.0
    fresh: float = 0.0
    spots: tuple[tuple[str, str], ...] = ()
    wanted: CycleWanted | None = None

    @property
    def pressure(self) -> float | None:
        """What presses on the laminate [Pa]; None when pump or place are not stated."""
        if self.ambient is None or self.vacuum is None:
            return None
        return bagging.available_pressure(self.ambient, self.vacuum)


def two_stage(cure: Cure) -> bool:
    """Return whether the part is cured to the end off its mould.

    Parameters
    ----------
    cure
        As stated.
    """
    return bool(cure.post_cure) or (cure.design is not None and cure.design.two_stage)


def wanted_case(case: CureCase, wanted: CycleWanted) -> CureCase:
    """Return a case of which a cycle is wanted, whatever was stated or wanted before.

    Parameters
    ----------
    case
        What is cured.
    wanted
        What is wanted of the cycle.
    """
    tool = case.limits.tool
    last = replace(case.post_limits or case.limits, tool=None)
    if wanted.two_stage:
        first = replace(last, service=case.demould, target=FREE_STANDING, tool=tool)
        return replace(case, wanted=wanted, limits=first, post_limits=last, post=None)
    return replace(case, wanted=wanted, limits=replace(last, tool=tool), post_limits=None, post=None)


def first_limits(cure: Cure, tool: ToolMaterial, resin: Resin) -> Limits:
    """Return what the cure on the mould is held against.

    Parameters
    ----------
    cure, tool, resin
        As stated.
    """
    return Limits(
        service=cure.demould if two_stage(cure) else cure.service,
        margin=cure.margin,
        target=FREE_STANDING if two_stage(cure) else cure.target,
        demould=cure.demould,
        tool=tool.limit,
        resin=resin.hottest,
    )


def post_limits(cure: Cure, resin: Resin) -> Limits | None:
    """Return what the post-cure is held against; nothing when there is none.

    Parameters
    ----------
    cure, resin
        As stated.
    """
    if not two_stage(cure):
        return None
    return Limits(
        service=cure.service, margin=cure.margin, target=cure.target, demould=cure.demould, resin=resin.hottest
    )


def case_of_job(opened: Opened, stages: Stages) -> CureCase:
    """Return the case of a job, its laminates found as its plan finds them.

    Parameters
    ----------
    opened
        The job with its workshop and materials.
    stages
        Keep what is worked out.

    Raises
    ------
    InputError
        When what is stated cannot be built.
    """
    shape = shaped_from(opened, stages, "job.toml")
    return case_of_part(shape, shape.laminated(stages), opened.workshop)


def case_of_part(shape: Shaped, laminate: LaminateMap, workshop: Workshop) -> CureCase:
    """Return the case of a part that is shaped and laminated.

    Parameters
    ----------
    shape, laminate
        The part.
    workshop
        Its oven, room and pump.
    """
    job, library = shape.job, shape.library
    prepreg = shape.prepregs[0]
    stated = job.cure.segments
    heat = mould_heat(job.mould, library, programme_of(job.cure.start, stated) if stated else None)
    tool = library.tool[job.mould.material]
    case = _case(
        name=job.name,
        stacks=stacks(
            laminate,
            shape.prepregs,
            shape.mould_under,
            _spots(shape),
        ),
        resin=library.resin[prepreg.resin],
        resin_name=prepreg.resin,
        density=prepreg.resin_density,
        tool=tool,
        tool_name=job.mould.material,
        tool_thickness=job.mould.thickness,
        cure=job.cure,
        oven=workshop.oven,
        room=workshop.room,
        pump=workshop.pump,
        mould_mass=shape.mould_area * job.mould.thickness * tool.density,
        part_mass=laminate.mass * (job.quantity if two_stage(job.cure) else 1),
        out_life=room_life(prepreg),
        life_share=share_used(((p.material, library.prepreg[p.material]) for p in job.plies), workshop.stock),
    )
    return replace(case, limits=replace(case.limits, tool=heat.limit), mould=heat, tool_limit_words=heat.words)


def _spots(shape: Shaped) -> list[tuple[Fixing | Thickening, NDArray[np.bool_]]]:
    """Return each strip of thicker mould and each fixing, and where it may lie."""
    spots: list[tuple[Fixing | Thickening, NDArray[np.bool_]]] = []
    for thick in shape.job.mould.thicker:
        if thick.width is not None:
            name = f"mould {shown(thick.thickness, 'mm', 0)} thick"
            strip = Thickening(name=name, layer="tool", thickness=thick.thickness, width=thick.width, sides=thick.sides)
            spots.append((strip, shape.within(thick.region)))
    for metal in shape.job.cure.metal:
        spots.append((fixing_of(metal, shape.library.tool), shape.within(metal.region or EVERYTHING)))
    return spots


def case_of_file(stated: CureFile, library: Library, file: str) -> CureCase:
    """Return the case of a file of stated sections.

    Parameters
    ----------
    stated
        As read.
    library
        Materials.
    file
        Its name, for messages.

    Raises
    ------
    InputError
        With every problem in the file.
    """
    _refuse(stated, library, file)
    first = library.prepreg[stated.sections[0].prepreg]
    stacks = []
    for s in stated.sections:
        p = library.prepreg[s.prepreg]
        stacks.append(
            Stack(
                name=s.name,
                thickness=s.laminate,
                fibre_volume=p.areal_weight / p.fibre_density / laid_ply("1", p, 0.0).thickness,
                fibre_density=p.fibre_density,
                tool_thickness=s.tool_thickness,
                core=(
                    None
                    if s.core is None
                    else Layer(
                        name="core",
                        thickness=s.core.thickness,
                        density=s.core.density,
                        heat_capacity=s.core.heat_capacity,
                        conductivity=s.core.conductivity,
                    )
                ),
                tool_skin=s.tool_skin,
                metal=None if s.metal is None else fixing_of(s.metal, library.tool),
            )
        )
    case = _case(
        name=file,
        stacks=tuple(stacks),
        resin=library.resin[first.resin],
        resin_name=first.resin,
        density=first.resin_density,
        tool=library.tool[stated.sections[0].tool],
        tool_name=stated.sections[0].tool,
        tool_thickness=stated.sections[0].tool_thickness,
        cure=_cure_of(stated),
        oven=stated.oven,
        room=stated.room or Room(temperature=stated.start, humidity=0.5),
        pump=stated.pump,
        mould_mass=0.0,  # what mould and part weigh is not stated here
        part_mass=0.0,
        out_life=room_life(first),
        life_share=stated.life_used / first.out_life,
    )
    if stated.room is None:
        return replace(case, ambient=None, humidity=None)
    return case


def _cure_of(stated: CureFile) -> Cure:
    return Cure(
        start=stated.start,
        segments=stated.segments,
        post_cure=stated.post_cure,
        design=stated.design,
        demould=stated.demould,
        service=stated.service,
        margin=stated.margin,
        target=stated.target,
    )


def _refuse(stated: CureFile, library: Library, file: str) -> None:
    problems: list[Problem] = []
    for s in stated.sections:
        place = f"{file}, section {s.name}"
        problems += lookup(library.prepreg, s.prepreg, f"{place}, prepreg", "prepreg")
        problems += lookup(library.tool, s.tool, f"{place}, tool", "tool material")
        if s.metal is not None:
            problems += lookup(library.tool, s.metal.material, f"{place}, metal, material", "tool material")
    if not stated.sections:
        problems.append(Problem(place=f"{file}, sections", came="", wanted="at least one section is wanted"))
    resins = {library.prepreg[s.prepreg].resin for s in stated.sections if s.prepreg in library.prepreg}
    if len(resins) > 1:
        problems.append(
            Problem(place=f"{file}, sections", came=", ".join(sorted(resins)), wanted="one resin system is wanted")
        )
    if len({s.tool for s in stated.sections}) > 1:
        problems.append(
            Problem(place=f"{file}, sections", came="", wanted="all sections must stand on one tool material")
        )
    names = [s.name for s in stated.sections]
    problems += [
        Problem(place=f"{file}, section {n}", came="", wanted="two sections have this name; each wants its own")
        for n in dict.fromkeys(names)
        if names.count(n) > 1
    ]
    problems += cure_problems(_cure_of(stated), file)
    if stated.demould <= stated.start:
        problems.append(
            Problem(
                place=f"{file}, demould",
                came=shown(stated.demould, "°C"),
                wanted=f"more than the room's {shown(stated.start, '°C')} is wanted, or it never gets there",
            )
        )
    if problems:
        raise InputError(problems)


def _case(
    *,
    name: str,
    stacks: tuple[Stack, ...],
    resin: Resin,
    resin_name: str,
    density: float,
    tool: ToolMaterial,
    tool_name: str,
    tool_thickness: float,
    cure: Cure,
    oven: StatedOven,
    room: Room,
    pump: Pump | None,
    mould_mass: float,
    part_mass: float,
    out_life: float,
    life_share: float,
) -> CureCase:
    new = cure_resin(resin, density, resin_name)
    mixed = replace(new, alpha0=start_from_life(resin, new, out_life, life_share)[0]) if life_share else new
    racks, laminate = oven.load * RACK_HEAT, part_mass * PART_HEAT
    return CureCase(
        name=name,
        places=tuple(s.name for s in stacks),
        points=tuple(s.point for s in stacks),
        on_mould=sections_on(stacks, resin, mixed, tool, tool_thickness, oven),
        free=sections_on(stacks, resin, mixed, None, 0.0, oven),
        resin=mixed,
        resin_name=resin_name,
        basis=resin.basis.of("kinetics"),
        source=resin.basis.source,
        fitted=resin.fitted.value,
        oven=real_oven(oven),
        spread=oven.spread,
        stated_oven=oven,
        room=room,
        start=cure.start,
        programme=programme_of(cure.start, cure.segments) if cure.segments else _nothing_yet(cure.start),
        post=programme_of(room.temperature, cure.post_cure) if cure.post_cure else None,
        limits=first_limits(cure, tool, resin),
        post_limits=post_limits(cure, resin),
        demould=cure.demould,
        ambient=bagging.ambient_pressure(room.altitude),
        vacuum=None if pump is None else pump.reaches,
        humidity=room.humidity,
        heated={"mould": mould_mass * tool.heat_capacity, "part": laminate, "racks": racks},
        post_heated={"part": laminate, "racks": racks},
        tool_limit_words=tool_name,
        tg_error=resin.tg_error,
        life_share=life_share,
        fresh=new.alpha0,
        spots=tuple(
            (stack.name, spot.says)
            for stack, section in zip(
                stacks, plain_sections(stacks, resin, mixed, tool, tool_thickness, oven), strict=True
            )
            if (spot := spot_of(stack, section)) is not None
        ),
        wanted=cure.design,
    )


def _nothing_yet(start: float) -> Programme:
    return Programme(start=start, segments=(Segment(target=start, ramp=1.0, hold=60.0),))
