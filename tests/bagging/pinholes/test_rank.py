"""Made-up histories with one known culprit, and what would tell causes apart."""

from dataclasses import replace

import numpy as np
import pytest

from bagside.bagging.pinholes import (
    CAUSES,
    OTHER,
    Corner,
    Record,
    Seen,
    corner_evidence,
    diagnosis,
    drawn,
    information,
    pinhole_findings,
    shows_at,
)
from bagside.findings import Severity

PLACES = list(Seen)


def sound(rng: np.random.Generator) -> dict[str, object]:
    """Return a history in which nothing was near its limit."""
    u = rng.uniform
    return {
        "vacuum": u(1500, 2500), "ambient": u(0.98e5, 1.02e5), "drop": u(50, 400), "volume": u(1e-3, 4e-3),
        "pump_on": True, "humidity": u(0.30, 0.45), "room": u(291, 296), "thawed": u(10, 20) * 3600,
        "wet_seen": False, "first_debulk": u(25, 35) * 60, "debulks": 2.0, "debulk_time": 900.0, "plies": 6.0,
        "hold": u(60, 120) * 60, "path": u(0.08, 0.20), "edges_breathe": True, "liquid_hottest": u(343, 355),
        "liquid_time": u(90, 150) * 60, "viscosity": u(4, 8), "life_used": u(0.05, 0.3),
        "corner_radius": u(0.012, 0.020), "thickness": u(0.8e-3, 1.5e-3), "slip_joint": True, "bag_touched": True,
        "resin_content": u(0.42, 0.44), "perforated": False, "films_supplied": 12.0, "films_removed": 12.0,
        "mould_tight": True, "release_limit": 473.0, "hottest": u(383, 398),
    }  # fmt: skip


def culprit(name: str, rng: np.random.Generator) -> dict[str, object]:
    """Return what was wrong, and only that."""
    u = rng.uniform
    return {
        "air under the first ply": {"first_debulk": 0.0, "path": u(0.3, 0.5)},
        "air between plies": {"edges_breathe": False, "debulks": 0.0, "hold": u(5, 15) * 60},
        "water in the prepreg": {"humidity": u(0.65, 0.80), "liquid_hottest": u(385, 395)},
        "opened cold": {"wet_seen": None, "thawed": u(0, 20) * 60},
        "weak vacuum": {"vacuum": u(15e3, 25e3)},
        "leak": {"drop": u(6e3, 12e3)},
        "pump stopped": {"pump_on": False, "drop": u(1500, 2500), "unpumped": u(100, 200) * 60},
        "resin too thick": {"liquid_time": u(5, 15) * 60, "viscosity": u(80, 150)},
        "old prepreg": {"life_used": u(1.3, 1.8)},
        "starved of resin": {"resin_content": u(0.32, 0.34), "perforated": True},
        "cloth spans a corner": {"corner_radius": u(0.001, 0.002), "slip_joint": False},
        "bag spans a corner": {"bag_touched": False},
        "backing film left in": {"films_removed": 11.0},
        "mould not tight": {"mould_tight": False},
        "release agent too soft": {"release_limit": u(333, 353)},
    }[name]


def history(name: str, seed: int, *, forgotten: int = 0) -> Record:
    """Return a history with one culprit; its defects lie where that cause shows, values forgotten at random."""
    rng = np.random.default_rng([seed, len(name)])
    wrong = culprit(name, rng)
    values = {**sound(rng), **wrong}
    cause = next(c for c in CAUSES if c.name == name)
    where = PLACES[rng.choice(len(PLACES), p=[shows_at(cause, s) for s in PLACES])]
    loose = [k for k in sorted(values) if k not in wrong and k not in ("films_supplied", "ambient")]
    for k in rng.permutation(loose)[:forgotten]:
        values[k] = None
    return Record(where=(where,), **values)  # type: ignore[arg-type]


def first(name: str, draws: int, *, forgotten: int = 0, within: int = 1) -> int:
    """Return how often the culprit comes first, or within the first few."""
    hits = 0
    for seed in range(draws):
        found = diagnosis(history(name, seed, forgotten=forgotten), count=512)
        hits += name in [r.name for r in found.ranked[:within]]
    return hits


