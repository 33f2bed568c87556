"""What leaves as GLB is read back by another reader and held against the standard it claims."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.geometry import Surface
from bagside.sheets.glb import LineSet, glb, linear
from glbread import at_corners, held, opened, srgb

WHERE = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])  # x, z, -y


def dome(rings: int = 12, sides: int = 24) -> Surface:
    t, p = np.meshgrid(np.linspace(0.1, 1.2, rings), np.linspace(0, 2 * np.pi, sides, endpoint=False), indexing="ij")
    points = 0.2 * np.stack([np.sin(t) * np.cos(p), np.sin(t) * np.sin(p), np.cos(t)], axis=-1).reshape(-1, 3)
    i, j = (a.ravel() for a in np.meshgrid(np.arange(rings - 1), np.arange(sides), indexing="ij"))
    a, b = i * sides + j, i * sides + (j + 1) % sides
    return Surface(points, np.concatenate([np.stack([a, a + sides, b + sides], 1), np.stack([a, b + sides, b], 1)]))


def colours(count: int, seed: int = 3) -> np.ndarray:
    return np.random.default_rng(seed).integers(0, 256, (count, 3), dtype=np.uint8)


def back(content: bytes) -> Any:
    return trimesh.load_scene(io.BytesIO(content), file_type="glb", process=False)


def test_positions_counts_and_colours_come_back() -> None:
    surface = dome()
    ink = colours(len(surface.vertices))
    content = glb(surface, ink, name="piece 3A", extras={"map": "shear, degrees"})
    held(*opened(content))
    (mesh,) = back(content).geometry.values()
    assert np.abs(mesh.vertices - surface.vertices @ WHERE.T).max() < 1e-8
    assert np.array_equal(mesh.faces, surface.triangles)
    assert np.abs(mesh.vertex_normals - surface.vertex_normals @ WHERE.T).max() < 1e-6
    assert mesh.area == pytest.approx(surface.area, rel=1e-6)
    seen = mesh.visual.vertex_attributes["color"][:, :3] / 65_535.0  # the reader keeps the file's linear light
    assert np.abs(srgb(seen) - ink).max() < 0.1
    assert np.abs(at_corners(content) - ink).max() < 0.1
    said = opened(content)[0]["asset"]["extras"]
    assert said["unit"] == "m"
    assert said["map"] == "shear, degrees"
    assert "-y" in said["axes"]


def test_what_points_up_in_the_mould_points_up_in_the_viewer() -> None:
    surface = dome()
    (mesh,) = back(glb(surface, colours(len(surface.vertices)))).geometry.values()
    top = int(np.argmax(surface.vertices[:, 2]))
    assert int(np.argmax(mesh.vertices[:, 1])) == top
    assert np.linalg.det(WHERE) == pytest.approx(1.0), "a turn, not a mirror"


def test_colours_of_triangles_are_not_blended() -> None:
    surface = dome()
    ink = colours(len(surface.triangles))
    content = glb(surface, ink)
    held(*opened(content))
    (mesh,) = back(content).geometry.values()
    assert len(mesh.vertices) == 3 * len(surface.triangles)
    assert np.abs(mesh.triangles - surface.corners @ WHERE.T).max() < 1e-8
    assert np.abs(at_corners(content).reshape(-1, 3, 3) - ink[:, None]).max() < 0.1


def test_lines_come_back_as_lines() -> None:
    surface = dome()
    some = (np.array([[0.0, 0, 0.2], [0.05, 0, 0.19], [0.1, 0, 0.17]]), np.array([[0.0, 0.1, 0.1], [0.0, 0.12, 0.1]]))
    sets = [
        LineSet(name="warp", lines=some, colour="#10191f"),
        LineSet(name="none", lines=(), colour="#10191f"),
        LineSet(name="weft", lines=some[:1], colour="#75838b"),
    ]
    content = glb(surface, colours(len(surface.vertices)), lines=sets)
    document, data = opened(content)
    held(document, data)
    assert [n["name"] for n in document["nodes"]] == ["surface", "warp", "weft"]
    found = {n: g for n, g in back(content).geometry.items() if isinstance(g, trimesh.path.Path3D)}
    assert set(found) == {"warp", "weft"}
    for name, wanted in (("warp", some), ("weft", some[:1])):
        points = np.asarray(found[name].vertices) @ WHERE
        assert np.abs(points - np.concatenate(wanted)).max() < 1e-8
        # The reader joins all points into one line; which pairs are lines stands in the indices.
        (primitive,) = next(m for m in document["meshes"] if m["name"] == name)["primitives"]
        accessor = document["accessors"][primitive["indices"]]
        start = document["bufferViews"][accessor["bufferView"]]["byteOffset"]
        pairs = np.frombuffer(data, "<u2", accessor["count"], start).reshape(-1, 2)
        ends = np.concatenate([np.stack([p[:-1], p[1:]], axis=1) for p in wanted])
        assert np.abs(points[pairs] - ends).max() < 1e-8


def test_many_vertices_take_longer_indices() -> None:
    surface = dome(260, 260)
    content = glb(surface, colours(len(surface.vertices)))
    document, data = opened(content)
    held(document, data)
    assert len(surface.vertices) > 65_535
    (mesh,) = back(content).geometry.values()
    assert np.array_equal(mesh.faces, surface.triangles)


@given(st.integers(2, 9), st.integers(3, 11), st.text(min_size=1, max_size=12))
@settings(max_examples=25, deadline=None)
def test_any_size_and_name_keeps_the_rules(rings: int, sides: int, name: str) -> None:
    surface = dome(rings, sides)
    content = glb(surface, colours(len(surface.vertices)), name=name)
    document, data = opened(content)
    held(document, data)
    assert document["nodes"][0]["name"] == name


def test_linear_light_is_the_published_function() -> None:
    # IEC 61966-2-1: the curve meets its straight foot at 0.04045; middle grey 188 is half the light.
    assert linear(np.array([0, 255], dtype=np.uint8)).tolist() == [0.0, 1.0]
    assert linear(np.array(188, dtype=np.uint8)) == pytest.approx(0.5, abs=0.005)
    every = np.arange(256, dtype=np.uint8)
    assert np.abs(srgb(linear(every)) - every).max() < 0.02


def test_the_same_surface_is_the_same_file() -> None:
    surface = dome()
    assert glb(surface, colours(len(surface.vertices))) == glb(surface, colours(len(surface.vertices)))


def test_what_does_not_belong_is_refused() -> None:
    surface = dome()
    with pytest.raises(ValueError, match="uint8"):
        glb(surface, np.zeros((len(surface.vertices), 3)))  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="are wanted, not"):
        glb(surface, colours(7))
    with pytest.raises(ValueError, match="without a triangle"):
        glb(Surface(np.zeros((3, 3)), np.zeros((0, 3), dtype=np.int64)), colours(3))
