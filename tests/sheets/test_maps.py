"""Which map a ply gets, and that a map's colours are those of its values wherever they are shown."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bagside import drape as draping
from bagside.drape import ClothLaw, Drape
from bagside.geometry import Surface
from bagside.sheets import colour
from bagside.sheets.flatview import FlatPiece, flat_view
from bagside.sheets.glb import piece_glb
from bagside.sheets.maps import Map, Maps, at_vertices, maps_of, yarn_strain
from bagside.spec.material import ClothKind
from glbread import at_corners, held, opened


def plate(n: int = 10, side: float = 0.1) -> Surface:
    x, y = np.meshgrid(np.linspace(0, side, n + 1), np.linspace(0, side, n + 1), indexing="ij")
    i, j = (a.ravel() for a in np.meshgrid(np.arange(n), np.arange(n), indexing="ij"))
    a, b = i * (n + 1) + j, (i + 1) * (n + 1) + j
    triangles = np.concatenate([np.stack([a, b, b + 1], 1), np.stack([a, b + 1, a + 1], 1)])
    return Surface(np.stack([x.ravel(), y.ravel(), np.zeros(x.size)], axis=1), triangles)


def lain(shear: float = 0.0, warp: float = 0.0, weft: float = 0.0) -> Drape:
    """Return a plate whose cloth is sheared and strained evenly; only the numbers a map reads are true."""
    surface = plate()
    law = ClothLaw(shear_weight=1e-3, locking_angle=np.radians(40))
    flat = draping.drape(surface, start=np.zeros(3), direction=np.array([1.0, 0.0, 0.0]), law=law)
    full = np.ones(len(surface.triangles))
    return replace(flat, shear=np.radians(shear) * full, stretch_warp=warp * full, stretch_weft=weft * full)


@pytest.mark.parametrize(
    ("kind", "given", "wanted"),
    [
        (ClothKind.WOVEN, lain(shear=20), Maps(first=Map.SHEAR)),
        (ClothKind.WOVEN, lain(), Maps(first=Map.SHEAR)),
        (ClothKind.NON_CRIMP, lain(shear=20, weft=0.02), Maps(first=Map.SHEAR, second=Map.STRETCH)),
        (ClothKind.WOVEN, lain(shear=2, warp=-0.02), Maps(first=Map.STRETCH)),
        (ClothKind.UNIDIRECTIONAL, lain(shear=2, warp=0.02), Maps(first=Map.STRETCH)),
        (ClothKind.VEIL, lain(), Maps(first=Map.STRETCH)),
        (ClothKind.UNIDIRECTIONAL, lain(shear=12, warp=0.02), Maps(first=Map.STRETCH, second=Map.SHEAR)),
    ],
)
def test_the_larger_trouble_is_shown(kind: ClothKind, given: Drape, wanted: Maps) -> None:
    assert maps_of([lain(), given], kind) == wanted


def test_the_yarn_strained_most_is_shown_with_its_sign() -> None:
    assert yarn_strain(lain(warp=0.01, weft=-0.02)) == pytest.approx(-0.02)
    assert yarn_strain(lain(warp=0.01, weft=-0.002)) == pytest.approx(0.01)


def test_values_at_vertices_keep_a_constant_and_the_mean() -> None:
    surface = plate()
    assert at_vertices(surface, np.full(len(surface.triangles), 0.3)) == pytest.approx(0.3)
    values = surface.centroids[:, 0]
    inner = (np.abs(surface.vertices[:, :2] - 0.05) < 0.04).all(axis=1)
    assert at_vertices(surface, values)[inner] == pytest.approx(surface.vertices[inner, 0], abs=1e-12)


def test_nothing_strained_is_paper_and_not_the_darkest_band() -> None:
    assert colour.STRETCH.colours[colour.STRETCH.quiet] == "#edf1f1"
    assert colour.SHEAR.quiet == 0
    flat = lain()
    loop = np.array([[0.0, 0.0], [0.1, 0.0], [0.1, 0.1], [0.0, 0.1]])
    piece = FlatPiece(
        label="V", loops=(loop,), uv=flat.uv, triangles=flat.surface.triangles, values=yarn_strain(flat)
    )
    svg = flat_view([piece], bands=colour.STRETCH)
    assert "#edf1f1" in svg
    assert colour.STRETCH.colours[0] not in svg


@pytest.mark.parametrize(("values", "band"), [({"shear": 22.0}, 4), ({"shear": -22.0}, 4), ({"shear": 44.0}, 8)])
def test_a_piece_in_space_has_the_colour_of_its_shear(values: dict[str, float], band: int) -> None:
    given = lain(**values)
    content = piece_glb(given, label="3A", bands=colour.SHEAR, values=given.shear)
    document, data = opened(content)
    held(document, data)
    assert np.abs(at_corners(content) - colour.rgb(colour.SHEAR.colours[band])).max() < 0.1
    said = document["asset"]["extras"]
    assert said["map"] == "shear, degrees"
    assert said["locking_angle_deg"] == pytest.approx(40.0)
    assert [n["name"] for n in document["nodes"]] == ["piece 3A", "warp", "weft"]


def test_the_threads_of_a_piece_in_space_lie_at_the_stated_spacing() -> None:
    given = lain()
    content = piece_glb(given, label="1", bands=colour.SHEAR, values=given.shear, spacing=0.02)
    document, data = opened(content)
    for name, axis in (("warp", 1), ("weft", 0)):
        (primitive,) = next(m for m in document["meshes"] if m["name"] == name)["primitives"]
        accessor = document["accessors"][primitive["attributes"]["POSITION"]]
        start = document["bufferViews"][accessor["bufferView"]]["byteOffset"]
        points = np.frombuffer(data, "<f4", 3 * accessor["count"], start).reshape(-1, 3)
        flat = np.column_stack([points[:, 0], -points[:, 2]])  # back to the mould's x and y
        steps = np.unique(np.round(flat[:, axis] / 0.02, 4))
        assert steps == pytest.approx(np.round(steps), abs=1e-3)
        assert len(steps) >= 5
        assert points[:, 1] == pytest.approx(2e-4 * np.hypot(0.1, 0.1), rel=1e-3)


def test_values_must_belong() -> None:
    with pytest.raises(ValueError, match="one value for each triangle"):
        piece_glb(lain(), label="1", bands=colour.SHEAR, values=np.zeros(3))
