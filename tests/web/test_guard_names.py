"""Names from requests: kept inside their folder, or refused."""

from __future__ import annotations

import ntpath
import os
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.web.guard import inside, plain_name
from bagside.web.guard.paths import fault_of


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


@settings(deadline=None)
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


@settings(deadline=None)
@given(NASTY | st.from_regex(r"[A-Za-z0-9 ._-]{1,300}", fullmatch=True))
def test_a_name_somebody_gave_becomes_one_that_is_safe(name: str) -> None:
    kept = plain_name(name)
    assert fault_of(kept) == ""
    assert "/" not in kept
    assert plain_name(kept) == kept
