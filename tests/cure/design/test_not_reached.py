"""Targets that cannot be given: what is in the way, and what would free it, asserted whole; and that it is true."""

from __future__ import annotations

import pickle
import re
from dataclasses import replace

import pytest

import cyclecases as cases
from bagside.cure import NOMINAL, Oven, Programme, Segment, simulate
from bagside.cure.design import Bounds, NotReached, designed, two_stage
from bagside.errors import InputError

ZERO_C = cases.ZERO_C


def refused(bounds, *, section=cases.ON_BOARD, oven=cases.BOARD_OVEN):
    with pytest.raises(NotReached) as e:
        designed([section], cases.VITRIFYING, oven, bounds, start=293.15, scenarios=(NOMINAL,))
    return e.value


@pytest.fixture(scope="module")
def cool_mould():
    return refused(Bounds(tg=120.0 + ZERO_C, tool=80.0 + ZERO_C))


def test_a_mould_too_cool_for_the_target_says_so(cool_mould):
    assert re.fullmatch(
        r"cure, the mould's limit: 80 °C – a glass transition of 120 °C is wanted, but within it the lagging point "
        r"comes to 11\d °C in 24 h \(at 90 °C it is reached in \d+\.\d h; or a post-cure off the mould at 95 °C for "
        r"\d\.\d h reaches it\)",
        str(cool_mould),
    )
    assert cool_mould.limit == "tool"


def test_what_it_says_is_true_by_the_solver(cool_mould):
    """A day at 79 °C comes no further; the post-cure that is proposed reaches the target."""
    day = Programme(start=293.15, segments=(Segment(target=79.0 + ZERO_C, ramp=0.05, hold=23.7 * 3600.0),))
    (h,) = simulate([cases.ON_BOARD], cases.VITRIFYING, day, output_interval=600.0)
    tg = float(cases.VITRIFYING.tg(h.alpha[-1].min()))
    assert tg < 120.0 + ZERO_C
    assert cool_mould.reached_tg == pytest.approx(tg, abs=2.0)
    at, hours = (float(x) for x in re.search(r"mould at (\d+) °C for (\d+\.\d) h", str(cool_mould)).groups())
    free = replace(cases.FREE, alpha0=cool_mould.reached_cure)
    post = Programme(
        start=at + ZERO_C - 1.0, segments=(Segment(target=at + ZERO_C, ramp=1.0, hold=hours * 3600.0 + 600),)
    )
    (h,) = simulate([free], cases.VITRIFYING, post, output_interval=600.0)
    assert float(cases.VITRIFYING.tg(h.alpha[-1].min())) == pytest.approx(120.0 + ZERO_C, abs=1.0)


def test_it_goes_through_another_process_as_it_is(cool_mould):
    again = pickle.loads(pickle.dumps(cool_mould))
    assert isinstance(again, NotReached)
    assert isinstance(again, InputError)
    assert (str(again), again.limit, again.freed) == (str(cool_mould), cool_mould.limit, cool_mould.freed)


def test_what_the_resin_cannot_reach_needs_no_search():
    e = refused(Bounds(tg=140.0 + ZERO_C))
    assert str(e) == (
        "cure, glass transition: 140 °C – fully cured this resin reaches 135 °C; a lower one is wanted (state a lower "
        "service temperature or margin, or take another resin)"
    )
    assert (e.limit, e.freed) == ("resin", ())


def test_a_cool_oven_is_in_the_way():
    oven = Oven(hottest=70.0 + ZERO_C, heating=0.05, cooling=0.03)
    e = refused(Bounds(tg=110.0 + ZERO_C, longest=8 * 3600.0), oven=oven)
    assert re.fullmatch(
        r"cure, the oven: 70 °C – a glass transition of 110 °C is wanted, but within it the lagging point comes to "
        r"\d\d °C in 8 h \(at \d+ °C it is reached in \d\.\d h\)",
        str(e),
    )


def test_wet_prepreg_is_in_the_way():
    e = refused(Bounds(target=0.7, void_free=60.0 + ZERO_C, longest=6 * 3600.0))
    assert e.limit == "void"
    assert re.fullmatch(
        r"cure, the void-free limit: 60 °C – 70 % cure is wanted, but within it the lagging point comes to \d+ % in "
        r"6 h \(at 80 °C it is reached in \d\.\d h; or dry the lay-up under vacuum, lay it in drier air, or pull a "
        r"deeper vacuum\)",
        str(e),
    )


def test_a_part_that_is_soft_from_the_start_is_in_the_way():
    e = refused(Bounds(tg=90.0 + ZERO_C, stiff=5.0), section=cases.FREE)
    assert str(e) == (
        "cure, margin of the glass transition: 5 K – a glass transition of 90 °C is wanted, but not even holding keeps "
        "this limit after 5 min"
    )


def test_a_mould_too_cool_to_take_the_part_off():
    with pytest.raises(NotReached) as e:
        two_stage(
            [cases.ON_BOARD],
            [cases.FREE],
            cases.VITRIFYING,
            cases.BOARD_OVEN,
            Bounds(target=0.65, tool=55.0 + ZERO_C, longest=10 * 3600.0),
            cases.BOARD_POST,
            start=293.15,
            post_start=293.15,
            scenarios=(NOMINAL,),
        )
    assert re.fullmatch(
        r"first cure, the mould's limit: 55 °C – 65 % cure is wanted, but within it the lagging point comes to \d\d % "
        r"in 10 h \(at \d\d °C it is reached in \d\.\d h\)",
        str(e.value),
    )
