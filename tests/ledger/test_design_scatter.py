"""Limits, trends and shares: against printed worked examples and by hand."""

from __future__ import annotations

from itertools import combinations
from math import comb

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from bagside.ledger.design.apart import Circumstance, fisher_one_sided, rank_sum_two_sided, shared_by
from bagside.ledger.design.scatter import limits_of, mean_between, share_between, trend_of

FLOW = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
ANSCOMBE_X = [10.0, 8.0, 13.0, 9.0, 11.0, 14.0, 6.0, 4.0, 12.0, 7.0, 5.0]
ANSCOMBE_Y = [8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68]


@pytest.mark.published("NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2, example of ten batches")
def test_limits_of_individuals_as_printed() -> None:
    found = limits_of(FLOW)
    assert found is not None
    assert found.mean == pytest.approx(50.81, abs=0.005)
    assert found.moving_range == pytest.approx(1.8778, abs=5e-5)
    assert found.high == pytest.approx(55.8041, abs=5e-5)
    assert found.low == pytest.approx(45.8159, abs=5e-5)
    assert found.outside == ()
    assert not found.firm


@pytest.mark.published("Anscombe 1973, Graphs in Statistical Analysis, first data set: 0.5, standard error 0.118")
def test_trend_as_printed() -> None:
    order = np.argsort(ANSCOMBE_X)
    found = trend_of([ANSCOMBE_X[k] for k in order], [ANSCOMBE_Y[k] for k in order])
    assert found is not None
    assert found.slope == pytest.approx(0.5, abs=0.005)
    # printed: standard error 0.118; Student's 0.975 point with 9 degrees of freedom is 2.262 in every table
    assert (found.high - found.slope) / 2.262 == pytest.approx(0.118, abs=5e-4)
    assert found.start == pytest.approx(3.0 + 0.5 * 4.0, abs=0.01)  # at the first x, 4
    assert found.told


def test_trend_is_that_of_the_reference_library() -> None:
    draw = np.random.default_rng(3)
    x = np.arange(12.0)
    y = 3.0 - 0.2 * x + draw.normal(0.0, 1.0, 12)
    found, reference = trend_of(x.tolist(), y.tolist()), stats.linregress(x, y)
    assert found is not None
    assert found.slope == pytest.approx(reference.slope)
    reach = stats.t.ppf(0.975, 10) * reference.stderr
    assert found.high - found.slope == pytest.approx(reach)


def test_too_few_parts_say_nothing() -> None:
    assert limits_of([1.0, 2.0, 3.0, 4.0]) is None
    assert trend_of([1, 2, 3, 4], [1.0, 2.0, 3.0, 4.0]) is None
    assert trend_of([1, 1, 1, 1, 1], [1.0, 2.0, 3.0, 4.0, 5.0]) is None


def test_a_part_outside_and_a_shift_are_found() -> None:
    found = limits_of([10.0, 10.2, 9.9, 10.1, 10.0, 14.0, 10.1, 9.9, 10.0, 10.1, 10.0, 9.9])
    assert found is not None
    assert found.outside == (5,)
    shifted = limits_of([9.0, 9.1] * 4 + [10.0, 10.1] * 4)
    assert shifted is not None
    assert shifted.shifted == (7, 15)  # the eighth of each half, by hand


def test_what_cannot_be_below_zero_has_no_lower_limit_there() -> None:
    counts = [3.0, 0.0, 4.0, 1.0, 3.0]
    found, signed = limits_of(counts), limits_of(counts, positive=False)
    assert found is not None
    assert signed is not None
    assert found.low is None
    assert signed.low == pytest.approx(2.2 - 3.0 * 3.0 / 1.128)  # moving ranges 3, 4, 3, 2 by hand: mean 3


def test_equal_parts_have_no_scatter() -> None:
    found = limits_of([2.0] * 6)
    assert found is not None
    assert (found.low, found.high, found.outside, found.shifted) == (2.0, 2.0, (), ())


@pytest.mark.published("Hanley and Lippman-Hand 1983, rule of three: none in n means at most about 3/n, one-sided")
def test_nothing_seen_is_not_nothing() -> None:
    low, high = share_between(0, 100)
    assert low == 0.0
    assert high == pytest.approx(1.0 - 0.025 ** (1 / 100))  # two-sided, by hand
    assert 0.03 < high < 0.037


@pytest.mark.published("Clopper and Pearson's interval of 1 in 10 as printed in tables: 0.0025 to 0.4450")
def test_share_as_printed() -> None:
    low, high = share_between(1, 10)
    assert low == pytest.approx(0.0025, abs=5e-5)
    assert high == pytest.approx(0.4450, abs=5e-5)
    assert share_between(10, 10)[1] == 1.0


