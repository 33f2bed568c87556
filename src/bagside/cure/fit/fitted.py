"""A law fitted to the rows of a data sheet, and how sure of it the rows make us."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import chi2

from bagside.cure.fit.family import LN_K, E
from bagside.cure.fit.least import Least, least
from bagside.cure.fit.prior import Prior
from bagside.cure.fit.row import Row, predicted
from bagside.cure.kinetics import GAS
from bagside.errors import NotSolved

Floats = NDArray[np.float64]

STARTS = (-1.3, 0.0, 1.3)
"""Where a fit starts, in deviations of the activation energy's prior."""
APART = 0.5
"""Starts whose sums of squares differ by more have ended in different places."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fit:
    """A fitted law.

    Parameters
    ----------
    prior
        What was known before.
    rows
        What it was fitted to.
    start
        Degree of cure when fresh.
    z
        Unknowns at the best fit, shape (n,).
    spread
        Their covariance as the rows' own deviations and the prior give it, shape (n, n).
    got
        What the law says for each row, in the unit of `Row.stated`, shape (rows,).
    slopes
        Of the rows, over their deviations, by the unknowns, shape (rows, n).
    unlike
        How many starts ended somewhere else.
    """

    prior: Prior
    rows: tuple[Row, ...]
    start: float
    z: Floats
    spread: Floats
    got: Floats
    slopes: Floats
    unlike: int

    @property
    def theta(self) -> Floats:
        """Parameters at the best fit, shape (12,)."""
        out: Floats = self.prior.theta(self.z[None, :])[0]
        return out

    @property
    def deviations(self) -> Floats:
        """By how many of its own deviations each row is missed, shape (rows,)."""
        stated = np.array([r.stated for r in self.rows])
        out: Floats = (self.got - stated) / np.array([r.sd for r in self.rows])
        return out

    @property
    def misfit(self) -> float:
        """Sum of squares of rows and priors (χ²)."""
        return float((self.deviations**2).sum() + (self.z**2).sum())

    @property
    def informed(self) -> int:
        """In how many directions the rows say more than the prior did."""
        return int((np.linalg.eigvalsh(self.slopes.T @ self.slopes) > 1.0).sum())

    @property
    def freedom(self) -> int:
        """Rows beyond the directions that they inform; at least 1."""
        return max(1, len(self.rows) - self.informed)

    @property
    def chance(self) -> float:
        """How often a resin of the family would be missed by as much or more."""
        return float(chi2.sf(self.misfit, self.freedom))

    @property
    def widened(self) -> float:
        """By what deviations are multiplied because the rows are missed by more than they should be; 1 or more."""
        return float(np.sqrt(max(1.0, self.misfit / max(2, self.freedom))))  # one row alone does not tell scatter

    @property
    def covariance(self) -> Floats:
        """Of the unknowns, widened, shape (n, n)."""
        return self.spread * self.widened**2

    @property
    def sd(self) -> Floats:
        """Deviation of each parameter, shape (12,)."""
        return self.sd_of(self.prior.root)

    @property
    def learned(self) -> Floats:
        """What the rows took off each parameter's doubt: 0 nothing, 1 all, shape (12,)."""
        before = self.prior.sd
        after = np.sqrt(np.maximum(np.einsum("in,nm,im->i", self.prior.root, self.spread, self.prior.root), 0.0))
        out: Floats = np.where(before > 0.0, 1.0 - after / np.where(before > 0.0, before, 1.0), 0.0)
        return out

    def sd_of(self, slopes: Floats) -> Floats:
        """Return the deviations of quantities from their slopes by the unknowns.

        Parameters
        ----------
        slopes
            Shape (quantities, n).
        """
        out: Floats = np.sqrt(np.maximum(np.einsum("qn,nm,qm->q", slopes, self.covariance, slopes), 0.0))
        return out

    @property
    def sd_of_rows(self) -> Floats:
        """How sure the law is of what it says for each row, in the unit of `Row.stated`, shape (rows,)."""
        out: Floats = self.sd_of(self.slopes) * np.array([r.sd for r in self.rows])
        return out

    def nearby(self, step: float) -> Floats:
        """Return the best parameter set, followed by one set with each unknown moved, shape (1 + n, 12).

        Parameters
        ----------
        step
            By which each is moved.
        """
        n = len(self.z)
        return self.prior.theta(np.vstack([self.z, self.z + step * np.eye(n)]))


def fitted(rows: Sequence[Row], prior: Prior, start: float) -> Fit:
    """Return the law of the family that fits rows best.

    Parameters
    ----------
    rows
        None or more; without any, the fit is what was known before.
    prior
        What is known before.
    start
        Degree of cure when fresh.

    Returns
    -------
    Fit
        The best of several starts.

    Raises
    ------
    NotSolved
        When none of them comes to rest.
    """
    if not rows:
        return _nothing_more(prior, start)
    stated, sd = np.array([r.stated for r in rows]), np.array([r.sd for r in rows])

    def residuals(z: Floats, who: NDArray[np.intp]) -> Floats:
        out: Floats = (predicted(prior.theta(z), prior.middle, start, rows) - stated) / sd
        return out

    found = least(residuals, starts_of(prior, rows))
    return chosen(found, rows, prior, start)


def _nothing_more(prior: Prior, start: float) -> Fit:
    """Return what was known before as a fit."""
    n = prior.root.shape[1]
    return Fit(
        prior=prior, rows=(), start=start, z=np.zeros(n), spread=np.eye(n), got=np.zeros(0), slopes=np.zeros((0, n)),
        unlike=0,
    )  # fmt: skip


def starts_of(prior: Prior, rows: Sequence[Row]) -> Floats:
    """Return unknowns to start from, over the activation energy, shape (starts, n).

    Parameters
    ----------
    prior
        What is known before.
    rows
        What will be fitted.
    """
    way = prior.root[E] / max(float(np.linalg.norm(prior.root[E])), 1e-300)
    z = np.outer(STARTS, way)
    # A higher activation energy must not make the rows' own temperatures faster: the rate constant gives way.
    span = np.mean([1.0 / r.temperature - 1.0 / prior.middle for r in rows]) / GAS
    speed = prior.root[LN_K] / max(float(prior.root[LN_K] @ prior.root[LN_K]), 1e-300)
    gained = z @ prior.root[E] * span
    out: Floats = z + np.outer(gained, speed)
    return out


def chosen(found: Least, rows: Sequence[Row], prior: Prior, start: float) -> Fit:
    """Return the best start as a fit.

    Parameters
    ----------
    found
        Where each start ended.
    rows, prior, start
        What was fitted.

    Raises
    ------
    NotSolved
        When the best start did not come to rest.
    """
    best = int(np.argmin(found.cost))
    if not found.settled[best]:
        raise NotSolved(
            f"the best start did not come to rest; its sum of squares is {found.cost[best]:.1f}: "
            "do the rows contradict each other?"
        )
    slopes = found.slopes[best]
    sd = np.array([r.sd for r in rows])
    return Fit(
        prior=prior,
        rows=tuple(rows),
        start=start,
        z=found.z[best],
        spread=np.linalg.inv(slopes.T @ slopes + np.eye(slopes.shape[1])),
        got=np.array([r.stated for r in rows]) + found.residuals[best] * sd,
        slopes=slopes,
        unlike=int((found.cost > found.cost[best] + APART).sum()),
    )
