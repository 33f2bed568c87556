"""Principal curvatures at a stated scale, against closed forms."""

import numpy as np
import pytest

from bagside.errors import InputError
from bagside.geometry.surface import Surface
from bagside.mould import Bending, angle_defects, bending
from moulds import bend
from shapes import box_corner, cylinder, grid, hemisphere, plane, saddle, welded


def pipe_middle(surface: Surface, scale: float, radius: float = 0.02) -> np.ndarray:
    x, y, z = surface.vertices.T
    turn = np.abs(np.arctan2(y, z))
    return (np.abs(x) < np.abs(x).max() - scale) & (turn < turn.max() - 1.1 * scale / radius)


def torus(ring: float = 0.06, tube: float = 0.02, n: int = 140) -> Surface:
    """Return a whole torus about z, normals outward."""
    p, t = grid(2 * n, n)
    u, v = 2 * np.pi * p[:, 0], 2 * np.pi * p[:, 1]
    reach = ring + tube * np.cos(v)
    return welded(np.column_stack([reach * np.cos(u), reach * np.sin(u), tube * np.sin(v)]), t)


@pytest.mark.parametrize(("shape", "law"), [("pipe", 3 / 16), ("ball", 1 / 4)])
def test_the_error_of_the_scale_is_of_second_order_and_the_one_stated(shape: str, law: float) -> None:
    """The law is the first term; one more of the same series, of the fourth order, is left."""
    if shape == "pipe":
        surface, radius = cylinder(0.02, nx=100, ny=80, length=0.08), 0.02
    else:
        surface, radius = hemisphere(0.02, np.pi / 2, rings=44), 0.02
    errors = []
    for scale in (0.003, 0.006):
        found = bending(surface, scale)
        middle = pipe_middle(surface, scale) if shape == "pipe" else surface.vertices[:, 2] > 0.012
        value = float(np.median(found.most[middle])) * radius - 1
        assert value == pytest.approx(law * (scale / radius) ** 2, rel=0.25)
        errors.append(value)
    assert errors[1] / errors[0] == pytest.approx(4, rel=0.25)


def test_a_pipe_is_straight_along_and_round_about() -> None:
    surface = cylinder(0.02, nx=100, ny=80, length=0.08)
    found = bending(surface, 0.004)
    middle = pipe_middle(surface, 0.004)
    assert np.abs(found.least[middle]).max() < 0.1
    assert np.abs(found.least_direction[middle] @ [1, 0, 0]).min() > 0.9999
    assert np.abs(found.most_direction[middle] @ [1, 0, 0]).max() < 0.01
    turned = bending(surface.flipped(), 0.004)
    np.testing.assert_allclose(turned.least[middle], -found.most[middle], atol=1e-9)


def test_a_torus_bends_both_ways() -> None:
    """Tube 20 mm, ring 60 mm: outside 1/20 and 1/80, inside 1/20 and −1/40 per mm."""
    surface = torus()
    found = bending(surface, 0.004)
    x, y, z = surface.vertices.T
    r = np.hypot(x, y)
    outside, inside = (r > 0.0799) & (np.abs(z) < 1e-3), (r < 0.0401) & (np.abs(z) < 1e-3)
    for at, least in ((outside, 1 / 0.08), (inside, -1 / 0.04)):
        assert np.median(found.most[at]) == pytest.approx(1 / 0.02, rel=0.02)
        assert np.median(found.least[at]) == pytest.approx(least, rel=0.04)


def test_a_saddle_bends_alike_to_both_sides() -> None:
    surface = saddle(side=0.16, length=0.3, n=80)
    found = bending(surface, 0.008)
    at = int(np.argmin(np.linalg.norm(surface.vertices, axis=1)))
    assert found.most[at] == pytest.approx(2 / 0.3, rel=0.01)
    assert found.least[at] == pytest.approx(-2 / 0.3, rel=0.01)


def test_noise_does_what_is_said_and_less_at_a_larger_scale() -> None:
    rng = np.random.default_rng(11)
    flat = plane(0.06, 0.06, 75, 75)
    rough = Surface(flat.vertices + [0, 0, 1] * rng.normal(0, 1e-4, (len(flat.vertices), 1)), flat.triangles)
    middle = np.abs(flat.vertices[:, :2]).max(axis=1) < 0.02
    spreads = []
    for scale in (0.004, 0.008):
        found = bending(rough, scale)
        number = np.pi * scale**2 / (0.06 / 75) ** 2
        formula = 8.5e-4 / (scale**2 * np.sqrt(number))
        mean = 0.5 * (found.least + found.most)[middle]  # either alone is biased, for they are sorted
        stated = float(np.median(found.error[middle]))
        assert stated == pytest.approx(formula, rel=0.3)
        assert found.scatter[middle].mean() == pytest.approx(1e-4, rel=0.05)
        spreads.append(float(mean.std()))
        assert 0.4 * stated < mean.std() < stated
    assert spreads[0] / spreads[1] == pytest.approx(2**3, rel=0.35)


def test_the_triangulation_does_not_matter() -> None:
    a, b = cylinder(0.02, nx=100, ny=80, length=0.08), cylinder(0.02, nx=73, ny=131, length=0.08)
    one, two = (float(np.median(bending(s, 0.005).most[pipe_middle(s, 0.005)])) for s in (a, b))
    assert one == pytest.approx(two, rel=2e-3)


def test_a_drawn_pipe_of_long_facets_is_read_over_the_scale() -> None:
    """Two rows of triangles as long as the pipe; vertices in between are made, not asked of the drawing."""
    surface = cylinder(0.05, nx=2, ny=90, length=0.2)
    found = bending(surface, 0.015)
    y, z = surface.vertices[:, 1:].T
    middle = (np.abs(surface.vertices[:, 0]) < 0.01) & (np.abs(np.arctan2(y, z)) < 1)
    assert np.median(found.most[middle]) == pytest.approx(1 / 0.05, rel=0.06)


def test_vertices_without_company_are_not_given_a_number() -> None:
    t = np.array([[0, 1, 2]])
    found: Bending = bending(Surface(np.array([[0.0, 0, 0], [1e-3, 0, 0], [0, 1e-3, 0]]), t), 0.01)
    assert np.isnan(found.least).all()


def test_a_scale_of_nothing_is_refused() -> None:
    for scale in (0.0, -0.001, float("nan")):
        with pytest.raises(InputError, match="above zero"):
            bending(plane(), scale)


def test_gathered_curvature_is_that_of_gauss_and_bonnet() -> None:
    """An octant of a small ball in the corner of a box, π/2; a fillet between planes, nothing."""
    assert angle_defects(box_corner(0.04, 0.006, 60, inside=True)).sum() == pytest.approx(np.pi / 2, abs=0.02)
    assert np.abs(angle_defects(bend(np.radians(70), 0.004))).max() < 1e-9
    cap = hemisphere(0.1, np.radians(60), rings=40)
    assert angle_defects(cap).sum() == pytest.approx(2 * np.pi * (1 - np.cos(np.radians(59))), rel=0.02)
