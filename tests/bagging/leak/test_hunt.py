"""Where a leak most likely is in this bag, and which test halves the places."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.bagging.leak import PLACES, halvings, suspects
from bagside.errors import InputError

BAG = {"pleats": 12, "corners": 4, "tape run": 3.4, "ports": 2, "connectors": 2, "hose": 5.0, "mould porosity": 0.6}
SIDES = {p.name: p.side for p in PLACES}


def test_chances_sum_to_one_and_are_in_order() -> None:
    found = suspects(BAG, 5 / 6e7)
    assert sum(s.chance for s in found) == pytest.approx(1.0)
    assert [s.chance for s in found] == sorted((s.chance for s in found), reverse=True)
    assert found[0].place.name == "pleats"


def test_a_split_mould_is_looked_at_first() -> None:
    """A seam of a metre leaks far more often than anything else: common practice."""
    assert suspects({**BAG, "mould seams": 2.0, "mould holes": 6}, 25 / 6e7)[0].place.name == "mould seams"


def test_a_large_leak_is_none_of_the_film() -> None:
    small = {s.place.name: s.chance for s in suspects({**BAG, "film": 2.0}, 1 / 6e7)}
    large = {s.place.name: s.chance for s in suspects({**BAG, "film": 2.0}, 100 / 6e7)}
    assert large["film"] < 0.5 * small["film"]
    assert large["pleats"] > small["pleats"]


@given(st.sampled_from(sorted(BAG)), st.floats(1.1, 10.0), st.floats(0.5, 200.0))
def test_more_of_a_place_never_makes_it_less_likely(name: str, times: float, flow: float) -> None:
    before = {s.place.name: s.chance for s in suspects(BAG, flow / 6e7)}
    after = {s.place.name: s.chance for s in suspects({**BAG, name: times * BAG[name]}, flow / 6e7)}
    assert after[name] > before[name]


def test_bits_of_a_halving_by_hand() -> None:
    """Lines and ports of 25 and 75 %: H(0.25) = 0.811 bit."""
    per = {p.name: p for p in PLACES}
    wires = 0.75 * per["connectors"].often / per["thermocouple wires"].often / 0.25
    found = halvings(suspects({"connectors": 1, "thermocouple wires": wires}, 0.0))
    valve = next(h for h in found if h.name.startswith("shut the valve"))
    assert valve.chance == pytest.approx(0.25)
    assert valve.bits == pytest.approx(-0.25 * math.log2(0.25) - 0.75 * math.log2(0.75))
    assert valve.inside == ("connectors",)


def test_tests_that_tell_nothing_are_left_out() -> None:
    assert halvings(suspects({"film": 1.0}, 0.0)) == ()
    found = halvings(suspects(BAG, 5 / 6e7))
    assert [h.bits / h.minutes for h in found] == sorted((h.bits / h.minutes for h in found), reverse=True)
    assert all(set(h.inside) <= set(BAG) and 0.0 < h.bits <= 1.0 for h in found)


def test_whole_messages() -> None:
    with pytest.raises(InputError) as told:
        suspects({"pleat": 3}, 0.0)
    assert str(told.value) == 'leak, places: "pleat" – this is not known here (did you mean "pleats"?)'
    with pytest.raises(InputError) as told:
        suspects({"pleats": -1}, 0.0)
    assert str(told.value) == "leak, places, pleats: -1 – zero or more is wanted"
    with pytest.raises(InputError) as told:
        suspects({"pleats": 0}, 0.0)
    assert str(told.value) == "leak, places: none – at least one place with an amount is wanted"
