"""The materials that may be named: the library's generic ones, and the workshop's own, which win."""

from __future__ import annotations

import tomllib
from dataclasses import field, replace
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from bagside.errors import InputError, Problem, did_you_mean
from bagside.spec.fields import stated
from bagside.spec.label_sheet import LabelSheet
from bagside.spec.material import Adhesive, Coating, Film, Prepreg, Resin, Substrate, ToolMaterial
from bagside.spec.reading import load_toml, stated_from
from bagside.spec.workshop import Times


@stated
class Library:
    """Materials by kind and name."""

    prepreg: dict[str, Prepreg] = field(default_factory=dict)
    resin: dict[str, Resin] = field(default_factory=dict)
    tool: dict[str, ToolMaterial] = field(default_factory=dict)
    substrate: dict[str, Substrate] = field(default_factory=dict)
    adhesive: dict[str, Adhesive] = field(default_factory=dict)
    coating: dict[str, Coating] = field(default_factory=dict)
    film: dict[str, Film] = field(default_factory=dict)
    label_sheet: dict[str, LabelSheet] = field(default_factory=dict)

    def over(self, other: Library) -> Library:
        """Return the library in which these materials win over the other's."""
        return replace(
            self,
            prepreg={**other.prepreg, **self.prepreg},
            resin={**other.resin, **self.resin},
            tool={**other.tool, **self.tool},
            substrate={**other.substrate, **self.substrate},
            adhesive={**other.adhesive, **self.adhesive},
            coating={**other.coating, **self.coating},
            film={**other.film, **self.film},
            label_sheet={**other.label_sheet, **self.label_sheet},
        )


def generic_library() -> Library:
    """Return the materials that come with the package.

    Raises
    ------
    InputError
        When a shipped file is broken; a test reads them all.
    """
    entries = sorted(files("bagside.library").iterdir(), key=lambda e: e.name)
    texts = tuple(
        (entry.name, entry.read_text(encoding="utf-8"))
        for entry in entries
        if entry.name.endswith(".toml") and entry.name != "times.toml"
    )
    return Library().over(_read(texts))  # its tables are the caller's own


@lru_cache(maxsize=1)
def _read(texts: tuple[tuple[str, str], ...]) -> Library:
    """Return what files state, by their names and texts: to check every value of them takes a hundred times as long."""
    found = Library()
    for name, text in texts:
        found = stated_from(tomllib.loads(text), Library, name).over(found)
    return found


def workshop_library(folder: Path) -> Library:
    """Return the materials of a workshop: its ``materials/*.toml`` over the generic ones.

    Parameters
    ----------
    folder
        The workshop's folder.

    Raises
    ------
    InputError
        With the problems of every file.
    """
    if not folder.is_dir():
        raise InputError.one(str(folder), "", "there is no such folder; the one that holds workshop.toml is wanted")
    own = Library()
    problems: list[Problem] = []
    for path in sorted((folder / "materials").glob("*.toml")):
        try:
            own = stated_from(load_toml(path), Library, f"materials/{path.name}").over(own)
        except InputError as error:
            problems.extend(error.problems)
    if problems:
        raise InputError(problems)
    return own.over(generic_library())


def generic_times() -> Times:
    """Return the library's attended times; each has a value."""
    text = files("bagside.library").joinpath("times.toml").read_text(encoding="utf-8")
    return stated_from(tomllib.loads(text), Times, "times.toml")


def lookup(table: dict[str, Any], name: str, place: str, kind: str) -> list[Problem]:
    """Return the problem of naming a material that does not exist, or nothing."""
    if name in table:
        return []
    return [
        Problem(
            place=place,
            came=f'"{name}"',
            wanted=f"there is no {kind} of this name in this workshop",
            hint=did_you_mean(name, table),
        )
    ]
