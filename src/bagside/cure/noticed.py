"""What the bench notices about a cure and a person should know."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bagside.cure.hold import cure_for_tg, hold_to_reach
from bagside.cure.outcome import Outcome
from bagside.cure.oven import Oven
from bagside.cure.oven_notes import oven_findings
from bagside.cure.programme import Programme
from bagside.cure.resin import CureResin
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown

EXOTHERM_SEEN, EXOTHERM_DECIDE = 3.0, 15.0
"""Overshoot over the air from which it is shown, and from which a slower cycle should be thought of [K]."""

DWELL_SHARE = 0.8
"""Share of the dwell asked for that the coolest point should really get."""

SHORTEST_DWELL = 600.0
"""Time at the programme's hottest from which on it is a dwell and not a turn [s]."""

LONGEST_HOLD = 24 * 3600.0
"""Longest hold that is proposed [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What a cure must keep to.

    Parameters
    ----------
    service
        Hottest the part will be in use [K].
    margin
        By which the glass transition must exceed it [K].
    target
        Degree of cure wanted at the lagging point.
    demould
        Temperature at which the part may come off [K].
    tool
        Hottest the tool may be [K]; none when not known.
    resin
        Temperature at which the resin is spoiled [K]; none when not known.
    """

    service: float
    margin: float = 20.0
    target: float = 0.9
    demould: float = 323.15
    tool: float | None = None
    resin: float | None = None


def findings(
    results: Sequence[Outcome],
    limits: Limits,
    *,
    programme: Programme | None = None,
    oven: Oven | None = None,
    basis: Basis = Basis.PUBLISHED,
    source: str = "",
    free_standing: bool = False,
    resin: CureResin | None = None,
) -> tuple[Finding, ...]:
    """Return what a person should know about a cure.

    Parameters
    ----------
    results
        From `outcomes`.
    limits
        What the cure must keep to.
    programme, oven
        When both are given, whether the oven can follow is looked at as well.
    basis, source
        On what the resin's data rest.
    free_standing
        Whether the part is without its mould, so that it must stay below its glass transition.
    resin
        When given, a cure that falls short is told how much longer to hold.

    Returns
    -------
    tuple of Finding
        Oven first, then section by section; empty when nothing is wrong.
    """
    found = list(oven_findings(programme, oven)) if programme is not None and oven is not None else []
    for o in results:
        place = f"section {o.name}"
        for severity, what, why, do in _notes(o, limits, free_standing, resin):
            found.append(
                Finding(
                    severity=severity,
                    stage="cure",
                    place=place,
                    what=what,
                    why=why,
                    do=do,
                    basis=basis,
                    source=source,
                )
            )
    return tuple(found)


def _c(kelvin: float) -> str:
    return shown(kelvin, "°C", 0)


def _k(kelvin: float) -> str:
    return shown(kelvin, "K", 0)


def _notes(
    o: Outcome, limits: Limits, free_standing: bool, resin: CureResin | None
) -> list[tuple[Severity, str, str, str]]:
    return [*_heat(o, limits), *_cured(o, limits, free_standing, resin), *_timing(o, limits)]


def _longer(o: Outcome, wanted: float, resin: CureResin | None) -> str:
    """Return how much longer to hold for a degree of cure, as a thing to do."""
    if resin is None:
        return "hold longer or hotter"
    time = hold_to_reach(resin.kinetics, o.alpha_lagging, wanted, o.air_hottest) if wanted < 1.0 else np.inf
    if time > LONGEST_HOLD:
        return f"cure hotter: no hold at {_c(o.air_hottest)} gets there within a day"
    return f"hold {shown(60.0 * np.ceil(time / 60.0), 'min', 0)} longer at {_c(o.air_hottest)}, or hotter"


