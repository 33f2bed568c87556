"""What the bag is made of against the cycle."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.bagging import Consumable, consumable_of, offered, rated, rating_findings
from bagside.bagging.ratings import time_above
from bagside.errors import InputError
from bagside.findings import Basis, Severity
from bagside.spec.material import Film, Told

TIME = np.array([0.0, 3600.0, 10800.0, 14400.0])
AIR = np.array([293.15, 393.15, 393.15, 293.15])  # 20 → 120 °C in an hour, two hours there, back in an hour


def film(limit: float, **more: object) -> Consumable:
    return Consumable(name="film", limit=limit + 273.15, **more)  # type: ignore[arg-type]


def test_time_above_by_hand() -> None:
    """Above 100 °C: 0.2 h on the way up, 2 h, 0.2 h on the way down."""
    assert time_above(TIME, AIR, 373.15) == pytest.approx(2.4 * 3600.0)
    assert time_above(TIME, AIR, 393.15) == 0.0
    assert time_above(TIME, AIR, 200.0) == pytest.approx(14400.0)


@given(st.floats(250.0, 420.0), st.floats(0.1, 50.0))
def test_a_higher_limit_is_never_exceeded_for_longer(limit: float, more: float) -> None:
    fine = np.linspace(0.0, 14400.0, 20001)
    sampled = (np.interp(fine, TIME, AIR) > limit).mean() * 14400.0
    assert time_above(TIME, AIR, limit) == pytest.approx(sampled, abs=2.0)
    assert time_above(TIME, AIR, limit + more) <= time_above(TIME, AIR, limit)


def test_two_values_of_one_rating() -> None:
    """110 °C for good, 130 °C for three hours: 2.2 h above the first is within it; with two hours it is not."""
    three, two = rated(
        [film(110, short_limit=403.15, short_time=3 * 3600.0), film(110, short_limit=403.15, short_time=2 * 3600.0)],
        TIME,
        AIR,
    )
    assert three.above == pytest.approx(2.2 * 3600.0)
    assert (three.holds, two.holds) == (True, False)
    assert three.spare == pytest.approx(10.0)
    told = rating_findings([three, two])
    assert [f.severity for f in told] == [Severity.WATCH, Severity.STOP]
    assert told[0].what == "the cycle comes within 10 K of its 130 °C"
    assert told[1].what == "it is above 110 °C for 132 min, 120 min are allowed"


def test_a_bag_that_has_seen_its_cure_is_not_offered() -> None:
    fresh, used, silicone, cool = film(180), film(180, cures=1), film(180, cures=30, cures_allowed=100), film(110)
    assert offered([fresh, used, silicone, cool], TIME, AIR) == (fresh, silicone)
    told = rating_findings(rated([fresh, used, silicone, cool], TIME, AIR))
    assert [f.severity for f in told] == [Severity.STOP, Severity.STOP]
    assert told[0].what == "it has seen 1 cure, 1 allowed"
    assert told[1].what == "it stands 110 °C, the cycle reaches 120 °C"
    assert used.worn
    assert not fresh.worn


def test_as_its_sheet_states_it() -> None:
    sheet = Film(
        limit=393.15, width=1.5, short_limit=413.15, short_time=3600.0, cures=2, basis=Told(all=Basis.DATA_SHEET)
    )
    item = consumable_of("tape", sheet, 1)
    assert (item.limit, item.short_limit, item.short_time, item.cures, item.cures_allowed) == (
        393.15, 413.15, 3600.0, 1, 2,
    )  # fmt: skip
    assert item.basis is Basis.DATA_SHEET
    with pytest.raises(InputError) as told:
        consumable_of("tape", sheet, -1)
    assert str(told.value) == "bag ratings, tape: -1 – a number of cures from zero up is wanted"


def test_refusals() -> None:
    with pytest.raises(InputError) as told:
        rated([film(120)], TIME, AIR[:2])
    assert str(told.value) == "bag ratings: 4 times, 2 temperatures – a history of both is wanted"
    with pytest.raises(InputError) as told:
        rated([film(120, short_limit=380.0, short_time=60.0)], TIME, AIR)
    assert str(told.value) == (
        "bag ratings, film – a short rating wants a temperature above the lasting one and its time"
    )
