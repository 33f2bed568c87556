"""Packed files: bombs, lies, and names that lead out, seen before anything unpacks."""

from __future__ import annotations

import contextlib
import io
import os
import stat
import struct
import tempfile
import warnings
import zipfile
from pathlib import Path

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import Workbook
from tests.web.guardfiles import a_mesh, zipped

from bagside.errors import InputError
from bagside.web.guard.packed import MOST_PARTS, looked_into


def packed_file(tmp_path: Path, data: bytes) -> Path:
    path = tmp_path / "a.3mf"
    path.write_bytes(data)
    return path


MODEL = "3D/3dmodel.model"


def refusal(tmp_path: Path, data: bytes) -> str:
    with pytest.raises(InputError) as caught:
        looked_into(packed_file(tmp_path, data), "a.3mf")
    return str(caught.value)


def test_a_bomb_shows_itself_before_it_unpacks(tmp_path: Path) -> None:
    data = zipped({MODEL: bytes(60_000_000)})
    assert len(data) < 100_000
    assert "this is packed more tightly than a drawing or a table is" in refusal(tmp_path, data)


def test_a_bomb_in_many_pieces_is_too_large_in_all(tmp_path: Path) -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for n in range(40):
            packed.writestr(f"3D/{n}.model", bytes(1_000_000), compresslevel=1)
    path = packed_file(tmp_path, out.getvalue())
    looked_into(path, "a.3mf", 40_000_000)
    with pytest.raises(InputError, match="40 MB unpacked – up to 39 MB are unpacked"):
        looked_into(path, "a.3mf", 39_000_000)


def test_one_body_listed_a_thousand_times_is_refused(tmp_path: Path) -> None:
    """Overlapping parts (CWE-409): every entry of the list points at the same bytes."""
    body = os.urandom(40_000)
    data = zipped({MODEL: body}, zipfile.ZIP_STORED)
    start = data.rindex(b"PK\x01\x02")
    end = data.rindex(b"PK\x05\x06")
    entry = data[start:end]
    entries = b""
    for n in range(1000):
        name = f"3D/{n:04d}.model".encode()
        entries += entry[:28] + struct.pack("<H", len(name)) + entry[30:46] + name
    tail = struct.pack("<4s4H2LH", b"PK\x05\x06", 0, 0, 1000, 1000, len(entries), start, 0)
    assert "its parts lie over each other" in refusal(tmp_path, data[:start] + entries + tail)


def test_a_list_that_lies_about_sizes_gives_no_more_than_it_says(tmp_path: Path) -> None:
    """Python's reader stops at the size the list promises; that is what the sum of sizes rests on."""
    data = bytearray(zipped({MODEL: bytes(1_000_000)}))
    at = data.rindex(b"PK\x01\x02")
    data[at + 24 : at + 28] = struct.pack("<L", 100)
    path = packed_file(tmp_path, bytes(data))
    looked_into(path, "a.3mf")
    with zipfile.ZipFile(path) as packed:
        read = 0
        try:
            with packed.open(MODEL) as part:
                while chunk := part.read(10_000):
                    read += len(chunk)
        except zipfile.BadZipFile:
            pass
    assert read <= 100


@pytest.mark.parametrize(
    "name", ["../../etc/passwd", "/etc/passwd", "C:\\x", "3D/..\\..\\x.model", "3D/a:b", "3D/con.model", "a" * 300]
)
def test_names_in_a_packed_file_that_lead_out_are_refused(tmp_path: Path, name: str) -> None:
    assert 'a part named "' in refusal(tmp_path, zipped({MODEL: b"x", name: b"x"}))


def test_links_locks_doubles_and_too_many_parts_are_refused(tmp_path: Path) -> None:
    link = zipfile.ZipInfo("3D/link.model")
    link.create_system, link.external_attr = 3, (stat.S_IFLNK | 0o777) << 16
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        packed.writestr(link, "/etc/passwd")
    assert '"3D/link.model" is a link' in refusal(tmp_path, out.getvalue())

    locked = bytearray(zipped({MODEL: b"x"}))
    at = locked.rindex(b"PK\x01\x02")
    locked[at + 8] |= 1
    assert "it is locked with a password" in refusal(tmp_path, bytes(locked))

    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        packed.writestr(MODEL, "a")
        packed.writestr(MODEL, "b")
    assert "it holds two parts of one name" in refusal(tmp_path, out.getvalue())

    many = zipped({f"3D/{n}.model": b"" for n in range(MOST_PARTS + 1)})
    assert f"{MOST_PARTS + 1} parts – up to {MOST_PARTS} parts are unpacked" in refusal(tmp_path, many)


@pytest.mark.parametrize("cut", [10, 100, -30, -5])
def test_a_packed_file_that_was_cut_off_is_refused(tmp_path: Path, cut: int) -> None:
    data = a_mesh("3mf")
    assert refusal(tmp_path, data[:cut]) == (
        "a.3mf – this packed file is broken or cut off (save it again from the program it came from)"
    )


@settings(deadline=None)
@given(st.binary(max_size=400), st.integers(0, 2**31))
def test_no_damage_to_a_packed_file_is_a_fault_of_the_program(tail: bytes, seed: int) -> None:
    data = bytearray(zipped({MODEL: b"<model/>" * 20, "[Content_Types].xml": b"<Types/>"}))
    rng = np.random.default_rng(seed)
    for at in rng.integers(0, len(data), 6):
        data[at] = rng.integers(0, 256)
    with tempfile.TemporaryDirectory() as room:
        path = Path(room) / "a.3mf"
        path.write_bytes(bytes(data) + tail)
        with contextlib.suppress(InputError):  # and nothing else
            assert looked_into(path, "a.3mf")


def test_a_large_honest_mesh_and_workbook_shrink_far_less_than_a_bomb(tmp_path: Path) -> None:
    """What the limit on tightness rests on: how much XML of meshes and of cells shrinks, here 7 and 10 times."""
    made = trimesh.creation.icosphere(subdivisions=5)
    made.vertices = np.round(made.vertices, 2)
    path = packed_file(tmp_path, made.export(file_type="3mf"))
    with zipfile.ZipFile(path) as packed:
        assert max(p.file_size / max(p.compress_size, 1) for p in packed.infolist()) < 25
    book = Workbook(write_only=True)
    sheet = book.create_sheet()
    for n in range(20_000):
        sheet.append([n, 20.0, 20.0, 20.0])
    book.save(tmp_path / "log.xlsx")
    with zipfile.ZipFile(tmp_path / "log.xlsx") as packed:
        assert max(p.file_size / max(p.compress_size, 1) for p in packed.infolist()) < 60
    looked_into(tmp_path / "log.xlsx", "log.xlsx")
