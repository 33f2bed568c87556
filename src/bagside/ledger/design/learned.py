"""What a workshop may learn from the parts it made: its own times, masses, waste and scrap, beside what it plans with.

These are offers. None is used by a plan until somebody has written it into ``workshop.toml``.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from bagside.ledger.actual.compared import PlanAgainstActual
from bagside.ledger.actual.steps import StepActual
from bagside.ledger.bodies import MassStage
from bagside.ledger.design.scatter import mean_between, share_between
from bagside.planning.steps import times_in
from bagside.quantity import shown
from bagside.spec.library import generic_times
from bagside.spec.workshop import Workshop

FEWEST = 3
"""Parts below which nothing is offered: common practice."""
FEWEST_SCRAP = 10
"""Closed parts below which no share of scrap is offered: under that one part more or less is ten per cent."""

Mine = Callable[[StepActual], bool]

STEPS: tuple[tuple[str, tuple[str, ...], str, Mine], ...] = (
    ("releasing the mould", ("release",), "min", lambda s: s.key == "release"),
    ("laying plies", ("lay_show", "lay_backing", "piece"), "", lambda s: s.key.startswith("ply-")),
    ("a debulk", ("debulk",), "min", lambda s: s.key.startswith("debulk-")),
    ("bagging", ("bag",), "min", lambda s: s.key == "bag"),
    ("the leak test", ("leak_test",), "min", lambda s: s.key == "leak"),
    ("loading the oven", ("load_oven",), "min", lambda s: s.key in ("cure", "post-cure")),
    ("degreasing", ("degrease",), "min", lambda s: s.key == "degrease"),
)
"""What is done, the keys of ``[times]`` that plan it, their unit, and its steps."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """A figure learned from the parts that were made.

    Parameters
    ----------
    what
        For people: ``bagging``, ``mass off the mould``.
    ratio
        Actual over planned, or a share; mean of the parts.
    low, high
        What the mean may be, 95 times in 100.
    count
        Of parts.
    against
        What it is held against: one where it is over plan; None where no plan says it.
    lines
        For ``workshop.toml``, with the table they belong to; empty where no plan has such a figure.
    now
        What is planned with today, in words; empty when there is nothing.
    """

    what: str
    ratio: float
    low: float
    high: float
    count: int
    against: float | None = 1.0
    lines: tuple[str, ...] = ()
    now: str = ""

    @property
    def told(self) -> bool:
        """Whether it can be told from what is planned, which then lies outside what the mean may be."""
        return self.against is not None and not self.low <= self.against <= self.high


def learned_of(parts: Sequence[PlanAgainstActual], workshop: Workshop) -> tuple[Learned, ...]:
    """Return what the workshop may learn.

    Parameters
    ----------
    parts
        Of one design.
    workshop
        What it plans with today.
    """
    times = times_in(workshop, generic_times())
    out = [_time(parts, times, *row) for row in STEPS]
    for stage in dict.fromkeys(c.stage for p in parts for c in p.chapters):
        out.append(_chapter(parts, stage))
    kept = [p for p in parts if p.build.closed is None or p.build.closed.what.verdict != "scrap"]
    out += [_mass(kept, MassStage.RAW), _mass(kept, MassStage.TRIMMED), _waste(parts), _scrap(parts, workshop)]
    return tuple(x for x in out if x is not None)


def _time(
    parts: Sequence[PlanAgainstActual],
    times: dict[str, float],
    what: str,
    keys: tuple[str, ...],
    unit: str,
    mine: Mine,
) -> Learned | None:
    ratios = []
    for p in parts:
        steps = [s for s in p.steps if mine(s) and s.attended is not None and s.planned_attended > 0.0]
        if steps:
            ratios.append(sum(s.attended or 0.0 for s in steps) / sum(s.planned_attended for s in steps))
    if len(ratios) < FEWEST:
        return None
    ratio, low, high = mean_between(ratios)
    there = [k for k in keys if k in times]
    return Learned(
        what=what,
        ratio=ratio,
        low=low,
        high=high,
        count=len(ratios),
        lines=("[times]", *(f'{k} = "{_scaled(k, times[k], ratio, unit)}"' for k in there)) if there else (),
        now=", ".join(f"{k} {_scaled(k, times[k], 1.0, unit)}" for k in there),
    )


def _scaled(key: str, value: float, ratio: float, unit: str) -> str:
    """Return a time that is longer, or a rate that is slower, by a ratio."""
    if key.startswith("lay_"):
        return f"{3600.0 * value / ratio:.2f} m²/h"
    if key == "piece":
        return f"{value * ratio:.0f} s"
    return shown(value * ratio, unit or "min", 0)


def _chapter(parts: Sequence[PlanAgainstActual], stage: str) -> Learned | None:
    found = [c for p in parts for c in p.chapters if c.stage == stage and c.known and c.planned_known > 0.0]
    if len(found) < FEWEST:
        return None
    ratio, low, high = mean_between([c.actual / c.planned_known for c in found])
    return Learned(what=f"hands-on, {stage}", ratio=ratio, low=low, high=high, count=len(found))


def _mass(parts: Sequence[PlanAgainstActual], stage: MassStage) -> Learned | None:
    ratios = [m.measured / m.planned for p in parts for m in p.masses if m.stage is stage and m.planned]
    if len(ratios) < FEWEST:
        return None
    ratio, low, high = mean_between(ratios)
    return Learned(what=f"mass, {stage.value}", ratio=ratio, low=low, high=high, count=len(ratios))


def _waste(parts: Sequence[PlanAgainstActual]) -> Learned | None:
    """Return cloth that was cut over the pieces that came of it."""
    ratios = []
    for p in parts:
        known = [u for u in p.cloth if u.taken is not None and u.area > 0.0 and u.taken >= u.area]
        if known and len(known) == len(p.cloth):
            ratios.append(sum(u.taken or 0.0 for u in known) / sum(u.area for u in known))
    if len(ratios) < FEWEST:
        return None
    ratio, low, high = mean_between(ratios)
    return Learned(what="cloth cut over its pieces", ratio=ratio, low=low, high=high, count=len(ratios), against=None)


def _scrap(parts: Sequence[PlanAgainstActual], workshop: Workshop) -> Learned | None:
    verdicts = [p.build.closed.what.verdict for p in parts if p.build.closed is not None]
    if len(verdicts) < FEWEST_SCRAP:
        return None
    count = verdicts.count("scrap")
    low, high = share_between(count, len(verdicts))
    share = count / len(verdicts)
    return Learned(
        what="share of parts that fail",
        ratio=share,
        low=low,
        high=high,
        count=len(verdicts),
        against=workshop.scrap,
        lines=(f'scrap = "{shown(share, "%", 0)}"',),
        now=f"scrap {shown(workshop.scrap, '%', 0)}",
    )
