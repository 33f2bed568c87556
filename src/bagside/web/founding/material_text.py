"""A material of one's own as the file that a person could have written: a generic one to begin with, value by value."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

import tomlkit

from bagside.errors import InputError
from bagside.findings import Basis
from bagside.spec import material as spec

KINDS: dict[str, type[Any]] = {
    "prepreg": spec.Prepreg,
    "tool": spec.ToolMaterial,
    "adhesive": spec.Adhesive,
    "coating": spec.Coating,
    "film": spec.Film,
    "substrate": spec.Substrate,
    "resin": spec.Resin,
}
"""In the order they are shown."""
TYPED = tuple(kind for kind in KINDS if kind != "resin")
"""What is typed from a data sheet; a resin's rate law is fitted to curves, not typed."""


@cache
def generic_tables() -> dict[str, dict[str, dict[str, Any]]]:
    """Return the library's materials as its files state them, by kind and name."""
    found: dict[str, dict[str, dict[str, Any]]] = {kind: {} for kind in KINDS}
    for entry in sorted(files("bagside.library").iterdir(), key=lambda e: e.name):
        if entry.name.endswith(".toml"):
            tables = tomllib.loads(entry.read_text(encoding="utf-8"))
            for kind in KINDS:
                found[kind] |= tables.get(kind, {})
    return found


def material_text(kind: str, name: str, like: str, source: str) -> str:
    """Return the file of a new material that has everything of a generic one, with common practice under it.

    Parameters
    ----------
    kind
        Of `TYPED`.
    name
        Of the new one.
    like
        Of the generic one.
    source
        What its data sheet is called; may be empty.

    Raises
    ------
    InputError
        When there is no such generic one.
    """
    generic = generic_tables().get(kind, {}).get(like)
    if generic is None:
        raise InputError.one("like", f'"{like}"', "there is no such material in the library")
    document = tomlkit.document()
    document.add(tomlkit.comment(f"Begun as the library's {like}; what is typed from its data sheet says so in basis."))
    document.add(tomlkit.nl())
    table = tomlkit.table()
    for key, value in generic.items():
        if key != "basis":
            table[key] = value
    basis = tomlkit.inline_table()
    basis["all"] = Basis.COMMON.value
    basis["source"] = f"{source}; the rest as {like}" if source else f"as {like}"
    table["basis"] = basis
    kinds = tomlkit.table(is_super_table=True)
    kinds[name] = table
    document[kind] = kinds
    return tomlkit.dumps(document)


def based(document: Any, kind: str, name: str, field: str, basis: Basis) -> None:
    """Note in a file on what one value rests.

    Parameters
    ----------
    document
        Of the file.
    kind, name
        Of the material.
    field
        Whose value it is.
    basis
        On what it rests.
    """
    told = document[kind][name]["basis"]
    but = {key: value for key, value in dict(told.get("but", {})).items() if key != field}
    if basis.value != told["all"]:
        but[field] = basis.value
    if "but" in told:
        del told["but"]
    if but:
        inline = tomlkit.inline_table()
        inline.update(but)
        told["but"] = inline


def where(folder_names: dict[str, dict[str, Any]], kind: str, name: str) -> str:
    """Return the file in which a material of the workshop's own stands; empty when it is a generic one.

    Parameters
    ----------
    folder_names
        Tables of each file by its name.
    kind, name
        Of the material.
    """
    return next((file for file, tables in folder_names.items() if name in tables.get(kind, {})), "")
