"""Names and files from requests: what is taken, what is refused, and that nothing of what is refused stays."""

from __future__ import annotations

import asyncio
import contextlib
import io
import ntpath
import os
import stat
import struct
import tempfile
import warnings
import zipfile
import zlib
from collections.abc import AsyncIterator, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import Workbook
from PIL import Image
from starlette.datastructures import UploadFile
from tests.web.guardstand import ran

from bagside.errors import InputError, OutputError
from bagside.web.guard import DRAWINGS, LOGS, MESHES, PHOTOS, SHEETS, Kind, inside, plain_name, received
from bagside.web.guard import kinds as kinds_module
from bagside.web.guard.packed import MOST_PARTS, looked_into
from bagside.web.guard.paths import fault_of
from bagside.web.guard.received import OLD, PREFIX, kept_for_now, thrown_away

EVERY = frozenset(Kind)

# ---- names


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a file, a folder, and links in and out of it; a secret lies beside."""
    inner = tmp_path / "shop"
    (inner / "jobs" / "lid").mkdir(parents=True)
    (inner / "jobs" / "lid" / "job.toml").write_text("x")
    (tmp_path / "secret.toml").write_text("s")
    if os.name == "posix":
        (inner / "out").symlink_to(tmp_path)
        (inner / "in").symlink_to(inner / "jobs")
        (inner / "ring").symlink_to(inner / "ring")
    return inner


@pytest.mark.parametrize("name", ["jobs/lid/job.toml", "jobs/lid", "jobs/new/mould.stl", "Größe 2 (b).dxf", "a-b_c.1"])
def test_a_plain_name_lies_in_its_folder(folder: Path, name: str) -> None:
    assert inside(folder, name) == folder.resolve() / name


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("", "it is empty"),
        ("..", "it leads out of its folder"),
        ("../secret.toml", "it leads out of its folder"),
        ("jobs/../../secret.toml", "it leads out of its folder"),
        ("jobs\\..\\..\\secret.toml", "it leads out of its folder"),
        ("/etc/passwd", "it leads out of its folder"),
        ("C:/Windows/win.ini", "it leads out of its folder"),
        ("c:win.ini", "it leads out of its folder"),
        ("//server/share", "it leads out of its folder"),
        ("~/x", "it leads out of its folder"),
        ("~root/x", "it leads out of its folder"),
        ("jobs//lid", "a part of it is empty"),
        ("jobs/./lid", "a part of it is empty"),
        ("jobs/", "a part of it is empty"),
        (".bagside/access.json", "hidden files are not for requests"),
        ("jobs/.hidden", "hidden files are not for requests"),
        ("job.toml\x00.stl", "it holds a character that is in no name"),
        ("a\nb", "it holds a character that is in no name"),
        ("job.toml:stream", "it holds a character that is in no name"),
        ("a\\b", "it holds a character that is in no name"),
        ("a\u202egpj.exe", "it holds a character that is in no name"),
        ("nul", "Windows takes it for a device"),
        ("jobs/CON.toml", "Windows takes it for a device"),
        ("Com1.stl", "Windows takes it for a device"),
        ("COM¹", "Windows takes it for a device"),
        ("lpt9 .txt", "Windows takes it for a device"),
        ("job.toml.", "a part of it ends in a dot or a space, or begins with one"),
        ("job ", "a part of it ends in a dot or a space, or begins with one"),
        ("a" * 201, "a part of it is longer than 200 bytes"),
        ("/".join("a" * 150 for _ in range(7)), "it is longer than 900 bytes"),
        ("/".join("a" * 13), "it has more than 12 parts"),
        ("\ud800", "it holds half a character"),
    ],
)
def test_a_name_that_leads_anywhere_else_is_refused(folder: Path, name: str, why: str) -> None:
    with pytest.raises(InputError) as caught:
        inside(folder, name)
    assert caught.value.problems[0].wanted == why
    assert caught.value.problems[0].came.isprintable()
    if name:
        assert len(caught.value.problems[0].came) < 80


@pytest.mark.skipif(os.name != "posix", reason="links are made as POSIX has them")
@pytest.mark.parametrize("name", ["out", "out/secret.toml", "out/new.toml", "ring", "ring/x"])
def test_a_link_out_of_the_folder_is_not_followed(folder: Path, name: str) -> None:
    with pytest.raises(InputError, match="it leads out of its folder"):
        inside(folder, name)


@pytest.mark.skipif(os.name != "posix", reason="links are made as POSIX has them")
def test_a_link_that_stays_inside_is(folder: Path) -> None:
    assert inside(folder, "in/lid/job.toml").read_text() == "x"


NASTY = st.text(alphabet=st.sampled_from("ab./\\:~ \x00%\u2024\u2215·A1C"), max_size=24) | st.text(max_size=40)


@given(NASTY)
def test_whatever_the_name_the_path_is_inside_or_refused(name: str) -> None:
    """Against the system's own idea of where a path ends, and Windows' as Python's ntpath has it."""
    base = Path(tempfile.gettempdir()).resolve() / "bagside-nowhere"
    try:
        path = inside(base, name)
    except InputError:
        return
    real = os.path.realpath(path)
    assert real.startswith(str(base) + os.sep)
    there = ntpath.normpath(ntpath.join("C:\\shop", name))
    assert there.startswith("C:\\shop\\")
    assert not hasattr(ntpath, "isreserved") or not ntpath.isreserved(name)


