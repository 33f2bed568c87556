"""The debulks of a lay-up with their reasons: how long air needs, what a warm one costs, what may be merged.

When to debulk follows the shop's rule (`debulk_plan`); how long follows from the way air has to go. Cloth that is
sheared wants to stand up again, so it counts like cloth in a tight corner.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from bagside.bagging.air import AIR_LEFT, PERMEABILITY, air_time, time_to_leave
from bagside.bagging.debulk import Debulk, debulk_plan
from bagside.errors import InputError
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown

SHEARED = math.radians(20.0)  # from here on cloth springs back and wants pressing: common practice
WARM = 318.15  # [K] 40 to 50 °C
REFERENCE = 294.15  # [K] at which lives are stated
SAFE_ENERGY = 80e3  # [J/mol] for time above the reference, on the safe side
LONGEST = 60.0  # [min] of one debulk before the way should be shortened instead
BRIEF = 5.0  # [min] within which even tight cloth is rid of its air
GAS = 8.314462618


@dataclass(frozen=True, slots=True, kw_only=True)
class DebulkPly:
    """A ply as a debulk sees it.

    Parameters
    ----------
    name
        What people call it.
    area
        Of cloth [m²].
    thickness
        Cured [m].
    has_tight_corner
        Whether it runs through a tight inside corner.
    path
        Longest way of its air to a breathing edge [m]; None when it is not known.
    shear
        Most its cloth is sheared [rad].
    """

    name: str
    area: float
    thickness: float
    has_tight_corner: bool = False
    path: float | None = None
    shear: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class DebulkStep:
    """One debulk with its reasons.

    Parameters
    ----------
    debulk
        When, how long, warm or not.
    plies
        Laid since the one before.
    thickness
        Laid so far, cured [m].
    reasons
        Each in half a sentence.
    air
        Time that air needs to leave, most permeable, middle and least permeable cloth [min]; None when no way is known.
    life
        Out-life it costs, at the reference temperature [h].
    may_merge
        Whether it may be put together with the next one.
    """

    debulk: Debulk
    plies: tuple[str, ...]
    thickness: float
    reasons: tuple[str, ...]
    air: tuple[float, float, float] | None
    life: float
    may_merge: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DebulkCourse:
    """All debulks of a lay-up.

    Parameters
    ----------
    steps
        In order.
    minutes
        Under vacuum in all [min].
    life
        Out-life they cost in all [h].
    advice
        What may be merged or left out, and what may not.
    findings
        What it noticed.
    """

    steps: tuple[DebulkStep, ...]
    minutes: float
    life: float
    advice: tuple[str, ...]
    findings: tuple[Finding, ...]

    @property
    def debulks(self) -> tuple[Debulk, ...]:
        """The debulks alone."""
        return tuple(s.debulk for s in self.steps)


def warm_factor(temperature: float) -> float:
    """Return how many hours of out-life at 21 °C an hour at a warmer temperature costs, on the safe side.

    Parameters
    ----------
    temperature
        From 21 °C up [K].

    Notes
    -----
    Arrhenius with 80 kJ/mol: 7.3 at 40 °C, 19 at 50 °C.
    """
    return math.exp(SAFE_ENERGY / GAS * (1.0 / REFERENCE - 1.0 / temperature))


def debulk_course(
    plies: Sequence[DebulkPly],
    *,
    ambient: float,
    vacuum: float,
    visible: bool = True,
    life_left: float | None = None,
) -> DebulkCourse:
    """Return the debulks of a lay-up with their reasons.

    Parameters
    ----------
    plies
        In the order they are laid.
    ambient, vacuum
        Absolute pressures outside and in the debulk's bag [Pa].
    visible
        Whether the mould side is seen.
    life_left
        Out-life that the cloth has left at 21 °C [s]; None when it is not known.

    Returns
    -------
    DebulkCourse

    Raises
    ------
    InputError
        When there is no ply, a thickness or path makes no sense, or there is no vacuum.

    Notes
    -----
    A debulk lasts as long as the shop's rule says, or until 10 % of the air is left in middling cloth when that takes
    longer, up to an hour; beyond that the way is too long and the course says so.
    """
    if not 0.0 <= vacuum < ambient:
        raise InputError.one("debulk", f"{vacuum} Pa in the bag, {ambient} Pa outside", "a vacuum is wanted")
    for p in plies:
        if p.path is not None and not p.path > 0.0:
            raise InputError.one(f"ply {p.name}", f"path {p.path} m", "a way above zero is wanted, or none")
    taken = [replace(p, has_tight_corner=p.has_tight_corner or p.shear >= SHEARED) for p in plies]
    steps: list[DebulkStep] = []
    before = 0
    for d in debulk_plan(taken, visible=visible):
        since = list(plies[before : d.after])
        air = _air(since, ambient, vacuum)
        wanted = d.minutes if air is None or not math.isfinite(air[1]) else max(d.minutes, air[1])
        minutes = min(float(math.ceil(wanted / 5.0) * 5), max(LONGEST, d.minutes))
        # Warm for a corner that must slide in; sheared cloth on open ground only wants pressing.
        warm = d.warm and any(p.has_tight_corner for p in since)
        factor = warm_factor(WARM) if warm else 1.0
        merge = d.after > 1 and not d.warm and air is not None and air[2] <= BRIEF
        steps.append(
            DebulkStep(
                debulk=replace(d, minutes=minutes, warm=warm, why=_why(d, since)),
                plies=tuple(p.name for p in since),
                thickness=sum(p.thickness for p in plies[: d.after]),
                reasons=_reasons(d, since, air, minutes, warm=warm, visible=visible),
                air=air,
                life=minutes / 60.0 * factor,
                may_merge=merge,
            )
        )
        before = d.after
    life = sum(s.life for s in steps)
    return DebulkCourse(
        steps=tuple(steps),
        minutes=sum(s.debulk.minutes for s in steps),
        life=life,
        advice=_advice(steps, len(plies)),
        findings=(*_long_ways(steps), *_life(life, life_left, steps)),
    )


def _air(since: list[DebulkPly], ambient: float, vacuum: float) -> tuple[float, float, float] | None:
    ways = [p.path for p in since if p.path is not None]
    if not ways:
        return None
    low, middle, high = (
        time_to_leave(AIR_LEFT, float(air_time(max(ways), k, ambient)), vacuum / ambient) / 60.0
        for k in reversed(PERMEABILITY)
    )
    return low, middle, high


def _why(d: Debulk, since: list[DebulkPly]) -> str:
    sheared = any(p.shear >= SHEARED for p in since) and not any(p.has_tight_corner for p in since)
    return d.why.replace("through a tight corner", "sheared cloth that stands up again") if sheared else d.why


def _reasons(
    d: Debulk,
    since: list[DebulkPly],
    air: tuple[float, float, float] | None,
    minutes: float,
    *,
    warm: bool,
    visible: bool,
) -> tuple[str, ...]:
    out = []
    if d.after == 1:
        out.append("first ply: air between it and the mould has no other time to leave")
        out.append("the mould side is seen: 20 min" if visible else "the mould side is not seen: 15 min")
    else:
        out.append(f"{len(since)} plies, {shown(sum(p.thickness for p in since), 'mm', 2)}, since the last one")
    corners = [p.name for p in since if p.has_tight_corner]
    if corners:
        out.append(f"tight inside corner in ply {', '.join(corners)}")
    sheared = [p for p in since if p.shear >= SHEARED]
    if sheared:
        most = max(sheared, key=lambda p: p.shear)
        out.append(f"ply {most.name} is sheared by {shown(most.shear, '°', 0)} and springs back")
    if air is not None:
        out.append(
            f"air needs {_minutes(air[1])} to leave, {_minutes(air[0])} to {_minutes(air[2])} by how tight the cloth is"
        )
        if minutes < air[1]:
            out.append("longer than an hour helps less than a shorter way")
    if warm:
        out.append(f"warm, so that plies slide into the corner: an hour costs {warm_factor(WARM):.0f} h of out-life")
    return tuple(out)


def _minutes(value: float) -> str:
    if not math.isfinite(value):
        return "for ever"
    return f"{value:.0f} min" if value >= 1.0 else "under 1 min"


def _advice(steps: list[DebulkStep], count: int) -> tuple[str, ...]:
    out = ["never leave out the first: nothing after it reaches the air under ply 1"]
    merge = [s for s in steps if s.may_merge]
    if merge:
        out.append(
            "may be merged with the next one, even with tight cloth their air is out within 5 min: after ply "
            + ", ".join(str(s.debulk.after) for s in merge)
        )
    last = steps[-1].debulk.after
    if last > 1 and count - last == 1:
        out.append(f"the one after ply {last} may move to the cure's own bag when it is held for as long before heat")
    out.append("a night under vacuum replaces the debulk it falls on, and counts as out-life like any other night")
    return tuple(out)


def _long_ways(steps: list[DebulkStep]) -> list[Finding]:
    long = [(s.air[1], s.debulk) for s in steps if s.air is not None and s.debulk.minutes < s.air[1] < math.inf]
    if not long:
        return []
    needed, debulk = max(long, key=lambda x: x[0])
    return [
        Finding(
            severity=Severity.WATCH,
            stage="bagging",
            place=f"debulk after ply {debulk.after}",
            what=f"air needs {_minutes(needed)} to leave, {debulk.minutes:.0f} min are planned",
            why="what stays is pressed into voids when the resin flows",
            do="shorten the way: strips of glass at the edge closer together, a dry strip to the middle, or lay from "
            "the middle outwards with a roller",
            basis=Basis.COMMON,
            source="Darcy flow of air in partly impregnated cloth; permeability from memory of the literature",
        )
    ]


def _life(life: float, left: float | None, steps: list[DebulkStep]) -> list[Finding]:
    if left is None or life * 3600.0 <= 0.2 * left:
        return []
    over = life * 3600.0 > left
    warm = sum(s.life for s in steps if s.debulk.warm)
    return [
        Finding(
            severity=Severity.STOP if over else Severity.DECIDE,
            stage="bagging",
            place="debulks",
            what=f"they cost {life:.0f} h of out-life, {warm:.0f} h of it warm; {shown(left, 'h', 0)} are left",
            why="warm time ages the resin many times faster: tack goes, and it flows less in the oven",
            do="debulk cold where no corner needs it, warm for 10 min only, or take fresher cloth",
            basis=Basis.COMMON,
            source="Arrhenius with 80 kJ/mol above 21 °C, on the safe side",
        )
    ]
