"""What held the laminate down: the vacuum over the cure, against what the resin needed of it and when."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.cure.history import SectionHistory
from bagside.cure.judging.readings import Series
from bagside.cure.judging.softness import flow_limit, flowing, softened
from bagside.cure.resin import CureResin

Floats = NDArray[np.float64]

LOST = 10_000.0
"""Pressure left in the bag above which the vacuum counts as lost [Pa]: 100 mbar, common practice."""

SHARED = 0.4
"""Share of the pressure that a pressed fibre bed may carry: not measured here; shown beside none."""

SHORTEST = 60.0
"""A loss that is over sooner is a spike [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Loss:
    """A time without vacuum.

    Parameters
    ----------
    start, end
        [s]; ``end`` is the end of the log when it did not come back.
    back
        Whether it came back.
    worst
        Most pressure left in the bag meanwhile [Pa].
    soft
        How long of it resin was soft and not gelled at the point that gelled last [s].
    alpha_leading, alpha_lagging
        Most and least cured point of the part when it began.
    through_gel
        Whether some resin gelled without vacuum.
    flow_after
        How long resin still flowed under vacuum at the lagging point after it came back [s].
    """

    start: float
    end: float
    back: bool
    worst: float
    soft: float
    alpha_leading: float
    alpha_lagging: float
    through_gel: bool
    flow_after: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pressed:
    """The vacuum of a cure.

    Parameters
    ----------
    time, left
        Pressure left in the bag, absolute, shape (k,) [s], [Pa].
    worst, mean
        From heat on to gel at the last point, or to the end of the log [Pa].
    losses
        Times without vacuum.
    margin, margin_time
        Least by which pressure on the resin exceeded what water in it needs to make no voids [Pa], while some resin
        was soft and not gelled, and when [s]; none without ambient pressure or law.
    margin_shared
        The same if fibres carry ``SHARED`` of the pressure [Pa].
    margin_lost
        Time ``margin`` was below zero [s].
    released_at
        Hottest point of the laminate when the vacuum went for good after gel [K]; none when it stayed.
    """

    time: Floats
    left: Floats
    worst: float
    mean: float
    losses: tuple[Loss, ...]
    margin: float | None
    margin_time: float | None
    margin_shared: float | None
    margin_lost: float
    released_at: float | None


def pressed(
    line: Series,
    histories: tuple[SectionHistory, ...],
    resin: CureResin,
    *,
    heat_on: float,
    lost_above: float = LOST,
    ambient: Series | float | None = None,
    needed: Callable[[Floats], Floats] | None = None,
    flow_viscosity: float = 30.0,
) -> Pressed:
    """Return what the vacuum of a cure was.

    Parameters
    ----------
    line
        Pressure left in the bag, absolute.
    histories
        Of the sections, on one time.
    resin
        The resin.
    heat_on
        When heating began [s].
    lost_above
        Pressure left in the bag above which the vacuum counts as lost [Pa].
    ambient
        Pressure outside, as a line or one number [Pa].
    needed
        Pressure that resin must be under at a temperature [K] so that water in it makes no voids [Pa]; not a
        number where that is not known.
    flow_viscosity
        Viscosity below which resin flows in any cycle [Pa s].
    """
    time = histories[0].time
    left = line.at(time)
    soft, alpha_low, alpha_high, hottest = _soft(histories, resin)
    limit = flow_limit(histories, resin, flow_viscosity)
    flows = np.all([flowing(h, resin, limit) for h in histories], axis=0)
    gelled = np.flatnonzero(alpha_low >= resin.gel)
    until = int(gelled[0]) if len(gelled) else len(time) - 1
    counted = (line.time >= heat_on) & (line.time <= time[until])
    values = line.values[counted] if counted.any() else line.values
    losses = tuple(
        _loss(a, b, line, time, soft, flows, alpha_low, alpha_high, resin, lost_above)
        for a, b in _above(line.time, line.values, lost_above)
    )
    margin = when = shared = None
    below = 0.0
    if ambient is not None and needed is not None and soft.any():
        outside = ambient.at(time) if isinstance(ambient, Series) else np.full(len(time), ambient)
        pressing, wants = (outside - left)[soft], needed(hottest[soft])
        over = pressing - wants
        if np.isfinite(over).any():
            i = int(np.nanargmin(over))
            margin, when = float(over[i]), float(time[soft][i])
            shared = float(np.nanmin(pressing * (1.0 - SHARED) - wants))
            lost = np.zeros(len(time), dtype=np.bool_)
            lost[soft] = over < 0.0
            below = float(np.diff(time) @ lost[1:])
    gone = [x for x in losses if not x.back and x.alpha_lagging >= resin.gel]
    return Pressed(
        time=line.time,
        left=line.values,
        worst=float(values.max()),
        mean=float(values.mean()),
        losses=losses,
        margin=margin,
        margin_time=when,
        margin_shared=shared,
        margin_lost=below,
        released_at=float(np.interp(gone[0].start, time, hottest)) if gone else None,
    )


def _soft(histories: tuple[SectionHistory, ...], resin: CureResin) -> tuple[NDArray[np.bool_], Floats, Floats, Floats]:
    soft = np.any([softened(h, resin).any(axis=1) for h in histories], axis=0)
    low = np.min([h.alpha.min(axis=1) for h in histories], axis=0)
    high = np.max([h.alpha.max(axis=1) for h in histories], axis=0)
    hottest = np.max([h.laminate_temperature.max(axis=1) for h in histories], axis=0)
    return soft, low, high, hottest


def _above(time: Floats, values: Floats, level: float) -> list[tuple[float, float]]:
    """Return the stretches above a level that last [s]."""
    over = values > level
    edges = np.flatnonzero(np.diff(over.astype(np.int64)))
    starts = [0, *(edges + 1).tolist()]
    ends = [*(edges + 1).tolist(), len(time) - 1]
    return [
        (float(time[a]), float(time[b]))
        for a, b in zip(starts, ends, strict=True)
        if over[a] and (time[b] - time[a] >= SHORTEST or b == len(time) - 1)
    ]


def _loss(
    a: float,
    b: float,
    line: Series,
    time: Floats,
    soft: NDArray[np.bool_],
    flows: NDArray[np.bool_],
    low: Floats,
    high: Floats,
    resin: CureResin,
    level: float,
) -> Loss:
    inside = (time >= a) & (time <= b)
    steps = np.diff(time, prepend=time[0])
    back = b < line.end or float(line.values[-1]) <= level
    before, after = np.interp(a, time, low), np.interp(b, time, high)
    return Loss(
        start=a,
        end=b,
        back=back,
        worst=float(line.values[(line.time >= a) & (line.time <= b)].max()),
        soft=float(steps[inside & soft].sum()),
        alpha_leading=float(np.interp(a, time, high)),
        alpha_lagging=float(before),
        through_gel=bool(before < resin.gel <= after),
        flow_after=float(steps[(time > b) & flows].sum()) if back else 0.0,
    )
