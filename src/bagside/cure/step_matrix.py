"""The matrix of one step, M/(h γ) − J, factorised with the degrees of cure taken out.

Degrees of cure have no neighbours, so each is eliminated in closed form and what is left is the matrix of the
temperatures: tridiagonal and symmetric. It is positive definite unless a step is long against the time in which a
runaway grows; then it is factorised with pivots.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import lapack

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SMALLEST = 3
"""Fewest rows LAPACK's tridiagonal routines take as scipy wraps them; smaller systems are padded with ones."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StepMatrix:
    """A factorised step matrix.

    Parameters
    ----------
    definite
        Factors of a positive definite matrix, or none.
    pivoted
        Factors of any other, or none when it could not be factorised.
    weight
        1/(1/(h γ) − f_α) of every reacting cell [s].
    lift
        By what a rest in the degree of cure enters the heat balance [J/m²].
    f_t
        Slope of the rate by temperature [1/(s K)].
    reacting
        Which cells react.
    cells
        Number of cells.
    """

    definite: tuple[Floats, Floats] | None
    pivoted: tuple[Floats, ...] | None
    weight: Floats
    lift: Floats
    f_t: Floats
    reacting: Ints
    cells: int

    @property
    def usable(self) -> bool:
        """Whether the matrix could be factorised."""
        return self.definite is not None or self.pivoted is not None

    def solve(self, rest: Floats, freed: Floats) -> None:
        """Turn a right-hand side into the solution.

        Parameters
        ----------
        rest
            Right-hand side of every entry but for the heat of reaction, shape (n + r,); becomes the solution.
        freed
            Heat of reaction of every reacting cell, shape (r,) [W/m²].
        """
        n = self.cells
        heat, cure = rest[:n], rest[n:]
        np.add.at(heat, self.reacting, freed + self.lift * cure)
        padded = heat if n >= SMALLEST else np.append(heat, np.zeros(SMALLEST - n))
        if self.definite is not None:
            heat[:] = lapack.dpttrs(*self.definite, padded, overwrite_b=True)[0][:n]
        elif self.pivoted is not None:
            heat[:] = lapack.dgttrs(*self.pivoted, padded)[0][:n]
        else:
            rest[:] = np.nan
            return
        cure += self.f_t * heat.take(self.reacting)
        cure *= self.weight


def step_matrix(
    diagonal: Floats, up: Floats, reacting: Ints, freed: Floats, over: Floats, f_alpha: Floats, f_t: Floats
) -> StepMatrix:
    """Return the factorised matrix of a step.

    Parameters
    ----------
    diagonal
        Of the temperatures, without reaction, shape (n,); is used up.
    up
        Coupling of each cell to the next, shape (n − 1,).
    reacting
        Which cells react, shape (r,).
    freed
        Heat freed by each reacting cell at full cure, shape (r,) [J/m²].
    over
        1/(h γ) of every reacting cell, shape (r,) [1/s].
    f_alpha, f_t
        Slopes of the rate in every reacting cell, shape (r,).

    Returns
    -------
    StepMatrix
        Its factors.
    """
    n = len(diagonal)
    weight = 1.0 / (over - f_alpha)
    lift = freed * (f_alpha * weight)
    diagonal[reacting] -= f_t * (freed + lift)
    off = -up
    if n < SMALLEST:
        diagonal = np.append(diagonal, np.ones(SMALLEST - n))
        off = np.append(off, np.zeros(SMALLEST - n))
    definite: tuple[Floats, Floats] | None = None
    pivoted: tuple[Floats, ...] | None = None
    d, e, info = lapack.dpttrf(diagonal, off)
    if info == 0 and np.isfinite(d[-1]):  # what is not a number runs through to the end
        definite = d, e
    else:
        low, mid, high, higher, pivots, info = lapack.dgttrf(off, diagonal, off)
        pivoted = (low, mid, high, higher, pivots) if info == 0 else None
    return StepMatrix(definite=definite, pivoted=pivoted, weight=weight, lift=lift, f_t=f_t, reacting=reacting, cells=n)
