"""Parsers in a process of their own: time, memory, what they see, and what of their answer is taken."""

from __future__ import annotations

import asyncio
import os
import shutil
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from tests.web import badparsers
from tests.web.guardstand import ran

from bagside.errors import InputError
from bagside.geometry.outline_files import read_outlines
from bagside.geometry.readers import read_mesh
from bagside.web.guard import child, parsed, parsed_aside
from bagside.web.guard.parsed import AT_ONCE

pytestmark = pytest.mark.skipif(os.name != "posix", reason="limits of processes are POSIX's")


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "sent.stl"
    path.write_text("hello")
    return path


def refused(function: Any, file: Path, **limits: float) -> str:
    with pytest.raises(InputError) as caught:
        parsed(function, file, **limits)
    return str(caught.value)


def test_what_a_parser_says_comes_back(file: Path) -> None:
    assert parsed(badparsers.contents, file, more="x") == ("hello", "x")
    found = parsed(badparsers.arrays, file)
    assert np.array_equal(found["a"], np.arange(6.0).reshape(2, 3))
    assert (found["b"], found["c"].tolist(), found["d"]) == (np.float32(1.5), ["x"], {1, 2})


def test_a_mesh_and_a_drawing_come_back_as_they_are_read_here(tmp_path: Path) -> None:
    path = tmp_path / "ball.ply"
    trimesh.creation.icosphere(subdivisions=2).export(path)
    there, here = parsed(read_mesh, path, "cm"), read_mesh(path, "cm")
    assert np.array_equal(there.vertices, here.vertices)
    assert np.array_equal(there.triangles, here.triangles)
    card = tmp_path / "card.svg"
    card.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="30mm" height="20mm"><path d="M0 0h90v60h-90z"/></svg>'
    )
    (drawn,) = parsed(read_outlines, card)
    (own,) = read_outlines(card)
    assert repr(drawn) == repr(own)


def test_its_errors_come_back_whole(tmp_path: Path) -> None:
    path = tmp_path / "cut.stl"
    path.write_bytes(bytes(80) + (1000).to_bytes(4, "little") + bytes(500))
    with pytest.raises(InputError) as there:
        parsed(read_mesh, path, "mm")
    with pytest.raises(InputError) as here:
        read_mesh(path, "mm")
    assert there.value.problems == here.value.problems


@pytest.mark.parametrize("word", ["nan", "inf", "1e999"])
def test_a_mesh_without_finite_numbers_is_refused(tmp_path: Path, word: str) -> None:
    path = tmp_path / "bad.obj"
    path.write_text(f"v 0 0 0\nv 1 0 0\nv 0 {word} 0\nf 1 2 3\n")
    with pytest.raises(InputError, match="coordinates must be finite numbers"):
        parsed(read_mesh, path, "mm")


@pytest.mark.parametrize("function", [badparsers.for_ever, badparsers.computing_for_ever])
def test_one_that_takes_too_long_is_ended(file: Path, function: Any) -> None:
    begun = time.monotonic()
    assert refused(function, file, seconds=1.0) == (
        "sent.stl – a file that is read within 1 s is wanted "
        "(send a smaller one, or save it again from where it came from)"
    )
    assert time.monotonic() - begun < 4.0


def test_one_that_takes_too_much_memory_is_ended(file: Path) -> None:
    assert parsed(badparsers.greedy, file, 40, megabytes=200.0) == 40
    with pytest.raises(InputError) as caught:
        parsed(badparsers.greedy, file, 600, megabytes=200.0)
    assert str(caught.value) == "sent.stl – a file that is read with 200 MB of memory is wanted (send a smaller one)"


def test_where_the_system_does_not_limit_addresses_memory_is_watched(file: Path) -> None:
    """The way of other systems, tried here: the child is told it is on one of them."""
    script = (
        "import sys, time; sys.path.insert(0, sys.argv[1]); sys.platform = 'freebsd'; import child; "
        "child._limit_memory(50); held = [bytearray(b'x' * 1_000_000) for _ in range(400)]; time.sleep(5)"
    )
    folder = str(Path(child.__file__).parent)
    done = subprocess.run([sys.executable, "-c", script, folder], timeout=20, check=False)
    assert done.returncode == child.TOO_LARGE


