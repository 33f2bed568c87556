from __future__ import annotations

import contextlib
import struct
from pathlib import Path

import numpy as np
import pytest
import trimesh
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import shapes
from bagside.errors import InputError
from bagside.geometry import UNITS, Raw, mended, read_mesh

PART = shapes.hemisphere(100.0, 1.2, 4)


def written(folder: Path, suffix: str, **options: object) -> Path:
    path = folder / f"cap{suffix}"
    body = trimesh.Trimesh(PART.vertices, PART.triangles, process=False)
    body.export(path, **options)
    return path


def refused(path: Path, unit: str = "mm") -> str:
    with pytest.raises(InputError) as caught:
        read_mesh(path, unit)
    return str(caught.value)


@pytest.mark.parametrize("unit", ["mm", "in", "m"])
@pytest.mark.parametrize("suffix", [".stl", ".obj", ".ply", ".3mf", ".glb"])
def test_every_format_comes_back_in_metres(tmp_path: Path, suffix: str, unit: str) -> None:
    raw = read_mesh(written(tmp_path, suffix), unit)
    assert len(raw.triangles) == len(PART.triangles)
    assert raw.name == f"cap{suffix}"
    surface, _ = mended(raw, facing=(0, 0, 1))
    assert len(surface.vertices) == len(PART.vertices)
    assert surface.area == pytest.approx(PART.area * UNITS[unit] ** 2, rel=1e-5)
    assert surface.size == pytest.approx(PART.size * UNITS[unit], rel=1e-5)


@pytest.mark.parametrize(("suffix", "kind"), [(".stl", "stl_ascii"), (".ply", "ply")])
def test_text_files_are_read(tmp_path: Path, suffix: str, kind: str) -> None:
    options = {"file_type": kind} | ({"encoding": "ascii"} if kind == "ply" else {})
    raw = read_mesh(written(tmp_path, suffix, **options), "mm")
    surface, _ = mended(raw, facing=(0, 0, 1))
    assert surface.area == pytest.approx(PART.area * 1e-6, rel=1e-5)


def test_inch_is_25_4_mm_and_foot_12_inches() -> None:
    assert UNITS["in"] == pytest.approx(25.4 * UNITS["mm"], rel=1e-15)
    assert UNITS["ft"] == pytest.approx(12 * UNITS["in"], rel=1e-15)
    assert UNITS["cm"] == pytest.approx(10 * UNITS["mm"], rel=1e-15)


def test_a_binary_stl_that_starts_with_the_word_solid_is_read_as_binary(tmp_path: Path) -> None:
    path = written(tmp_path, ".stl")
    data = path.read_bytes()
    path.write_bytes(b"solid cap".ljust(80) + data[80:])
    assert len(read_mesh(path, "mm").triangles) == len(PART.triangles)


def test_bodies_are_joined_where_they_stand(tmp_path: Path) -> None:
    box = trimesh.creation.box((1.0, 1.0, 1.0))
    scene = trimesh.Scene()
    scene.add_geometry(box, transform=trimesh.transformations.translation_matrix([0, 0, 0]))
    scene.add_geometry(box.copy(), transform=trimesh.transformations.translation_matrix([9, 0, 0]))
    scene.export(tmp_path / "two.glb")
    raw = read_mesh(tmp_path / "two.glb", "m")
    assert len(raw.triangles) == 24
    assert np.ptp(raw.vertices, axis=0) == pytest.approx([10, 1, 1])