@given(NASTY | st.from_regex(r"[A-Za-z0-9 ._-]{1,300}", fullmatch=True))
def test_a_name_somebody_gave_becomes_one_that_is_safe(name: str) -> None:
    kept = plain_name(name)
    assert fault_of(kept) == ""
    assert "/" not in kept
    assert plain_name(kept) == kept


# ---- kinds


def png(width: int, height: int, data: bytes = b"") -> bytes:
    def part(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + part(b"IHDR", head) + part(b"IDAT", data) + part(b"IEND", b"")


def zipped(parts: dict[str, bytes], how: int = zipfile.ZIP_DEFLATED) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", how) as packed:
        for name, body in parts.items():
            packed.writestr(zipfile.ZipInfo(name), body, how)
    return out.getvalue()


def a_mesh(suffix: str) -> bytes:
    made = trimesh.creation.box().export(file_type=suffix)
    return made.encode() if isinstance(made, str) else made


def a_picture(kind: str) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (64, 48), "white").save(out, kind)
    return out.getvalue()


def a_workbook() -> bytes:
    book, out = Workbook(), io.BytesIO()
    book.active.append(["time", "T1"])
    book.save(out)
    return out.getvalue()


def a_dxf() -> bytes:
    import ezdxf

    made = ezdxf.new()
    made.modelspace().add_circle((0, 0), 5)
    out = io.StringIO()
    made.write(out)
    return out.getvalue().encode()


SVG = b'<?xml version="1.0"?>\n<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"><path d="M0 0z"/></svg>'
STEP = b"ISO-10303-21;\nHEADER;\nENDSEC;\nEND-ISO-10303-21;\n"
IGES = b"a drawing".ljust(72) + b"S      1\n" + b"1H,,1H;".ljust(72) + b"G      1\n"
GOOD: dict[str, Any] = {
    "box.stl": lambda: a_mesh("stl"), "text.STL": lambda: trimesh.creation.box().export(file_type="stl_ascii").encode(),
    "box.obj": lambda: a_mesh("obj"), "box.ply": lambda: a_mesh("ply"), "box.3mf": lambda: a_mesh("3mf"),
    "box.glb": lambda: a_mesh("glb"), "box.stp": lambda: STEP, "box.igs": lambda: IGES, "card.dxf": a_dxf,
    "card.svg": lambda: SVG, "card.jpeg": lambda: a_picture("JPEG"), "card.png": lambda: a_picture("PNG"),
    "card.webp": lambda: a_picture("WEBP"), "card.tiff": lambda: a_picture("TIFF"), "sheet.pdf": lambda: b"%PDF-1.7\n",
    "log.csv": lambda: b"time;T1\n0;20,1\n", "log.txt": lambda: "Zeit\tT °C\n".encode("utf-16"),
    "log.xlsx": a_workbook,
}  # fmt: skip


