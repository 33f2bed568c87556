"""Coats on their time line, and the air against the dew point: windows as planned, marks where the numbers are."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.finishing import CoatPlan, climate_of, plan_coat
from bagside.finishing.climate import ABOVE_DEW
from bagside.spec.library import generic_library
from bagside.web.views.finish.drawn import (
    LEFT,
    NARROW,
    WIDE,
    air_picture,
    build_picture,
    passes_of,
    ticks_of,
    window_picture,
)

COATING = generic_library().coating["clear-two-pack"]


def coat(times: int = 2, area: float = 0.45) -> CoatPlan:
    return plan_coat("clear-two-pack", COATING, area=area, times=times, rate=1.5 / 3600.0)


@settings(deadline=None)
@given(st.integers(1, 6), st.floats(0.05, 20.0))
def test_each_pass_follows_in_the_window_of_the_one_before_or_says_it_cannot(times: int, area: float) -> None:
    plan = coat(times, area)
    passes = passes_of(plan)
    assert len(passes) == times
    assert [p.last for p in passes] == [False] * (times - 1) + [True]
    for one, after in itertools.pairwise(passes):
        assert after.begins == one.opens == pytest.approx(one.on + plan.flash)
        fits = plan.spray + plan.flash <= plan.recoat_latest
        assert (after.begins <= one.closes + 1e-6) is fits
    assert passes[-1].on - passes[0].begins == pytest.approx(times * plan.spray + (times - 1) * plan.flash)


@pytest.mark.parametrize("wide", [WIDE, NARROW])
@pytest.mark.parametrize("times", [1, 2, 4])
def test_the_time_line_is_whole_at_both_widths_and_all_its_words_are_known(wide: float, times: int) -> None:
    plan = coat(times)
    svg = window_picture(plan, "k0", wide)
    root = ElementTree.fromstring(svg)
    assert root.get("viewBox", "").split()[2] == f"{wide:g}"
    words = set(re.findall(r"\{(\w+)\}", svg))
    ticks = {f"t{round(t)}" for t in ticks_of(plan)}
    known = {"k0title", "k0window", "k0hard", *(f"k0pass{n}" for n in range(1, times + 1))}
    assert words <= known | ticks
    assert words & ticks
    assert ("url(#too-late)" in svg) is (times > 1)


def test_a_window_that_closes_before_it_opens_is_hatched_from_the_coat_on() -> None:
    late = replace(coat(2), recoat_latest=1.0)
    first = passes_of(late)[0]
    assert first.closes == first.on < first.opens


def test_films_are_drawn_in_proportion() -> None:
    one, two = coat(2), replace(coat(1), name="filler", dry=4 * coat(1).dry)
    heights = [float(h) for h in re.findall(r'<rect [^>]*height="([\d.]+)"', build_picture([two, one]))]
    assert heights[0] == pytest.approx(4 * heights[1], rel=0.01)
    assert heights[1] == heights[2]


def test_the_part_stands_on_the_scale_where_its_temperature_is() -> None:
    climate = climate_of(292.15, 0.52)
    least = climate.dew_point + ABOVE_DEW
    svg = air_picture(climate.dew_point, climate.surface, least, 0.52, 0.7, span=(273.15, 308.15))
    ElementTree.fromstring(svg)
    circles = [float(x) for x in re.findall(r'<circle cx="([\d.]+)"', svg)]
    assert circles[0] == pytest.approx(LEFT + (WIDE - 6.0 - LEFT) * 19.0 / 35.0, abs=0.01)
    assert circles[1] == pytest.approx(LEFT + (WIDE - 6.0 - LEFT) * 0.52, abs=0.01)
    wet = air_picture(climate.dew_point, 250.0, least, 0.99, 0.7, span=(273.15, 308.15))
    assert float(re.findall(r'<circle cx="([\d.]+)"', wet)[0]) == LEFT  # beyond the scale: at its end, never off it
