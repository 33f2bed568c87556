"""How a curved part breathes: ways over its surface to strips along its net edge, and what that asks of people."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from bagside.bagging.breathing import EDGE_SPACING, BreathingPlan, reach_in
from bagside.errors import InputError
from bagside.findings import Basis, Finding, Severity
from bagside.geometry import Surface, masses, spread
from bagside.quantity import shown

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BreathingOver:
    """How a curved part breathes.

    Parameters
    ----------
    longest
        Longest way over the surface to a breathing edge [m].
    farthest
        Index of that place.
    reach, reach_band
        As for `BreathingPlan` [m].
    beyond
        Share of the area that lies farther than `reach`.
    cut_off
        Share of the area from which no way leads to a breathing edge.
    strips
        Where strips begin on the net edge, shape (k, 3) [m]; no rows when distances were given.
    """

    longest: float
    farthest: int
    reach: float
    reach_band: tuple[float, float]
    beyond: float
    cut_off: float
    strips: Floats = field(default_factory=lambda: np.zeros((0, 3)))


def breathing_over(distance: Floats, areas: Floats, *, time: float, ambient: float, vacuum: float) -> BreathingOver:
    """Return how a curved part breathes, from distances measured over its surface.

    Parameters
    ----------
    distance
        From each place to the nearest breathing edge, shape (n,) [m]; infinite where no way leads there.
    areas
        That belong to each place, shape (n,) [m²].
    time, ambient, vacuum
        As for `breathing_plan`.

    Raises
    ------
    InputError
        When shapes do not agree, no place breathes, or a number makes no sense.
    """
    d, a = np.asarray(distance, dtype=np.float64), np.asarray(areas, dtype=np.float64)
    ways = np.isfinite(d)
    if d.ndim != 1 or d.shape != a.shape or not ways.any() or not (d[ways] >= 0.0).all() or not a.sum() > 0.0:
        raise InputError.one(
            "edge breathing", f"{d.size} distances, {a.size} areas", "one of each for every place is wanted"
        )
    low, reach, high = reach_in(time, ambient, vacuum)
    k = int(np.argmax(np.where(ways, d, -1.0)))
    return BreathingOver(
        longest=float(d[k]),
        farthest=k,
        reach=reach,
        reach_band=(low, high),
        beyond=float(a[d > reach].sum() / a.sum()),
        cut_off=float(a[~ways].sum() / a.sum()),
    )


def ways_out(part: Surface, spacing: float = EDGE_SPACING) -> Floats:
    """Return the way from each vertex of a part to the nearest strip of edge breathing, shape (n,) [m].

    Parameters
    ----------
    part
        What is laid up, to its net edge; open.
    spacing
        Between strips along the edge, at most [m].

    Raises
    ------
    InputError
        When the surface closes on itself.
    """
    if not part.loops:
        raise InputError.one("edge breathing", "a surface that closes on itself", "a part with an edge is wanted")
    return spread(part, points=strips_along(part.vertices[part.loops[0]], spacing))


def breathing_on(
    part: Surface,
    *,
    time: float,
    ambient: float,
    vacuum: float,
    spacing: float = EDGE_SPACING,
    ways: Floats | None = None,
) -> BreathingOver:
    """Return how a part breathes through strips along its net edge, over its surface.

    Parameters
    ----------
    part
        What is laid up, to its net edge; open.
    time, ambient, vacuum, spacing
        As for `breathing_plan`.
    ways
        From `ways_out` with this spacing, when they were measured before.

    Raises
    ------
    InputError
        When the surface closes on itself or a number makes no sense.
    """
    distance = ways_out(part, spacing) if ways is None else ways
    found = breathing_over(distance, masses(part), time=time, ambient=ambient, vacuum=vacuum)
    return replace(found, strips=strips_along(part.vertices[part.loops[0]], spacing))


def strips_along(line: Floats, spacing: float) -> Floats:
    """Return where strips begin along a closed line, evenly and no further apart than asked, shape (k, 3) [m].

    Parameters
    ----------
    line
        Its points in order, shape (n, 3) [m].
    spacing
        At most [m].

    Raises
    ------
    InputError
        When the spacing is not positive.
    """
    if not spacing > 0.0:
        raise InputError.one("edge breathing", f"spacing {spacing} m", "a spacing above zero is wanted")
    closed = np.concatenate([line, line[:1]])
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(closed, axis=0), axis=1))])
    count = max(2, math.ceil(run[-1] / spacing - 1e-9))
    at = (np.arange(count) + 0.5) * run[-1] / count
    out: Floats = np.stack([np.interp(at, run, closed[:, k]) for k in range(3)], axis=1)
    return out


def breathing_findings(plan: BreathingPlan | BreathingOver) -> tuple[Finding, ...]:
    """Return a finding when air of some place does not leave in time.

    Parameters
    ----------
    plan
        Either kind.
    """
    cut = plan.cut_off if isinstance(plan, BreathingOver) else 0.0
    if plan.longest <= plan.reach and not cut > 0.0:
        return ()
    hours = (plan.longest / plan.reach) ** 2 if plan.reach > 0.0 else math.inf
    return (
        Finding(
            severity=Severity.WATCH,
            stage="bagging",
            place="edge breathing",
            what=f"the longest way to a breathing edge is {shown(plan.longest, 'mm', 0)}; air leaves in time from "
            f"{shown(plan.reach, 'mm', 0)}, {shown(plan.reach_band[0], 'mm', 0)} with tight cloth"
            + (f"; {100 * cut:.0f} % of the part has no way out" if cut > 0.0 else ""),
            why="air that stays is pressed into voids and pinholes far from the edge",
            do=("hold it under vacuum " + (f"{hours:.1f} times as long" if math.isfinite(hours) else "that is deeper"))
            + ", run strips closer together, or lead a dry glass strip under the last ply to the middle",
            basis=Basis.COMMON,
            source="Darcy flow of air in partly impregnated cloth; permeability from memory of the literature",
        ),
    )
