from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import shapes
from bagside.drape import ClothKind, ClothLaw, Drape, drape, findings, law_of, percentile, summary_of
from bagside.drape.summary import _places, curvature_along, smoothed
from bagside.errors import InputError
from bagside.findings import Severity


@pytest.fixture(scope="module")
def cap() -> Drape:
    return drape(
        shapes.hemisphere(0.1, np.radians(78), 25),
        start=np.array([0, 0, 0.1]),
        direction=np.array([1.0, 0, 0]),
        law=law_of(ClothKind.WOVEN, None, 3750),
    )


def test_percentiles_by_hand() -> None:
    values, areas = np.array([3.0, 1.0, 2.0]), np.array([1.0, 1.0, 2.0])
    assert [percentile(values, areas, s) for s in (0.0, 0.25, 0.5, 0.75, 0.76, 1.0)] == [1, 1, 2, 2, 3, 3]
    with pytest.raises(InputError, match="between 0 and 1"):
        percentile(values, areas, 95)


@given(st.lists(st.floats(0, 1), min_size=1, max_size=30), st.floats(0, 1))
def test_a_percentile_is_one_of_the_values_and_grows_with_the_share(values: list[float], share: float) -> None:
    v, areas = np.array(values), np.ones(len(values))
    found = percentile(v, areas, share)
    assert found in values
    assert percentile(v, areas, share / 2) <= found <= percentile(v, areas, 1.0)


def test_the_summary_of_a_cap(cap: Drape) -> None:
    s = summary_of(cap, replace_lock(cap.law, 30))
    assert s.shear_median < s.shear_95 < s.shear_99 < np.radians(42)
    assert 0 < s.strain_95 < s.strain_99 < 0.02
    over = cap.surface.areas[np.abs(cap.shear) > np.radians(30)].sum() / cap.surface.area
    assert s.over_locking == pytest.approx(over)
    assert summary_of(cap, cap.law).over_locking == 0


def replace_lock(law: ClothLaw, degrees: float) -> ClothLaw:
    return replace(law, locking_angle=np.radians(degrees))


def test_smoothing_keeps_a_constant_and_the_area_integral_of_a_flat_even_mesh() -> None:
    plane = shapes.plane()
    np.testing.assert_allclose(smoothed(plane, np.full(len(plane.triangles), 2.5)), 2.5)
    spike = np.zeros(len(plane.triangles))
    spike[500] = 1
    out = smoothed(plane, spike)
    assert out.max() < 0.3
    assert out.min() >= 0


def test_curvature_along_a_direction_by_hand() -> None:
    ball = shapes.hemisphere(0.1, 1.2, 30)
    side = np.cross(ball.normals, [0.3, 1, 0])
    side /= np.linalg.norm(side, axis=1)[:, None]
    np.testing.assert_allclose(np.median(curvature_along(ball, side)), 10, rtol=0.01)
    np.testing.assert_allclose(np.median(curvature_along(ball.flipped(), side)), -10, rtol=0.01)
    tube = shapes.cylinder(0.08)
    along = np.tile([1.0, 0, 0], (len(tube.triangles), 1))
    np.testing.assert_allclose(curvature_along(tube, along), 0, atol=1e-6)
    np.testing.assert_allclose(np.median(curvature_along(tube, np.cross(tube.normals, along))), 12.5, rtol=0.01)


def test_shear_past_locking_is_found_at_the_four_bias_places(cap: Drape) -> None:
    assert findings(cap, cap.law, "ply 1") == ()
    assert findings(cap, replace_lock(cap.law, 60), "ply 1") == ()
    found = findings(cap, replace_lock(cap.law, 30), "ply 1, piece 1A")
    assert len(found) == 3  # of four alike, the three largest
    for f in found:
        assert (f.stage, f.place, f.severity) == ("drape", "ply 1, piece 1A", Severity.DECIDE)
        assert f.what.startswith("The cloth shears by up to ")
        assert "locking angle of 30°" in f.why
        x, y, _ = f.point
        assert abs(abs(np.degrees(np.arctan2(y, x))) % 90 - 45) < 6


def test_surplus_is_found_where_a_stiff_cloth_cannot_shear() -> None:
    law = law_of(ClothKind.VEIL, None, 3750)
    lain = drape(
        shapes.hemisphere(0.1, np.radians(70), 25),
        start=np.array([0, 0, 0.1]),
        direction=np.array([1.0, 0, 0]),
        law=law,
    )
    what = [f.what for f in findings(lain, law, "ply 1")]
    assert any("too long for its path" in w for w in what)
    assert not any("hollow" in w for w in what)  # a ball from outside has none


def test_bridging_is_found_in_a_hollow_and_not_on_a_hump() -> None:
    law = law_of(ClothKind.VEIL, None, 3750)
    bowl = shapes.hemisphere(0.1, np.radians(70), 25).flipped()
    lain = drape(bowl, start=np.array([0, 0, 0.1]), direction=np.array([1.0, 0, 0]), law=law)
    found = [f for f in findings(lain, law, "ply 1") if "hollow" in f.what]
    assert found
    assert all("bridges the hollow" in f.why for f in found)


def test_a_flat_piece_has_nothing_to_say() -> None:
    law = law_of(ClothKind.WOVEN, np.radians(45), 1200)
    lain = drape(shapes.plane(), start=np.zeros(3), direction=np.array([1.0, 0, 0]), law=law)
    assert findings(lain, law, "ply 1") == ()


def test_places_by_hand() -> None:
    """Two patches of a plane, the larger first, each with its own worst triangle; specks are left out."""
    plane = shapes.plane(0.3, 0.2, 30, 20)
    x = plane.centroids[:, 0]
    near = np.hypot(x - 0.1, plane.centroids[:, 1])
    badness = np.where(x > 0, 1 - near, np.where(x < -0.1, 5 + x, 0))
    where = (near < 0.04) | (x < -0.1) | (np.arange(len(x)) == 600)
    (area, worst, triangle), (other, second, at) = _places(plane, where, badness)
    assert area == pytest.approx(0.2 * 0.05)
    assert other == pytest.approx(np.pi * 0.04**2, rel=0.05)
    assert worst == badness[triangle] == badness[x < -0.1].max()
    assert second == badness[at] == badness[near < 0.04].max()
    assert _places(plane, np.zeros(len(x), dtype=bool), badness) == []
