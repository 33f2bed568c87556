"""Files from requests: what is taken, what is refused, and that nothing of what is refused stays."""

from __future__ import annotations

import asyncio
import contextlib
import io
import os
import stat
import struct
import tempfile
import warnings
from collections.abc import AsyncIterator, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from starlette.datastructures import UploadFile
from tests.web.guardfiles import GOOD, SVG, png
from tests.web.guardstand import ran

from bagside.errors import InputError, OutputError
from bagside.web.guard import DRAWINGS, LOGS, MESHES, PHOTOS, SHEETS, Kind, received
from bagside.web.guard import kinds as kinds_module
from bagside.web.guard.received import OLD, PREFIX, kept_for_now, thrown_away

EVERY = frozenset(Kind)

# ---- kinds


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
    with pytest.raises(InputError, match=r"^a\.stl – the file is empty \(copy it or export it again\)$"):
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


@settings(deadline=None)
@given(st.sampled_from(sorted(GOOD)), st.binary(max_size=60), st.integers(0, 10**6), st.integers(1, 40))
def test_no_damage_to_a_file_is_a_fault_of_the_program(name: str, put: bytes, where: int, cut: int) -> None:
    """Honest files with bytes put in and cut out: taken for what they say, or refused in a sentence."""
    data = good(name)
    at = where % (len(data) + 1)
    with tempfile.TemporaryDirectory() as room:
        path = Path(room) / name
        path.write_bytes(data[:at] + put + data[at + cut :])
        for called in (name, f"x{Path(name).suffix}", "x.stl", "x.svg", "x.png", "x.webp", "x.jpg", "x.3mf", "x.igs"):
            with contextlib.suppress(InputError):
                assert kinds_module.kind_of(path, called, EVERY) in EVERY


@cache
def good(name: str) -> bytes:
    return bytes(GOOD[name]())


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
    with pytest.raises(InputError, match="it declares entities"):
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
    with pytest.raises(InputError, match=r"its name says SVG"):
        taken(data, "card.svg")


@pytest.mark.parametrize("name", ["IMG_0042.HEIC", "IMG_0042.jpg"])
def test_a_phones_own_photo_is_refused_with_what_to_set(name: str) -> None:
    """ISO/IEC 14496-12, 4.3: such a file begins with a box of type ``ftyp``, its brand after that."""
    with pytest.raises(InputError, match=r"as phones pack them .*JPEG"):
        taken(b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic" + bytes(400), name, PHOTOS)
