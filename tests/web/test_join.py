"""Bonds and holes as drawings: the curve is Volkersen's, pictures are whole, words are put in their places."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.joining import BondPlan, Foot, hole_rule, plan_bond
from bagside.spec.library import generic_library
from bagside.web.views.join.drawn import area_picture, bond_picture, hole_picture, stress_along

ADHESIVE = generic_library().adhesive["epoxy-toughened"]


def bond(load: float = 350.0, length: float = 0.04, foot: Foot = Foot.ALUMINIUM, thickness: float = 0.002) -> BondPlan:
    return plan_bond(
        "strap bracket",
        size=(length, 0.025),
        foot=foot,
        foot_thickness=thickness,
        laminate_modulus=55e9,
        laminate_thickness=0.0016,
        adhesive=ADHESIVE,
        load=load,
        service_temperature=338.15,
        room_temperature=292.15,
    )


@settings(deadline=None)
@given(st.floats(10.0, 5000.0), st.floats(0.01, 0.2), st.sampled_from(list(Foot)), st.floats(0.0008, 0.01))
def test_the_drawn_stress_carries_the_load_and_meets_both_ends(
    load: float, length: float, foot: Foot, thickness: float
) -> None:
    """The integral of the stress along the lap is the load: equilibrium, whatever the model."""
    plan = bond(load, length, foot, thickness)
    at, tau = stress_along(plan, 4001)
    assert tau[0] == pytest.approx(plan.stress.first, rel=1e-6)
    assert tau[-1] == pytest.approx(plan.stress.second, rel=1e-6)
    assert tau[2000] == pytest.approx(plan.stress.middle, rel=1e-6)
    assert tau.min() == pytest.approx(plan.stress.lowest, rel=1e-3, abs=1e-9 * plan.stress.peak)
    carried = float(np.trapezoid(tau, 0.5 * length * at)) * 0.025
    assert carried == pytest.approx(load, rel=2e-3)


def test_the_stress_solves_volkersens_equation() -> None:
    """τ'' = w² τ inside, by differences; Volkersen 1938, as given in handbooks of adhesive bonding."""
    at, tau = stress_along(bond(), 2001)
    bend = np.diff(tau, 2) / (at[1] - at[0]) ** 2
    factor = bend / tau[1:-1]
    assert np.ptp(factor) / factor.mean() < 1e-3


def test_without_a_load_nothing_is_stressed() -> None:
    _, tau = stress_along(bond(load=0.0))
    assert np.array_equal(tau, np.zeros_like(tau))


def words_of(svg: str) -> set[str]:
    return set(re.findall(r"\{(\w+)\}", svg))


def test_the_pictures_are_whole_and_name_what_they_show() -> None:
    plan = bond()
    side = bond_picture(plan, 0.002)
    ElementTree.fromstring(side)
    assert words_of(side) == {"title", "design", "peak", "mean", "foot", "adhesive", "glass", "laminate", "length"}
    assert words_of(bond_picture(bond(foot=Foot.TITANIUM), 0.002)) == {
        "title", "design", "peak", "mean", "foot", "adhesive", "laminate", "length",
    }  # fmt: skip
    area = area_picture(plan, 0.025)
    ElementTree.fromstring(area)
    assert words_of(area) == {"bonded", "area_title"}


def test_a_bond_that_is_too_small_is_drawn_as_wholly_needed() -> None:
    small = replace(bond(), area_needed=1.0)
    whole = [float(w) for w in re.findall(r'<rect x="[^"]*" y="[^"]*" width="([\d.]+)"', area_picture(small, 0.025))]
    assert whole[0] == whole[1]


@pytest.mark.parametrize("edge", [math.inf, 0.010, 0.060])
def test_a_hole_is_drawn_with_its_edge_where_that_is_near(edge: float) -> None:
    rule = hole_rule("toggle", diameter=0.008, edge=edge, pitch=math.inf, thickness=0.0014)
    svg = hole_picture(rule, 0.008)
    ElementTree.fromstring(svg)
    assert (svg.count("stroke-dasharray") == 1) is (edge < 1.15 * max(rule.edge_wanted, rule.doubler_radius))
