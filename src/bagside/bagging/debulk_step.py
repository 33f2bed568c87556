"""A ply as a debulk sees it, one debulk with its reasons, and what warm time costs."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bagside.bagging.debulk import Debulk

SHEARED = math.radians(20.0)  # from here on cloth springs back and wants pressing: common practice
WARM = 318.15  # [K] 40 to 50 °C
REFERENCE = 294.15  # [K] at which lives are stated
SAFE_ENERGY = 80e3  # [J/mol] for time above the reference, on the safe side
LONGEST = 60.0  # [min] of one debulk before the way should be shortened instead
BRIEF = 5.0  # [min] within which even tight cloth is rid of its air
GAS = 8.314462618


@dataclass(frozen=True, slots=True, kw_only=True)
class DebulkPly:
    """A ply as a debulk sees it.

    Parameters
    ----------
    name
        What people call it.
    area
        Of cloth [m²].
    thickness
        Cured [m].
    has_tight_corner
        Whether it runs through a tight inside corner.
    path
        Longest way of its air to a breathing edge [m]; None when it is not known.
    shear
        Most its cloth is sheared [rad].
    """

    name: str
    area: float
    thickness: float
    has_tight_corner: bool = False
    path: float | None = None
    shear: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class DebulkStep:
    """One debulk with its reasons.

    Parameters
    ----------
    debulk
        When, how long, warm or not.
    plies
        Laid since the one before.
    thickness
        Laid so far, cured [m].
    reasons
        Each in half a sentence.
    air
        Time that air needs to leave, most permeable, middle and least permeable cloth [min]; None when no way is known.
    life
        Out-life it costs, at the reference temperature [h].
    may_merge
        Whether it may be put together with the next one.
    """

    debulk: Debulk
    plies: tuple[str, ...]
    thickness: float
    reasons: tuple[str, ...]
    air: tuple[float, float, float] | None
    life: float
    may_merge: bool


def warm_factor(temperature: float) -> float:
    """Return how many hours of out-life at 21 °C an hour at a warmer temperature costs, on the safe side.

    Parameters
    ----------
    temperature
        From 21 °C up [K].

    Notes
    -----
    Arrhenius with 80 kJ/mol: 7.3 at 40 °C, 19 at 50 °C.
    """
    return math.exp(SAFE_ENERGY / GAS * (1.0 / REFERENCE - 1.0 / temperature))
