"""Three totals that are never mixed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.findings import Basis
from bagside.planning.cost import CostLine, Total, cost_of, price_of


def line(what: str, group: str, amount: float, price: float, total: Total) -> CostLine:
    return CostLine(what=what, group=group, amount=amount, unit="x", price=price, total=total, basis=Basis.MEASURED)


LINES = [
    line("cloth", "cloth", 0.5, 50.0, Total.REPEAT),
    line("work", "labour", 2.0, 40.0, Total.REPEAT),
    line("bag", "consumables", 1.0, 5.0, Total.REPEAT),
    line("mould", "mould", 1.0, 1000.0, Total.ONE_OFF),
    line("oven", "equipment", 1.0, 2000.0, Total.EQUIPMENT),
]


def test_worked_by_hand() -> None:
    # repeat 25 + 80 + 5 = 110; at 10 % scrap 122.22; mould over 4 is 250, over 20 is 50; 25 % on top.
    cost = cost_of(LINES, quantity=4, currency="EUR", scrap=0.1, profit=0.25)
    assert (cost.repeat, cost.one_off, cost.equipment) == (110.0, 1000.0, 2000.0)
    assert dict(cost.prices) == pytest.approx({1: 1402.78, 4: 465.28, 5: 402.78, 20: 215.28, 50: 177.78}, abs=0.005)
    assert cost.shares() == (("labour", 80 / 110), ("cloth", 25 / 110), ("consumables", 5 / 110))


def test_equipment_is_never_in_the_price() -> None:
    without = cost_of(LINES[:-1], quantity=4, currency="EUR", scrap=0.1, profit=0.25)
    assert without.price == cost_of(LINES, quantity=4, currency="EUR", scrap=0.1, profit=0.25).price


def test_a_mould_that_serves_more_parts_than_this_job() -> None:
    cost = cost_of(LINES, quantity=4, currency="EUR", scrap=0.0, profit=0.0, spread=40)
    assert cost.price == pytest.approx(110 + 25)
    assert dict(cost.prices)[5] == pytest.approx(110 + 200)


def test_three_totals_of_a_small_cover() -> None:
    # Cloth 63, bag 4 and oven 2 kWh as a costing case in the trade press has them; labour, mould and oven are ours.
    lines = [
        line("cloth", "cloth", 0.9, 70.0, Total.REPEAT),
        line("bag", "consumables", 1.0, 4.0, Total.REPEAT),
        line("oven", "energy", 2.0, 0.25, Total.REPEAT),
        line("work", "labour", 12.5, 35.0, Total.REPEAT),
        line("mould", "mould", 1.0, 1200.0, Total.ONE_OFF),
        line("oven itself", "equipment", 1.0, 4000.0, Total.EQUIPMENT),
    ]
    cost = cost_of(lines, quantity=1, currency="EUR", scrap=0.0, profit=0.0)
    assert cost.repeat == pytest.approx(63 + 4 + 0.5 + 437.5)
    assert (cost.one_off, cost.equipment) == (1200.0, 4000.0)
    shares = dict(cost.shares())
    assert list(shares) == ["labour", "cloth", "consumables", "energy"]
    assert 0.12 <= shares["cloth"] <= 0.25


@given(
    st.floats(0.0, 1e4), st.floats(0.0, 1e5), st.integers(1, 200), st.floats(0.0, 0.9), st.floats(0.0, 1.0)
)  # fmt: skip
def test_more_parts_never_cost_more_each(repeat: float, once: float, number: int, scrap: float, profit: float) -> None:
    one = price_of(repeat, once, number, scrap=scrap, profit=profit)
    more = price_of(repeat, once, number + 1, scrap=scrap, profit=profit)
    assert more <= one * (1 + 1e-12)
    assert more >= repeat * (1 - 1e-12)


def test_a_negative_price_is_refused_by_name() -> None:
    with pytest.raises(InputError) as caught:
        cost_of([line("cloth", "cloth", 0.5, -50.0, Total.REPEAT)], quantity=1, currency="EUR", scrap=0.0, profit=0.0)
    assert str(caught.value) == "cost, cloth: 0.5 x at -50 – an amount and a price not below zero are wanted"


def test_scrap_of_everything_is_refused() -> None:
    with pytest.raises(InputError) as caught:
        price_of(100.0, 0.0, 4, scrap=1.0, profit=0.2)
    assert str(caught.value) == "price: 4 off, 100 % scrap – at least one part that does not fail"
