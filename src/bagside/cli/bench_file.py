"""Reading the small file of one bench, with the materials it may name."""

from __future__ import annotations

from pathlib import Path
from typing import TypeVar

from bagside.spec.library import Library, generic_library, workshop_library
from bagside.spec.reading import load_toml, stated_from

T = TypeVar("T")


def bench_file(file: Path, kind: type[T], workshop: Path | None) -> tuple[T, Library]:
    """Return what a bench's file states, and the materials: the workshop's over the generic ones.

    Raises
    ------
    InputError
        With every problem in the file.
    """
    library = generic_library() if workshop is None else workshop_library(workshop)
    return stated_from(load_toml(file), kind, file.name), library
