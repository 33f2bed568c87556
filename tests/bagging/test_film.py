"""The bag over real surfaces and over stated sizes."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.bagging import BagKind, BagPlan, BagPly, plan_bag, plan_cover, ways_out
from bagside.errors import InputError
from bagside.findings import Finding, Severity
from bagside.geometry.surface import Surface
from moulds import dish, opening, tray

FILMS = {
    "bag film": (453.15, 1.5),
    "release film": (433.15, 1.2),
    "breather": (453.15, 1.5),
    "sealant tape": (453.15, 0.012),
}
PLIES = [BagPly(name=f"{k}", area=0.2, thickness=0.00023, has_tight_corner=True) for k in range(1, 6)]


def given_(**changes: object) -> dict[str, object]:
    return {
        "cure_max_temperature": 393.15,
        "films": FILMS,
        "ambient_pressure": 101325.0,
        "vacuum": 2000.0,
        "pump_flow": 6 / 3600,
        **changes,
    }


def bag(mould: Surface | None, part: Surface, **changes: object) -> BagPlan:
    return plan_bag(part, mould, PLIES, **given_(**changes))  # type: ignore[arg-type]


def cover(length: float, width: float, depth: float, **changes: object) -> BagPlan:
    return plan_cover(length, width, depth, PLIES, **given_(**changes))  # type: ignore[arg-type]


def complete(findings: tuple[Finding, ...]) -> bool:
    return all(all((f.stage == "bagging", f.place, f.what, f.why, f.do, f.basis)) for f in findings)


def quantity(plan: BagPlan, name: str) -> float:
    return next(i.quantity for i in plan.items if i.name == name)


MOULD = tray(0.4, 0.3, 0.06, 0.02, 0.1)
PART = opening(MOULD, 0.4, 0.3)
PLAN = bag(MOULD, PART)


def test_a_surface_bag_on_a_wide_flange() -> None:
    assert PLAN.kind is BagKind.SURFACE
    assert PLAN.tape_distance == pytest.approx(0.045)
    assert PLAN.tape_run == pytest.approx(2 * (0.4 + 0.3) + 2 * np.pi * 0.045, rel=0.005)
    long = 0.09 + 2 * np.hypot(0.02, 0.06) + 0.36
    assert PLAN.contour == pytest.approx((long, long - 0.1), rel=1e-3)
    assert PLAN.sheet == pytest.approx((1.25 * long, 1.25 * (long - 0.1)), rel=1e-3)
    assert PLAN.ports == 2
    assert PLAN.findings == ()


def test_tape_is_the_run_and_twice_each_pleat_and_a_tenth() -> None:
    assert PLAN.pleats.count == 6
    wanted = 1.1 * (PLAN.tape_run + 2 * PLAN.pleats.heights.sum())
    assert quantity(PLAN, "sealant tape") == pytest.approx(wanted)
    assert PLAN.pleats.held_up == 6
    off = np.abs(PLAN.pleats.places[:, :2]) - (0.2, 0.15)
    np.testing.assert_allclose(np.linalg.norm(np.maximum(off, 0), axis=1), 0.045, atol=0.002)


def test_items_say_how_and_on_what() -> None:
    assert [i.name for i in PLAN.items] == ["bag film", "release film", "breather", "sealant tape", "edge breather"]
    for item in PLAN.items:
        assert item.quantity > 0
        assert item.unit in {"m²", "m", "pcs"}
        assert len(item.how) > 20
    assert quantity(PLAN, "release film") > PART.area
    assert quantity(PLAN, "breather") > PLAN.area > PART.area
    assert quantity(PLAN, "bag film") == pytest.approx(PLAN.sheet[0] * PLAN.sheet[1])


def test_volume_pump_and_leaks_hang_together() -> None:
    """The cosmetic limit, 10 mbar in 10 min, as a flow into this bag's free volume."""
    first = PLAN.leak_limits[0]
    assert first.flow == pytest.approx(PLAN.free_volume * 1000 / 600 / 101325)
    assert PLAN.pressure == pytest.approx(99325.0)
    loose = PLAN.area * 0.03 + 0.0005
    assert PLAN.pump_down == pytest.approx(4 * loose / (6 / 3600) * np.log(101325 / 2000))