def test_the_culprit_comes_first_in_nine_of_ten_histories() -> None:
    hits = {c.name: first(c.name, 20) for c in CAUSES}
    assert sum(hits.values()) >= 0.9 * 20 * len(CAUSES)
    assert min(hits.values()) >= 14, hits


def test_with_eight_values_forgotten_it_is_still_among_the_first_three() -> None:
    hits = sum(first(c.name, 10, forgotten=8, within=3) for c in CAUSES)
    assert hits >= 0.85 * 10 * len(CAUSES)


def test_the_place_decides_between_two_that_were_both_wrong() -> None:
    rng = np.random.default_rng(4)
    both = {**sound(rng), **culprit("leak", rng), **culprit("cloth spans a corner", rng)}
    edge = diagnosis(Record(where=(Seen.EDGE,), **both), count=512)  # type: ignore[arg-type]
    corner = diagnosis(Record(where=(Seen.INSIDE,), **both), count=512)  # type: ignore[arg-type]
    assert (edge.first.name, corner.first.name) == ("leak", "cloth spans a corner")


def test_a_map_of_corners_tells_cloth_from_bag() -> None:
    """Defects in the tight corners only: the cloth spans them. In all inside corners, wide ones too: the bag does."""
    rng = np.random.default_rng(6)
    unsure = {**sound(rng), "bag_touched": None, "slip_joint": False, "corner_radius": 0.003}
    radii = (0.002, 0.003, 0.012, 0.015, 0.020)
    tight = tuple(Corner(radius=r, defects=r < 0.005) for r in radii)
    every = tuple(Corner(radius=r, defects=True) for r in radii)
    outside = Corner(radius=0.002, defects=False, inside=False)

    def chances(corners: tuple[Corner, ...]) -> tuple[float, float]:
        found = diagnosis(Record(where=(Seen.INSIDE,), corners=corners, **unsure), count=512)  # type: ignore[arg-type]
        by = {r.name: r.chance for r in found.ranked}
        return by["cloth spans a corner"], by["bag spans a corner"]

    none, some, all_ = chances(()), chances((*tight, outside)), chances((*every, outside))
    assert some[0] > none[0]
    assert some[0] / some[1] > 3.0 * none[0] / none[1]
    assert all_[1] / all_[0] > 3.0 * none[1] / none[0]


def test_the_evidence_of_one_corner_by_hand() -> None:
    """Radius at its limit: half under the cause; of one corner with defects the plain share is 2/3: 0.75."""
    record = Record(
        where=(Seen.INSIDE,), corners=(Corner(radius=0.005, defects=True, thickness=1e-3, slip_joint=False),)
    )
    d = drawn(record, count=64)
    np.testing.assert_allclose(corner_evidence(record, d, "cloth spans a corner"), 0.75)
    np.testing.assert_allclose(corner_evidence(record, d, "bag spans a corner"), 0.9)
    np.testing.assert_allclose(corner_evidence(record, d, "leak"), 1.0)


def test_nothing_wrong_is_nothing_listed_or_not_sure() -> None:
    """Defects where no listed cause has a reason: the one nobody thought of rises."""
    record = Record(where=(Seen.SAME,), **sound(np.random.default_rng(1)))  # type: ignore[arg-type]
    found = diagnosis(record)
    other = next(r for r in found.ranked if r.name == OTHER)
    assert other.chance > 0.15
    assert np.isnan(other.margin)


def test_chances_are_a_distribution_and_repeat() -> None:
    record = history("leak", 3)
    one, two = diagnosis(record), diagnosis(record)
    assert sum(r.chance for r in one.ranked) == pytest.approx(1.0)
    assert [r.chance for r in one.ranked] == [r.chance for r in two.ranked]
    assert len(one.ranked) == len(CAUSES) + 1
    assert one.undecided == pytest.approx(-sum(r.chance * np.log2(r.chance) for r in one.ranked if r.chance > 0))


