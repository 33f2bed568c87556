"""Draws: the distributions against scipy's, correlation recovered, and no draw that hangs on how it was asked for."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from bagside.cure.chance import INPUTS, Kind, Scatter, Spread, drawn, scatter_of_oven
from bagside.errors import InputError
from luck import normal, only, resin, thin

SHARES = np.array([1e-6, 0.05, 0.3, 0.5, 0.8, 1.0 - 1e-6])


@pytest.mark.parametrize(
    ("spread", "peer"),
    [
        (Spread(kind=Kind.NORMAL, size=2.0), stats.norm(0.0, 2.0)),
        (Spread(kind=Kind.LOGNORMAL, size=0.3), stats.lognorm(0.3)),
        (Spread(kind=Kind.UNIFORM, size=4.0), stats.uniform(-4.0, 8.0)),
        (Spread(kind=Kind.EXPONENTIAL, size=7.0), stats.expon(scale=7.0)),
    ],
)
def test_a_spread_is_the_one_scipy_knows(spread: Spread, peer: stats.rv_continuous) -> None:
    assert spread.at(SHARES) == pytest.approx(peer.ppf(SHARES), rel=1e-12, abs=1e-12)


@pytest.mark.parametrize(("kind", "still"), [(k, 1.0 if k is Kind.LOGNORMAL else 0.0) for k in Kind])
def test_a_spread_of_no_size_is_never_off(kind: Kind, still: float) -> None:
    assert (Spread(kind=kind, size=0.0).at(SHARES) == still).all()


@settings(max_examples=25, deadline=None)
@given(first=st.integers(0, 900), n=st.integers(1, 120), seed=st.integers(0, 2**40))
def test_a_draw_hangs_on_its_seed_and_number_only(first: int, n: int, seed: int) -> None:
    whole = drawn(Scatter(), first + n, seed)
    piece = drawn(Scatter(), n, seed, first=first)
    assert (piece.values == whole.values[first:]).all()
    assert (whole.part(first, first + n).values == piece.values).all()


@pytest.mark.regression
def test_draw_seventeen_of_seed_one_stays_what_it_was() -> None:
    # a chance that was told last year is told again; this proves nothing else
    assert drawn(Scatter(), 1, seed=1, first=16).values[0] == pytest.approx(
        [-0.8448899025, -0.161193246, 1.174152926, 1.300260971, 1.557497126, 0.9007386692, 0.9617815022, 0.959550729,
         -0.02090459873, 0.0, 2495.729966], rel=1e-8,
    )  # fmt: skip


def test_other_seeds_are_other_draws() -> None:
    one, two = (drawn(Scatter(), 256, seed).values[:, :9] for seed in (1, 2))
    assert not np.isin(one, two).any()


def test_every_input_follows_its_own_distribution() -> None:
    scatter = Scatter(ambient=normal(0.01))
    got = drawn(scatter, 4096, seed=5)
    peers = {
        Kind.NORMAL: lambda s: stats.norm(0.0, s),
        Kind.LOGNORMAL: lambda s: stats.lognorm(s),
        Kind.UNIFORM: lambda s: stats.uniform(-s, 2.0 * s),
        Kind.EXPONENTIAL: lambda s: stats.expon(scale=s),
    }
    for name in INPUTS:
        spread = getattr(scatter, name)
        # the critical distance of Kolmogorov and Smirnov at 1 % for 4096 random points is 1.63/64
        assert stats.kstest(got.of(name), peers[spread.kind](spread.size).cdf).statistic < 1.63 / 64.0, name


def test_what_goes_together_goes_together() -> None:
    got = drawn(Scatter(), 8192, seed=2)
    assert np.corrcoef(np.log(got.of("film_bag")), np.log(got.of("film_tool")))[0, 1] == pytest.approx(0.7, abs=0.01)
    assert np.corrcoef(np.log(got.of("rate")), np.log(got.of("start")))[0, 1] == pytest.approx(0.5, abs=0.01)
    assert np.corrcoef(np.log(got.of("rate")), np.log(got.of("heat")))[0, 1] == pytest.approx(0.0, abs=0.01)


def test_a_draw_as_a_scenario_says_what_the_draw_says() -> None:
    draws = drawn(Scatter(), 4, seed=3)
    way = draws.scenario(2, alpha0=0.02)
    assert way.name == "draw 3"
    assert (way.heat, way.rate) == (draws.of("heat")[2], draws.of("rate")[2])
    assert (way.film_bag, way.film_tool) == (draws.of("film_bag")[2], draws.of("film_tool")[2])
    assert way.air == draws.of("place")[2] + draws.of("thermocouple")[2]
    assert way.alpha0 is not None
    assert way.alpha0 / (1.0 - way.alpha0) == pytest.approx(draws.of("start")[2] * 0.02 / 0.98, rel=1e-12)
    assert draws.scenario(2).alpha0 is None


def test_the_start_of_every_cell_is_scattered_where_it_is_stated() -> None:
    draws = drawn(Scatter(), 2, seed=3)
    (none,), (one,), (each,) = (
        draws.sections(1, (s,), resin()) for s in (thin(), thin(alpha0=0.02), thin(alpha0=(0.02, 0.6)))
    )
    factor = draws.of("start")[1]
    want = [x * factor / (1.0 - x + x * factor) for x in (0.02, 0.6)]
    assert none.alpha0 == one.alpha0 == pytest.approx(want[0], rel=1e-12)
    assert each.alpha0 == pytest.approx(tuple(want), rel=1e-12)


def test_the_place_of_an_oven_is_half_its_spread() -> None:
    place = drawn(scatter_of_oven(8.0), 1024, seed=1).of("place")
    assert -4.0 <= place.min() < -3.98
    assert 3.98 < place.max() <= 4.0


def test_only_what_has_a_size_scatters() -> None:
    assert only(rate=Spread(kind=Kind.LOGNORMAL, size=0.1)).scattered == ("rate",)
    assert Scatter().scattered == tuple(n for n in INPUTS if n != "ambient")


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (
            lambda: Spread(kind=Kind.NORMAL, size=-1.0),
            "scatter, normal: -1.0 – a size of zero or more is wanted",
        ),
        (
            lambda: Scatter(rate=normal(0.1), place=Spread(kind=Kind.LOGNORMAL, size=0.1)),
            "scatter, place: log-normal – a difference is wanted here, which is not log-normal\n"
            "scatter, rate: normal – a factor is wanted here, which is log-normal",
        ),
        (
            lambda: Scatter(together=(("film_bag", "film_tol", 0.5),)),
            'scatter, together: film_tol – two different inputs are wanted (did you mean "film_tool"?)',
        ),
        (
            lambda: Scatter(together=(("rate", "heat", 0.9), ("heat", "start", 0.9), ("rate", "start", -0.9))),
            "scatter, together: rate heat 0.9, heat start 0.9, rate start -0.9 – correlations between −1 and 1 that "
            "can hold together are wanted",
        ),
        (lambda: drawn(Scatter(), 0, seed=1), "draws: 0 – from 1 to 1048576 are wanted"),
        (lambda: drawn(Scatter(), 1, seed=-1), "seed: -1 – a whole number of zero or more is wanted"),
    ],
)
def test_what_cannot_be_drawn_is_refused(make, message: str) -> None:
    with pytest.raises(InputError) as refused:
        make()
    assert str(refused.value) == message
