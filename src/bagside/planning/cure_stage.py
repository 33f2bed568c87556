"""From the laminate's zones, the mould and the oven to what the stated cycle does.

Every distinct thickness is a section, simulated at the coldest and at the hottest place of the oven. After the last
stated segment the oven cools as fast as it can until every section may be demoulded. A post-cure starts from what the
first cure reached, without the mould.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from bagside import cure as curing
from bagside.cure import CureResin, Energy, Limits, Outcome, Programme, Section, SectionHistory, Segment
from bagside.findings import Basis, Finding, Severity
from bagside.planning.cure_case import CureCase
from bagside.planning.cure_life_notes import life_effect_findings
from bagside.planning.mould_heat import mould_heat_findings
from bagside.spec.workshop import Oven, Room

COOLING_WATCHED = 4 * 3600.0  # [s] longest time the cooling is followed


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
    def leading(self) -> int:
        """Index of the place that is first to cure on the mould."""
        return curing.first_and_last(self.first.histories)[0] // 2

    @property
    def lagging(self) -> int:
        """Index of the place that is last to cure on the mould."""
        return curing.first_and_last(self.first.histories)[1] // 2

    @property
    def last(self) -> Run:
        """The run after which the part is done."""
        return self.runs[-1]


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
    sections: Sequence[Section],
    case: CureCase,
    programme: Programme,
    limits: Limits,
    heated: Mapping[str, float],
    alphas: Sequence[tuple[float, ...]] = (),
) -> Run:
    """Return one oven run, worked out.

    Parameters
    ----------
    sections
        One for each place, at the oven's mean air.
    case
        What is cured, in which oven.
    programme
        What the oven is asked to do.
    limits
        What it is held against.
    heated
        Heat capacity of what is heated, by name [J/K].
    alphas
        Degree of cure that each cell of each section starts with; the section's own when empty.
    """
    half = 0.5 * case.spread
    places = [
        replace(
            section,
            name=f"{section.name}, {word} place",
            alpha0=alphas[k] if alphas else section.alpha0,
            start=programme.start,
            air_offset=offset,
        )
        for k, section in enumerate(sections)
        for word, offset in (("coldest", -half), ("hottest", half))
    ]
    histories, duration = simulated(tuple(places), case.resin, programme, case.oven, case.demould)
    energy = curing.oven_energy(
        heated, case.oven.air(programme), loss=case.stated_oven.loss, room=case.room.temperature
    )
    return Run(
        programme=programme,
        histories=histories,
        outcomes=curing.outcomes(histories, case.resin),
        duration=duration,
        energy=energy,
        limits=limits,
        heated=sum(heated.values()),
    )


def cure_plan(case: CureCase) -> CurePlan:
    """Return what the stated cycle does to every section.

    Parameters
    ----------
    case
        What is cured, in which oven, how.

    Notes
    -----
    A post-cure starts from what the coldest place reached: each place from the degree of cure of its least cured cell.
    """
    first = run_of(case.on_mould, case, case.programme, case.limits, case.heated)
    post = None
    if case.post is not None and case.post_limits is not None:
        reached = []
        for k, section in enumerate(case.free):
            least = min(o.alpha_lagging for o in first.outcomes[2 * k : 2 * k + 2])
            reached.append((least,) * len(section.reacting))
        post = run_of(case.free, case, case.post, case.post_limits, case.post_heated, reached)
    return CurePlan(resin=case.resin, first=first, post=post)


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


def cure_findings(plan: CurePlan, case: CureCase) -> tuple[Finding, ...]:
    """Return what the cure noticed; the same thing at several sections is said once, at the worst of them."""
    found: list[Finding] = []
    for run, word in zip(plan.runs, ("cure", "post-cure"), strict=False):
        noticed = curing.findings(
            run.outcomes,
            run.limits,
            programme=run.programme,
            oven=case.oven,
            basis=case.basis,
            source=case.source,
            resin=plan.resin,
            free_standing=word == "post-cure",
        )
        found.extend(replace(f, place=f"{word}, {f.place}") for f in _worst_of_each(noticed))
        found.extend(_power_findings(run, word, case.stated_oven, case.room))
    found.extend(life_effect_findings(case))
    found.extend(_where_to_measure(plan, case))
    found.extend(
        Finding(
            severity=Severity.SEEN,
            stage="cure",
            place=f"cure, {place}",
            what="metal or thicker mould makes it a place of its own",
            why=says,
            do="put a thermocouple there in the first cure and compare",
            basis=Basis.COMMON,
            source="heat from beside as to a fin: Incropera, DeWitt, Fundamentals of Heat and Mass Transfer, 3.6",
        )
        for place, says in case.spots
    )
    if case.mould is not None:
        tools = [o.tool_hottest for o in plan.first.outcomes if o.tool_hottest is not None]
        found.extend(mould_heat_findings(case.mould, max(tools, default=None)))
    return tuple(found)


def _where_to_measure(plan: CurePlan, case: CureCase) -> tuple[Finding, ...]:
    """Return where thermocouples belong: at the place that lags, which times the dwell, and the one that leads."""
    lead, lag = plan.leading, plan.lagging
    if lead == lag:
        return ()
    told = (
        (lag, "it is the last to cure", "a dwell that is timed elsewhere is too short here",
         "put the thermocouple that times the dwell in the trim nearest to it, on the mould's side"),
        (lead, "it is the first to cure", "heat of reaction shows here before anywhere else",
         "put a thermocouple in the trim nearest to it, on the bag's side"),
    )  # fmt: skip
    return tuple(
        Finding(
            severity=Severity.SEEN,
            stage="cure",
            place=f"cure, {case.places[k]}",
            what=what,
            why=why,
            do=do,
            basis=case.basis,
            source=case.source,
            point=case.points[k],
        )
        for k, what, why, do in told
    )


def _worst_of_each(noticed: Sequence[Finding]) -> list[Finding]:
    seen: dict[tuple[str, str], Finding] = {}
    order = ["stop", "decide", "watch", "seen"]
    for finding in noticed:
        key = (finding.why, finding.do.split(" ")[0])
        before = seen.get(key)
        if before is None or order.index(finding.severity.value) < order.index(before.severity.value):
            seen[key] = finding
    return list(seen.values())
