"""Why a programme is as it is: for each segment, what would break if it were faster, hotter or shorter.

Answered by trying: one thing in one segment is changed a little, the rest of the programme is left as it is, and what
breaks most is what limits it.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from bagside.cure.design.design import Design
from bagside.cure.design.stage import Stage
from bagside.cure.design.trial import tried
from bagside.cure.programme import Segment
from bagside.quantity import shown

Floats = NDArray[np.float64]

FASTER, SHORTER, HOTTER = 0.25, 0.25, 3.0
"""Share by which a rate is raised and a hold cut, and by how much a target is raised, to see what breaks [–, –, K]."""

AS_FAST = 0.95
"""Share of the fastest rate from which a ramp counts as as fast as it goes."""

BRIEF = 180.0
"""Holds shorter than this are what whole steps leave over and need no reason [s]."""

TELLING = 0.02
"""What has to be broken more than before, in units of a limit's scale, to count as a reason."""


def why(design: Design) -> tuple[str, ...]:
    """Return one sentence for each segment of the programme: what it does and what limits it.

    Parameters
    ----------
    design
        What was found.

    Returns
    -------
    tuple of str
        In the order of the programme's segments, cooling at the end included.
    """
    stage, own = design.stage, design.settings.programme
    time, end, keys = _variants(stage.start, own.segments)
    broken = _broken(stage, time, end, design.begin)
    reason = dict(zip(keys, broken, strict=True))
    out, at = [], stage.start
    for i, segment in enumerate(own.segments):
        out.append(_sentence(stage, at, segment, lambda what, i=i: reason.get((i, what), "")))  # type: ignore[misc]
        at = segment.target
    if len(design.programme.segments) > len(own.segments):
        last = design.programme.segments[-1]
        out.append(
            f"falls to {_c(last.target)} at {_rate(last.ramp)}, as fast as the oven goes, until all of laminate and "
            f"tool is below {_c(stage.bounds.demould or last.target)}"
        )
    return tuple(out)


def _c(kelvin: float) -> str:
    return shown(kelvin, "°C", 0)


def _rate(kelvin_per_second: float) -> str:
    return shown(kelvin_per_second, "°C/min", 1 if kelvin_per_second * 60.0 > 0.15 else 2)


def _variants(start: float, segments: tuple[Segment, ...]) -> tuple[Floats, Floats, list[tuple[int, str]]]:
    """Return the programme and its variations as lines, and which segment each varies in what."""
    at, time, end = start, [], []
    for s in segments:
        time += [abs(s.target - at) / s.ramp, s.hold]
        end += [s.target, s.target]
        at = s.target
    times, ends, keys = [np.array(time)], [np.array(end)], [(-1, "")]
    at = start
    for i, s in enumerate(segments):
        faster, shorter, hotter, longer = (np.array(x) for x in (time, time, end, time))
        faster[2 * i] /= 1.0 + FASTER
        shorter[2 * i + 1] *= 1.0 - SHORTER
        hotter[2 * i : 2 * i + 2] += HOTTER
        if (np.diff(end) >= 0.0).all():  # what only rises still does
            hotter = np.maximum.accumulate(hotter)
        longer[2 * i] = abs(s.target + HOTTER - at) / s.ramp
        times += [faster, shorter, longer]
        ends += [ends[0], ends[0], hotter]
        keys += [(i, "faster"), (i, "shorter"), (i, "hotter")]
        at = s.target
    return np.array(times), np.array(ends), keys


def _broken(stage: Stage, time: Floats, end: Floats, alpha: Floats | None) -> list[str]:
    """Return what each programme breaks that the first one keeps, in words; empty when nothing."""
    count = len(time)
    begin = None if alpha is None else stage.rig.rows(count, stage.top, np.repeat(alpha, count, axis=0))
    trial = tried(stage.rig, stage.limits, time, end, begin=begin, cooling=stage.cooling)
    out = []
    end_of_it = np.array([name == "cure" for name in stage.limits.names])
    for g in range(count):
        more = trial.broken[:, g] - np.maximum(trial.broken[:, 0], 0.0)
        if (more[~end_of_it] > TELLING).any():
            more[end_of_it] = -np.inf  # less time to cure comes with every change that saves time
        i, b = (int(x) for x in np.unravel_index(int(more.argmax()), more.shape))
        out.append(_words(stage, stage.limits.names[i], b) if more[i, b] > TELLING else "")
    return out


def _words(stage: Stage, limit: str, lane: int) -> str:
    """Return that a limit is broken in a lane, as a clause."""
    b = stage.bounds
    place, scenario = stage.lane(lane)
    allowed = float(stage.limits.allowed[stage.limits.names.index(limit), lane])
    if limit == "cure" and b.tg is not None and stage.bounds.target is None:
        said = f"{place} ends below a glass transition of {_c(b.tg)}"
    else:
        said = {
            "laminate": f"{place} passes {_c(allowed)}",
            "tool": f"the mould under {place} passes {_c(allowed)}",
            "overshoot": f"{place} runs more than {shown(allowed, 'K', 0)} over the air",
            "void": f"{place} is above {_c(allowed)} before it gels",
            "stiff": f"{place} comes within {shown(allowed, 'K', 0)} of its glass transition",
            "spread": f"cure differs by more than {shown(allowed, '%', 0)} through {place}",
            "flow": f"{place} flows for less than {shown(allowed, 'min', 0)} before it gels",
            "cure": f"{place} ends short of its degree of cure",
        }[limit]
    return f"{said} with {scenario}" if scenario else said


def _sentence(stage: Stage, at: float, s: Segment, reason: Callable[[str], str]) -> str:
    """Return what a segment does and what limits it."""
    parts = []
    faster, hotter = "", reason("hotter")
    if abs(s.target - at) > 1e-6:
        fastest = stage.pace.fastest(at, s.target)
        said = f"{'rises' if s.target > at else 'falls'} to {_c(s.target)} at {_rate(s.ramp)}"
        if s.ramp >= AS_FAST * fastest:
            heater = s.target > at and fastest < 0.999 * stage.pace.heating
            said += ", as fast as the heater can" if heater else ", as fast as the oven goes"
        elif faster := reason("faster"):
            both = f"faster or {shown(HOTTER, 'K', 0)} hotter" if faster == hotter else "faster"
            said += f": {both} and {faster}"
        parts.append(said)
    if s.target > at and s.target > stage.pace.hottest - stage.controller.temperature_step:
        parts.append("as hot as the oven goes")
    elif hotter and hotter != faster:
        parts.append(f"{shown(HOTTER, 'K', 0)} hotter and {hotter}")
    if s.hold >= BRIEF:
        held = f"holds {shown(s.hold, 'min', 0)}"
        parts.append(f"{held}: shorter and {reason('shorter')}" if reason("shorter") else held)
    return "; ".join(parts)
