"""What the page of money shows: what one further part costs, what is paid once, the price by number off."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bagside.findings import Basis, weakest
from bagside.planning.cost import CostLine, Total, price_of
from bagside.planning.plan import BuildPlan
from bagside.planning.stages import Stages

POINTS = 40
"""Of the line of prices."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """A group of lines of one further part, and the weakest basis of them."""

    group: str
    cost: float
    share: float
    basis: Basis


@dataclass(frozen=True, slots=True, kw_only=True)
class MoneyView:
    """What the page of money shows; money in `currency`.

    Parameters
    ----------
    currency
        Three letters.
    shares
        Of one further part, the largest first.
    lines
        All lines of cost.
    repeat, one_off, equipment
        One further part, without scrap; paid once; what the workshop has.
    prices
        By number off, as the plan quotes them.
    curve
        The price by number off when what is paid once is spread over that number.
    quantity, price
        Of this job, and its price of one part.
    spread
        Number of parts that what is paid once is spread over in this job's price.
    scrap, profit
        Shares.
    basis
        Weakest of all that is in the price.
    """

    currency: str
    shares: tuple[Share, ...]
    lines: tuple[CostLine, ...]
    repeat: float
    one_off: float
    equipment: float
    prices: tuple[tuple[int, float], ...]
    curve: tuple[tuple[float, float], ...]
    quantity: int
    price: float
    spread: int
    scrap: float
    profit: float
    basis: Basis


def view(plan: BuildPlan, stages: Stages) -> MoneyView:
    """Return what the page of money shows.

    Parameters
    ----------
    plan
        The build.
    stages
        Keep what is worked out; nothing here is worth keeping.
    """
    cost = plan.cost
    paid = [line for line in cost.lines if line.total is not Total.EQUIPMENT]
    bases = {
        group: weakest(*(x.basis for x in cost.lines if x.total is Total.REPEAT and x.group == group))
        for group, _ in cost.shares()
    }
    last = max(50, 2 * cost.quantity)
    return MoneyView(
        currency=cost.currency,
        shares=tuple(Share(group=g, cost=s * cost.repeat, share=s, basis=bases[g]) for g, s in cost.shares()),
        lines=cost.lines,
        repeat=cost.repeat,
        one_off=cost.one_off,
        equipment=cost.equipment,
        prices=cost.prices,
        curve=tuple(
            (float(n), _between(float(n), cost.repeat, cost.one_off, cost.scrap, cost.profit))
            for n in np.geomspace(1.0, last, POINTS)
        ),
        quantity=cost.quantity,
        price=cost.price,
        spread=max(cost.quantity, plan.job.mould.expected or cost.quantity),
        scrap=cost.scrap,
        profit=cost.profit,
        basis=weakest(*(line.basis for line in paid)) if paid else Basis.COMMON,
    )


def _between(number: float, repeat: float, one_off: float, scrap: float, profit: float) -> float:
    """Return the price at a number off that may lie between two whole ones: a line is drawn through it."""
    every = price_of(repeat, 0.0, 1, scrap=scrap, profit=profit)
    once = price_of(0.0, one_off, 1, scrap=scrap, profit=profit)
    return every + once / number
