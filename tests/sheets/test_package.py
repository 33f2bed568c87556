"""Results appear whole or not at all."""

import json
from pathlib import Path

import pytest

from bagside.errors import OutputError
from bagside.sheets.package import Package


def listing(folder: Path) -> dict[str, str]:
    return {str(p.relative_to(folder)): p.read_text() for p in sorted(folder.rglob("*")) if p.is_file()}


def plan_json(*names: str) -> str:
    return json.dumps({"files": dict.fromkeys(names, "")})


def test_a_later_package_replaces_what_was_ours_and_nothing_else(tmp_path: Path) -> None:
    out = tmp_path / "out"
    Package(out).written(
        {"plan.json": plan_json("templates/1.svg", "book.pdf"), "templates/1.svg": "a", "book.pdf": "b"}
    )
    (out / "my notes.txt").write_text("mine")
    Package(out).written({"plan.json": plan_json("book.pdf"), "book.pdf": "c"})
    assert listing(out) == {"book.pdf": "c", "my notes.txt": "mine", "plan.json": plan_json("book.pdf")}
    assert not (out / "templates").exists()


def test_a_folder_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(OutputError) as caught:
        Package(tmp_path / "file" / "out")
    where = tmp_path / "file" / "out"
    assert str(caught.value) == (
        f'the results cannot be written to "{where}": not a directory; state another folder with --out. '
        "Nothing was changed."
    )


def test_nothing_half_written_remains(tmp_path: Path) -> None:
    out = tmp_path / "out"
    Package(out).written({"plan.json": plan_json("a"), "a": "old"})
    package = Package(out)
    with pytest.raises(OutputError):
        package.written({"plan.json": plan_json("a", "b/c"), "a": "new", "b": "file", "b/c": "cannot be under a file"})
    assert listing(out) == {"a": "old", "plan.json": plan_json("a")}


def test_a_listed_name_cannot_reach_outside(tmp_path: Path) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (tmp_path / "other").write_text("keep")
    (out / "plan.json").write_text(json.dumps({"files": {"../other": ""}}))
    Package(out).written({"plan.json": plan_json()})
    assert (tmp_path / "other").read_text() == "keep"
