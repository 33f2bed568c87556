"""How sure a cycle is: chance of every limit, what drives it, and what the cure comes to between bad and good luck."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.cure.chance.draws import Draws
from bagside.cure.chance.margins import Margins
from bagside.cure.chance.odds import LEVEL, Odds, odds
from bagside.cure.chance.scatter import INPUTS
from bagside.cure.chance.shares import Driver, drivers
from bagside.errors import InputError

Floats = NDArray[np.float64]

QUANTILES = (0.05, 0.5, 0.95)
"""Shares of all cases below the values that are told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitChance:
    """How sure one limit is.

    Parameters
    ----------
    name
        The limit, after the name of its oven run when there are several.
    odds
        Chance that it holds.
    margin
        Of the margin, values at `QUANTILES` [SI]; minus infinity where a draw could not be computed.
    drivers
        What the margin hangs on, most first.
    """

    name: str
    odds: Odds
    margin: tuple[float, float, float]
    drivers: tuple[Driver, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chance:
    """How sure a cycle is.

    Parameters
    ----------
    all_hold
        Chance that every limit holds at once.
    limits
        One for each limit, least sure first.
    quantiles
        Degree of cure, glass transition, hottest laminate, hottest tool, time of gel: values at `QUANTILES`, by name
        [SI]; infinite where the part does not gel, minus infinity without a tool.
    asked
        Draws that were asked for; more than there are when it was stopped.
    not_computed
        Draws that could not be computed, in which every limit counts as broken.
    draws, margins
        What it was counted on.
    """

    all_hold: Odds
    limits: tuple[LimitChance, ...]
    quantiles: dict[str, tuple[float, float, float]]
    asked: int
    not_computed: int
    draws: Draws
    margins: Margins

    @property
    def holds(self) -> NDArray[np.bool_]:
        """Whether every limit holds, for each draw, shape (n,)."""
        return np.asarray((self.margins.values >= 0.0).all(axis=1))

    def to_hold(self, wanted: float) -> NDArray[np.int64]:
        """Return the draws that a cycle must hold in as well, for its chance to become as large as wanted.

        Parameters
        ----------
        wanted
            Chance that is wanted for all limits at once.

        Returns
        -------
        ndarray of int
            Rows of the draws, one for each limit that fails too often; none when all is sure enough.

        Notes
        -----
        What may fail is shared evenly among the limits that fail. The draw taken for a limit is the worst of those
        that must still hold: a cycle for it holds in the milder ones as well, and the worst of all, which would cost
        time for a chance that nobody asked for, are let go.
        """
        values = np.where(np.isnan(self.margins.values), -np.inf, self.margins.values)
        failing = np.flatnonzero((values < 0.0).any(axis=0))
        spare = int((1.0 - wanted) * len(values) / max(len(failing), 1))
        rows = [int(np.argsort(values[:, k], kind="stable")[min(spare, len(values) - 1)]) for k in failing]
        must = [i for i, k in zip(rows, failing, strict=True) if values[i, k] < 0.0]
        return np.array(list(dict.fromkeys(must)), dtype=np.int64)


def chance_of(draws: Draws, margins: Margins, asked: int | None = None, level: float = LEVEL) -> Chance:
    """Return how sure a cycle is.

    Parameters
    ----------
    draws
        What turned out otherwise.
    margins
        Of the same draws.
    asked
        Draws that were asked for; as many as there are when None.
    level
        How sure the interval of each chance is.

    Returns
    -------
    Chance
        Of each limit and of all together.

    Raises
    ------
    InputError
        When draws and margins are not of one number.
    """
    n = len(draws)
    if not n == len(margins.values) or not n:
        raise InputError.one("chance", f"{n} draws, {len(margins.values)} margins", "as many of both are wanted")
    values = margins.values
    holds = values >= 0.0
    ranked = np.where(np.isfinite(values) | (values == np.inf), values, -np.inf)
    limits = [
        LimitChance(
            name=name,
            odds=odds(int(holds[:, k].sum()), n, level),
            margin=_quantiles(ranked[:, k]),
            drivers=drivers(INPUTS, draws.values, values[:, k]),
        )
        for k, name in enumerate(margins.limits)
    ]
    broken = np.isnan(values).any(axis=1)
    good = margins.reached[~broken]
    return Chance(
        all_hold=odds(int(holds.all(axis=1).sum()), n, level),
        limits=tuple(sorted(limits, key=_sureness)),
        quantiles={name: _quantiles(good[:, k]) for k, name in enumerate(margins.told)} if len(good) else {},
        asked=n if asked is None else asked,
        not_computed=int(broken.sum()),
        draws=draws,
        margins=margins,
    )


def _sureness(c: LimitChance) -> tuple[int, float]:
    """Return how sure a limit is, and among equally sure ones how little of its usual margin is left in bad luck."""
    low, middle, _ = c.margin
    if not (np.isfinite(low) and np.isfinite(middle)):
        return c.odds.held, -np.inf if low == -np.inf else np.inf
    return c.odds.held, low / max(abs(middle), 1e-12)


def _quantiles(values: Floats) -> tuple[float, float, float]:
    """Return the values at `QUANTILES`, each one that occurred: so infinite ones can be among them."""
    low, middle, high = (float(np.quantile(values, q, method="inverted_cdf")) for q in QUANTILES)
    return low, middle, high
