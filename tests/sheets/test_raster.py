"""Triangles to pixels: coverage, the nearest in front, weights that bring a point back."""

from __future__ import annotations

import numpy as np
import pytest

from bagside.sheets.raster import rasterised


def _square(z: float) -> np.ndarray:
    a, b, c, d = [2.0, 2.0, z], [8.0, 2.0, z], [8.0, 8.0, z], [2.0, 8.0, z]
    return np.array([[a, b, c], [a, c, d]])


def test_a_square_covers_its_own_pixels_and_no_other() -> None:
    seen = rasterised(_square(1.0), (10, 10))
    hit = seen.triangle >= 0
    assert hit.sum() == 36
    assert hit[2:8, 2:8].all()
    assert np.isneginf(seen.depth[~hit]).all()


@pytest.mark.parametrize("order", [(1.0, 2.0), (2.0, 1.0)])
def test_the_nearer_is_seen_whichever_comes_first(order: tuple[float, float]) -> None:
    seen = rasterised(np.concatenate([_square(z) for z in order]), (10, 10))
    np.testing.assert_allclose(seen.depth[2:8, 2:8], 2.0, atol=1e-12)
    assert (seen.triangle[2:8, 2:8] // 2 == order.index(2.0)).all()


def test_weights_bring_back_the_middle_of_the_pixel() -> None:
    corners = np.array([[[1.0, 1.0, 0.0], [18.0, 4.0, 3.0], [6.0, 17.0, 5.0]]])
    seen = rasterised(corners, (20, 20))
    row, col = np.nonzero(seen.triangle >= 0)
    s, t = seen.weights[row, col].T
    a, b, c = corners[0]
    back = (1 - s - t)[:, None] * a + s[:, None] * b + t[:, None] * c
    np.testing.assert_allclose(back[:, :2], np.column_stack([col, row]) + 0.5, atol=1e-9)
    np.testing.assert_allclose(back[:, 2], seen.depth[row, col], atol=1e-9)


def test_not_finite_is_refused() -> None:
    with pytest.raises(ValueError, match="finite"):
        rasterised(np.full((1, 3, 3), np.nan), (4, 4))
    with pytest.raises(ValueError, match="pixel"):
        rasterised(_square(0.0), (0, 4))