def _heat(o: Outcome, limits: Limits) -> list[tuple[Severity, str, str, str]]:
    notes = []
    if limits.tool is not None and o.tool_hottest is not None and o.tool_hottest > limits.tool:
        notes.append(
            (
                Severity.STOP,
                f"the tool reaches {_c(o.tool_hottest)} after {shown(o.tool_hottest_time or 0.0, 'min', 0)}; "
                f"it may be {_c(limits.tool)}",
                "above its limit the tool softens or distorts under vacuum",
                f"lower the cure by {_k(np.ceil(o.tool_hottest - limits.tool))} or more and hold longer, or post-cure "
                "off the tool",
            )
        )
    if limits.resin is not None and o.hottest > limits.resin:
        notes.append(
            (
                Severity.STOP,
                f"the laminate reaches {_c(o.hottest)} after {shown(o.hottest_time, 'min', 0)}; the resin may be "
                f"{_c(limits.resin)}",
                "beyond that the resin degrades",
                "ramp slower, add a dwell before gel, or lay up and cure in two goes",
            )
        )
    if o.overshoot > EXOTHERM_SEEN:
        notes.append(
            (
                Severity.DECIDE if o.overshoot > EXOTHERM_DECIDE else Severity.WATCH,
                f"the laminate runs {_k(o.overshoot)} hotter than the air, up to {_c(o.hottest)}",
                "the heat of reaction cannot leave a thick or insulated laminate fast enough",
                "put a thermocouple at the thickest place; ramp slower or add a dwell before gel",
            )
        )
    if o.beyond_law > 0.0:
        notes.append(
            (
                Severity.WATCH,
                f"the laminate gets {_k(o.beyond_law)} hotter than the resin's rate law was fitted for",
                "beyond its range the law is a guess, and the true peak may be higher",
                "do not rely on this peak; change the cycle until it is inside the range",
            )
        )
    if o.beyond_cure > 0.0:
        notes.append(
            (
                Severity.WATCH,
                f"the laminate cures {shown(o.beyond_cure, '%', 0)} further than the resin's rate law was fitted for",
                "beyond its range the law is a guess, and so are cure and glass transition at the end",
                "take them as at the edge of the range, or have the glass transition of a coupon measured",
            )
        )
    return notes


def _cured(
    o: Outcome, limits: Limits, free_standing: bool, resin: CureResin | None
) -> list[tuple[Severity, str, str, str]]:
    notes = []
    tg, wanted = o.tg, limits.service + limits.margin
    needed = 1.0 if resin is None else cure_for_tg(resin, wanted)
    if o.gel_time is None:
        notes.append(
            (
                Severity.STOP,
                f"the laminate does not gel everywhere; the lagging point ends at {shown(o.alpha_lagging, '%', 0)}",
                "ungelled resin runs or stays soft; the part cannot be taken off",
                _longer(o, 1.0 if resin is None else resin.gel, resin),
            )
        )
    if tg < wanted:
        notes.append(
            (
                Severity.STOP if tg < limits.service else Severity.DECIDE,
                f"the glass transition ends at {_c(tg)}; {_c(wanted)} is wanted for service at {_c(limits.service)}",
                "near its glass transition the part goes soft and loses its shape",
                f"{_longer(o, needed, resin)}; or add a post-cure, or state a lower service temperature",
            )
        )
    if o.alpha_lagging < limits.target and o.gel_time is not None:
        notes.append(
            (
                Severity.DECIDE,
                f"the lagging point ends at {shown(o.alpha_lagging, '%', 1)} cure; "
                f"{shown(limits.target, '%', 1)} is wanted",
                "what has not reacted softens the part and may react later in the sun",
                f"{_longer(o, limits.target, resin)}; or add a post-cure",
            )
        )
    if free_standing and o.stiff_margin < 0.0:
        notes.append(
            (
                Severity.STOP,
                f"without its mould the part gets {_k(-o.stiff_margin)} hotter than its glass transition",
                "it sags and keeps the wrong shape",
                "ramp the post-cure slower, hold on the way, or support the part on its mould",
            )
        )
    return notes


def _timing(o: Outcome, limits: Limits) -> list[tuple[Severity, str, str, str]]:
    notes = []
    if o.dwell_asked >= SHORTEST_DWELL and o.dwell < DWELL_SHARE * o.dwell_asked:
        notes.append(
            (
                Severity.WATCH if o.alpha_lagging >= limits.target else Severity.DECIDE,
                f"of {shown(o.dwell_asked, 'min', 0)} dwell the coolest point of the laminate gets "
                f"{shown(o.dwell, 'min', 0)} within {_k(o.dwell_band)}",
                "tool and laminate lag behind the air; a dwell timed on the air is shorter than it looks",
                f"start the clock when the lagging thermocouple arrives, or hold "
                f"{shown(o.dwell_asked - o.dwell, 'min', 0)} longer",
            )
        )
    if o.end > limits.demould:
        notes.append(
            (
                Severity.DECIDE,
                f"when the programme ends part and tool are still at {_c(o.end)}; demould is at {_c(limits.demould)}",
                "a part taken off hot springs and warps",
                f"keep vacuum and cool to {_c(limits.demould)} before taking it off",
            )
        )
    return notes
