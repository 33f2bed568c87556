"""What a programme comes to against each limit, from histories on a finer mesh: the check, and what people are told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside.cure.design.limits import SCALES
from bagside.cure.design.seen import until_gel
from bagside.cure.design.stage import CURE_MARGIN, Stage
from bagside.cure.history import SectionHistory, continued
from bagside.cure.outcome import Outcome, outcomes
from bagside.cure.programme import Programme
from bagside.cure.section import Section
from bagside.cure.solve import simulate

Floats = NDArray[np.float64]

FINER = 2
"""Cells of the check for each cell of the design."""

TOLERANCE = 0.05
"""Error allowed in one step of the check [K]."""

OUTPUT = 60.0
"""Time between outputs of the check [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """How closely a limit is kept where it is closest.

    Parameters
    ----------
    limit
        ``laminate``, ``tool``, ``overshoot``, ``void``, ``stiff``, ``spread``, ``flow`` or ``cure``.
    value, allowed
        What it came to and what it may [SI].
    margin
        By how much it is kept; negative when broken.
    place, scenario
        Where, and in which scenario; the scenario is empty when it is as stated.
    time
        When [s].
    """

    limit: str
    value: float
    allowed: float
    margin: float
    place: str
    scenario: str
    time: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Check:
    """What a programme really does, computed more closely.

    Parameters
    ----------
    histories, outcomes
        Of every place in every scenario, scenario by scenario.
    value, time
        What every limit came to and when, shape (m, b).
    ready
        From when on all may be taken out [s].
    """

    histories: tuple[SectionHistory, ...]
    outcomes: tuple[Outcome, ...]
    value: Floats
    time: Floats
    ready: float


def finer(section: Section) -> Section:
    """Return a section with more cells; one that has a value for each cell keeps the cells it has.

    Parameters
    ----------
    section
        The section.
    """
    if isinstance(section.start, tuple) or isinstance(section.alpha0, tuple):
        return section
    return replace(section, layers=tuple(replace(x, cells=FINER * x.cells) for x in section.layers))


def checked(stage: Stage, programme: Programme, before: Check | None = None) -> Check:
    """Return what a programme really does.

    Parameters
    ----------
    stage
        What it was found for.
    programme
        As it is set.
    before
        The stage before, whose cure it goes on from.
    """
    lanes = tuple(finer(s) for scenario in stage.scenarios for s in scenario.of(stage.sections))
    if before is not None:
        lanes = tuple(continued(s, h, warm=False) for s, h in zip(lanes, before.histories, strict=True))
    histories = simulate(lanes, stage.resin, stage.oven.air(programme), output_interval=OUTPUT, tolerance=TOLERANCE)
    flow = stage.bounds.flow
    results = outcomes(histories, stage.resin, flow_viscosity=30.0 if flow is None else flow.viscosity)
    each = [_measured(stage, name, histories, results) for name in stage.limits.names]
    return Check(
        histories=histories,
        outcomes=results,
        value=np.array([v for v, _ in each]),
        time=np.array([t for _, t in each]),
        ready=_ready(stage, histories),
    )


def _ready(stage: Stage, histories: Sequence[SectionHistory]) -> float:
    """Return from when on all of laminate and tool is cool enough; the end when that is not asked."""
    end = float(histories[0].time[-1])
    if stage.bounds.demould is None:
        return end
    warm = 0.0
    for h in histories:
        over = h.temperature[:, h.reacting[0] :].max(axis=1) - stage.bounds.demould
        late = np.flatnonzero(over > 0.0)
        if len(late) and late[-1] + 1 >= len(over):
            return np.inf
        if len(late):
            i = late[-1]
            share = over[i] / (over[i] - over[i + 1])
            warm = max(warm, float(h.time[i] + share * (h.time[i + 1] - h.time[i])))
    return warm


def _measured(
    stage: Stage, name: str, histories: Sequence[SectionHistory], results: Sequence[Outcome]
) -> tuple[list[float], list[float]]:
    values, times = [], []
    for h, o in zip(histories, results, strict=True):
        value, time = _one(stage, name, h, o)
        values.append(value)
        times.append(time)
    return values, times


def _one(stage: Stage, name: str, h: SectionHistory, o: Outcome) -> tuple[float, float]:
    """Return what a limit came to in one lane, and when."""
    resin, end = stage.resin, float(h.time[-1])
    t, a = h.laminate_temperature, h.alpha
    if name == "laminate":
        return o.hottest, o.hottest_time
    if name == "tool":
        return (-np.inf, 0.0) if o.tool_hottest is None else (o.tool_hottest, o.tool_hottest_time or 0.0)
    if name == "flow":
        return o.flow_time or 0.0, o.gel_time or end
    if name == "cure":
        return o.alpha_lagging, end
    if name == "stiff":
        course = (resin.tg(a) - t).min(axis=1)
        i = int(course.argmin())
        return float(course[i]), float(h.time[i])
    if name == "spread":
        course = np.ptp(a, axis=1)
    elif name == "void":
        earlier = np.maximum(np.arange(len(t)) - 1, 0)
        course = until_gel(a[earlier], a, t[earlier], t, resin.gel).max(axis=1)
    else:
        course = t.max(axis=1) - np.maximum.accumulate(h.air)
    i = int(course.argmax())
    return float(course[i]), float(h.time[i])


def lacking(stage: Stage, check: Check) -> Floats:
    """Return by how much every limit is broken, in its own unit, shape (m, b); negative when kept."""
    out = np.empty_like(check.value)
    for i, name in enumerate(stage.limits.names):
        allowed = stage.limits.allowed[i] - (CURE_MARGIN if name == "cure" else 0.0)
        least = name in ("stiff", "flow", "cure")
        out[i] = allowed - check.value[i] if least else check.value[i] - allowed
    return out


def kept(stage: Stage, check: Check) -> tuple[Kept, ...]:
    """Return how closely each limit is kept where it is closest.

    Parameters
    ----------
    stage
        What was asked.
    check
        What the programme really does.
    """
    out = []
    lack = lacking(stage, check)
    for i, name in enumerate(stage.limits.names):
        b = int(lack[i].argmax())
        place, scenario = stage.lane(b)
        allowed = float(stage.limits.allowed[i, b]) - (CURE_MARGIN if name == "cure" else 0.0)
        out.append(
            Kept(
                limit=name,
                value=float(check.value[i, b]),
                allowed=allowed,
                margin=float(-lack[i, b]),
                place=place,
                scenario=scenario,
                time=float(check.time[i, b]),
            )
        )
    return tuple(out)


def binds(one: Kept) -> bool:
    """Return whether a limit is kept so closely that it shapes the cycle: within a sixth of its scale."""
    return one.margin < SCALES[one.limit] / 6.0
