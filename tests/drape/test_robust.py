"""Shapes that are hard to lay: holes, slots, necks, noise, folds, apexes; each cloth, several starts and directions.

What comes back is free of flips and fits itself, or the error says where it failed; steps are bounded.
"""

import numpy as np
import pytest

import shapes
from bagside import geometry
from bagside.drape import ClothKind, ClothLaw, Drape, drape, law_of, solve
from bagside.drape.energy import cloth_on
from bagside.drape.frames import frames_of
from bagside.drape.line import traced
from bagside.drape.newton import descended
from bagside.drape.solvers import OneFactor
from bagside.errors import InputError, NotSolved
from bagside.geometry.surface import Surface

SHAPES = {
    "thin neck": shapes.necked_cap(rings=25),
    "six rims": shapes.torn(25),
    "noise, faired": geometry.faired(shapes.noisy(shapes.hemisphere(0.1, 1.2, 25)), 0.004),
    "noise of 0.3 mm on 2 mm": shapes.rough(45, 0.127),
    "torus outside": shapes.torus(n=45),
    "torus inside": shapes.torus(n=45, inside=True),
    "box corner R2": shapes.box_corner(fillet=0.002, rings=25),
    "cone tip": shapes.cone_tip(rings=25),
    "hemisphere 89°": shapes.hemisphere(0.1, np.radians(89), 25),
    "neck, two levels": shapes.necked_cap(rings=50),
    "six rims, two levels": shapes.torn(45),
    "torus inside, two levels": shapes.torus(n=70, inside=True),
}


def starts(surface: Surface) -> tuple[np.ndarray, np.ndarray]:
    """Return a start in the middle and one in a triangle at the rim."""
    c = surface.centroids
    middle = c[np.argmin(np.linalg.norm(c - c.mean(axis=0), axis=1))]
    rim = surface.loops[0]
    at_rim = np.flatnonzero(np.isin(surface.triangles, rim).any(axis=1))
    return middle, c[at_rim[len(at_rim) // 3]]


def laid_along_x(surface: Surface, start: np.ndarray) -> Drape:
    return drape(surface, start=start, direction=np.array([1.0, 0, 0]), law=ClothLaw(shear_weight=3e-3))


def fits(lain: Drape) -> None:
    """Assert that nothing is flipped and that strain, shear and area belong together."""
    c = lain.uv[lain.surface.triangles]
    flat = 0.5 * np.linalg.det(np.stack([c[:, 1] - c[:, 0], c[:, 2] - c[:, 0]], axis=1))
    assert flat.min() > 0
    stretched = (1 + lain.stretch_warp) * (1 + lain.stretch_weft) * np.cos(lain.shear)
    np.testing.assert_allclose(stretched * flat, lain.surface.areas, rtol=1e-8)
    np.testing.assert_allclose(np.einsum("ij,ij->i", lain.warp, lain.weft), np.sin(lain.shear), atol=1e-8)
    assert lain.steps <= solve.MOST_STEPS * 4


@pytest.mark.parametrize("name", SHAPES)
def test_hard_shapes_are_laid_without_flips(name: str) -> None:
    surface = SHAPES[name]
    law = law_of(ClothKind.WOVEN, None, len(surface.triangles))
    ways = np.linalg.svd(surface.centroids - surface.centroids.mean(axis=0), full_matrices=False)[2]
    for start in starts(surface):
        for way in (ways[0], ways[0] + ways[1]):
            fits(drape(surface, start=start, direction=way, law=law))


@pytest.mark.parametrize("kind", [ClothKind.UNIDIRECTIONAL, ClothKind.NON_CRIMP, ClothKind.VEIL])
@pytest.mark.parametrize("name", ["six rims", "torus inside", "cone tip", "box corner R2"])
def test_other_cloths_are_laid_without_flips(name: str, kind: ClothKind) -> None:
    surface = SHAPES[name]
    ways = np.linalg.svd(surface.centroids - surface.centroids.mean(axis=0), full_matrices=False)[2]
    law = law_of(kind, None, len(surface.triangles))
    fits(drape(surface, start=starts(surface)[0], direction=ways[0] + 0.4 * ways[1], law=law))


def test_a_locking_cloth_is_laid_over_a_deep_shape() -> None:
    surface = SHAPES["hemisphere 89°"]
    law = law_of(ClothKind.WOVEN, np.radians(30), len(surface.triangles))
    lain = drape(surface, start=np.array([0, 0, 0.1]), direction=np.array([1.0, 0.2, 0]), law=law)
    fits(lain)
    assert np.degrees(np.abs(lain.shear)).max() < 60  # free it would pass 52°, held it stays near the lock


def test_what_does_not_settle_says_where() -> None:
    corner = shapes.box_corner(rings=12)
    frames = frames_of(corner)
    k = int(np.argmin(np.linalg.norm(corner.centroids - [0, 0, 0.004], axis=1)))
    at, along = corner.centroids[k], corner.corners[k][1] - corner.corners[k][0]
    along = along / np.linalg.norm(along)
    cloth = cloth_on(frames, traced(corner, at, along, 0.02), 0.16, k, np.full(3, 1 / 3))
    e = np.array([[1, -1, 0], [1, 1, -2]]) / np.sqrt([[2], [6]])
    seen = corner.vertices @ e.T
    with pytest.raises(NotSolved, match=r"after 2 steps .* worst round \(−?[\d.]+, −?[\d.]+, −?[\d.]+\) mm"):
        descended(cloth, ClothLaw(shear_weight=3e-3), seen, OneFactor(cloth.sparsity), 1e-9, 2)
    with pytest.raises(NotSolved, match=r"flipped triangle before the first step, worst round \("):
        descended(cloth, ClothLaw(shear_weight=3e-3), seen * [1, -1], OneFactor(cloth.sparsity), 1e-3, 2)


def test_a_surface_that_touches_itself_at_a_point_is_refused() -> None:
    cap = shapes.hemisphere(0.1, 1.0, 6)
    fan = np.flatnonzero((cap.triangles == 0).any(axis=1))
    keep = np.ones(len(cap.triangles), dtype=bool)
    keep[fan[[1, 2, 4, 5]]] = False
    with pytest.raises(InputError, match="touch at a single vertex"):
        laid_along_x(cap.selected(keep), cap.centroids[60])


def test_two_triangles_can_be_draped() -> None:
    square = Surface(np.array([[0, 0, 0], [0.1, 0, 0], [0.1, 0.1, 0], [0, 0.1, 0]]), np.array([[0, 1, 2], [0, 2, 3]]))
    lain = laid_along_x(square, square.centroids[0])
    fits(lain)
    assert np.abs(lain.shear).max() < 1e-4
