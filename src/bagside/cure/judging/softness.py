"""When resin is soft, when it flows, and below which viscosity a cycle lets it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from bagside.cure.history import SectionHistory
from bagside.cure.resin import CureResin

Floats = NDArray[np.float64]

SOFT = 1000.0
"""Viscosity below which resin yields under a bag [Pa s]: prepreg epoxies pass it at 45 to 50 °C; common practice."""


def viscosity_of(history: SectionHistory, resin: CureResin) -> Floats | None:
    """Return the viscosity of each reacting cell over time, infinite from gel on, shape (k, r) [Pa s].

    Parameters
    ----------
    history
        Of a section.
    resin
        The resin; none without a law for viscosity.
    """
    if resin.viscosity is None:
        return None
    liquid = history.alpha < resin.gel
    mu = resin.viscosity.at(np.where(liquid, history.alpha, 0.0), history.laminate_temperature)
    return np.where(liquid, mu, np.inf)


def flow_limit(histories: Sequence[SectionHistory], resin: CureResin, floor: float = 30.0) -> float:
    """Return the viscosity below which resin counts as flowing in a cycle [Pa s].

    Parameters
    ----------
    histories
        Of the sections in that cycle.
    resin
        The resin.
    floor
        Below which it flows in any cycle [Pa s].

    Notes
    -----
    A resin made for vacuum alone may never get as thin as the floor: then it is three times the lowest that it gets to,
    at most where resin begins to be soft. Common practice, no source.
    """
    lowest = floor / 3.0
    for h in histories:
        mu = viscosity_of(h, resin)
        if mu is not None:
            lowest = max(lowest, float(mu.max(axis=1).min()))
    return min(max(floor, 3.0 * lowest), SOFT)


def flowing(history: SectionHistory, resin: CureResin, limit: float) -> NDArray[np.bool_]:
    """Return when all resin of a section flows, shape (k,).

    Parameters
    ----------
    history
        Of a section.
    resin
        The resin; without a law for viscosity it flows while it is soft.
    limit
        Viscosity below which it flows [Pa s].
    """
    mu = viscosity_of(history, resin)
    if mu is None:
        return np.asarray(softened(history, resin).all(axis=1), dtype=np.bool_)
    return np.asarray(mu.max(axis=1) < limit, dtype=np.bool_)


def softened(history: SectionHistory, resin: CureResin) -> NDArray[np.bool_]:
    """Return where and when resin is soft and not gelled, shape (k, r).

    Parameters
    ----------
    history
        Of a section.
    resin
        The resin; without a law for viscosity it counts as soft above 45 °C, which is common practice.
    """
    mu = viscosity_of(history, resin)
    if mu is None:
        out: NDArray[np.bool_] = (history.laminate_temperature > 318.15) & (history.alpha < resin.gel)
        return out
    return mu < SOFT
