"""What leaves as GLB is read back by another reader and held against the standard it claims."""

from __future__ import annotations

import io
import json
import struct
from typing import Any

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.geometry import Surface
from bagside.sheets.glb import LineSet, glb, linear

FLOATS, BYTES = {5126: 4, 5123: 2, 5125: 4}, {"SCALAR": 1, "VEC3": 3, "VEC4": 4}
WHERE = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])  # x, z, -y


def dome(rings: int = 12, sides: int = 24) -> Surface:
    t, p = np.meshgrid(np.linspace(0.1, 1.2, rings), np.linspace(0, 2 * np.pi, sides, endpoint=False), indexing="ij")
    points = 0.2 * np.stack([np.sin(t) * np.cos(p), np.sin(t) * np.sin(p), np.cos(t)], axis=-1).reshape(-1, 3)
    i, j = (a.ravel() for a in np.meshgrid(np.arange(rings - 1), np.arange(sides), indexing="ij"))
    a, b = i * sides + j, i * sides + (j + 1) % sides
    return Surface(points, np.concatenate([np.stack([a, a + sides, b + sides], 1), np.stack([a, b + sides, b], 1)]))


def colours(count: int, seed: int = 3) -> np.ndarray:
    return np.random.default_rng(seed).integers(0, 256, (count, 3), dtype=np.uint8)


def opened(content: bytes) -> tuple[dict[str, Any], bytes]:
    """Return the JSON and the data of a container, read by the rules of the standard's chapter 4."""
    magic, version, length = struct.unpack_from("<4sII", content, 0)
    assert (magic, version, length) == (b"glTF", 2, len(content))
    size, kind = struct.unpack_from("<I4s", content, 12)
    assert kind == b"JSON"
    assert size % 4 == 0
    text = content[20 : 20 + size]
    assert text.rstrip(b" ").endswith(b"}")
    more, other = struct.unpack_from("<I4s", content, 20 + size)
    assert other == b"BIN\0"
    assert more % 4 == 0
    assert 28 + size + more == length
    return json.loads(text), content[28 + size :]


def held(document: dict[str, Any], data: bytes) -> None:
    """Hold a document against what the standard says must be so."""
    assert document["asset"]["version"] == "2.0"
    assert document["buffers"][0]["byteLength"] <= len(data) < document["buffers"][0]["byteLength"] + 4
    end = 0
    for view in document["bufferViews"]:
        assert view["byteOffset"] == end
        assert view["byteOffset"] + view["byteLength"] <= len(data)
        end = view["byteOffset"] + view["byteLength"]
        end += -end % 4
    for mesh in document["meshes"]:
        for primitive in mesh["primitives"]:
            counts = set()
            for name, index in primitive["attributes"].items():
                accessor = document["accessors"][index]
                view = document["bufferViews"][accessor["bufferView"]]
                wide = FLOATS[accessor["componentType"]] * BYTES[accessor["type"]]
                assert wide % 4 == 0, "every corner's value stands on a multiple of four bytes"
                assert view["byteOffset"] % FLOATS[accessor["componentType"]] == 0
                assert view["byteLength"] == wide * accessor["count"]
                assert view["target"] == 34962
                assert name != "POSITION" or {"min", "max"} <= set(accessor)
                counts.add(accessor["count"])
            assert len(counts) == 1
            accessor = document["accessors"][primitive["indices"]]
            view = document["bufferViews"][accessor["bufferView"]]
            kind = {5123: "<u2", 5125: "<u4"}[accessor["componentType"]]
            index = np.frombuffer(data, kind, accessor["count"], view["byteOffset"])
            assert view["target"] == 34963
            assert index.max() < counts.pop()
            assert index.max() < np.iinfo(kind).max, "the highest number means a new strip"
            assert accessor["count"] % {4: 3, 1: 2}[primitive["mode"]] == 0
            assert primitive["material"] < len(document["materials"])


def back(content: bytes) -> Any:
    return trimesh.load_scene(io.BytesIO(content), file_type="glb", process=False)


def srgb(light: np.ndarray) -> np.ndarray:
    """Return linear light as it is printed (IEC 61966-2-1)."""
    return 255 * np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)


def at_corners(content: bytes) -> np.ndarray:
    """Return the colours of the first mesh's corners, read from the file by the standard's rules."""
    document, data = opened(content)
    accessor = document["accessors"][document["meshes"][0]["primitives"][0]["attributes"]["COLOR_0"]]
    assert accessor["normalized"] is True
    start = document["bufferViews"][accessor["bufferView"]]["byteOffset"]
    found = np.frombuffer(data, "<u2", 4 * accessor["count"], start).reshape(-1, 4) / 65_535
    assert (found[:, 3] == 1.0).all()
    return srgb(found[:, :3])


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