def test_more_humidity_never_makes_water_less_likely() -> None:
    record = history("air under the first ply", 5)
    chances = [
        next(r.chance for r in diagnosis(replace(record, humidity=h), count=512).ranked if "water" in r.name)
        for h in (0.3, 0.5, 0.7, 0.9)
    ]
    assert chances == sorted(chances)


def test_draws_are_enough() -> None:
    """The most uncertain record: from 1024 draws to 16384 no chance moves by more than half a hundredth."""
    few, many = (diagnosis(Record(where=(Seen.CROSSINGS,)), count=n) for n in (1024, 16384))
    by_name = {r.name: r.chance for r in many.ranked}
    assert max(abs(r.chance - by_name[r.name]) for r in few.ranked) < 0.005


def test_information_by_hand() -> None:
    """Two causes, a test that is right nine times of ten: 1 − H(0.1) = 0.531 bit; one that tells nothing: none."""
    assert information(np.array([[0.45, 0.05], [0.05, 0.45]])) == pytest.approx(0.531, abs=0.0005)
    assert information(np.full((2, 2), 0.25)) == 0.0
    assert information(np.array([[0.5, 0.0], [0.0, 0.5]])) == pytest.approx(1.0)


def test_what_would_tell_is_what_was_not_recorded() -> None:
    """Corner defects, everything sound; only whether the bag reached the corner is not known."""
    values = {**sound(np.random.default_rng(2)), "bag_touched": None}
    found = diagnosis(Record(where=(Seen.INSIDE,), **values))  # type: ignore[arg-type]
    assert found.measures[0].name == "pull the bag again over the part and see whether it reaches each corner"
    assert found.measures[0].tells.startswith("no: bag spans a corner")
    known = diagnosis(Record(where=(Seen.INSIDE,), **{**values, "bag_touched": True}))  # type: ignore[arg-type]
    assert all("pull the bag" not in m.name for m in known.measures)
    assert [m.bits for m in found.measures] == sorted((m.bits for m in found.measures), reverse=True)
    assert all(m.bits <= found.undecided + 1e-9 for m in found.measures)


def test_learning_a_value_narrows_on_the_average() -> None:
    """Expected bits after asking equal bits before less what the question was said to tell, over its own results."""
    blind = replace(history("water in the prepreg", 1), mould_tight=None)
    before = diagnosis(blind)
    asked = next((m for m in before.measures if m.name.startswith("bag the bare mould")), None)
    yes, no = (diagnosis(replace(blind, mould_tight=x)) for x in (True, False))
    total_yes, total_no = 0.9, 0.1
    # How likely each result is given the defects: from the chance of a cause that it does not touch.
    still = "water in the prepreg"
    w_yes = total_yes / next(r.chance for r in yes.ranked if r.name == still)
    w_no = total_no / next(r.chance for r in no.ranked if r.name == still)
    p = w_yes / (w_yes + w_no)
    told = before.undecided - p * yes.undecided - (1 - p) * no.undecided
    assert (asked.bits if asked is not None else 0.0) == pytest.approx(told, abs=0.012)


def test_findings_name_one_when_sure_and_ask_when_not() -> None:
    sure = pinhole_findings(diagnosis(history("leak", 0)))
    assert sure[0].severity is Severity.DECIDE
    assert sure[0].place == "leak"
    assert sure[0].do == "drop test before heating, and again at 60 °C; find the leak first"
    blind = pinhole_findings(diagnosis(Record(where=(Seen.CROSSINGS,))))
    assert blind[-1].place == "what would tell them apart"
    assert blind[-1].severity is Severity.DECIDE
    assert all(f.severity is Severity.WATCH for f in blind[:-1])


@pytest.mark.parametrize("cause", [None, *CAUSES], ids=lambda c: c.name if c else OTHER)
def test_places_of_a_cause_sum_to_one(cause: object) -> None:
    assert sum(shows_at(cause, s) for s in PLACES) == pytest.approx(1.0)  # type: ignore[arg-type]
