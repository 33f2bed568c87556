"""A target that cannot be given: which limit is in the way, and what would free it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagside.cure.design.bounds import Bounds, Flow
from bagside.cure.design.controller import ZERO_C
from bagside.cure.design.limits import NAMES, wanted_cure
from bagside.cure.design.next_step import OVEN
from bagside.cure.design.riding import Ride, ridden
from bagside.cure.design.stage import Stage
from bagside.cure.hold import hold_to_reach
from bagside.errors import InputError, Problem
from bagside.quantity import shown

Floats = NDArray[np.float64]

LOOSER_K = (5.0, 10.0, 20.0, 40.0)
"""By how much a temperature is let go to see whether that frees the target [K]."""

LOOSER = (0.75, 0.5, 0.25, 0.1)
"""What is left of a flow time, and of the distance of a spread from one half, for the same."""

FIRST = "cure"
"""Name of a stage that has no post-cure yet, which may then be proposed."""

POST_STEP, POST_HOLD = 5.0, 8 * 3600.0
"""Steps in which a post-cure is made hotter, and the longest hold that is proposed for it [K, s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Freed:
    """What would free the target.

    Parameters
    ----------
    limit
        Which limit is let go.
    was, to
        What it was and would have to be [SI].
    duration
        How long the ridden cycle would then take, cooling not counted [s].
    """

    limit: str
    was: float
    to: float
    duration: float


class NotReached(InputError):  # noqa: N818 - reads as a sentence where it is caught
    """No cycle keeps the limits and reaches the target.

    Parameters
    ----------
    problems
        In words.
    limit
        Which limit is in the way; ``oven`` for the oven's own.
    reached_cure, reached_tg
        Degree of cure and glass transition [K] that the lagging point comes to within the longest duration.
    freed
        What would free it.
    """

    def __init__(
        self,
        problems: tuple[Problem, ...],
        limit: str = "",
        reached_cure: float = 0.0,
        reached_tg: float = 0.0,
        freed: tuple[Freed, ...] = (),
    ) -> None:
        super().__init__(problems)
        self.limit, self.reached_cure, self.reached_tg, self.freed = limit, reached_cure, reached_tg, freed

    def __reduce__(self) -> tuple[type[NotReached], tuple[object, ...]]:  # type: ignore[override]
        """Return how it is made anew when it comes out of another process."""
        return (type(self), (self.problems, self.limit, self.reached_cure, self.reached_tg, self.freed))


def not_reached(stage: Stage, ride: Ride | None, going: Callable[[], bool], alpha: Floats | None = None) -> NotReached:
    """Return the error that says why a target cannot be given.

    Parameters
    ----------
    stage
        What was asked.
    ride
        What was ridden; none when the resin can never reach the target.
    going
        Asked now and then whether to go on.
    alpha
        Degree of cure to start from, shape (1, r); the sections' own when None.
    """
    resin, bounds = stage.resin, stage.bounds
    if ride is None:
        wanted = bounds.tg if bounds.tg is not None else 0.0
        return NotReached(
            (
                Problem(
                    place=f"{stage.name}, glass transition",
                    came=_c(wanted),
                    wanted=f"fully cured this resin reaches {_c(resin.tg1)}; a lower one is wanted",
                    hint="state a lower service temperature or margin, or take another resin",
                ),
            ),
            limit="resin",
            reached_cure=1.0,
            reached_tg=resin.tg1,
        )
    limit = ride.mostly
    tg = float(resin.tg(ride.cure))
    freed = _freed(stage, limit, going, alpha)
    return NotReached(
        (
            Problem(
                place=f"{stage.name}, {_name(limit)}",
                came=_value(stage, limit),
                wanted=_stopped(stage, ride, tg),
                hint="; ".join(_hints(stage, limit, ride, freed)),
            ),
        ),
        limit=limit,
        reached_cure=ride.cure,
        reached_tg=tg,
        freed=freed,
    )


def _c(kelvin: float) -> str:
    return shown(kelvin, "°C", 0)


def _name(limit: str) -> str:
    return "the oven" if limit == OVEN else NAMES[limit]


def _value(stage: Stage, limit: str) -> str:
    b = stage.bounds
    if limit == OVEN:
        return _c(stage.pace.hottest)
    if limit == "void":
        return _c(float(stage.limits.allowed[stage.limits.names.index("void")].min()))
    if limit == "flow":
        return shown(b.flow.time if b.flow is not None else 0.0, "min", 0)
    if limit == "spread":
        return shown(b.spread or 0.0, "%", 0)
    if limit in ("overshoot", "stiff"):
        return shown((b.overshoot if limit == "overshoot" else b.stiff) or 0.0, "K", 0)
    return _c((b.hottest if limit == "laminate" else b.tool) or 0.0)


def _stopped(stage: Stage, ride: Ride, tg: float) -> str:
    """Return what the resin comes to, and what was wanted."""
    wanted = wanted_cure(stage.bounds, stage.resin)
    if stage.bounds.tg is not None and wanted > (stage.bounds.target or 0.0):
        aim, got = f"a glass transition of {_c(stage.bounds.tg)}", f"{_c(tg)}"
    else:
        digits = 0 if abs(wanted - ride.cure) >= 0.01 else 1
        aim, got = f"{shown(wanted, '%', digits)} cure", shown(ride.cure, "%", digits)
    if ride.stuck:
        last = "cooling" if stage.pace.falls else "holding"
        return f"{aim} is wanted, but not even {last} keeps this limit after {shown(float(ride.time[-1]), 'min', 0)}"
    return f"{aim} is wanted, but within it the lagging point comes to {got} in {shown(float(ride.time[-1]), 'h', 0)}"


def _looser(stage: Stage, limit: str) -> list[tuple[float, float, Stage]]:
    """Return what a limit was, what it might be, and the stage with that."""
    b, out = stage.bounds, []

    def again(bounds: Bounds) -> Stage:
        return Stage.of(
            stage.name, stage.sections, stage.resin, stage.oven, bounds, stage.controller, stage.start, scenarios
        )

    scenarios = stage.scenarios
    if limit == "flow" and b.flow is not None:
        for share in LOOSER:
            flow = Flow(viscosity=b.flow.viscosity, time=share * b.flow.time)
            out.append((b.flow.time, flow.time, again(replace(b, flow=flow))))
    elif limit == "spread" and b.spread is not None:
        for share in LOOSER[:2]:
            to = b.spread + (1.0 - share) * max(0.5 - b.spread, 0.1)
            out.append((b.spread, to, again(replace(b, spread=to))))
    elif limit == "stiff" and b.stiff is not None:
        for share in (0.5, 0.0):
            out.append((b.stiff, share * b.stiff, again(replace(b, stiff=share * b.stiff))))
    elif limit == "void":
        was = float(stage.limits.allowed[stage.limits.names.index("void")].min())
        for k in LOOSER_K:
            scenarios = tuple(
                replace(s, void_free=None if s.void_free is None else s.void_free + k) for s in stage.scenarios
            )
            out.append((was, was + k, again(replace(b, void_free=None if b.void_free is None else b.void_free + k))))
    elif limit in ("laminate", "tool", "overshoot"):
        name = {"laminate": "hottest", "tool": "tool", "overshoot": "overshoot"}[limit]
        was = float(getattr(b, name))
        for k in LOOSER_K:
            looser: dict[str, Any] = {name: was + k}
            out.append((was, was + k, again(replace(b, **looser))))
    elif limit == OVEN:
        for k in LOOSER_K:
            oven = replace(stage.oven, hottest=stage.pace.hottest + k)
            out.append(
                (
                    stage.pace.hottest,
                    oven.hottest,
                    Stage.of(
                        stage.name, stage.sections, stage.resin, oven, replace(b, power=None), stage.controller,
                        stage.start, scenarios,
                    ),
                )
            )  # fmt: skip
    return out


def _freed(stage: Stage, limit: str, going: Callable[[], bool], alpha: Floats | None) -> tuple[Freed, ...]:
    """Return the least by which the limit has to be let go, when that is among what is tried."""
    for was, to, looser in _looser(stage, limit):
        if not going():
            break
        begin = looser.rig.rows(1, looser.top, alpha)
        (ride,) = ridden(
            looser.rig, begin, looser.limits, looser.pace, longest=stage.bounds.longest, going=going, plain=False
        )
        if ride.reached:
            return (Freed(limit=limit, was=was, to=to, duration=float(ride.time[-1])),)
    return ()


def _hints(stage: Stage, limit: str, ride: Ride, freed: tuple[Freed, ...]) -> list[str]:
    """Return what a person may do."""
    hints = []
    for f in freed:
        amount = {
            "flow": shown(f.to, "min", 0),
            "spread": shown(f.to, "%", 0),
            "overshoot": shown(f.to, "K", 0),
            "stiff": shown(f.to, "K", 0),
        }.get(limit, _c(f.to))
        hints.append(f"at {amount} it is reached in {shown(f.duration, 'h', 1)}")
    if not freed and not ride.stuck:
        hints.append("letting go of it further than is sensible does not reach it either")
    if limit == "tool" and stage.name == FIRST and (hot := _post_cure(stage, ride.cure)) is not None:
        hints.append(f"or a post-cure off the mould at {_c(hot[0])} for {shown(hot[1], 'h', 1)} reaches it")
    if limit == "void":
        hints.append("or dry the lay-up under vacuum, lay it in drier air, or pull a deeper vacuum")
    return hints


def _post_cure(stage: Stage, cure: float) -> tuple[float, float] | None:
    """Return the coolest hold, and its time, that takes the resin from a degree of cure to the target."""
    wanted = min(wanted_cure(stage.bounds, stage.resin), 0.9999)
    tool = stage.bounds.tool or 293.15
    top = min(stage.resin.hottest, stage.resin.kinetics.valid.hottest, stage.oven.hottest)
    first = POST_STEP * (np.floor((tool - ZERO_C) / POST_STEP) + 1.0) + ZERO_C
    for t in np.arange(first, top + 1e-6, POST_STEP):
        span = hold_to_reach(stage.resin.kinetics, cure, wanted, float(t))
        if span <= POST_HOLD:
            return float(t), span
    return None
