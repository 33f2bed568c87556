"""Mutilated files and made-up meshes: a surface or one sentence, never a traceback, never a long wait."""

from __future__ import annotations

import struct
import zipfile
from pathlib import Path

import numpy as np
import pytest
import trimesh
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import shapes
from bagside.errors import BagsideError, InputError
from bagside.geometry import Raw, Wish, opened, read_mesh
from bagside.geometry.topology import consistent

PART = shapes.hemisphere(100.0, 1.2, 5)
SUFFIXES = [".stl", ".obj", ".ply", ".3mf", ".glb"]
MANY = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    folder = tmp_path_factory.mktemp("whole")
    body = trimesh.Trimesh(PART.vertices, PART.triangles, process=False)
    for suffix in SUFFIXES:
        body.export(folder / f"cap{suffix}")
    body.export(folder / "text.stl", file_type="stl_ascii")
    return {p.name: p.read_bytes() for p in sorted(folder.iterdir())}


def tried(path: Path, data: bytes) -> None:
    path.write_bytes(data)
    try:
        raw = read_mesh(path, "mm")
        made = opened(raw, Wish(facing=(0, 0, 1), noise=0.0001, fill_holes=0.05))
    except BagsideError as error:
        told = str(error)
        if not 0 < len(told) < 600:
            pytest.fail(f"not one sentence: {told!r}")
        return
    assert np.isfinite(made.work.vertices).all()
    assert consistent(made.work.triangles)


@MANY
@given(st.data())
def test_any_file_cut_flipped_or_stuffed(tmp_path: Path, whole: dict[str, bytes], data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(sorted(whole)))
    content = bytearray(whole[name])
    kind = data.draw(st.sampled_from(["cut", "flip", "stuff", "swap"]))
    at = data.draw(st.integers(0, len(content) - 1))
    if kind == "cut":
        del content[at:]
    elif kind == "flip":
        for k in data.draw(st.lists(st.integers(0, len(content) - 1), min_size=1, max_size=12)):
            content[k] ^= 1 << data.draw(st.integers(0, 7))
    elif kind == "stuff":
        content[at:at] = data.draw(st.sampled_from([b"\0" * 40, b"text in it", b"nan nan nan\n", b"\xff" * 16]))
    else:
        content[at : at + 4] = struct.pack("<f", data.draw(st.sampled_from([np.nan, np.inf, 1e30, -1e12, 1e-40])))
    tried(tmp_path / name, bytes(content))


@pytest.mark.parametrize("name", [f"x{s}" for s in SUFFIXES])
@pytest.mark.parametrize(
    "data", [b"", b"\0", b"solid", b"ply\n", b"glTF", b"PK\x03\x04", b"v 0 0 0\nf 1 2 3\n", b"\xff" * 400]
)
def test_stumps_of_files(tmp_path: Path, name: str, data: bytes) -> None:
    path = tmp_path / name
    path.write_bytes(data)
    with pytest.raises(InputError):
        read_mesh(path, "mm")


def test_a_file_that_promises_two_thousand_million_triangles_is_refused_by_its_size(tmp_path: Path) -> None:
    stl = tmp_path / "large.stl"
    stl.write_bytes(b"\0" * 80 + struct.pack("<I", 2**31) + b"\0" * 50)
    with pytest.raises(InputError, match="2147483648 triangles promised, 1 present"):
        read_mesh(stl, "mm")
    ply = tmp_path / "large.ply"
    head = "ply\nformat binary_little_endian 1.0\nelement vertex 3\n"
    head += "property float x\nproperty float y\nproperty float z\n"
    head += "element face 2147483648\nproperty list uchar int vertex_indices\nend_header\n"
    ply.write_bytes(head.encode() + b"\0" * 49)
    with pytest.raises(InputError, match="2147483651 points and triangles promised, "):
        read_mesh(ply, "mm")


def test_a_file_that_unpacks_beyond_the_limit_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "bomb.3mf"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as packed, packed.open("3D/3dmodel.model", "w") as file:
        for _ in range(2100):
            file.write(b"\0" * 1_000_000)
    with pytest.raises(InputError, match=r"2\.1 GB unpacked"):
        read_mesh(path, "mm")


@MANY
@given(st.integers(4, 40), st.integers(1, 90), st.integers(0, 2**32 - 1), st.sampled_from([0.0, 1e-9, 0.05, 1.0, 1e3]))
def test_made_up_triangles(points: int, count: int, seed: int, flat: float) -> None:
    rng = np.random.default_rng(seed)
    vertices = rng.normal(0, 0.1, (points, 3)) * [1, 1, flat]
    raw = Raw(vertices=vertices, triangles=rng.integers(0, points, (count, 3)), name="made.stl", unit="mm")
    noise, fillet = 0.0001 * (seed % 2), 0.02 * (seed % 3)
    wish = Wish(facing=(0, 0, 1), noise=noise, fill_holes=0.5, smallest_fillet=fillet, size=0.03)
    try:
        made = opened(raw, wish)
    except BagsideError as error:
        if not str(error):
            pytest.fail("nothing is said")
        return
    assert np.isfinite(made.work.vertices).all()
