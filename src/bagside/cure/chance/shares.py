"""Which input drives which limit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import rankdata

Floats = NDArray[np.float64]

FEWEST = 30
"""Draws below which nothing is said about what drives a limit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Driver:
    """What one input does to one limit.

    Parameters
    ----------
    name
        The input.
    rank
        Rank correlation with the margin, −1 to 1: below zero when more of the input costs margin.
    share
        Of the scatter of the margin's ranks, what goes back to this input.
    """

    name: str
    rank: float
    share: float


def drivers(names: Sequence[str], inputs: Floats, margin: Floats) -> tuple[Driver, ...]:
    """Return what drives a margin, most first.

    Parameters
    ----------
    names
        Of the inputs.
    inputs
        Shape (n, inputs).
    margin
        Shape (n,); rows that are not finite are left out.

    Returns
    -------
    tuple of Driver
        One for each input that scatters; none when there are fewer than thirty draws or the margin is always the same.
        The shares add up to the R² of a regression on ranks; what is missing to 1 is not monotonous, or acts only
        together with another input.

    Notes
    -----
    Inputs that go together share what they explain by relative weights: the regression is done on the nearest set of
    uncorrelated inputs, and its shares are carried back.

    References
    ----------
    Johnson 2000, Multivariate Behavioral Research 35:1 (relative weights); Spearman 1904 (rank correlation).
    """
    good = np.isfinite(margin)
    y = rankdata(margin[good])
    if len(y) < FEWEST or np.ptp(y) == 0.0:
        return ()
    moves = np.flatnonzero(np.ptp(inputs[good], axis=0) > 0.0)
    if not len(moves):
        return ()
    x = np.apply_along_axis(rankdata, 0, inputs[good][:, moves])
    together = np.corrcoef(np.column_stack([x, y]), rowvar=False)
    among, rank = together[:-1, :-1], together[:-1, -1]
    values, vectors = np.linalg.eigh(among)
    root = vectors @ np.diag(np.sqrt(np.maximum(values, 1e-12))) @ vectors.T
    share = root**2 @ np.linalg.solve(root, rank) ** 2
    found = [
        Driver(name=names[int(k)], rank=float(r), share=float(s)) for k, r, s in zip(moves, rank, share, strict=True)
    ]
    return tuple(sorted(found, key=lambda d: -d.share))
