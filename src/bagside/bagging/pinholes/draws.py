"""Unknown inputs and uncertain constants as a fixed set of draws, so that they widen an answer and do not bend it.

Every quantity has a column of its own in the draws. A value that becomes known replaces its column and leaves all
others as they were, so two records that differ in one value are compared on the same draws.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray
from scipy.stats import qmc

from bagside.bagging.air import PERMEABILITY
from bagside.bagging.pinholes.record import Record
from bagside.errors import InputError

Floats = NDArray[np.float64]

DRAWS = 4096  # a power of two, as Sobol points want
SEED = 20


class Spread(StrEnum):
    """How a prior is spread over its range."""

    EVEN = "even"
    BY_FACTOR = "by factor"
    YES_NO = "yes or no"


@dataclass(frozen=True, slots=True, kw_only=True)
class Prior:
    """What is assumed of a value that nobody recorded: common practice.

    Parameters
    ----------
    low, high
        Of its range, in SI units; for yes or no the chance of a yes stands in ``high``.
    spread
        How it is spread between them.
    """

    low: float
    high: float
    spread: Spread = Spread.EVEN


PRIORS: dict[str, Prior] = {
    "vacuum": Prior(low=1.5e3, high=8e3, spread=Spread.BY_FACTOR),
    "ambient": Prior(low=0.96e5, high=1.03e5),
    "drop": Prior(low=200.0, high=5e3, spread=Spread.BY_FACTOR),
    "volume": Prior(low=1e-3, high=6e-3, spread=Spread.BY_FACTOR),
    "receiver": Prior(low=0.0, high=0.0),
    "pump_on": Prior(low=0.0, high=0.9, spread=Spread.YES_NO),
    "unpumped": Prior(low=1800.0, high=14400.0, spread=Spread.BY_FACTOR),
    "humidity": Prior(low=0.30, high=0.70),
    "room": Prior(low=288.15, high=299.15),
    "freezer": Prior(low=253.15, high=257.15),
    "thawed": Prior(low=2 * 3600.0, high=16 * 3600.0, spread=Spread.BY_FACTOR),
    "first_debulk": Prior(low=0.0, high=1500.0),
    "debulks": Prior(low=0.0, high=3.0),
    "debulk_time": Prior(low=300.0, high=1200.0),
    "plies": Prior(low=3.0, high=10.0),
    "hold": Prior(low=600.0, high=7200.0, spread=Spread.BY_FACTOR),
    "path": Prior(low=0.1, high=0.5, spread=Spread.BY_FACTOR),
    "edges_breathe": Prior(low=0.0, high=0.6, spread=Spread.YES_NO),
    "liquid_hottest": Prior(low=343.15, high=388.15),
    "liquid_time": Prior(low=1200.0, high=7200.0, spread=Spread.BY_FACTOR),
    "viscosity": Prior(low=3.0, high=60.0, spread=Spread.BY_FACTOR),
    "life_used": Prior(low=0.05, high=0.9),
    "corner_radius": Prior(low=2e-3, high=20e-3, spread=Spread.BY_FACTOR),
    "thickness": Prior(low=0.7e-3, high=3e-3, spread=Spread.BY_FACTOR),
    "slip_joint": Prior(low=0.0, high=0.4, spread=Spread.YES_NO),
    "bag_touched": Prior(low=0.0, high=0.9, spread=Spread.YES_NO),
    "resin_content": Prior(low=0.36, high=0.44),
    "perforated": Prior(low=0.0, high=0.2, spread=Spread.YES_NO),
    "mould_tight": Prior(low=0.0, high=0.9, spread=Spread.YES_NO),
    "release_limit": Prior(low=393.15, high=473.15),
    "hottest": Prior(low=353.15, high=403.15),
    "wet_seen": Prior(low=0.0, high=0.1, spread=Spread.YES_NO),
    "films_right": Prior(low=0.0, high=0.95, spread=Spread.YES_NO),
    # Constants of the models, never measured in a small shop.
    "permeability": Prior(low=PERMEABILITY[0], high=PERMEABILITY[-1], spread=Spread.BY_FACTOR),
    "pores": Prior(low=0.05, high=0.12),
    "closed": Prior(low=0.02, high=0.2, spread=Spread.BY_FACTOR),
    "blocked": Prior(low=0.003, high=0.1, spread=Spread.BY_FACTOR),
    "share": Prior(low=0.0, high=0.4),
    "tow": Prior(low=0.65, high=0.75),
    "step": Prior(low=0.4e-3, high=0.9e-3, spread=Spread.BY_FACTOR),
    "packed": Prior(low=0.55, high=0.60),
    "bleed": Prior(low=0.5, high=1.5),
    "warming": Prior(low=1800.0, high=4 * 3600.0, spread=Spread.BY_FACTOR),
    "thickening": Prior(low=2.0, high=6.0, spread=Spread.BY_FACTOR),
}
"""What is assumed where nothing was recorded, and of constants that no shop measures."""


def drawn(record: Record, *, count: int = DRAWS, seed: int = SEED) -> dict[str, Floats]:
    """Return every quantity as draws: what is known is the same in all of them.

    Parameters
    ----------
    record
        What is known.
    count
        Of draws, a power of two.
    seed
        Of the scrambled Sobol points.

    Returns
    -------
    dict
        By name, shape (count,); yes and no as 1 and 0.

    Raises
    ------
    InputError
        When the count is not a power of two.
    """
    if count < 2 or count & (count - 1):
        raise InputError.one("pinholes, draws", str(count), "a power of two is wanted")
    points = qmc.Sobol(len(PRIORS), scramble=True, rng=np.random.default_rng(seed)).random(count)
    out: dict[str, Floats] = {}
    for k, (name, prior) in enumerate(PRIORS.items()):
        known = getattr(record, name, None)
        out[name] = np.full(count, float(known)) if known is not None else _spread(points[:, k], prior)
    if record.films_supplied is not None and record.films_removed is not None:
        out["films_right"] = np.full(count, float(record.films_supplied == record.films_removed))
    return out


def _spread(u: Floats, prior: Prior) -> Floats:
    if prior.spread is Spread.YES_NO:
        return (u < prior.high).astype(np.float64)
    if prior.spread is Spread.BY_FACTOR:
        return np.asarray(prior.low * (prior.high / prior.low) ** u, dtype=np.float64)
    return np.asarray(prior.low + (prior.high - prior.low) * u, dtype=np.float64)
