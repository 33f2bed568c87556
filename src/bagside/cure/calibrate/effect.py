"""What the calibration changes in the next plan: how hot the part is when a rise ends, and when its dwell begins."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside.cure.history import SectionHistory
from bagside.cure.outcome import crossed
from bagside.cure.oven import Oven
from bagside.cure.programme import Programme
from bagside.cure.resin import CureResin
from bagside.cure.section import Section
from bagside.cure.solve import simulate

Floats = NDArray[np.float64]

BAND = 5.0  # [K] below the target at which a dwell begins
STEP = 0.1  # of a logarithm


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """A rise of the next plan at one place.

    Parameters
    ----------
    place
        Of the part.
    segment
        Number of it, from 1.
    target
        Of the rise [K].
    before, after, doubt
        Coolest point of the laminate when the programme ends its rise: as planned so far, as it is now expected, and
        the standard deviation of that [K].
    dwell_before, dwell_after, dwell_doubt
        When that point is within 5 K of the target [s]; None when it never is.
    """

    place: str
    segment: int
    target: float
    before: float
    after: float
    doubt: float
    dwell_before: float | None
    dwell_after: float | None
    dwell_doubt: float | None


def effects(
    sections: Sequence[Section],
    resin: CureResin,
    programme: Programme,
    oven: Oven,
    found: Oven,
    films: tuple[float, float],
    covariance: Floats,
) -> tuple[Effect, ...]:
    """Return what the calibration changes, for each rise and place.

    Parameters
    ----------
    sections
        As stated.
    resin
        The resin.
    programme
        Of the next plan.
    oven, found
        As stated and as it was found.
    films
        Logarithms of the factors on the film of the bag's side and on that of the mould's back.
    covariance
        Of both and of the logarithm of the lag, shape (3, 3).
    """
    lanes, airs = list[Section](), []
    old, new = oven.air(programme), found.air(programme)
    late = replace(found, lag=found.lag * np.exp(STEP)).air(programme)
    moves = ((0.0, 0.0, new), (STEP, 0.0, new), (0.0, STEP, new), (0.0, 0.0, late))
    for s in sections:
        plain = replace(s, start=None)
        lanes.append(plain)
        airs.append(old)
        for bag, tool, air in moves:
            lanes.append(
                replace(
                    plain,
                    film_bag=s.film_bag * float(np.exp(films[0] + bag)),
                    film_tool=s.film_tool * float(np.exp(films[1] + tool)),
                )
            )
            airs.append(air)
    run = simulate(lanes, resin, airs, tolerance=0.05)
    out, each = [], 1 + len(moves)
    for i, s in enumerate(sections):
        histories = run[i * each : (i + 1) * each]
        for number, target, begins, ends in _rises(programme):
            hot = [float(np.interp(ends, h.time, _coolest(h))) for h in histories]
            when = [_dwell(h, target, begins) for h in histories]
            g = np.array([(x - hot[1]) / STEP for x in hot[2:]])
            doubt = None
            if all(w is not None for w in when[1:]):
                known = [w for w in when[1:] if w is not None]
                d = np.array([(w - known[0]) / STEP for w in known[1:]])
                doubt = float(np.sqrt(d @ covariance @ d))
            out.append(
                Effect(
                    place=s.name,
                    segment=number,
                    target=target,
                    before=hot[0],
                    after=hot[1],
                    doubt=float(np.sqrt(g @ covariance @ g)),
                    dwell_before=when[0],
                    dwell_after=when[1],
                    dwell_doubt=doubt,
                )
            )
    return tuple(out)


def _rises(programme: Programme) -> list[tuple[int, float, float, float]]:
    """Return number, target, begin and end of each rise."""
    out, at, level = [], 0.0, programme.start
    for number, s in enumerate(programme.segments, 1):
        end = at + abs(s.target - level) / s.ramp
        if s.target > level + BAND:
            out.append((number, s.target, at, end))
        at, level = end + s.hold, s.target
    return out


def _coolest(h: SectionHistory) -> Floats:
    out: Floats = h.laminate_temperature.min(axis=1)
    return out


def _dwell(h: SectionHistory, target: float, begins: float) -> float | None:
    after = h.time >= begins
    return crossed(h.time[after], _coolest(h)[after], target - BAND)