def test_a_narrow_flange_means_an_envelope_and_says_where() -> None:
    mould = tray(0.4, 0.3, 0.06, 0.02, 0.05)
    plan = bag(mould, opening(mould, 0.4, 0.3))
    assert plan.kind is BagKind.ENVELOPE
    (finding,) = plan.findings
    assert finding.severity is Severity.DECIDE
    assert finding.what == "the flange is 50 mm wide at its narrowest"
    assert finding.point is not None
    assert complete(plan.findings)
    assert plan.tape_run == pytest.approx(2 * sum(plan.contour))
    assert 2.3 * mould.area < quantity(plan, "bag film")
    with pytest.raises(InputError, match="surface bag on a flange of 50 mm"):
        bag(mould, opening(mould, 0.4, 0.3), kind="surface bag")


def test_a_tight_flange_pulls_the_tape_in() -> None:
    mould = tray(0.4, 0.3, 0.06, 0.02, 0.07)
    plan = bag(mould, opening(mould, 0.4, 0.3))
    assert plan.kind is BagKind.SURFACE
    assert plan.tape_distance == pytest.approx(0.038, abs=1e-4)
    (finding,) = plan.findings
    assert finding.severity is Severity.WATCH
    assert complete(plan.findings)


def test_an_envelope_can_be_asked_for_and_nonsense_not() -> None:
    assert bag(MOULD, PART, kind=BagKind.ENVELOPE).findings == ()
    assert bag(MOULD, PART, kind="auto").kind is BagKind.SURFACE
    with pytest.raises(InputError, match="auto is wanted"):
        bag(MOULD, PART, kind="sack")


def test_a_part_without_its_mould_is_bagged_whole() -> None:
    plan = bag(None, PART)
    assert plan.kind is BagKind.ENVELOPE
    assert plan.findings[0].what.startswith("only the part")
    with pytest.raises(InputError, match="without a flange"):
        bag(None, PART, kind=BagKind.SURFACE)


def test_two_parts_in_one_bag_need_more_of_all() -> None:
    two = bag(MOULD, PART, part_count=2)
    for item in PLAN.items:
        assert quantity(two, item.name) > 1.4 * item.quantity or item.name == "sealant tape"
    assert quantity(two, "sealant tape") > quantity(PLAN, "sealant tape")
    assert two.pleats.count == 2 * PLAN.pleats.count
    with pytest.raises(InputError, match="parts in one bag"):
        bag(MOULD, PART, part_count=0)


def test_films_too_cool_stop_and_near_ones_are_watched() -> None:
    cool = bag(MOULD, PART, films={**FILMS, "bag film": (383.15, 1.5), "sealant tape": (400.0, 0.012)})
    assert [(f.place, f.severity) for f in cool.findings] == [
        ("bag film", Severity.STOP),
        ("sealant tape", Severity.WATCH),
    ]
    assert complete(cool.findings)


def test_missing_or_senseless_films_are_refused() -> None:
    with pytest.raises(InputError, match="limit and width are wanted of: release film, breather, sealant tape"):
        bag(MOULD, PART, films={"bag film": (453.15, 1.5)})
    with pytest.raises(InputError, match="breather"):
        bag(MOULD, PART, films={**FILMS, "breather": (453.15, 0.0)})


def test_a_roll_too_narrow_is_joined_and_said() -> None:
    plan = bag(MOULD, PART, films={**FILMS, "bag film": (453.15, 0.4)})
    (finding,) = plan.findings
    assert "2 strips" in finding.what
    assert quantity(plan, "sealant tape") == pytest.approx(quantity(PLAN, "sealant tape") + 1.1 * max(PLAN.sheet))


def test_a_weak_pump_and_thin_air() -> None:
    weak = bag(MOULD, PART, vacuum=12000.0)
    assert [f.severity for f in weak.findings] == [Severity.STOP]
    assert not weak.leak_limits[0].reachable
    high = bag(MOULD, PART, ambient_pressure=84600.0)
    assert [f.place for f in high.findings] == ["gauge"]
    assert "reads −826 mbar here" in high.findings[0].what
    assert complete((*weak.findings, *high.findings))
    with pytest.raises(InputError):
        bag(MOULD, PART, vacuum=2e5)
    with pytest.raises(InputError):
        bag(MOULD, PART, vacuum=0.0)


def test_a_very_deep_mould_has_its_pleats_lowered_and_said() -> None:
    mould = tray(0.4, 0.3, 0.3, 0.02, 0.1)
    plan = bag(mould, opening(mould, 0.4, 0.3))
    (finding,) = plan.findings
    assert finding.severity is Severity.WATCH
    assert plan.pleats.held_down == plan.pleats.count
    assert finding.point is not None
    assert complete(plan.findings)


