"""Margins of each cause, by hand and by what must never improve them."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from bagside.bagging import air_left, air_time, void_margin
from bagside.bagging.pinholes import CAUSES, Record, Seen, drawn, margins, permeability_gebart_1992
from bagside.errors import InputError

FULL = Record(
    where=(Seen.CROSSINGS,), vacuum=2e3, ambient=1e5, drop=500.0, volume=2e-3, receiver=0.0, pump_on=True,
    unpumped=3600.0, humidity=0.5, room=293.15, freezer=255.15, thawed=36000.0, wet_seen=False, first_debulk=1200.0,
    debulks=1.0, debulk_time=600.0, plies=6.0, hold=3600.0, path=0.2, edges_breathe=True, liquid_hottest=353.15,
    liquid_time=3600.0, viscosity=10.0, life_used=0.3, corner_radius=0.008, thickness=1.2e-3, slip_joint=False,
    bag_touched=True, resin_content=0.42, perforated=False, films_supplied=6.0, films_removed=6.0, mould_tight=True,
    release_limit=473.15, hottest=393.15,
)  # fmt: skip
COUNT = 512


def of(name: str, **changes: object) -> np.ndarray:
    record = replace(FULL, **changes)  # type: ignore[arg-type]
    return margins(record, drawn(record, count=COUNT))[name].values


def test_every_cause_has_a_margin() -> None:
    found = margins(FULL, drawn(FULL, count=COUNT))
    assert list(found) == [c.name for c in CAUSES]
    assert all(m.values.shape == (COUNT,) and (m.values > 0.0).all() and m.words for m in found.values())


def test_water_is_the_void_margin_of_the_share_drawn() -> None:
    d = drawn(FULL, count=COUNT)
    want = [void_margin(353.15, (1e5 - 2e3) * (1 - s), 0.5).margin for s in d["share"]]
    np.testing.assert_allclose(of("water in the prepreg"), want)
    assert d["share"].min() < 0.01
    assert d["share"].max() > 0.39


def test_air_under_the_first_ply_by_hand() -> None:
    d = drawn(FULL, count=COUNT)
    k = 7
    scale = float(air_time(0.2, float(d["permeability"][k]), 1e5, float(d["pores"][k])))
    left = float(air_left(1200.0 + 3600.0 * d["closed"][k], scale, 0.02)) - 0.02
    resin = 2e3 + (1e5 - 2e3) * (1 - d["share"][k])
    voids = d["pores"][k] * max(left, 1e-6) * 1e5 / resin
    assert of("air under the first ply")[k] == pytest.approx(0.01 / voids)


def test_dew_point_by_hand() -> None:
    """At 20 °C and 50 % the dew point is 9.3 °C (psychrometric tables); opened at 9.3 °C the margin is one."""
    assert of("opened cold", opened_at=282.42, wet_seen=None)[0] == pytest.approx(1.0, abs=0.03)
    assert of("opened cold", opened_at=285.42, wet_seen=None)[0] == pytest.approx(np.e, rel=0.03)
    assert (of("opened cold", wet_seen=True) <= 0.25).all()


@pytest.mark.published("Gebart 1992, J. Compos. Mater. 26:1100, hexagonal packing 0.9069; lubrication integral, memory")
def test_permeability_across_a_tow() -> None:
    """It vanishes when fibres touch, and near there follows the lubrication integral between cylinders."""
    full = np.pi / (2 * np.sqrt(3))
    assert permeability_gebart_1992(np.array(full)) == pytest.approx(0.0, abs=1e-20)
    vf, R = 0.88, 3.5e-6
    half = R * (np.sqrt(full / vf) - 1.0)  # half gap between fibres
    # One gap's resistance per length: 3 μ/2 ∫ dx / h³ with h = half + x²/2R, taken between neighbouring fibres.
    resistance, _ = quad(lambda x: 1.5 / (half + x * x / (2 * R)) ** 3, -R, R, points=[0.0])
    # Flow q per gap through a cell 2(R + half) wide and √3 (R + half) long for each gap passed.
    width, length = 2 * (R + half), np.sqrt(3) * (R + half)
    assert float(permeability_gebart_1992(np.array(vf))) == pytest.approx(length / (resistance * width), rel=0.25)


def test_starved_by_hand() -> None:
    """34 % resin by mass of 1780 and 1220 kg/m³ is 42.9 % by volume; a pressed bed of 57.5 % fibre has 42.5 %."""
    fill = 0.34 / 1220 / (0.34 / 1220 + 0.66 / 1780)
    assert fill == pytest.approx(0.429, abs=0.001)
    d = drawn(FULL, count=COUNT)
    lost = 0.005 * d["bleed"]
    c = 0.34 - lost
    want = (c / 1220) / (c / 1220 + (1 - c) / 1780) / (1 - d["packed"])
    np.testing.assert_allclose(of("starved of resin", resin_content=0.34), want)


WORSE = [
    ("water in the prepreg", "humidity", 0.3, 0.9, +1),
    ("water in the prepreg", "liquid_hottest", 340.0, 400.0, +1),
    ("water in the prepreg", "vacuum", 1e3, 3e4, +1),
    ("water in the prepreg", "ambient", 7e4, 1.03e5, -1),
    ("air under the first ply", "first_debulk", 0.0, 3000.0, -1),
    ("air under the first ply", "path", 0.05, 1.0, +1),
    ("air between plies", "hold", 60.0, 2e4, -1),
    ("air between plies", "debulks", 0.0, 5.0, -1),
    ("weak vacuum", "vacuum", 1e3, 3e4, +1),
    ("leak", "drop", 10.0, 2e4, +1),
    ("resin too thick", "viscosity", 1.0, 100.0, +1),
    ("resin too thick", "liquid_time", 60.0, 2e4, -1),
    ("resin too thick", "life_used", 0.0, 1.5, +1),
    ("old prepreg", "life_used", 0.05, 1.5, +1),
    ("starved of resin", "resin_content", 0.3, 0.5, -1),
    ("cloth spans a corner", "corner_radius", 1e-3, 0.03, -1),
    ("cloth spans a corner", "thickness", 5e-4, 5e-3, +1),
    ("opened cold", "thawed", 0.0, 5e4, -1),
    ("release agent too soft", "hottest", 340.0, 450.0, +1),
    ("release agent too soft", "release_limit", 340.0, 500.0, -1),
]


@pytest.mark.parametrize(("cause", "value", "low", "high", "way"), WORSE, ids=lambda x: str(x))
@settings(max_examples=15, deadline=None)
@given(data=st.data())
def test_worse_never_raises_a_margin(
    cause: str, value: str, low: float, high: float, way: int, data: st.DataObject
) -> None:
    """On the same draws, every one of them."""
    a, b = sorted(data.draw(st.tuples(st.floats(low, high), st.floats(low, high)), label=value))
    better, worse = (a, b) if way > 0 else (b, a)
    changes = {"wet_seen": None} if cause == "opened cold" else {}
    assert (of(cause, **{value: worse}, **changes) <= of(cause, **{value: better}, **changes) * (1 + 1e-9)).all()


@pytest.mark.parametrize(("cause", "value", "low", "high", "way"), WORSE, ids=lambda x: str(x))
def test_and_from_best_to_worst_it_falls(cause: str, value: str, low: float, high: float, way: int) -> None:
    best, worst = (low, high) if way > 0 else (high, low)
    changes = {"wet_seen": None} if cause == "opened cold" else {}
    assert np.median(of(cause, **{value: worst}, **changes)) < 0.95 * np.median(of(cause, **{value: best}, **changes))


def test_edges_that_do_not_breathe_keep_the_air_in() -> None:
    """Ways ten to three hundred times as tight: on every draw less leaves."""
    assert (of("air between plies", edges_breathe=False) < of("air between plies", edges_breathe=True)).all()


def test_yes_and_no() -> None:
    for cause, value in (
        ("bag spans a corner", "bag_touched"),
        ("mould not tight", "mould_tight"),
        ("pump stopped", "pump_on"),
    ):
        good, bad = of(cause, **{value: True}, drop=3000.0), of(cause, **{value: False}, drop=3000.0)
        assert (bad < 1.0).all()
        assert (good > 1.0).all()
    assert (of("backing film left in", films_removed=5.0) < 1.0).all()
    assert (of("backing film left in") > 1.0).all()
    assert (of("cloth spans a corner", slip_joint=True) >= of("cloth spans a corner")).all()


def test_draws_of_what_is_known_stay_and_others_do_not_move() -> None:
    one, two = drawn(FULL, count=64), drawn(replace(FULL, humidity=None), count=64)
    assert (one["humidity"] == 0.5).all()
    assert two["humidity"].std() > 0.05
    for name in one:
        if name != "humidity":
            np.testing.assert_array_equal(one[name], two[name])
    np.testing.assert_array_equal(drawn(FULL, count=64)["share"], one["share"])
    assert (drawn(FULL, count=64, seed=1)["share"] != one["share"]).any()
    with pytest.raises(InputError) as told:
        drawn(FULL, count=100)
    assert str(told.value) == "pinholes, draws: 100 – a power of two is wanted"