def taken(data: bytes, name: str, kinds: Any = EVERY, most: int = 10**8) -> Path:
    upload = UploadFile(io.BytesIO(data), filename=name)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        return ran(received(upload, name=name, kinds=kinds, most=most))


@pytest.fixture(autouse=True)
def _own_room(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Whatever a test receives lies in a room of its own, and what it refuses leaves nothing there."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path_factory.mktemp("room")))
    yield
    monkeypatch.undo()


def left() -> list[Path]:
    return list(Path(tempfile.gettempdir()).glob(f"{PREFIX}*/*"))


@pytest.mark.parametrize("name", GOOD)
def test_an_honest_file_is_taken_into_a_private_folder(name: str) -> None:
    data = GOOD[name]()
    path = taken(data, name)
    assert path.read_bytes() == data
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700 or os.name != "posix"
    assert path.suffix == kinds_module.SUFFIXES[Path(name).suffix.lower()] or path.suffix in (".txt", ".csv")
    thrown_away(path)
    assert not left()


@pytest.mark.parametrize(
    ("name", "other"),
    [
        (name, f"x{suffix}")
        for name in GOOD
        for suffix in (".stl", ".svg", ".png", ".jpg", ".xlsx", ".3mf", ".dxf", ".pdf", ".glb")
        if kinds_module.SUFFIXES[suffix] is not kinds_module.SUFFIXES[Path(name).suffix.lower()]
    ],
)
def test_a_file_that_is_not_what_its_name_says_is_refused(name: str, other: str) -> None:
    with pytest.raises(InputError) as caught:
        taken(GOOD[name](), other)
    assert caught.value.problems[0].place == other
    assert not left()


@pytest.mark.parametrize(
    ("name", "kinds"),
    [
        ("card.svg", PHOTOS), ("card.svg", MESHES), ("box.stl", DRAWINGS), ("sheet.pdf", PHOTOS), ("log.csv", SHEETS),
        ("card.png", LOGS), ("page.html", EVERY), ("run.exe", EVERY), ("noname", EVERY), ("card.svg.php", EVERY),
        (".svg", EVERY),
    ],
)  # fmt: skip
def test_only_kinds_that_are_wanted_are_taken(name: str, kinds: Any) -> None:
    with pytest.raises(InputError, match="a file of one of these kinds is wanted"):
        taken(SVG, name, kinds)
    assert not left()


def test_a_file_is_counted_while_it_comes() -> None:
    read = 0

    class Endless:
        async def read(self, size: int = -1, /) -> bytes:
            nonlocal read
            read += size
            return bytes(size)

    with pytest.raises(InputError) as caught:
        ran(received(Endless(), name="scan.stl", kinds=MESHES, most=5_000_000))
    assert str(caught.value) == "scan.stl: more than 5 MB – up to 5 MB are taken here (send a smaller file)"
    assert read < 7_000_000
    assert not left()


def test_an_empty_file_is_refused() -> None:
    with pytest.raises(InputError, match=r"^a\.stl – the file is empty \(send it again\)$"):
        taken(b"", "a.stl")


def test_the_name_of_a_file_cannot_choose_its_place() -> None:
    path = taken(SVG, "../../../etc/cron.d/card.svg")
    assert path.name == "card.svg"
    assert path.parent.parent == Path(tempfile.gettempdir())


def test_a_full_disk_is_told_and_nothing_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    class Full:
        async def read(self, size: int = -1, /) -> bytes:
            raise OSError(28, "No space left on device")

    with pytest.raises(OutputError, match=r"a\.stl cannot be kept: no space left on device"):
        ran(received(Full(), name="a.stl", kinds=MESHES, most=100))
    assert not left()


def test_a_sender_that_goes_away_leaves_nothing() -> None:
    class Gone:
        async def read(self, size: int = -1, /) -> bytes:
            raise asyncio.CancelledError

    with pytest.raises(asyncio.CancelledError):
        ran(received(Gone(), name="a.stl", kinds=MESHES, most=100))
    assert not left()


def test_the_uploads_of_the_desk_and_plain_bodies_are_taken_too() -> None:
    class Iterating:
        async def iterate(self, *, chunk_size: int = 1) -> AsyncIterator[bytes]:
            yield SVG[:20]
            yield SVG[20:]

    class Streaming:
        async def stream(self) -> AsyncIterator[bytes]:
            yield SVG

    for source in (Iterating(), Streaming()):
        path = ran(received(source, name="card.svg", kinds=DRAWINGS, most=10_000))
        with kept_for_now(path) as here:
            assert here.read_bytes() == SVG
        assert not path.exists()


def test_what_a_killed_program_left_is_swept_and_only_that() -> None:
    room = Path(tempfile.gettempdir())
    for name in (f"{PREFIX}old", f"{PREFIX}new", "other"):
        (room / name).mkdir()
        (room / name / "x").write_text("x")
    for name in (f"{PREFIX}old", "other"):
        os.utime(room / name, (1.0, 1.0))
    thrown_away(taken(SVG, "card.svg"))
    assert OLD == 86400.0
    assert sorted(p.name for p in room.iterdir()) == [f"{PREFIX}new", "other"]


def test_only_what_was_received_is_thrown_away(tmp_path: Path) -> None:
    (tmp_path / "mould.stl").write_text("x")
    with pytest.raises(ValueError, match="not a file that was received"):
        thrown_away(tmp_path / "mould.stl")
    assert (tmp_path / "mould.stl").exists()


# ---- pictures


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("bomb.png", png(60_000, 60_000)),
        (
            "bomb.webp",
            b"RIFF\x1e\x00\x00\x00WEBPVP8X\x0a\x00\x00\x00\x00\x00\x00\x00" + b"\xff\xff\x3f" * 2 + bytes(8),
        ),
        ("bomb.jpg", b"\xff\xd8\xff\xe0\x00\x04xx\xff\xc0\x00\x11\x08" + struct.pack(">HH", 65000, 65000) + bytes(20)),
    ],
)
def test_a_picture_of_billions_of_pixels_is_refused_by_its_head(name: str, data: bytes) -> None:
    with pytest.raises(InputError, match="up to 150 million pixels are read"):
        taken(data, name)


