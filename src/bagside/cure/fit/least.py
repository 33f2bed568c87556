"""Levenberg–Marquardt for many starts at once, on unknowns that have a prior of mean 0 and deviation 1."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.errors import NotSolved

Floats = NDArray[np.float64]

STEP = 1e-4
"""Difference by which slopes are taken, in deviations of the prior."""
FLAT = 1e-5
"""A start is at rest where a whole step would gain less than this share of its sum of squares."""
FARTHEST = 1.5
"""Longest move of an unknown in one round."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Least:
    """Where each start ended.

    Parameters
    ----------
    z
        Unknowns, shape (starts, n).
    cost
        Sum of squares of residuals and unknowns, shape (starts,).
    residuals
        Shape (starts, rows).
    slopes
        Of the residuals by the unknowns, shape (starts, rows, n).
    settled
        Whether the start has come to rest, shape (starts,).
    """

    z: Floats
    cost: Floats
    residuals: Floats
    slopes: Floats
    settled: NDArray[np.bool_]


def least(residuals: Callable[[Floats, NDArray[np.intp]], Floats], z: Floats, rounds: int = 120) -> Least:
    """Return the least squares of residuals and unknowns from each start.

    Parameters
    ----------
    residuals
        Takes unknowns, shape (lanes, n), and the start that each lane belongs to, shape (lanes,); returns residuals,
        shape (lanes, rows).
    z
        Starts, shape (starts, n).
    rounds
        After so many it is given up.

    Raises
    ------
    NotSolved
        When no start comes to rest.
    """
    z = z.copy()
    starts, n = z.shape
    who = np.arange(starts)
    r = residuals(z, who)
    cost = (r * r).sum(axis=1) + (z * z).sum(axis=1)
    damping, growth = np.full(starts, 1e-2), np.full(starts, 2.0)
    jac = np.zeros((starts, r.shape[1], n))
    stale = np.ones(starts, dtype=bool)
    settled = np.zeros(starts, dtype=bool)
    for _ in range(rounds):
        fresh = np.flatnonzero(stale & ~settled)
        if len(fresh):
            jac[fresh] = _slopes(residuals, z, fresh)
            stale[fresh] = False
        run = np.flatnonzero(~settled)
        if not len(run):
            break
        gradient = np.einsum("sri,sr->si", jac[run], r[run]) + z[run]
        bare = np.einsum("sri,srj->sij", jac[run], jac[run]) + np.eye(n)
        scale = np.einsum("sii->si", bare)
        curve = bare + damping[run, None, None] * scale[:, :, None] * np.eye(n)
        move = -np.linalg.solve(curve, gradient[:, :, None])[:, :, 0]
        move *= np.minimum(1.0, FARTHEST / np.maximum(np.abs(move).max(axis=1), 1e-300))[:, None]
        trial = z[run] + move
        new = residuals(trial, run)
        bill = (new * new).sum(axis=1) + (trial * trial).sum(axis=1)
        bill = np.where(np.isfinite(bill), bill, np.inf)
        foreseen = -np.einsum("si,si->s", move, 2.0 * gradient + np.einsum("sij,sj->si", bare, move))
        better = bill < cost[run]
        gained = cost[run] - bill
        won, lost = run[better], run[~better]
        z[won], r[won], cost[won] = trial[better], new[better], bill[better]
        stale[won] = True
        # At rest: a whole step would gain next to nothing, or no step however short goes down any more.
        whole = np.einsum("si,si->s", gradient, np.linalg.solve(bare, gradient[:, :, None])[:, :, 0])
        settled[run[(whole <= FLAT * (1.0 + cost[run])) | (~better & (damping[run] > 1e9))]] = True
        ratio = np.clip(gained[better] / foreseen[better], -1.0, 1.0)
        damping[won] = np.maximum(damping[won] * np.maximum(1.0 / 3.0, 1.0 - (2.0 * ratio - 1.0) ** 3), 1e-9)
        growth[won] = 2.0
        damping[lost] *= growth[lost]
        growth[lost] *= 2.0
    if not settled.any():
        raise NotSolved(
            f"the fit did not come to rest in {rounds} rounds; its sum of squares is {cost.min():.1f}: "
            "do the rows contradict each other?"
        )
    jac = _slopes(residuals, z, who)
    return Least(z=z, cost=cost, residuals=r, slopes=jac, settled=settled)


def _slopes(residuals: Callable[[Floats, NDArray[np.intp]], Floats], z: Floats, which: NDArray[np.intp]) -> Floats:
    """Return slopes; the place itself is worked out again beside the moved ones.

    Lanes of one call share their time steps and so their errors, which cancel; those of two calls do not, and over so
    short a difference they would be all there is.
    """
    n = z.shape[1]
    lanes = z[which][:, None, :] + STEP * np.vstack([np.zeros(n), np.eye(n)])
    got = residuals(lanes.reshape(-1, n), np.repeat(which, n + 1)).reshape(len(which), n + 1, -1)
    out: Floats = np.swapaxes((got[:, 1:] - got[:, :1]) / STEP, 1, 2)
    return out