def test_mean_between_by_hand() -> None:
    mean, low, high = mean_between([1.0, 2.0, 3.0])
    assert mean == 2.0
    assert high - mean == pytest.approx(4.303 / np.sqrt(3.0), rel=1e-3)  # Student's 0.975 point with 2: 4.303
    assert mean - low == pytest.approx(high - mean)
    assert mean_between([5.0]) == (5.0, float("-inf"), float("inf"))


@pytest.mark.published("Fisher 1935, The Design of Experiments, chapter II: the lady tasting tea, 1/70 and 17/70")
def test_fisher_as_printed() -> None:
    assert fisher_one_sided((4, 4), (0, 4)) == pytest.approx(1 / 70)
    assert fisher_one_sided((3, 4), (1, 4)) == pytest.approx(17 / 70)


@given(
    st.lists(st.integers(0, 4), min_size=1, max_size=4),
    st.lists(st.integers(0, 4), min_size=1, max_size=4),
)
def test_rank_sum_is_the_count_of_all_splits(mine: list[int], rest: list[int]) -> None:
    both = [*mine, *rest]
    ranks = stats.rankdata(both)
    whole = range(len(both))
    middle = len(mine) * (len(both) + 1) / 2
    off = abs(sum(ranks[: len(mine)]) - middle)
    hits = sum(abs(sum(ranks[list(c)]) - middle) >= off - 1e-9 for c in combinations(whole, len(mine)))
    assert rank_sum_two_sided(mine, rest) == pytest.approx(hits / comb(len(both), len(mine)))


def test_what_pinhole_parts_share() -> None:
    parts = [f"p{k}" for k in range(12)]
    those = ["p2", "p5", "p7", "p9"]
    humid = {p: 0.66 if p in those else 0.48 + 0.01 * k for k, p in enumerate(parts)}
    batch = {p: "B7" if p in (*those, "p1") else "B4" for p in parts}
    pulls = {p: float(k) for k, p in enumerate(parts)}
    found = shared_by(
        those,
        parts,
        [
            Circumstance(name="humidity", unit="%", values=humid),
            Circumstance(name="batch", unit="", values=batch),
            Circumstance(name="pull", unit="", values=pulls),
        ],
    )
    first, second = found[:2]
    assert (first.name, first.above, first.those, first.others) == ("humidity", True, (4, 4), (0, 8))
    assert first.edge == pytest.approx(0.5 * (0.66 + 0.59))
    assert first.chance == pytest.approx(2 / comb(12, 4))  # wholly apart: two of all splits are so clear
    assert first.luck == pytest.approx(6 / comb(12, 4))
    assert first.sure
    assert (second.name, second.value, second.those, second.others) == ("batch", "B7", (4, 4), (1, 8))
    assert second.chance == pytest.approx(2 * 5 / comb(12, 4))  # Fisher by hand: C(5, 4) / C(12, 4), two words tried


def test_one_part_alone_is_not_compared() -> None:
    assert shared_by(["a"], ["a", "b", "c"], [Circumstance(name="x", unit="", values={"a": 1, "b": 2, "c": 3})]) == ()
    everywhere = Circumstance(name="batch", unit="", values=dict.fromkeys("abcd", "B"))
    assert shared_by(["a", "b"], list("abcd"), [everywhere]) == ()


@given(
    st.lists(st.integers(-50, 50), min_size=5, max_size=20),
    st.floats(0.1, 10.0),
    st.floats(-100.0, 100.0),
)
def test_limits_and_trend_go_with_unit_and_zero(values: list[int], scale: float, shift: float) -> None:
    moved = [scale * v + shift for v in values]
    one, other = limits_of(values, positive=False), limits_of(moved, positive=False)
    assert one is not None
    assert other is not None
    assert other.high == pytest.approx(scale * one.high + shift, abs=1e-6)
    assert other.moving_range == pytest.approx(scale * one.moving_range, abs=1e-9)
    order = range(len(values))
    trend, after = trend_of(order, values), trend_of(order, moved)
    assert trend is not None
    assert after is not None
    assert after.slope == pytest.approx(scale * trend.slope, abs=1e-9)
    assert after.high - after.low == pytest.approx(scale * (trend.high - trend.low), abs=1e-6)


def test_a_trend_is_told_by_luck_once_in_twenty() -> None:
    draw = np.random.default_rng(11)
    rows = draw.normal(size=(2000, 9)).tolist()
    told = [trend_of(range(9), row) for row in rows]
    share = sum(t is not None and t.told for t in told) / 2000
    assert abs(share - 0.05) < 3.0 * (0.05 * 0.95 / 2000) ** 0.5
