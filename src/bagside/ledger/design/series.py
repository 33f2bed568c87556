"""Figures of the parts of one design, in the order they were begun: mass, thickness, hours, pinholes, cure, leak."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from bagside.ledger.actual.compared import PlanAgainstActual
from bagside.ledger.actual.measured import pinhole_count
from bagside.ledger.bodies import MassStage
from bagside.ledger.design.out_of_line import far_off
from bagside.ledger.design.scatter import Limits, Trend, limits_of, trend_of

Value = Callable[[PlanAgainstActual], float | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """One figure over the parts.

    Parameters
    ----------
    key, name, unit, digits
        What it is, and how it is shown; no unit for a plain number.
    values, planned
        Of each part in order, SI; None where it is not known.
    count, mean, sigma
        Of those known that were not scrapped: scrap says nothing of what is usual. None when there are too few.
    limits, trend
        Of the same parts, counted from the first of them; None when there are too few.
    standing
        Parts that stand out, by their place in the order from 0.
    """

    key: str
    name: str
    unit: str
    digits: int
    values: tuple[float | None, ...]
    planned: tuple[float | None, ...]
    count: int
    mean: float | None
    sigma: float | None
    limits: Limits | None
    trend: Trend | None
    standing: tuple[int, ...]


def series_of(parts: Sequence[PlanAgainstActual]) -> tuple[Series, ...]:
    """Return every figure that at least one part has.

    Parameters
    ----------
    parts
        Of one design, in the order they were begun.
    """
    out = [_mass(parts, stage) for stage in (MassStage.RAW, MassStage.TRIMMED, MassStage.FINISHED)]
    out += [
        _one(parts, "thickness", "thickness, measured over planned", "%", 1, thickness_ratio, lambda p: 1.0),
        _one(parts, "pinholes", "pinholes", "", 0, lambda p: _number(pinhole_count(p.pinholes)), lambda p: None),
        _one(parts, "tg", "Tg after the last cure, least", "°C", 0, _tg, lambda p: p.build.planned.tg),
        _one(parts, "leak", "leak, rise in 5 min", "mbar", 1, leak_rise, _leak_limit),
        _one(parts, "films", "backing films not counted off", "", 0, _films, lambda p: 0.0),
        _one(parts, "deviations", "concessions and gates passed", "", 0, _deviations, lambda p: 0.0),
        _one(parts, "hours", "hands-on time over plan, known steps", "%", 0, hours_ratio, lambda p: 1.0),
    ]
    stages = dict.fromkeys(c.stage for p in parts for c in p.chapters)
    out += [_chapter(parts, stage) for stage in stages]
    return tuple(s for s in out if any(v is not None for v in s.values))


def _one(
    parts: Sequence[PlanAgainstActual], key: str, name: str, unit: str, digits: int, value: Value, planned: Value
) -> Series:
    values = tuple(value(p) for p in parts)
    scrap = [_scrapped(p) for p in parts]
    there = [k for k, v in enumerate(values) if v is not None and not scrap[k]]
    known = [v for k, v in enumerate(values) if v is not None and not scrap[k]]
    limits = limits_of(known)
    outside = set() if limits is None else {there[k] for k in limits.outside}
    outside |= {there[k] for k in far_off(known)}
    outside |= {k for k, v in enumerate(values) if v is not None and scrap[k] and _beyond(v, known, limits)}
    enough = len(known) > 1
    return Series(
        key=key,
        name=name,
        unit=unit,
        digits=digits,
        values=values,
        planned=tuple(planned(p) for p in parts),
        count=len(known),
        mean=float(np.mean(known)) if known else None,
        sigma=float(np.std(known, ddof=1)) if enough else None,
        limits=limits,
        trend=trend_of([float(k) for k in there], known),
        standing=tuple(sorted(outside)),
    )


def _scrapped(part: PlanAgainstActual) -> bool:
    closed = part.build.closed
    return closed is not None and closed.what.verdict == "scrap"


def _beyond(value: float, known: Sequence[float], limits: Limits | None) -> bool:
    """Return whether a part that says nothing of what is usual lies outside of it."""
    if limits is not None and (value > limits.high or (limits.low is not None and value < limits.low)):
        return True
    return len(known) in far_off([*known, value])


def _mass(parts: Sequence[PlanAgainstActual], stage: MassStage) -> Series:
    def value(p: PlanAgainstActual) -> float | None:
        return next((m.measured for m in p.masses if m.stage is stage), None)

    def planned(p: PlanAgainstActual) -> float | None:
        return next((m.mass for m in p.build.planned.masses if m.stage == stage.value), None)

    return _one(parts, f"mass {stage.value}", f"mass, {stage.value}", "g", 1, value, planned)


def _chapter(parts: Sequence[PlanAgainstActual], stage: str) -> Series:
    def value(p: PlanAgainstActual) -> float | None:
        c = next((c for c in p.chapters if c.stage == stage), None)
        return None if c is None or c.known < c.steps else c.actual

    def planned(p: PlanAgainstActual) -> float | None:
        return next((c.planned for c in p.chapters if c.stage == stage), None)

    return _one(parts, f"hours {stage}", f"hands-on, {stage}", "min", 0, value, planned)


def thickness_ratio(p: PlanAgainstActual) -> float | None:
    """Return measured over planned thickness, mean of all points that have both; None without one.

    Parameters
    ----------
    p
        A part.
    """
    pairs = [(x.thickness, x.planned) for x in p.points if x.thickness is not None and x.planned]
    return float(np.mean([t / w for t, w in pairs])) if pairs else None


def hours_ratio(p: PlanAgainstActual) -> float | None:
    """Return hands-on time over its plan, of the steps whose time is known; None when none is.

    Parameters
    ----------
    p
        A part.
    """
    return p.hours / p.planned_hours if p.planned_hours > 0.0 else None


def leak_rise(p: PlanAgainstActual) -> float | None:
    """Return the rise of pressure in five minutes of the last leak test [Pa]; None without one.

    Parameters
    ----------
    p
        A part.
    """
    return 300.0 * p.leaks[-1].rise if p.leaks and p.leaks[-1].rise is not None else None


def _leak_limit(p: PlanAgainstActual) -> float | None:
    return None if p.build.planned.leak is None else 300.0 * p.build.planned.leak


def _tg(p: PlanAgainstActual) -> float | None:
    return p.last_cure.what.tg if p.last_cure is not None else None


def _films(p: PlanAgainstActual) -> float | None:
    off, there = p.films
    return float(there - off) if there and all(x.laid for x in p.plies) else None


def _deviations(p: PlanAgainstActual) -> float:
    return float(len(p.conceded) + len(p.passed))


def _number(count: int | None) -> float | None:
    return None if count is None else float(count)