def test_a_picture_of_the_most_pixels_is_taken() -> None:
    thrown_away(taken(png(15_000, 10_000), "large.png"))


# ---- drawings


@pytest.mark.parametrize(
    "text",
    [
        # "Billion laughs" (CWE-776), written from its description.
        '<!DOCTYPE svg [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]><svg><text>&b;</text></svg>',
        # A file of this machine (CWE-611).
        '<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]><svg><text>&x;</text></svg>',
        '<!DOCTYPE svg [<!ENTITY % x SYSTEM "http://192.0.2.1/x"> %x;]><svg/>',
    ],
)
@pytest.mark.parametrize("coding", ["utf-8", "utf-16"])
def test_a_drawing_that_declares_entities_is_refused(text: str, coding: str) -> None:
    with pytest.raises(InputError, match="it declares a document type with entities"):
        taken(text.encode(coding), "card.svg")


@pytest.mark.parametrize(
    "data",
    [
        b"<html><svg/></html>",
        b"<svgx/>",
        b"not xml",
        b"<!-- <svg> -->",
        b'<x:svg xmlns:x="other"/>',
        b"<",
        b"\x1f\x8b\x08",
    ],
)
def test_what_is_no_drawing_is_refused(data: bytes) -> None:
    with pytest.raises(InputError, match=r"a SVG file is wanted|its content is"):
        taken(data, "card.svg")


# ---- packed files


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
