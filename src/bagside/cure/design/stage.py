"""One oven run that is to be found: places, scenarios, limits and what the controller takes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside.cure.design.aim import GENTLE_MINUTES, GENTLE_TIME, OVER_UNIT, SPREAD_UNIT, Aim, Costs
from bagside.cure.design.bounds import Bounds
from bagside.cure.design.controller import ZERO_C, Controller, Kind
from bagside.cure.design.course import Pace, Settings
from bagside.cure.design.limits import LimitSet, wanted_cure
from bagside.cure.design.polish import Tried
from bagside.cure.design.rig import Rig
from bagside.cure.design.seen import Watch
from bagside.cure.design.trial import Cooling, Trial, tried
from bagside.cure.oven import Oven
from bagside.cure.programme import Programme, Segment
from bagside.cure.resin import CureResin
from bagside.cure.scenario import Scenario
from bagside.cure.section import Section
from bagside.errors import InputError

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

CURE_MARGIN = 0.005
"""Degree of cure kept in hand: what a design mesh is off by, and what would leave a search just short."""

FIRST_GUARD = {"laminate": 0.3, "tool": 0.3, "overshoot": 0.3, "void": 0.3, "stiff": 0.2, "spread": 0.002, "flow": 30.0}
"""By how much limits are kept more closely in the search, as its mesh and steps are coarse; each in its own unit."""

BELOW_DEMOULD, LEAST_BELOW = 10.0, 3.0
"""How far below the temperature at which a part is taken out the air cools, and at least where it starts warm [K]."""

READY_SHARE = 0.02
"""Share of the cooling by which it is held longer than the search found."""

WARM_NEAR = 60.0
"""Lanes that are cool within this of the last are looked at in the search [s]."""

SHARP = 8.0
"""Power of the mean that stands for the worst of many, so that the search meets no kinks."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stage:
    """One oven run that is to be found.

    Parameters
    ----------
    name
        For messages: ``cure``, ``post-cure``.
    sections
        The places, as stated.
    scenarios
        What they may turn out as.
    resin, oven, bounds, controller, start
        As given.
    rig
        Places times scenarios, ready to be tried, scenario by scenario.
    limits
        The bounds, lane by lane.
    pace
        How fast the air may change.
    """

    name: str
    sections: tuple[Section, ...]
    scenarios: tuple[Scenario, ...]
    resin: CureResin
    oven: Oven
    bounds: Bounds
    controller: Controller
    start: float
    rig: Rig
    limits: LimitSet
    pace: Pace

    @classmethod
    def of(
        cls,
        name: str,
        sections: Sequence[Section],
        resin: CureResin,
        oven: Oven,
        bounds: Bounds,
        controller: Controller,
        start: float,
        scenarios: Sequence[Scenario],
    ) -> Stage:
        """Return a stage.

        Raises
        ------
        InputError
            When there is no section or one without laminate, or a flow is asked of a resin without a viscosity.
        """
        if not sections or not scenarios:
            raise InputError.one(name, "", "a section and a scenario, or more of them, are wanted")
        for s in sections:
            if not len(s.reacting):
                raise InputError.one(s.name, "", "a section with a laminate is wanted")
        if bounds.flow is not None and resin.viscosity is None:
            raise InputError.one(
                f"{name}, limit, flow", "", "a resin whose viscosity is known is wanted", "or leave this limit out"
            )
        lanes = tuple(x for scenario in scenarios for x in scenario.of(sections))
        target = wanted_cure(bounds, resin) + CURE_MARGIN
        limits = LimitSet.of(bounds, target, scenarios, len(sections))
        guard = np.array([[FIRST_GUARD.get(n, 0.0)] for n in limits.names]) * np.ones((1, len(lanes)))
        return cls(
            name=name,
            sections=tuple(sections),
            scenarios=tuple(scenarios),
            resin=resin,
            oven=oven,
            bounds=bounds,
            controller=controller,
            start=start,
            rig=Rig(lanes, resin, oven, start, Watch(lanes, resin, bounds, target)),
            limits=limits.guarded(guard),
            pace=Pace.of(oven, controller, bounds.power),
        )

    @property
    def top(self) -> float:
        """Hottest that a programme is likely to ask for [K]; places' offsets are there in full when it does."""
        b = self.bounds
        near = [self.pace.hottest, *(x for x in (b.hottest, b.tool) if x is not None)]
        return max(min(near), self.start + 1.0)

    @property
    def cooling(self) -> Cooling | None:
        """How the cycle ends, when the part is to be cool; in steps of the controller."""
        demould, c = self.bounds.demould, self.controller
        if demould is None:
            return None
        to = max(demould - BELOW_DEMOULD, min(self.start, demould - LEAST_BELOW))
        to = ZERO_C + c.temperature_step * float(np.ceil((to - ZERO_C) / c.temperature_step - 1e-9))
        rate = self.pace.cooling
        if c.kind is Kind.RATE:
            rate = c.rate_step * max(float(np.floor(rate / c.rate_step + 1e-6)), 1.0)
        return Cooling(demould=demould, to=to, rate=rate)

    def whole(self, settings: Settings, ready: float) -> Programme:
        """Return the programme with its cooling, when that counts.

        Parameters
        ----------
        settings
            Ramps and holds without the cooling.
        ready
            When the part is cool enough by the search, with an hour's hold at most to spare [s].
        """
        programme, cooling, c = settings.programme, self.cooling, self.controller
        if cooling is None or programme.segments[-1].target <= cooling.to:
            return programme
        fall = programme.segments[-1].target - cooling.to
        span = fall / cooling.rate
        if c.kind is Kind.TIME:
            span = c.time_step * float(np.ceil(span / c.time_step - 1e-6))
        late = ready - programme.duration - span
        spare = READY_SHARE * (ready - programme.duration) + c.time_step
        hold = c.time_step * float(np.ceil(max(late + spare, 0.0) / c.time_step))
        last = Segment(target=cooling.to, ramp=fall / span, hold=hold)
        return Programme(start=programme.start, segments=(*programme.segments, last))

    def only(self, scenarios: Sequence[Scenario]) -> Stage:
        """Return the stage in other scenarios."""
        return Stage.of(
            self.name, self.sections, self.resin, self.oven, self.bounds, self.controller, self.start, scenarios
        )

    def towards(self, target: float) -> Stage:
        """Return the stage with another degree of cure as its only target."""
        return Stage.of(
            self.name,
            self.sections,
            self.resin,
            self.oven,
            replace(self.bounds, target=target, tg=None),
            self.controller,
            self.start,
            self.scenarios,
        )

    def guarded(self, more: Floats) -> Stage:
        """Return the stage with limits kept more closely, shape (m, b)."""
        return replace(self, limits=self.limits.guarded(more))

    def of_lanes(self, lanes: Ints) -> Stage:
        """Return the stage with some lanes only, to search on; places and scenarios are still all of them."""
        rig = self.rig.of_lanes(lanes)
        return replace(self, rig=rig, limits=self.limits.of_lanes(lanes))

    def lane(self, index: int) -> tuple[str, str]:
        """Return place and scenario of a lane."""
        scenario, place = divmod(index, len(self.sections))
        return self.sections[place].name, self.scenarios[scenario].name


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chain:
    """Oven runs one after the other, the next with the cure that the one before left.

    Parameters
    ----------
    stages
        In order.
    aim, costs
        What is to become small.
    """

    stages: tuple[Stage, ...]
    aim: Aim
    costs: Costs | None

    def trials(self, lines: Sequence[tuple[Floats, Floats]]) -> list[Trial]:
        """Return what rows of programmes come to, stage by stage; lines are time and end, shape (g, m) each."""
        out: list[Trial] = []
        for stage, (time, end) in zip(self.stages, lines, strict=True):
            if out:
                begin = stage.rig.rows(len(time), stage.top, out[-1].rows.alpha)
                out.append(tried(stage.rig, stage.limits, time, end, begin=begin, cooling=stage.cooling))
                continue
            # what only a later stage differs in is computed once
            _, first, back = np.unique(np.hstack([time, end]), axis=0, return_index=True, return_inverse=True)
            trial = tried(stage.rig, stage.limits, time[first], end[first], cooling=stage.cooling)
            out.append(trial.taken(back.ravel()))
        return out

    def judged(self, lines: Sequence[tuple[Floats, Floats]], trials: Sequence[Trial]) -> Tried:
        """Return cost in minutes and what is broken, of rows of programmes and what they came to."""
        cost, parts = np.zeros(len(lines[0][0])), []
        for stage, (time, end), trial in zip(self.stages, lines, trials, strict=True):
            parts.append(trial.parts)
            parts.append((trial.duration[None, :] - stage.bounds.longest) / 600.0)
            if self.aim is Aim.CHEAPEST and self.costs is not None:
                per_minute = 60.0 * (self.costs.oven + self.costs.energy * self.costs.loss * 60.0)
                money = self.costs.of(stage.start, time, end, trial.duration)
                cost += money / per_minute
            elif self.aim is Aim.GENTLEST:
                seen = trial.rows.seen
                strain = np.hstack([seen.spread / SPREAD_UNIT, np.maximum(seen.over, 0.0) / OVER_UNIT])
                cost += GENTLE_MINUTES * np.mean(strain**SHARP, axis=1) ** (1.0 / SHARP)
                cost += GENTLE_TIME * trial.duration / 60.0
            else:
                cost += trial.duration / 60.0
        return Tried(cost=cost, broken=np.concatenate(parts))

    def of_lanes(self, lanes: Ints) -> Chain:
        """Return the chain with some lanes only."""
        return replace(self, stages=tuple(s.of_lanes(lanes) for s in self.stages))

    def guarded(self, more: float) -> Chain:
        """Return the chain with limits kept more closely, in units of their scale."""
        return replace(self, stages=tuple(s.guarded(more * s.limits.scales) for s in self.stages))

    def close(self, trials: Sequence[Trial], near: float) -> Bools:
        """Return which lanes of the first row come near a limit, or are the last to be cool, shape (b,)."""
        if self.aim is Aim.GENTLEST:
            return np.ones(trials[0].broken.shape[2], dtype=np.bool_)
        out = np.zeros(trials[0].broken.shape[2], dtype=np.bool_)
        for stage, trial in zip(self.stages, trials, strict=True):
            out[np.argmax(trial.broken[:, 0].max(axis=0))] = True
            out |= (trial.broken[:, 0] > near).any(axis=0)
            if stage.bounds.demould is not None:
                warm = trial.rows.seen.warm[0]
                out |= warm > warm.max() - WARM_NEAR
        return out

    def tried(self, lines: Sequence[tuple[Floats, Floats]]) -> Tried:
        """Return cost in minutes and what is broken, of rows of programmes."""
        return self.judged(lines, self.trials(lines))
