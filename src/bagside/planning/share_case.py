"""Several cases in one oven: from jobs to the runs they share."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from bagside.cure import Programme, Scenario, corners
from bagside.cure import design as cycles
from bagside.cure.design import Bounds, Flow, Power
from bagside.cure.sharing import Grouping, Load, Space, grouped, sharing_findings
from bagside.cure.sharing.common import Designer
from bagside.errors import InputError, NotSolved, Problem, did_you_mean
from bagside.findings import Finding, Severity, weakest
from bagside.planning.chance_case import AS_STATED, stated_bounds
from bagside.planning.cure_case import CureCase
from bagside.planning.cure_design import bounds_on_mould, controller_of, found_cycle, void_free, without_cooling

Size = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class InOven:
    """What a case does not say about its part in the oven.

    Parameters
    ----------
    footprint
        Length and width on the shelf [m].
    lines
        Vacuum lines.
    leak
        Into its bag, at standard pressure [m³/s].
    wet
        Whether it carries fresh paint or adhesive.
    """

    footprint: Size | None = None
    lines: int = 1
    leak: float | None = None
    wet: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SharedCases:
    """The runs that several cases share.

    Parameters
    ----------
    cases
        With their own cycles.
    loads
        The same as the oven sees them.
    space
        The oven.
    grouping
        Which go together.
    findings
        What a person should know.
    """

    cases: tuple[CureCase, ...]
    loads: tuple[Load, ...]
    space: Space
    grouping: Grouping
    findings: tuple[Finding, ...]


def load_of(case: CureCase, more: InOven, bounds: Bounds) -> Load:
    """Return a case as a load of the oven.

    Parameters
    ----------
    case
        With its programme.
    more
        What it does not say.
    bounds
        What its cure on the mould must keep to.
    """
    return Load(
        name=case.name,
        sections=case.on_mould,
        resin=case.resin,
        resin_name=case.resin_name,
        bounds=bounds,
        programme=without_cooling(case.programme, case.demould),
        demould=case.demould,
        heated=sum(v for name, v in case.heated.items() if name != "racks"),
        footprint=more.footprint,
        lines=more.lines,
        leak=more.leak,
        wet=more.wet,
    )


def shared_cases(
    cases: Sequence[CureCase],
    more: Mapping[str, InOven],
    *,
    shelves: tuple[Size, ...] | None = None,
    ports: int | None = None,
    thermocouples: int | None = None,
    pump: float | None = None,
    turnaround: float = 1800.0,
    voids: bool = True,
    design: bool = False,
    robust: bool = True,
    progress: Callable[[str], None] | None = None,
) -> SharedCases:
    """Return the oven runs that serve several cases in the shortest time.

    Parameters
    ----------
    cases
        Of one workshop: the oven is the first one's. A case that looks for a cycle gets one first.
    more
        What they do not say about their parts, by name.
    shelves, ports, thermocouples, pump, turnaround
        As for `Space`.
    voids
        Whether water must make no voids before gel, where humidity and vacuum are known.
    design
        Whether a cycle is designed for parts of one resin even where one of their own, or a blend of them, serves.
    robust
        Whether a cycle must hold when heat of reaction, films and place are off.
    progress
        Told what is being done.

    Raises
    ------
    InputError
        When a name is unknown or the cases cannot be compared.
    """
    names = [c.name for c in cases]
    unknown = [n for n in more if n not in names]
    if unknown:
        raise InputError(
            Problem(place=f"part {n}", came="", wanted="there is no such part here", hint=did_you_mean(n, names))
            for n in unknown
        )
    say = progress or (lambda what: None)
    found: list[CureCase] = []
    loads: list[Load] = []
    for case in cases:
        wish = case.wanted or AS_STATED
        bounds = stated_bounds(case) if case.wanted is None else bounds_on_mould(case, case.wanted)
        bounds = replace(bounds, void_free=void_free(case, replace(wish, voids=True)) if voids else None, power=None)
        if case.wanted is not None:
            say(f"a cycle for {case.name}")
            case = found_cycle(case).case
        found.append(case)
        loads.append(load_of(case, more.get(case.name, InOven()), bounds))
    first = cases[0]
    space = Space(
        oven=first.oven,
        spread=first.spread,
        power=first.stated_oven.power,
        loss=first.stated_oven.loss,
        room=first.room.temperature,
        racks=first.heated.get("racks", 0.0),
        shelves=shelves,
        ports=ports,
        thermocouples=thermocouples,
        pump=pump,
        turnaround=turnaround,
    )
    ways = corners(first.spread) if robust else (Scenario(name=""),)
    got = grouped(
        loads,
        space,
        scenarios=ways,
        designer=designer(first, space, ways),
        always=design,
        progress=lambda parts: say(" and ".join(parts)),
    )
    basis = weakest(*(c.basis for c in cases))
    notes = sharing_findings(got, loads, space, basis=basis, source="; ".join(dict.fromkeys(c.source for c in cases)))
    return SharedCases(
        cases=tuple(found),
        loads=tuple(loads),
        space=space,
        grouping=got,
        findings=(*notes, *_post_cures(found)),
    )


def designer(case: CureCase, space: Space, ways: tuple[Scenario, ...]) -> Designer:
    """Return what designs one cycle for parts of one resin.

    Parameters
    ----------
    case
        For the oven's controller.
    space
        Their oven.
    ways
        In which it must hold.
    """

    def design(loads: Sequence[Load]) -> Programme | None:
        first = loads[0]
        try:
            found = cycles.designed(
                [s for x in loads for s in x.sections],
                first.resin,
                space.oven,
                tightest(loads, space),
                start=first.programme.start,
                scenarios=ways,
                controller=controller_of(case.stated_oven.controller),
            )
        except (InputError, NotSolved):
            return None
        return without_cooling(found.programme, min(x.demould for x in loads))

    return design


def tightest(loads: Sequence[Load], space: Space) -> Bounds:
    """Return the tightest of all parts' limits.

    Parameters
    ----------
    loads
        The parts.
    space
        Their oven.
    """

    def most(name: str) -> float | None:
        return max((v for x in loads if (v := getattr(x.bounds, name)) is not None), default=None)

    def least(name: str) -> float | None:
        return min((v for x in loads if (v := getattr(x.bounds, name)) is not None), default=None)

    flows = [x.bounds.flow for x in loads if x.bounds.flow is not None]
    heated = sum(x.heated for x in loads) + space.racks
    power = space.power
    return Bounds(
        target=most("target"),
        tg=most("tg"),
        hottest=least("hottest"),
        tool=least("tool"),
        spread=least("spread"),
        overshoot=least("overshoot"),
        void_free=least("void_free"),
        flow=Flow(viscosity=min(f.viscosity for f in flows), time=max(f.time for f in flows)) if flows else None,
        power=Power(heater=power, loss=space.loss, heated=heated, room=space.room) if power and heated else None,
        demould=min(x.demould for x in loads),
    )


def _post_cures(cases: Sequence[CureCase]) -> tuple[Finding, ...]:
    later = tuple(c.name for c in cases if c.post is not None)
    if not later:
        return ()
    return (
        Finding(
            severity=Severity.SEEN,
            stage="cure",
            place=" and ".join(later),
            what="only the cure on the mould is shared here; the post-cure off it comes after",
            why="a post-cure has other limits, and parts may go into it together that could not share the first",
            do="look at each post-cure on its own",
            basis=weakest(*(c.basis for c in cases)),
        ),
    )