def test_a_round_dish() -> None:
    mould = dish(0.15, np.radians(40), rings=40)
    rim = 0.15 * np.sin(np.radians(40))
    part = mould.selected(np.linalg.norm(mould.centroids[:, :2], axis=1) < rim)
    plan = bag(mould, part)
    assert plan.tape_run == pytest.approx(2 * np.pi * (rim + 0.045), rel=0.004)
    assert max(plan.contour) == pytest.approx(0.09 + 0.3 * np.radians(40), rel=0.01)


@given(st.floats(0.0, 0.25), st.floats(0.0, 0.1))
@settings(max_examples=8, deadline=None)
def test_never_smaller_than_the_string_and_growing_with_depth(depth: float, more: float) -> None:
    plans = []
    for d in (depth, depth + more):
        mould = tray(0.4, 0.3, d, 0.02, 0.1, edge=0.01)
        plans.append(bag(mould, opening(mould, 0.4, 0.3)))
    shallow, deep = plans
    for plan in plans:
        assert all(s >= c for s, c in zip(plan.sheet, plan.contour, strict=True))
        assert 2 * sum(plan.sheet) >= plan.tape_run + 2 * plan.pleats.heights.sum() - 1e-9
    for name in ("bag film", "release film", "breather", "sealant tape"):
        assert quantity(deep, name) >= quantity(shallow, name) - 1e-9


def test_a_stated_size_gives_at_least_the_bag_of_the_surface() -> None:
    """Upright sides are the longest way; the surface's own sides lean by 18°."""
    plan = cover(0.4, 0.3, 0.06, flange=0.1)
    assert plan.kind is BagKind.SURFACE
    assert all(c >= s for c, s in zip(plan.contour, PLAN.contour, strict=True))
    assert plan.contour == pytest.approx(PLAN.contour, rel=0.1)
    assert quantity(plan, "bag film") >= quantity(PLAN, "bag film")
    assert quantity(plan, "bag film") < 1.3 * quantity(PLAN, "bag film")
    assert complete(plan.findings)
    assert plan.findings[0].severity is Severity.SEEN


@given(st.floats(0.05, 2.0), st.floats(0.05, 2.0), st.floats(0, 0.4), st.floats(0, 0.2), st.integers(1, 4))
def test_stated_sizes_never_undersize(length: float, width: float, depth: float, flange: float, parts: int) -> None:
    plan = cover(length, width, depth, flange=flange, part_count=parts)
    assert plan.sheet[0] >= max(length, width) + 2 * depth
    assert plan.sheet[1] >= parts * (min(length, width) + 2 * depth)
    deeper = cover(length, width, depth + 0.05, flange=flange, part_count=parts)
    assert quantity(deeper, "bag film") >= quantity(plan, "bag film") - 1e-9
    turned = cover(width, length, depth, flange=flange, part_count=parts)
    assert turned.sheet == pytest.approx(plan.sheet)


def test_sizes_without_sense_are_refused() -> None:
    with pytest.raises(InputError, match="sizes above zero"):
        cover(0.0, 0.3, 0.1)
    with pytest.raises(InputError, match="62 mm"):
        cover(0.4, 0.3, 0.1, flange=0.03, kind=BagKind.SURFACE)
    assert cover(0.4, 0.3, 0.1, flange=0.03).kind is BagKind.ENVELOPE
    with pytest.raises(InputError, match="at least one ply"):
        plan_cover(0.4, 0.3, 0.0, [], **given_())  # type: ignore[arg-type]


def test_the_plan_says_how_the_part_breathes_and_why_each_debulk() -> None:
    """The tray's floor is 150 mm and its wall from the edge: the way over the surface to the nearest strip."""
    assert PLAN.breathing is None
    found = bag(MOULD, PART, ways=ways_out(PART))
    assert found.breathing is not None
    assert found.course is not None
    assert found.findings == ()
    over = 0.15 + 2 * (np.hypot(0.02, 0.06) - 0.02)
    assert 0.15 < found.breathing.longest < over + 0.1
    assert found.breathing.longest < found.breathing.reach
    assert found.debulks == found.course.debulks
    assert all(s.reasons and s.air is not None for s in found.course.steps)
    tray_ = cover(0.4, 0.3, 0.06)
    assert tray_.breathing is not None
    assert tray_.breathing.longest == pytest.approx(found.breathing.longest, rel=0.35)


def test_a_part_too_wide_to_breathe_in_the_hold_says_so() -> None:
    wide = cover(3.0, 2.0, 0.0, hold=1800.0)
    assert [f.place for f in wide.findings if "breathing" in f.place] == ["edge breathing"]
    assert max(d.minutes for d in wide.debulks) == 60.0
    assert "edge breathing" not in [f.place for f in cover(3.0, 2.0, 0.0, hold=24 * 3600.0).findings]
