"""What a resin does when it is held at one temperature: the table that people know from data sheets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bagside.cure.advance import advanced
from bagside.cure.hold import hold_to_reach
from bagside.cure.life import Spell
from bagside.cure.resin import CureResin

HOLDS = (3600.0, 7200.0, 28800.0)
"""Holds after which a glass transition is told [s]."""
MOSTLY = 0.9
"""Degree of cure whose time is told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldAt:
    """One line of the table.

    Parameters
    ----------
    temperature
        Of the hold [K].
    gel, mostly
        Time to gel and to `MOSTLY` [s]; infinite when it takes more than four months.
    tg
        Glass transition after each of `HOLDS` [K].
    valid
        Whether the law may be believed at this temperature.
    """

    temperature: float
    gel: float
    mostly: float
    tg: tuple[float, ...]
    valid: bool


def held_at(resin: CureResin, temperatures: Sequence[float]) -> tuple[HeldAt, ...]:
    """Return what a resin does at each of some temperatures, heat of reaction and lag left out.

    Parameters
    ----------
    resin
        The resin.
    temperatures
        Of the holds [K].

    Raises
    ------
    NotSolved
        When its law cannot be followed.
    """
    law, start = resin.kinetics, resin.alpha0
    out = []
    for t in temperatures:
        alphas = [float(advanced(law, start, [Spell(duration=h, temperature=t)])[0]) for h in HOLDS]
        out.append(
            HeldAt(
                temperature=t,
                gel=hold_to_reach(law, start, resin.gel, t),
                mostly=hold_to_reach(law, start, MOSTLY, t),
                tg=tuple(float(resin.tg(a)) for a in alphas),
                valid=law.valid.coldest <= t <= law.valid.hottest,
            )
        )
    return tuple(out)


def usual_temperatures(resin: CureResin) -> tuple[float, ...]:
    """Return round temperatures at which a table tells most: where gel takes minutes to days [K].

    Parameters
    ----------
    resin
        The resin.
    """
    grid = [273.15 + 10.0 * k for k in range(3, 24)]
    gels = {t: hold_to_reach(resin.kinetics, resin.alpha0, resin.gel, t) for t in grid if t <= resin.hottest}
    telling = [t for t, gel in gels.items() if 300.0 <= gel <= 172800.0 and t <= resin.kinetics.valid.hottest]
    kept = telling or list(gels)
    step = max(1, -(-len(kept) // 6))
    return tuple(kept[::-1][::step][::-1])
