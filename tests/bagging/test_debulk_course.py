"""The debulks of a lay-up with their reasons."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.bagging import DebulkPly, air_time, debulk_course, debulk_plan, time_to_leave
from bagside.bagging.debulk_step import warm_factor
from bagside.errors import InputError
from bagside.findings import Severity

AIR = {"ambient": 101325.0, "vacuum": 2000.0}


def ply(k: int, **more: object) -> DebulkPly:
    return DebulkPly(name=f"ply {k}", area=0.2, thickness=0.00023, **more)  # type: ignore[arg-type]


PLY = st.builds(
    DebulkPly,
    name=st.just("p"),
    area=st.just(0.2),
    thickness=st.sampled_from([0.00023, 0.00065]),
    has_tight_corner=st.booleans(),
    path=st.none() | st.floats(0.05, 1.0),
    shear=st.floats(0.0, 1.0),
)


@settings(deadline=None)
@given(st.lists(PLY, min_size=1, max_size=20))
def test_never_fewer_or_shorter_than_the_shop_s_rule(plies: list[DebulkPly]) -> None:
    course = debulk_course(plies, **AIR)
    rule = debulk_plan(plies)
    assert len(course.debulks) >= len(rule)
    assert course.debulks[0].after == 1
    assert all(d.minutes >= 10.0 for d in course.debulks)
    assert course.minutes == sum(d.minutes for d in course.debulks)
    laid = [name for s in course.steps for name in s.plies]
    assert len(laid) == course.steps[-1].debulk.after


@pytest.mark.parametrize(("celsius", "factor"), [(21.0, 1.0), (40.0, 7.3), (50.0, 19.0)])
def test_warm_time_against_the_table_of_the_workshop(celsius: float, factor: float) -> None:
    """Arrhenius with 80 kJ/mol relative to 21 °C: 7.3 at 40 °C, 19 at 50 °C; worked out for the trade."""
    assert warm_factor(celsius + 273.15) == pytest.approx(factor, rel=0.03)


def test_minutes_are_those_air_needs_when_that_is_longer() -> None:
    """10 % left of air 0.45 m from the edge: 31 min in middling cloth, so 35."""
    needed = time_to_leave(0.1, float(air_time(0.45, 1e-14, 101325.0)), 2000.0 / 101325.0) / 60.0
    assert needed == pytest.approx(30.7, abs=0.1)
    (step,) = debulk_course([ply(1, path=0.45)], **AIR).steps
    assert step.debulk.minutes == 35.0
    assert step.air is not None
    assert step.air[1] == pytest.approx(needed)
    assert debulk_course([ply(1, path=0.1)], **AIR).debulks[0].minutes == 20.0


def test_a_way_that_is_too_long_is_told_and_not_waited_for() -> None:
    course = debulk_course([ply(1, path=1.2)], **AIR)
    assert course.debulks[0].minutes == 60.0
    (told,) = course.findings
    assert told.what == "air needs 218 min to leave, 60 min are planned"


def test_sheared_cloth_counts_like_a_corner_but_stays_cold() -> None:
    flat = debulk_course([ply(k) for k in range(1, 9)], **AIR)
    sheared = debulk_course([ply(k, shear=math.radians(30)) for k in range(1, 9)], **AIR)
    assert len(sheared.steps) > len(flat.steps)
    assert not any(d.warm for d in sheared.debulks)
    assert sheared.debulks[1].why == "3 plies since the last one, sheared cloth that stands up again"
    assert "ply 2 is sheared by 30° and springs back" in sheared.steps[1].reasons


def test_warm_debulks_cost_out_life() -> None:
    corner = debulk_course([ply(k, has_tight_corner=True) for k in range(1, 5)], life_left=14 * 3600.0, **AIR)
    hours = corner.minutes / 60.0
    assert corner.life == pytest.approx(hours * warm_factor(318.15))
    (told,) = corner.findings
    assert told.severity is Severity.DECIDE
    assert debulk_course([ply(1, has_tight_corner=True)], life_left=3600.0, **AIR).findings[0].severity is Severity.STOP
    assert debulk_course([ply(1)], life_left=3600.0 * 24, **AIR).findings == ()


def test_advice_on_merging_and_moving() -> None:
    open_ground = debulk_course([ply(k, path=0.05) for k in range(1, 8)], **AIR)
    assert open_ground.steps[1].may_merge
    assert open_ground.advice == (
        "never leave out the first: nothing after it reaches the air under ply 1",
        "may be merged with the next one, even with tight cloth their air is out within 5 min: after ply 6",
        "the one after ply 6 may move to the cure's own bag when it is held for as long before heat",
        "a night under vacuum replaces the debulk it falls on, and counts as out-life like any other night",
    )
    assert not debulk_course([ply(k, path=0.6) for k in range(1, 8)], **AIR).steps[1].may_merge


def test_refusals() -> None:
    with pytest.raises(InputError) as told:
        debulk_course([ply(1)], ambient=1e5, vacuum=1e5)
    assert str(told.value) == "debulk: 100000.0 Pa in the bag, 100000.0 Pa outside – a vacuum is wanted"
    with pytest.raises(InputError) as told:
        debulk_course([ply(1, path=0.0)], **AIR)
    assert str(told.value) == "ply 1: path 0.0 m – a way above zero is wanted, or none"
    with pytest.raises(InputError, match="at least one ply"):
        debulk_course([], **AIR)
