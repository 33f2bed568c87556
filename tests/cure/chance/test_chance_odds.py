"""Chances and their intervals against tables; shares of inputs against sums of squares known beforehand."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from bagside.cure.chance import drivers, odds
from bagside.cure.chance.odds import draws_to_show
from bagside.errors import InputError


@pytest.mark.parametrize(
    ("held", "draws", "low", "high"),
    [
        # Exact limits for a proportion, 95 %, two-sided: zero of ten and ten of ten are 1 − 0.025^(1/10) by hand
        (10, 10, 0.025**0.1, 1.0),
        (0, 10, 0.0, 1.0 - 0.025**0.1),
        (1, 1, 0.025, 1.0),
    ],
)
def test_the_interval_by_hand(held: int, draws: int, low: float, high: float) -> None:
    got = odds(held, draws)
    assert (got.low, got.high) == (pytest.approx(low, rel=1e-9), pytest.approx(high, rel=1e-9))
    assert got.chance == held / draws


@pytest.mark.parametrize(
    ("held", "draws", "level"), [(7, 10, 0.95), (950, 1000, 0.95), (3, 64, 0.9), (1999, 2000, 0.99)]
)
def test_the_interval_is_the_quantile_of_beta(held: int, draws: int, level: float) -> None:
    # The exact limits are quantiles of beta distributions (Clopper, Pearson 1934, in the form of every textbook).
    tail = 0.5 * (1.0 - level)
    got = odds(held, draws, level)
    assert got.low == pytest.approx(stats.beta.ppf(tail, held, draws - held + 1), rel=1e-9)
    assert got.high == pytest.approx(stats.beta.ppf(1.0 - tail, held + 1, draws - held), rel=1e-9)


@pytest.mark.parametrize("wanted", [0.5, 0.9, 0.95, 0.99])
def test_as_many_draws_show_it_and_one_fewer_does_not(wanted: float) -> None:
    n = draws_to_show(wanted)
    assert odds(n, n).low >= wanted > odds(n - 1, n - 1).low


def test_shares_of_independent_inputs_are_their_squares() -> None:
    # margin = 3 x1 − 4 x2 with independent normals: correlations 0.6 and −0.8, on ranks 6/π asin(ρ/2): 0.582 and −0.786
    x = np.random.default_rng(1).standard_normal((4000, 3))
    found = drivers(("one", "two", "idle"), x, 3.0 * x[:, 0] - 4.0 * x[:, 1])
    assert [d.name for d in found] == ["two", "one", "idle"]
    assert [d.share for d in found] == pytest.approx([0.786**2, 0.582**2, 0.0], abs=0.02)
    assert [d.rank for d in found[:2]] == pytest.approx([-0.786, 0.582], abs=0.02)


def test_two_inputs_that_say_the_same_share_what_they_explain() -> None:
    x = np.random.default_rng(2).standard_normal(2000)
    y = np.column_stack([x, x + 1e-3 * np.random.default_rng(3).standard_normal(2000)])
    one, two = drivers(("a", "b"), y, x)
    assert (one.share, two.share) == (pytest.approx(0.5, abs=0.02), pytest.approx(0.5, abs=0.02))


def test_the_rank_is_spearmans() -> None:
    rng = np.random.default_rng(4)
    x = rng.standard_normal((300, 2))
    y = np.exp(x[:, 0]) + 0.5 * rng.standard_normal(300)
    found = {d.name: d.rank for d in drivers(("a", "b"), x, y)}
    for k, name in enumerate("ab"):
        assert found[name] == pytest.approx(float(stats.spearmanr(x[:, k], y).statistic), abs=1e-12)


def test_nothing_is_said_of_a_margin_that_never_moves_or_of_few_draws() -> None:
    x = np.random.default_rng(5).standard_normal((100, 2))
    assert drivers(("a", "b"), x, np.ones(100)) == ()
    assert drivers(("a", "b"), x[:20], x[:20, 0]) == ()
    assert drivers(("a", "b"), np.ones((100, 2)), x[:, 0]) == ()


def test_what_is_no_count_is_refused() -> None:
    for held, draws in ((3, 2), (0, 0), (-1, 5)):
        with pytest.raises(InputError) as refused:
            odds(held, draws)
        assert str(refused.value) == f"chance: {held} of {draws} at 0.95 – one draw or more is wanted"
    with pytest.raises(InputError) as refused:
        draws_to_show(1.0)
    assert str(refused.value) == "wanted chance: 1.0 – a chance above 0 % and below 100 % is wanted"