def test_one_that_falls_over_takes_nobody_along(file: Path, caplog: pytest.LogCaptureFixture) -> None:
    told = "sent.stl – this file brings its reader to a fall (save it again from where it came from)"
    assert refused(badparsers.falling, file) == told
    assert refused(badparsers.raising, file) == told
    assert "ZeroDivisionError" in caplog.text
    assert parsed(badparsers.contents, file) == ("hello", "")


def test_what_it_prints_is_no_answer(file: Path, capfd: pytest.CaptureFixture[str]) -> None:
    assert parsed(badparsers.printing, file) == "said"
    assert capfd.readouterr() == ("", "")


def test_it_sees_nothing_of_the_server(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PGPASSWORD", "hidden")
    monkeypatch.setenv("BAGSIDE_SECRET", "hidden")
    with open(file, "rb") as held:
        os.set_inheritable(held.fileno(), True)
        found = parsed(badparsers.surroundings, file)
    assert "hidden" not in str(found["environment"])
    assert set(found["environment"]) <= {
        "PATH", "LANG", "LC_ALL", "LC_CTYPE", "PYTHONPATH", "PYTHONDONTWRITEBYTECODE", "OPENBLAS_NUM_THREADS",
        "OMP_NUM_THREADS", "TMPDIR",
    }  # fmt: skip
    assert found["modules"] == []
    assert found["limits"] == {"RLIMIT_CORE": 0, "RLIMIT_NOFILE": 64}
    assert len(found["opened"]) <= 6  # three of its own, what its answer goes through, the null device, and this list
    assert found["session"]


@pytest.mark.skipif(shutil.which("ps") is None, reason="processes are listed with ps")
def test_what_it_started_ends_with_it(file: Path) -> None:
    refused(badparsers.leaving_a_child, file, seconds=1.5)
    group = (file.parent / "pid").read_text()
    listed = subprocess.run(["ps", "-eo", "pgid=,stat="], capture_output=True, text=True, check=True).stdout
    # One that has ended and that nobody has asked for yet is listed with a Z.
    alive = [line for line in listed.splitlines() if line.split()[0] == group and not line.split()[1].startswith("Z")]
    assert len(listed.splitlines()) > 1
    assert not alive


def test_it_cannot_fill_the_disk(file: Path) -> None:
    refused(badparsers.writing_much, file, seconds=10.0)
    assert (file.parent / "much").stat().st_size <= 64_000_000


def test_an_answer_without_end_is_not_taken(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys.modules["bagside.web.guard.parsed"], "MOST_ANSWER", 1_000_000)
    assert "of memory is wanted" in refused(badparsers.answering_without_end, file)


@pytest.mark.parametrize("function", [badparsers.hostile, badparsers.sneaky, badparsers.foreign])
def test_of_its_answer_only_plain_values_are_taken(file: Path, function: Any) -> None:
    """A pickle can call anything (Python's own documentation says so); this one is read with a list of what it may."""
    assert refused(function, file) == "sent.stl – this file brings its reader to a fall (save it again)"
    assert not (file.parent / "owned").exists()


def test_it_is_given_a_path_and_never_the_file(file: Path) -> None:
    with pytest.raises(ValueError, match="a parser is given a path"):
        parsed(badparsers.contents, file, "x" * 100_000)


def test_only_so_many_run_at_a_time_and_the_server_goes_on(file: Path) -> None:
    async def run() -> tuple[list[str], int]:
        ticks = 0

        async def tick() -> None:
            nonlocal ticks
            while True:
                await asyncio.sleep(0.01)
                ticks += 1

        ticking = asyncio.ensure_future(tick())
        said = await asyncio.gather(*(parsed_aside(badparsers.waiting, file) for _ in range(2 * AT_ONCE)))
        ticking.cancel()
        return said, ticks

    begun = time.monotonic()
    said, ticks = ran(run())
    assert said == ["waited"] * 2 * AT_ONCE
    assert time.monotonic() - begun > 0.8  # two rounds of 0.4 s
    assert ticks > 20
