"""Strips of edge breathing, and how far air has to go."""

import itertools
import math

import networkx as nx
import numpy as np
import pytest
from shapely import LineString, Polygon

from bagside.bagging import breathing_findings, breathing_over, breathing_plan, farthest_path
from bagside.errors import InputError

ATM = 101325.0
HELD = {"time": 3600.0, "ambient": ATM, "vacuum": 2000.0}
SHEET = np.array([[0.0, 0.0], [0.6, 0.0], [0.6, 0.4], [0.0, 0.4]])


def test_strips_are_no_further_apart_than_asked_and_lead_away() -> None:
    plan = breathing_plan(SHEET, spacing=0.18, to_breather=0.02, **HELD)
    assert len(plan.strips) == math.ceil(2.0 / 0.18)
    assert plan.spacing == pytest.approx(2.0 / 12)
    assert plan.length == pytest.approx(0.025 + 0.02 + 0.05)
    out = plan.strips + 0.001 * plan.outward
    inside = (out > 0.0).all(axis=1) & (out[:, 0] < 0.6) & (out[:, 1] < 0.4)
    assert not inside.any()
    np.testing.assert_allclose(np.linalg.norm(plan.outward, axis=1), 1.0)


def test_a_continuous_edge_leaves_half_the_width() -> None:
    """With strips side by side the farthest place of 600 × 400 mm is 200 mm in."""
    plan = breathing_plan(SHEET, spacing=0.005, **HELD)
    assert plan.longest == pytest.approx(0.2, abs=0.008)
    assert plan.farthest[1] == pytest.approx(0.2, abs=0.012)


def test_a_disc_breathes_from_its_middle_last() -> None:
    turn = np.linspace(0.0, 2 * np.pi, 181)[:-1]
    plan = breathing_plan(0.3 * np.stack([np.cos(turn), np.sin(turn)], axis=1), spacing=0.01, **HELD)
    assert plan.longest == pytest.approx(0.3, rel=0.04)
    assert math.hypot(*plan.farthest) < 0.02


def test_the_way_goes_round_a_notch() -> None:
    """Against a visibility graph: corners, strips and the farthest place, joined where the line stays inside."""
    x = [0, 1, 1, 0.1, 0.1, 1, 1, 0, 0, 0.9, 0.9, 0]  # three lanes, joined at alternate ends
    y = [0, 0, 0.22, 0.22, 0.24, 0.24, 0.34, 0.34, 0.12, 0.12, 0.1, 0.1]
    u = np.stack([x, y], axis=1).astype(float)
    plan = breathing_plan(u, spacing=9.0, **HELD)  # two strips in all
    assert len(plan.strips) == 2
    part = Polygon(u).buffer(1e-9)
    points = [tuple(p) for p in (*u, *plan.strips)] + [plan.farthest]
    graph = nx.Graph()
    for a, b in itertools.combinations(points, 2):
        if part.contains(LineString([a, b])):
            graph.add_edge(a, b, weight=math.dist(a, b))
    exact = min(nx.shortest_path_length(graph, tuple(s), plan.farthest, weight="weight") for s in plan.strips)
    straight = min(math.dist(s, plan.farthest) for s in plan.strips)
    assert plan.longest == pytest.approx(exact, rel=0.04, abs=0.01)
    assert exact > 1.3 * straight  # else the notch would not have been in the way


def test_a_hole_breathes_only_when_told() -> None:
    ring = 0.05 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) + [0.3, 0.2]
    shut = breathing_plan(SHEET, (ring,), spacing=0.005, **HELD)
    open_ = breathing_plan(SHEET, (ring,), spacing=0.005, breathing_holes=True, **HELD)
    assert (shut.enclosed, open_.enclosed) == (0, 1)
    assert open_.longest < shut.longest


def test_reach_and_what_lies_beyond() -> None:
    plan = breathing_plan(SHEET, spacing=0.01, time=200.0, ambient=ATM, vacuum=2000.0)
    assert plan.reach == pytest.approx(farthest_path(200.0, 0.1, 2000.0 / ATM, 1e-14, ATM))
    assert plan.reach_band[0] < plan.reach < plan.reach_band[1]
    inner = (0.6 - 2 * plan.reach) * (0.4 - 2 * plan.reach) / 0.24
    assert plan.beyond == pytest.approx(inner, abs=0.05)
    (told,) = breathing_findings(plan)
    times = (plan.longest / plan.reach) ** 2
    assert told.do.startswith(f"hold it under vacuum {times:.1f} times as long, run strips closer together")
    assert breathing_findings(breathing_plan(SHEET, spacing=0.01, **HELD)) == ()


def test_over_a_surface_with_an_island_cut_off() -> None:
    distance, areas = np.array([0.0, 0.1, 0.2, np.inf]), np.array([1.0, 1.0, 1.0, 1.0])
    found = breathing_over(distance, areas, **HELD)
    assert (found.longest, found.farthest) == (0.2, 2)
    assert found.cut_off == pytest.approx(0.25)
    assert "25 % of the part has no way out" in breathing_findings(found)[0].what


def test_refusals() -> None:
    with pytest.raises(InputError) as told:
        breathing_plan(SHEET[:2], **HELD)
    assert str(told.value) == "edge breathing, outline: shape (2, 2) – three points or more are wanted"
    with pytest.raises(InputError) as told:
        breathing_plan(SHEET[[0, 2, 1, 3]], **HELD)
    assert str(told.value) == "edge breathing, outline – it crosses itself or has no area"
    with pytest.raises(InputError) as told:
        breathing_plan(SHEET, spacing=0.0, **HELD)
    assert str(told.value) == "edge breathing: spacing 0.0 m – a spacing above zero is wanted"
    with pytest.raises(InputError) as told:
        breathing_plan(SHEET, time=0.0, ambient=ATM, vacuum=0.0)
    assert str(told.value) == (
        "edge breathing: 0.0 s at 0.0 Pa in the bag, 101325.0 Pa outside – a time and a vacuum are wanted"
    )
    with pytest.raises(InputError) as told:
        breathing_over(np.array([np.inf]), np.array([1.0]), **HELD)
    assert str(told.value) == "edge breathing: 1 distances, 1 areas – one of each for every place is wanted"
