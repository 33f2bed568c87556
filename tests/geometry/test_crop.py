from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import shapes
from bagside.errors import InputError
from bagside.geometry import cropped

R = 0.1
BALL = shapes.hemisphere(R, 1.4, 60)


def ring(corners: int, polar: float, turn: float = 0.1) -> np.ndarray:
    at = turn + 2 * np.pi * np.arange(corners) / corners
    return R * np.stack([np.sin(polar) * np.cos(at), np.sin(polar) * np.sin(at), np.cos(polar) + 0 * at], axis=1)


@pytest.mark.published("Girard 1626: area of a spherical polygon is R² times its angular excess")
@pytest.mark.parametrize("polar", [0.3, 0.9])
@pytest.mark.parametrize("corners", [3, 4, 12])
def test_edges_on_a_ball_are_great_circles(corners: int, polar: float) -> None:
    surface, report = cropped(BALL, ring(corners, polar).tolist(), None, "net")
    step = np.arccos(np.cos(polar) ** 2 + np.sin(polar) ** 2 * np.cos(2 * np.pi / corners))
    half = np.arctan2(1, np.cos(polar) * np.tan(np.pi / corners))
    excess = corners * (2 * np.pi / corners + 2 * half - np.pi)
    assert report.edge == pytest.approx(corners * R * step, rel=2e-3)
    assert surface.area == pytest.approx(excess * R * R, rel=6e-3)
    assert report.kept == pytest.approx(surface.area, rel=1e-9)
    assert report.kept + report.dropped == pytest.approx(BALL.area, rel=1e-9)
    assert len(surface.loops) == 1
    assert not report.stated


def test_a_stated_point_chooses_the_side() -> None:
    cap, _ = cropped(BALL, ring(8, 0.6).tolist(), (0, 0, R), "net")
    band, report = cropped(BALL, ring(8, 0.6).tolist(), (R * np.sin(1.2), 0, R * np.cos(1.2)), "net")
    assert report.stated
    assert cap.area + band.area == pytest.approx(BALL.area, rel=1e-9)
    assert len(band.loops) == 2


def test_a_straight_sided_figure_on_a_plane_is_exact() -> None:
    flat = shapes.plane(0.3, 0.2, 31, 23)
    points = [(-0.1, -0.05, 0), (0.12, -0.07, 0), (0.05, 0.01, 0), (0.1, 0.08, 0), (-0.09, 0.06, 0), (-0.1, -0.05, 0)]
    surface, report = cropped(flat, points, None, "net")
    x, y = np.array(points[:-1])[:, :2].T
    area = 0.5 * abs(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))
    around = np.linalg.norm(np.diff(np.array(points), axis=0), axis=1).sum()
    assert surface.area == pytest.approx(area, rel=2e-3)
    assert report.edge == pytest.approx(around, rel=5e-4)


def test_ways_pass_around_a_hole() -> None:
    holed = shapes.plane_with_hole(0.3, 0.05, 192, 32)
    points = [(-0.1, 0.0, 0), (0.1, 0.0, 0), (0.1, 0.12, 0), (-0.1, 0.12, 0)]
    _, report = cropped(holed, points, (0, 0.1, 0), "net")
    tangent = np.sqrt(0.1**2 - 0.05**2)
    around = 2 * tangent + 0.05 * (np.pi - 2 * np.arccos(0.5))  # from each side along a tangent, then the rim
    assert report.edge == pytest.approx(around + 0.12 + 0.2 + 0.12, rel=3e-3)


def test_what_does_not_part_the_surface_is_refused() -> None:
    def refused(points: list[tuple[float, ...]], inside: tuple[float, float, float] | None = None) -> str:
        with pytest.raises(InputError) as caught:
            cropped(BALL, points, inside, "job.toml, mould, net_edge")
        return str(caught.value)

    good = [tuple(p) for p in ring(4, 0.5).tolist()]
    assert refused(good[:2]) == "job.toml, mould, net_edge: 2 points – at least three different points are wanted"
    assert "lies 90 mm off it" in refused([*good, (0, 0, 0.19)])
    assert "same place" in refused([*good, good[1]])
    assert "crosses or touches itself" in refused([good[0], good[2], good[1], good[3]])
    assert "net_edge, inside" in refused(good, (0, 0, 0.5))


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(st.floats(0.05, 1.3), st.floats(0, 2 * np.pi)), min_size=3, max_size=7))
def test_any_points_give_a_part_or_one_sentence(places: list[tuple[float, float]]) -> None:
    small = shapes.hemisphere(R, 1.4, 20)
    points = [(R * np.sin(p) * np.cos(a), R * np.sin(p) * np.sin(a), R * np.cos(p)) for p, a in places]
    try:
        surface, report = cropped(small, points, None, "net")
    except InputError:
        return
    assert report.kept + report.dropped == pytest.approx(small.area, rel=1e-9)
    assert surface.area <= small.area
    assert len(surface.loops) >= 1