def test_messages_are_one_sentence_with_a_cure(tmp_path: Path) -> None:
    again = "copy or export it again"
    good = written(tmp_path, ".stl").read_bytes()
    count = len(PART.triangles)
    assert refused(tmp_path / "gone.stl") == "gone.stl – there is no such file; check the name and the folder"
    assert refused(tmp_path / "mould.dxf") == (
        'mould.dxf: suffix ".dxf" – meshes are read from .stl, .obj, .ply, .3mf, .glb; export it as one of them'
    )
    assert refused(tmp_path / "cap.stl", "inch") == (
        'cap.stl: unit "inch" – a unit of length is wanted: m, cm, mm, in, ft (did you mean "in"?)'
    )
    path = tmp_path / "bad.stl"
    path.write_bytes(b"")
    assert refused(path) == f"bad.stl – the file is empty; {again}"
    path.write_bytes(good[:50])
    assert refused(path) == f"bad.stl: 50 bytes – the file is cut off before its first triangle; {again}"
    path.write_bytes(good[: 84 + 50 * 7 + 13])
    assert refused(path) == (
        f"bad.stl: {count} triangles promised, 7 present – the file is cut off or its header is broken; {again}"
    )
    path.write_bytes(good + b"12345")
    assert refused(path) == (
        f"bad.stl: {count} triangles promised, 5 bytes more than they take – "
        f"the file is not the STL its header says; {again}"
    )
    path.write_bytes(good[:80] + struct.pack("<I", 0))
    assert refused(path) == "bad.stl – there are no triangles in the file; export the surface as a mesh"
    hole = bytearray(good)
    hole[84 + 12 : 84 + 16] = struct.pack("<f", float("nan"))
    hole[84 + 50 + 12 : 84 + 50 + 16] = struct.pack("<f", float("inf"))
    path.write_bytes(bytes(hole))
    assert refused(path) == (
        f"bad.stl: 2 of {3 * count} points – coordinates must be finite numbers, "
        f"the first that is not is point 0; {again}"
    )
    far = bytearray(good)
    far[84 + 50 + 12 : 84 + 50 + 16] = struct.pack("<f", 3e9)
    path.write_bytes(bytes(far))
    assert refused(path) == (
        f"bad.stl: point 3 at 3e+06 m – no mould lies further than 10 km from the origin; check the unit, or {again}"
    )


def test_a_text_stl_without_its_end_is_named(tmp_path: Path) -> None:
    text = written(tmp_path, ".stl", file_type="stl_ascii").read_text()
    path = tmp_path / "bad.stl"
    whole = text[: len(text) // 2].count("endfacet")
    path.write_text(text[: len(text) // 2])
    assert refused(path) == (
        f"bad.stl: {whole} whole triangles – the file is cut off or broken, its end is missing; copy or export it again"
    )
    path.write_text(text.replace("vertex 0", "vertex zero", 1))
    assert refused(path) == "bad.stl – a coordinate in the file is not a number; copy or export it again"


def test_foreign_formats_that_hold_nothing_or_nonsense_are_named(tmp_path: Path) -> None:
    for suffix in (".obj", ".ply", ".3mf", ".glb"):
        path = tmp_path / f"bad{suffix}"
        path.write_bytes(b"\x00nonsense\xff" * 9)
        message = refused(path)
        assert message in {
            f"bad{suffix} – the file cannot be read as {suffix[1:].upper()}, it is cut off or broken; "
            "copy or export it again",
            f"bad{suffix} – there are no triangles in the file; export the surface as a mesh",
        }
    points = tmp_path / "points.ply"
    trimesh.PointCloud(PART.vertices).export(points)
    assert refused(points) == "points.ply – there are no triangles in the file; export the surface as a mesh"
    path = tmp_path / "lost.obj"
    path.write_text("v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 9\n")
    assert "lost.obj – " in refused(path)


@pytest.mark.parametrize("suffix", [".stl", ".obj", ".ply", ".3mf", ".glb", "text"])
def test_a_mutilated_file_is_read_or_refused_never_a_crash(
    tmp_path_factory: pytest.TempPathFactory, suffix: str, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path_factory.mktemp("broken")
    options = {"file_type": "stl_ascii"} if suffix == "text" else {}
    good = written(folder, ".stl" if suffix == "text" else suffix, **options)
    data = good.read_bytes()
    messages: list[str] = []

    @settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
    @given(st.data())
    def mutilated(draw: st.DataObject) -> None:
        broken = bytearray(data[: draw.draw(st.integers(0, len(data)))] if draw.draw(st.booleans()) else data)
        for _ in range(draw.draw(st.integers(0, 6))):
            if broken:
                at = draw.draw(st.integers(0, len(broken) - 1))
                broken[at] ^= 1 << draw.draw(st.integers(0, 7))
        path = folder / f"broken{good.suffix}"
        path.write_bytes(bytes(broken))
        try:
            raw = read_mesh(path, "mm")
        except InputError as error:
            messages.append(str(error))
        else:
            assert isinstance(raw, Raw)
            assert np.isfinite(raw.vertices).all()
            assert raw.triangles.max() < len(raw.vertices)
            with contextlib.suppress(InputError):
                mended(raw, facing=(0, 0, 1))

    mutilated()
    assert messages
    assert all(m.startswith(f"broken{good.suffix}") for m in messages)
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err == ""
