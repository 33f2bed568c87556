"""Causes of pinholes ranked: how far each was from its limit, and whether the defects are where it shows.

By Bayes: probability ∝ how common the cause is · mean over the draws of its hazard 1 / (1 + margin^sharp) · how
likely its defects show where they were seen. A cause that was far from its limit drops out whatever the place; one that
was over it stays only when the place fits.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.bagging.pinholes.causes import CAUSES, OTHER, OTHER_COMMON, OTHER_HAZARD, shows_at
from bagside.bagging.pinholes.corner_map import corner_evidence
from bagside.bagging.pinholes.draws import DRAWS, SEED, drawn
from bagside.bagging.pinholes.margins import margins
from bagside.bagging.pinholes.measure import Measure, measures
from bagside.bagging.pinholes.record import Record

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranked:
    """A cause, ranked.

    Parameters
    ----------
    name
        Of the cause.
    chance
        That it is the culprit, of all listed and one that is not.
    margin, margin_band
        How far from its limit, one at the limit: middle, and the fifth and ninety-fifth hundredth of the draws; not a
        number for a cause that is not listed.
    place_fit
        How well the places seen, and the map of corners, fit it: their likelihood over that of a cause that shows
        anywhere.
    why
        The numbers behind it.
    next_time
        What to do about it.
    """

    name: str
    chance: float
    margin: float
    margin_band: tuple[float, float]
    place_fit: float
    why: str
    next_time: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Diagnosis:
    """Why there are pinholes.

    Parameters
    ----------
    ranked
        Causes, most likely first.
    measures
        What would tell them apart, most informative first.
    unknown
        Inputs that were not recorded and were spread over what is usual.
    undecided
        Information still missing: bits needed to name the culprit for sure.
    """

    ranked: tuple[Ranked, ...]
    measures: tuple[Measure, ...]
    unknown: tuple[str, ...]
    undecided: float

    @property
    def first(self) -> Ranked:
        """The most likely cause."""
        return self.ranked[0]


def diagnosis(record: Record, *, count: int = DRAWS, seed: int = SEED) -> Diagnosis:
    """Return why there are pinholes, as far as the record tells.

    Parameters
    ----------
    record
        What is known.
    count
        Of draws for what is not, a power of two.
    seed
        Of the draws.

    Returns
    -------
    Diagnosis

    Raises
    ------
    InputError
        When a temperature lies outside the void criterion's range.
    """
    d = drawn(record, count=count, seed=seed)
    found = margins(record, d)
    weights = np.empty((count, len(CAUSES) + 1))
    fits = np.empty(len(CAUSES) + 1)
    anywhere = np.prod([shows_at(None, s) for s in record.where])
    for k, cause in enumerate(CAUSES):
        hazard = 1.0 / (1.0 + np.maximum(found[cause.name].values, 1e-9) ** cause.sharp)
        likely = float(np.prod([shows_at(cause, s) for s in record.where]))
        corners = corner_evidence(record, d, cause.name)
        weights[:, k] = cause.common * hazard * likely * corners
        fits[k] = likely / anywhere * float(corners.mean())
    weights[:, -1] = OTHER_COMMON * OTHER_HAZARD * anywhere
    fits[-1] = 1.0
    joint = weights / weights.sum()
    chance = joint.sum(axis=0)
    ranked = [
        Ranked(
            name=c.name,
            chance=float(chance[k]),
            margin=float(np.median(found[c.name].values)),
            margin_band=_band(found[c.name].values),
            place_fit=float(fits[k]),
            why=found[c.name].words,
            next_time=c.next_time,
        )
        for k, c in enumerate(CAUSES)
    ]
    ranked.append(
        Ranked(
            name=OTHER,
            chance=float(chance[-1]),
            margin=float("nan"),
            margin_band=(float("nan"), float("nan")),
            place_fit=1.0,
            why="by these numbers no listed cause stands out",
            next_time="change one thing at a time and count pinholes on a flat coupon",
        )
    )
    return Diagnosis(
        ranked=tuple(sorted(ranked, key=lambda r: -r.chance)),
        measures=measures(record, d, joint, tuple(c.name for c in CAUSES)),
        unknown=record.unknown,
        undecided=float(-(chance[chance > 0.0] * np.log2(chance[chance > 0.0])).sum()),
    )


def _band(values: Floats) -> tuple[float, float]:
    low, high = np.quantile(values, [0.05, 0.95])
    return float(low), float(high)
