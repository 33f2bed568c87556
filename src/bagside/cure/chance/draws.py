"""Draws of what may turn out otherwise: each depends on the seed and its own number, never on how many are drawn.

A scrambled Sobol sequence fills the space of the inputs more evenly than random numbers do, so that a chance is known
closer for the same number of draws; a point of it is known by its number. Correlation is put on by normal scores.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri
from scipy.stats import qmc

from bagside.cure.chance.scatter import INPUTS, Scatter
from bagside.cure.resin import CureResin
from bagside.cure.scenario import Scenario
from bagside.cure.section import Section
from bagside.errors import InputError

Floats = NDArray[np.float64]

BITS = 30
"""Bits of a point's coordinate: a thousand million different draws."""

MOST = 2**20
"""Most draws that are asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Draws:
    """So many ways in which a cure may turn out, as arrays.

    Parameters
    ----------
    values
        One row for each draw, one column for each of `INPUTS`: differences and factors, shape (n, d).
    seed
        From which they came.
    first
        Number of the first draw.
    void_free
        Hottest temperature before gel at which water makes no voids in each draw, shape (n,) [K]; none when there is
        no such limit.
    """

    values: Floats
    seed: int
    first: int = 0
    void_free: Floats | None = None

    def __len__(self) -> int:
        """Return how many there are."""
        return len(self.values)

    def of(self, name: str) -> Floats:
        """Return one input of every draw, shape (n,).

        Parameters
        ----------
        name
            One of `INPUTS`.
        """
        out: Floats = self.values[:, INPUTS.index(name)]
        return out

    def part(self, start: int, stop: int) -> Draws:
        """Return some of the draws.

        Parameters
        ----------
        start, stop
            As in a slice.
        """
        return replace(
            self,
            values=self.values[start:stop],
            first=self.first + start,
            void_free=None if self.void_free is None else self.void_free[start:stop],
        )

    def picked(self, which: NDArray[np.int64]) -> Draws:
        """Return the draws of these rows, in their order; their numbers are no longer told.

        Parameters
        ----------
        which
            Rows, shape (m,).
        """
        return replace(
            self, values=self.values[which], void_free=None if self.void_free is None else self.void_free[which]
        )

    def scenario(self, i: int, alpha0: float | None = None) -> Scenario:
        """Return one draw as a scenario.

        Parameters
        ----------
        i
            Row of the draw.
        alpha0
            Degree of cure at the start as stated, on whose odds the draw's factor goes; the section's own stays when
            None.
        """
        v = dict(zip(INPUTS, self.values[i].tolist(), strict=True))
        return Scenario(
            name=f"draw {self.first + i + 1}",
            heat=v["heat"],
            rate=v["rate"],
            film_bag=v["film_bag"],
            film_tool=v["film_tool"],
            air=v["place"] + v["thermocouple"],
            alpha0=None if alpha0 is None else _with_odds(alpha0, v["start"]),
            void_free=None if self.void_free is None else float(self.void_free[i]),
        )

    def sections(self, i: int, stated: tuple[Section, ...], resin: CureResin) -> tuple[Section, ...]:
        """Return sections as they are in one draw.

        Parameters
        ----------
        i
            Row of the draw.
        stated
            As stated.
        resin
            Whose degree of cure at the start counts where a section states none.
        """
        way, factor = self.scenario(i), float(self.of("start")[i])
        out = []
        for section in way.of(stated):
            a = resin.alpha0 if section.alpha0 is None else section.alpha0
            started = tuple(_with_odds(x, factor) for x in a) if isinstance(a, tuple) else _with_odds(a, factor)
            out.append(replace(section, alpha0=started))
        return tuple(out)


def _with_odds(alpha: float, factor: float) -> float:
    return alpha * factor / (1.0 - alpha + alpha * factor)


def drawn(scatter: Scatter, n: int, seed: int, first: int = 0) -> Draws:
    """Return draws of what may turn out otherwise.

    Parameters
    ----------
    scatter
        By how much each input may be off.
    n
        How many.
    seed
        The same seed gives the same draws, on every machine and in pieces of any size.
    first
        Number of the first one.

    Returns
    -------
    Draws
        As arrays.

    Raises
    ------
    InputError
        When there are none or too many, or the seed is negative.

    Notes
    -----
    Another seed is another scrambling of the sequence, and independent of this one.

    References
    ----------
    Owen 1995, Randomly permuted (t,m,s)-nets and (t,s)-sequences (why an average over it is not worse than over random
    draws by more than a small factor, and mostly far better).

    Examples
    --------
    >>> whole = drawn(Scatter(), 8, seed=1)
    >>> bool((drawn(Scatter(), 3, seed=1, first=5).values == whole.values[5:]).all())
    True
    """
    if not (n >= 1 and first >= 0 and first + n <= MOST):
        raise InputError.one("draws", str(n), f"from 1 to {MOST} are wanted")
    if seed < 0:
        raise InputError.one("seed", str(seed), "a whole number of zero or more is wanted")
    sequence = qmc.Sobol(len(INPUTS), scramble=True, bits=BITS, rng=np.random.default_rng(seed))
    if first:
        sequence.fast_forward(first)
    points = np.vstack([sequence.random(1), sequence.random(n - 1)]) if n > 1 else sequence.random(1)
    score = ndtri(points + 0.5 * 2.0**-BITS)  # the middle of its cell: never 0, never 1
    mixing = np.linalg.cholesky(scatter.correlation)
    # Sums one by one: a product of matrices may round differently with other numbers of rows.
    mixed = [sum(mixing[j, k] * score[:, k] for k in np.flatnonzero(mixing[j])) for j in range(len(INPUTS))]
    share = ndtr(np.column_stack(mixed))
    values = np.column_stack([getattr(scatter, name).at(share[:, k]) for k, name in enumerate(INPUTS)])
    return Draws(values=values, seed=seed, first=first)
