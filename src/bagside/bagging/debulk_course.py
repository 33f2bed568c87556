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
from bagside.bagging.debulk_reasons import advice, minutes_in_words, reasons, why
from bagside.bagging.debulk_step import BRIEF, LONGEST, SHEARED, WARM, DebulkPly, DebulkStep, warm_factor
from bagside.errors import InputError
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown


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
            raise InputError.one(p.name, f"path {p.path} m", "a way above zero is wanted, or none")
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
                debulk=replace(d, minutes=minutes, warm=warm, why=why(d, since)),
                plies=tuple(p.name for p in since),
                thickness=sum(p.thickness for p in plies[: d.after]),
                reasons=reasons(d, since, air, minutes, warm=warm, visible=visible),
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
        advice=advice(steps, len(plies)),
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
            what=f"air needs {minutes_in_words(needed)} to leave, {debulk.minutes:.0f} min are planned",
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
