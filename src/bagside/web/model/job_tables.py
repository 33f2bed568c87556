"""Tables of a job's document as edits of plies, cuts and lines change them: comments and all other keys stay.

What names a ply by its number (the patchwork, what a build-up is laid after) goes on naming the same ply.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import tomlkit
from tomlkit import TOMLDocument
from tomlkit.items import AoT, Array, Table

from bagside.errors import InputError

Point = Sequence[float]


def millimetres(metres: float) -> str:
    """Return a length as a person writes it, to a tenth of a millimetre.

    Parameters
    ----------
    metres
        [m].

    Examples
    --------
    >>> millimetres(0.0125)
    '12.5'
    """
    text = f"{1e3 * metres:.1f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def point_text(at: Point) -> str:
    """Return a point as a person writes it.

    Parameters
    ----------
    at
        [m].

    Examples
    --------
    >>> point_text((0.0, -0.19, 0.03))
    '0 -190 30 mm'
    """
    return " ".join(millimetres(c) for c in at) + " mm"


def plies_of(document: TOMLDocument, which: int) -> list[Any]:
    """Return the tables of all plies, after seeing that one is there.

    Parameters
    ----------
    document
        The job.
    which
        From 0.

    Raises
    ------
    InputError
        When there is no such ply.
    """
    plies: list[Any] = list(document.get("plies", []))
    if not 0 <= which < len(plies):
        raise InputError.one("job.toml, plies", str(which + 1), "there is no such ply any more")
    return plies


def in_tables(document: TOMLDocument) -> bool:
    """Return whether plies stand as tables of their own, and not in one list.

    Parameters
    ----------
    document
        The job.
    """
    return not isinstance(document.get("plies"), Array)


def plies_laid(document: TOMLDocument, order: Sequence[Any]) -> None:
    """Put plies in place of those that stand there.

    What named a ply names it where it lies now; what named one that is left out, the one that lay under it.

    Parameters
    ----------
    document
        The job.
    order
        Tables of plies, those that stay as they stood in the document.
    """
    before = list(document.get("plies", []))
    places = {id(ply): place for place, ply in reversed(list(enumerate(order)))}
    now = [places.get(id(ply), max(k - 1, 0)) for k, ply in enumerate(before)]
    if "plies" not in document:
        document["plies"] = AoT([])
    plies: Any = document["plies"]
    if in_tables(document):
        for table in order:
            _spaced(table)
        plies._body[:] = order  # adding them one by one would put an empty line more between them each time
    else:
        items = list(order)
        plies.clear()
        plies.extend(items)
    build_ups: Any = document.get("build_ups", [])
    for table, key in ((document.get("patchwork", {}), "ply"), *((one, "after") for one in build_ups)):
        number = number_of(table, key)
        if number:
            table[key] = now[number - 1] + 1


def _spaced(table: Any) -> None:
    """See that an empty line stands after a table."""
    if not table.as_string().endswith("\n\n"):
        table.add(tomlkit.nl())


def number_of(table: Any, key: str) -> int:
    """Return a whole number that a table states; 0 when it states none.

    Parameters
    ----------
    table
        Of the document.
    key
        Of it.
    """
    value = table.get(key, 0)
    return int(value) if isinstance(value, int) else 0


def key_put(table: Any, key: str, value: Any) -> None:
    """Set a key of a table, or leave it out.

    Parameters
    ----------
    table
        Of the document.
    key
        Of it.
    value
        As written; None leaves it out.
    """
    if value is None:
        if key in table:
            del table[key]
    elif key in table or not isinstance(table, Table):
        table[key] = value
    else:
        _after_last_key(table, key, value)


def _after_last_key(table: Table, key: str, value: Any) -> None:
    """Add a key before the empty lines and comments that end a table: they belong to what comes next."""
    body = table.value.body
    last = max((k for k, (name, _) in enumerate(body) if name is not None), default=-1)
    if last < 0 or last == len(body) - 1:
        table.add(key, value)
        return
    name = body[last][0]
    assert name is not None
    table.value._insert_after(name, key, tomlkit.item(value))
    # The item goes in without the table's own bookkeeping; a table read again has it.


def lines_of(ply: Any) -> set[str]:
    """Return the names of lines that a ply is cut along.

    Parameters
    ----------
    ply
        Its table.
    """
    return {str(cut["line"]) for cut in ply.get("cuts", [])}


def lines_forgotten(document: TOMLDocument, names: set[str]) -> None:
    """Leave out lines that nothing uses any more.

    Parameters
    ----------
    document
        The job.
    names
        Of lines that something used.
    """
    lines: Any = document.get("lines")
    if not names or lines is None:
        return
    used = set()
    for ply in document.get("plies", []):
        used |= lines_of(ply) | {str(ply.get("laid_first", ""))}
    for build_up in document.get("build_ups", []):
        used |= {str(name) for name in build_up.get("along", [])}
    for region in document.get("regions", {}).values():
        for key in ("near", "away"):
            used |= {str(name) for name in region.get(key, {}).get("lines", [])}
    for name in names - used:
        if name in lines:
            del lines[name]
    if not len(lines):
        del document["lines"]
