"""Least squares with a prior: against scipy, and what cannot come to rest is said."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import least_squares

import resinsheets
from bagside.cure.fit import fitted, predicted, sheet_prior
from bagside.cure.fit.fitted import starts_of
from bagside.cure.fit.least import least
from bagside.errors import NotSolved


def test_a_line_by_hand():
    """Residuals x − 3 and a prior of mean 0, deviation 1: the least of (x − 3)² + x² is at 1.5, where it is 4.5."""
    got = least(lambda z, who: z - 3.0, np.array([[0.0], [10.0]]))
    assert got.z[:, 0] == pytest.approx([1.5, 1.5], abs=1e-5)
    assert got.cost == pytest.approx([4.5, 4.5], abs=1e-8)
    assert got.settled.all()


@pytest.mark.parametrize("name", ["own", "hubert", "lee"])
def test_it_ends_where_scipy_does(name):
    rows = resinsheets.sheet(name, 2, 5)
    prior = sheet_prior(rows, 0.01)
    stated, sd = np.array([r.stated for r in rows]), np.array([r.sd for r in rows])

    def bill(z: np.ndarray) -> np.ndarray:
        return np.append((predicted(prior.theta(z[None, :]), prior.middle, 0.01, rows)[0] - stated) / sd, z)

    best = min(2.0 * least_squares(bill, z).cost for z in starts_of(prior, rows))
    fit = fitted(rows, prior, 0.01)
    assert fit.misfit == pytest.approx(best, rel=1e-3)


def test_what_never_comes_to_rest_is_said():
    def jagged(z: np.ndarray, who: np.ndarray) -> np.ndarray:
        return 10.0 + np.cumsum(np.ones(len(z)))[:, None] * np.exp(-1e-3 * np.abs(z)) + 1e2 * np.sin(1e3 * z)

    with pytest.raises(NotSolved) as e:
        least(jagged, np.array([[0.3]]), rounds=3)
    told = str(e.value)
    assert told.startswith("the fit did not come to rest in 3 rounds; its sum of squares is ")
    assert told.endswith(": do the rows contradict each other?")
