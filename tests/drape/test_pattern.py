from dataclasses import replace

import numpy as np
import pytest
import shapely

import shapes
from bagside.drape import ClothLaw, Drape, drape, locate, pattern_of
from bagside.errors import InputError, NotSolved

WOVEN = ClothLaw(shear_weight=3e-3)


@pytest.fixture(scope="module")
def holed() -> Drape:
    return drape(shapes.plane_with_hole(), start=np.array([0.1, 0, 0]), direction=np.array([0.0, 1, 0]), law=WOVEN)


def signed(loop: np.ndarray) -> float:
    after = np.roll(loop, -1, axis=0)
    return 0.5 * float((loop[:, 0] * after[:, 1] - loop[:, 1] * after[:, 0]).sum())


def test_a_square_with_a_hole_by_hand(holed: Drape) -> None:
    flat = pattern_of(holed)
    outer, hole = flat.loops
    assert signed(outer) == pytest.approx(0.09, rel=1e-6)
    assert signed(hole) == pytest.approx(-0.5 * 96 * 0.05**2 * np.sin(2 * np.pi / 96), rel=1e-6)
    assert flat.area == pytest.approx(signed(outer) + signed(hole))
    assert flat.area == pytest.approx(flat.surface_area, rel=1e-6)
    assert flat.start == (0.0, 0.0)
    # warp runs along +y of the part: u = y, v = −(x − 0.1)
    np.testing.assert_allclose(outer.min(axis=0), [-0.15, -0.05], atol=1e-6)
    np.testing.assert_allclose(outer.max(axis=0), [0.15, 0.25], atol=1e-6)


def test_a_hole_with_a_longer_rim_than_the_outline_is_still_a_hole() -> None:
    """Loops of the surface come longest first; which one is the outline is read from the way it turns."""
    square = shapes.plane(0.3, 0.3, 30, 30)
    c = square.centroids
    comb = (np.abs(c[:, 1]) < 0.13) & (np.abs(c[:, 0]) < 0.13) & ((c[:, 0] // 0.01) % 2 == 0) | (
        (np.abs(c[:, 1]) < 0.01) & (np.abs(c[:, 0]) < 0.13)
    )
    surface = square.selected(~comb)
    flat = pattern_of(drape(surface, start=np.array([0.14, 0.14, 0]), direction=np.array([1.0, 0, 0]), law=WOVEN))
    assert len(flat.loops[1]) > len(flat.loops[0])
    assert signed(flat.loops[0]) == pytest.approx(0.09, rel=1e-4)


def test_marks_fall_where_they_should(holed: Drape) -> None:
    found = locate(holed, np.array([[0.1, 0, 0], [0.12, 0.03, 0.001], [-0.1, -0.1, 0]]))
    np.testing.assert_allclose(found, [[0, 0], [0.03, -0.02], [-0.1, 0.2]], atol=1e-6)


def test_a_mark_beyond_the_rim_lands_on_the_rim(holed: Drape) -> None:
    np.testing.assert_allclose(locate(holed, np.array([[0.3, 0.01, 0]])), [[0.01, -0.05]], atol=1e-6)


def test_vertices_are_located_at_their_own_coordinates() -> None:
    lain = drape(
        shapes.hemisphere(0.1, 1.0, 12), start=np.array([0, 0, 0.1]), direction=np.array([1.0, 0, 0]), law=WOVEN
    )
    np.testing.assert_allclose(locate(lain, lain.surface.vertices), lain.uv, atol=1e-9)
    assert locate(lain, np.zeros((0, 3))).shape == (0, 2)


def test_points_that_are_no_points_are_refused(holed: Drape) -> None:
    with pytest.raises(InputError, match=r"points to locate: shape \(3,\)"):
        locate(holed, np.zeros(3))
    with pytest.raises(InputError, match="finite positions"):
        locate(holed, np.array([[0.0, np.nan, 0]]))


def test_a_cone_of_more_than_a_turn_overlaps_itself_when_flat() -> None:
    """A helical strip about a flat spindle goes round more than once: flat, it lies on itself."""
    p, t = shapes.grid(120, 6)
    turn, r = p[:, 0] * 2 * np.pi * 1.2, 0.05 + 0.05 * p[:, 1]
    points = np.column_stack([r * np.cos(turn), r * np.sin(turn), 0.004 * turn])
    strip = shapes.Surface(points, t[:, ::-1] if np.cross(*np.diff(points[t[0]], axis=0))[2] < 0 else t)
    lain = drape(strip, start=strip.centroids[600], direction=np.array([1.0, 1, 0]), law=WOVEN)
    with pytest.raises(NotSolved, match=r"flat outline crosses itself \(at u .* mm from the start\).*split it"):
        pattern_of(lain)


def test_an_outline_that_winds_the_wrong_way_is_not_cut(holed: Drape) -> None:
    with pytest.raises(NotSolved, match="winds round itself"):
        pattern_of(replace(holed, uv=np.abs(holed.uv) * 0))


def test_a_knot_in_a_ragged_rim_is_cut_off_and_a_real_overlap_is_not() -> None:
    lain = drape(shapes.plane(nx=120, ny=80), start=np.zeros(3), direction=np.array([1.0, 0, 0]), law=WOVEN)
    rim = lain.surface.loops[0]
    straight = pattern_of(lain)
    uv = lain.uv.copy()
    uv[rim[5]], uv[rim[6]] = lain.uv[rim[6]], lain.uv[rim[5]]  # two neighbours change places: a loop of no size
    knotted = pattern_of(replace(lain, uv=uv))
    assert knotted.area == pytest.approx(straight.area, rel=2e-3)
    assert shapely.Polygon(knotted.loops[0]).is_valid
    folded = lain.uv.copy()
    folded[:, 1] = np.abs(folded[:, 1] - 0.02)  # the sheet laid double: real overlap
    with pytest.raises(NotSolved):
        pattern_of(replace(lain, uv=folded))
