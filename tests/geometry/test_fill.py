from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import shapes
from bagside.geometry import Surface, filled
from bagside.geometry.topology import consistent

BALL = shapes.hemisphere(0.1, 1.2, 60)


def holed(angle: float, polar: float = 0.5, surface: Surface = BALL) -> Surface:
    at = np.array([np.sin(polar), 0, np.cos(polar)])
    c = surface.centroids
    return surface.selected(c @ at / np.linalg.norm(c, axis=1) < np.cos(angle))


@pytest.mark.parametrize(("angle", "worst"), [(0.05, 0.00003), (0.15, 0.0001), (0.3, 0.0007)])
def test_a_patch_goes_on_as_the_ball_does(angle: float, worst: float) -> None:
    # a flat patch over these holes would lie R (1 − cos angle) = 0.13, 1.1 and 4.5 mm too low in the middle
    surface, (hole,) = filled(holed(angle), 0.5)
    assert hole.filled
    assert 1.0 < hole.around / (2 * np.pi * 0.1 * np.sin(angle)) < 1.7  # a ragged rim is longer
    assert len(surface.loops) == 1
    assert consistent(surface.triangles)
    assert np.abs(np.linalg.norm(surface.vertices, axis=1) - 0.1).max() < worst
    assert surface.area == pytest.approx(BALL.area, rel=3e-4)
    assert (surface.normals * surface.centroids).sum(axis=1).min() > 0.095


def test_a_flat_hole_is_closed_flat_and_the_rest_untouched() -> None:
    flat = shapes.plane_with_hole(0.3, 0.03)
    surface, (hole,) = filled(flat, 0.2)
    assert hole.around == pytest.approx(2 * np.pi * 0.03, rel=1e-3)
    assert surface.area == pytest.approx(0.09, rel=1e-9)
    assert np.array_equal(surface.vertices[: len(flat.vertices)], flat.vertices)
    assert np.abs(surface.vertices[:, 2]).max() < 1e-9


def test_large_holes_stay_open_and_are_told() -> None:
    two = holed(0.25, 0.6, holed(0.06, 0.0))
    surface, seen = filled(two, 0.08)
    assert [(h.filled, h.why) for h in seen] == [(False, "longer around than the limit"), (True, "")]
    assert len(surface.loops) == 2
    same, seen = filled(two, 0.0)
    assert same is two
    assert not any(h.filled for h in seen)
    with pytest.raises(ValueError, match="not possible"):
        filled(two, -1.0)


def test_noise_at_the_rim_is_not_carried_into_the_patch() -> None:
    rng = np.random.default_rng(3)
    raw = holed(0.12)
    out = raw.vertices / np.linalg.norm(raw.vertices, axis=1)[:, None]
    rough = Surface(raw.vertices + rng.normal(0, 0.0001, len(out))[:, None] * out, raw.triangles)
    surface, (hole,) = filled(rough, 0.3, 0.004)
    assert hole.filled
    patch = surface.vertices[len(raw.vertices) :]
    assert np.abs(np.linalg.norm(patch, axis=1) - 0.1).max() < 0.0003


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_any_ragged_hole_is_closed_cleanly_or_left(seed: int) -> None:
    rng = np.random.default_rng(seed)
    small = shapes.saddle(n=14)
    inner = (np.abs(small.centroids[:, :2]) < 0.05).all(axis=1)
    keep = ~inner | (rng.random(len(inner)) > 0.3)
    from bagside.geometry import mended
    from bagside.geometry.readers import Raw

    whole, _ = mended(Raw(vertices=small.vertices, triangles=small.triangles[keep], name="x"), facing=(0, 0, 1))
    surface, seen = filled(whole, 1.0)
    assert consistent(surface.triangles)
    assert len(surface.loops) == 1 + sum(not h.filled for h in seen)
    assert np.isfinite(surface.vertices).all()
    if all(h.filled for h in seen):
        assert surface.area == pytest.approx(small.area, rel=0.02)
