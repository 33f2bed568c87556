"""What a part costs: three totals that are never mixed, and the price by number off.

*Repeat* is what every further part costs: cloth, consumables, energy, glue, paint, attended time. *One-off* is what is
paid once for this design: mould, pattern, templates. *Equipment* belongs to the workshop and is shown beside, so that
nobody forgets it; it is in the price only through the overhead.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from bagside.errors import InputError, Problem
from bagside.findings import Basis

QUOTED = (1, 5, 20, 50)
_WANTED = "an amount and a price not below zero are wanted"


class Total(StrEnum):
    """Which total a line belongs to."""

    REPEAT = "repeat"
    ONE_OFF = "one-off"
    EQUIPMENT = "equipment"


@dataclass(frozen=True, slots=True, kw_only=True)
class CostLine:
    """One line.

    Parameters
    ----------
    what
        For people.
    group
        ``labour``, ``cloth``, ``consumables``, ``energy``, ``glue and paint``, ``mould``, ``templates``, ``equipment``.
    amount, unit
        How much: for one part in a repeat line, in all otherwise; in the unit shown.
    price
        For one unit, in the workshop's currency.
    total
        Which total.
    basis
        On what amount and price rest.
    """

    what: str
    group: str
    amount: float
    unit: str
    price: float
    total: Total
    basis: Basis

    @property
    def cost(self) -> float:
        """Amount times price."""
        return self.amount * self.price


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """What parts cost.

    Parameters
    ----------
    lines
        All of them.
    currency
        Three letters.
    repeat
        One further part, without scrap.
    one_off, equipment
        In all.
    prices
        Price of one part by number off.
    quantity
        Number of this job; its price is in ``prices``.
    scrap, profit
        Shares.
    """

    lines: tuple[CostLine, ...]
    currency: str
    repeat: float
    one_off: float
    equipment: float
    prices: tuple[tuple[int, float], ...]
    quantity: int
    scrap: float
    profit: float

    @property
    def price(self) -> float:
        """Price of one part at this job's number off."""
        return dict(self.prices)[self.quantity]

    def shares(self) -> tuple[tuple[str, float], ...]:
        """Return each group's share of one further part, largest first."""
        groups: dict[str, float] = {}
        for line in self.lines:
            if line.total is Total.REPEAT:
                groups[line.group] = groups.get(line.group, 0.0) + line.cost
        whole = sum(groups.values())
        if whole <= 0.0:
            return ()
        return tuple(sorted(((g, c / whole) for g, c in groups.items()), key=lambda x: -x[1]))


def price_of(repeat: float, one_off: float, number: int, *, scrap: float, profit: float) -> float:
    """Return the price of one part.

    Parameters
    ----------
    repeat
        Cost of one further part.
    one_off
        Paid once.
    number
        Parts it is spread over.
    scrap
        Share of parts that fail, below 1.
    profit
        Share put on cost.

    Raises
    ------
    InputError
        When there is no part or all fail.

    Notes
    -----
    ``number`` counts parts that are sold. Only what every part costs is divided by the share that succeeds; what is
    paid once serves the parts that are sold and is not paid again for those that fail.
    """
    if number < 1 or not 0.0 <= scrap < 1.0:
        raise InputError.one("price", f"{number} off, {100 * scrap:g} % scrap", "at least one part that does not fail")
    return (repeat / (1.0 - scrap) + one_off / number) * (1.0 + profit)


def cost_of(
    lines: Sequence[CostLine], *, quantity: int, currency: str, scrap: float, profit: float, spread: int | None = None
) -> Cost:
    """Return what parts cost, from the lines.

    Parameters
    ----------
    lines
        All of them.
    quantity
        Number of this job.
    currency
        Three letters.
    scrap, profit
        Shares.
    spread
        Number of parts the one-off cost is expected to serve, when more than this job's.

    Raises
    ------
    InputError
        When there is no part or all fail, or a line's amount or price is negative or not a number.
    """
    problems = [
        Problem(place=f"cost, {line.what}", came=f"{line.amount:g} {line.unit} at {line.price:g}", wanted=_WANTED)
        for line in lines
        if not (0.0 <= line.amount < math.inf and 0.0 <= line.price < math.inf)
    ]
    if problems:
        raise InputError(problems)

    def summed(total: Total) -> float:
        return sum(line.cost for line in lines if line.total is total)

    repeat, one_off = summed(Total.REPEAT), summed(Total.ONE_OFF)
    served = max(quantity, spread or quantity)
    prices = {
        n: price_of(repeat, one_off, served if n == quantity else n, scrap=scrap, profit=profit)
        for n in sorted({*QUOTED, quantity})
    }
    return Cost(
        lines=tuple(lines),
        currency=currency,
        repeat=repeat,
        one_off=one_off,
        equipment=summed(Total.EQUIPMENT),
        prices=tuple(prices.items()),
        quantity=quantity,
        scrap=scrap,
        profit=profit,
    )
