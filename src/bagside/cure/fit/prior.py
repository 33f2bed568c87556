"""What is known of an epoxy before its sheet is read: a mean and a deviation for each parameter of the family.

The means and deviations are common practice for hot-melt epoxies; the rate constant is left free. A fit works on
unknowns of mean 0 and deviation 1, of which the parameters are a linear map; a fit to DSC curves gives such a map too,
so that the rows of a sheet can be added to it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.cure.fit.family import (
    E_GAP,
    GEL,
    LN_K,
    LN_LAMBDA,
    LN_LATENT,
    LN_M,
    LN_N,
    LN_R,
    NAMES,
    OFFSET,
    TG0,
    TG1,
    E,
)
from bagside.cure.fit.row import Kind, Row, predicted

Floats = NDArray[np.float64]


NOWHERE, USUAL_SPEED = 373.15, -6.5
"""Where a rate constant is stated when there is no row, and its logarithm then."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Prior:
    """A normal distribution over parameters.

    Parameters
    ----------
    mean
        Shape (12,).
    root
        Its product with its own transpose is the covariance, shape (12, n); n unknowns are fitted.
    middle
        Temperature at which the rate constant is stated [K].
    """

    mean: Floats
    root: Floats
    middle: float

    def theta(self, z: Floats) -> Floats:
        """Return parameter sets for unknowns, shape (lanes, 12).

        Parameters
        ----------
        z
            Shape (lanes, n).
        """
        out: Floats = self.mean + z @ self.root.T
        return out

    @property
    def sd(self) -> Floats:
        """Deviation of each parameter, shape (12,)."""
        out: Floats = np.sqrt((self.root**2).sum(axis=1))
        return out


def middle_of(temperatures: Sequence[float]) -> float:
    """Return the middle of temperatures, as reactions see it [K].

    Parameters
    ----------
    temperatures
        At least one [K].
    """
    return float(2.0 / (1.0 / min(temperatures) + 1.0 / max(temperatures)))


def sheet_prior(
    rows: Sequence[Row],
    start: float,
    *,
    tg0: float | None = None,
    tg1: float | None = None,
    tg_lambda: float | None = None,
    gel: float | None = None,
) -> Prior:
    """Return what is known before the rows of a sheet are read.

    Parameters
    ----------
    rows
        None or more; they say about how fast the resin is and how high its glass transition, and nothing else here.
    start
        Degree of cure when fresh.
    tg0, tg1
        Glass transition of unreacted and of fully reacted resin, when stated [K].
    tg_lambda
        DiBenedetto's ratio, when stated.
    gel
        Degree of cure at gel, when stated.
    """
    heats = [r.temperature for r in rows if r.kind is not Kind.LIFE] or [r.temperature for r in rows] or [NOWHERE]
    middle = middle_of(heats)
    mean, sd = np.zeros(len(NAMES)), np.zeros(len(NAMES))
    known = {
        E: (68e3, 12e3),
        LN_M: (np.log(0.85), 0.3),
        LN_N: (np.log(1.6), 0.3),
        LN_R: (-4.0, 1.2),
        E_GAP: (0.0, 0.0),
        TG0: (266.15, 8.0) if tg0 is None else (tg0, 2.0),
        TG1: (tg1, 4.0) if tg1 is not None else _ultimate(rows),
        LN_LAMBDA: (np.log(0.5), 0.24) if tg_lambda is None else (np.log(tg_lambda), 0.05),
        OFFSET: (-8.0, 25.0),
        GEL: (0.5, 0.05) if gel is None else (gel, 0.01),
        LN_LATENT: (1.0, 1.2),
    }
    for at, (m, s) in known.items():
        mean[at], sd[at] = m, s
    mean[LN_K], sd[LN_K] = _speed(rows, mean, middle, start), 4.0
    free = np.flatnonzero(sd > 0.0)
    root = np.zeros((len(NAMES), len(free)))
    root[free, np.arange(len(free))] = sd[free]
    return Prior(mean=mean, root=root, middle=middle)


def _ultimate(rows: Sequence[Row]) -> tuple[float, float]:
    """Return about how high the glass transition of fully reacted resin is, and how sure that is [K].

    Where the highest one stated lies above the temperature it was cured at, the resin had turned to glass before it had
    reacted fully: then it may be far higher.
    """
    top = max((r for r in rows if r.kind is Kind.TG), key=lambda r: r.value, default=None)
    if top is None:
        return 403.15, 30.0
    glassy = max(0.0, top.value - top.temperature)
    return top.value + 8.0 + 0.5 * glassy, 15.0 + glassy


def _speed(rows: Sequence[Row], mean: Floats, middle: float, start: float) -> float:
    """Return about how fast the resin is: the logarithm of the rate constant at the middle temperature."""
    if not rows:
        return USUAL_SPEED
    timed = [r for r in rows if r.kind in (Kind.GEL, Kind.LIFE)]
    if timed:
        late = predicted(mean[None, :], middle, start, timed)[0] - [r.stated for r in timed]
        gels = [x for x, r in zip(late, timed, strict=True) if r.kind is Kind.GEL]
        return float(np.mean(gels if gels else late))
    return float(np.mean([np.log(8.0 / r.time) + mean[E] / 8.314 * (1.0 / r.temperature - 1.0 / middle) for r in rows]))
