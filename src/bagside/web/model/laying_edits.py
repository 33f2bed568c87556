"""Changes of a job's plies and of how they are laid, each in place, as a person would write them."""

from __future__ import annotations

import copy
from typing import Any

import tomlkit
from tomlkit import TOMLDocument

from bagside.errors import InputError
from bagside.web.model.job_tables import in_tables, key_put, lines_forgotten, lines_of, number_of, plies_laid, plies_of


def moved(document: TOMLDocument, which: int, to: int) -> None:
    """Lay a ply elsewhere in the order.

    Parameters
    ----------
    document
        The job.
    which, to
        From 0: its place, and the one it shall have.
    """
    plies = plies_of(document, which)
    plies.insert(min(max(to, 0), len(plies) - 1), plies.pop(which))
    plies_laid(document, plies)


def copied(document: TOMLDocument, which: int) -> None:
    """Lay a ply once more, right on itself.

    Parameters
    ----------
    document
        The job.
    which
        From 0.
    """
    plies = plies_of(document, which)
    plies_laid(document, [*plies[: which + 1], copy.deepcopy(plies[which]), *plies[which + 1 :]])


def removed(document: TOMLDocument, which: int) -> None:
    """Leave a ply out, and with it lines that only it was cut along.

    Parameters
    ----------
    document
        The job.
    which
        From 0.

    Raises
    ------
    InputError
        When it is the only one, or the one that is cut as tiles.
    """
    plies = plies_of(document, which)
    if len(plies) == 1:
        raise InputError.one("job.toml, plies", "", "a part needs at least one ply")
    if "patchwork" in document and number_of(document["patchwork"], "ply") == which + 1:
        raise InputError.one(
            "job.toml, patchwork, ply", str(which + 1), "this ply is cut as tiles", "leave the patchwork out first"
        )
    lines = lines_of(plies[which])
    plies_laid(document, [*plies[:which], *plies[which + 1 :]])
    lines_forgotten(document, lines)


def added(document: TOMLDocument, ply: dict[str, str], after: int) -> None:
    """Lay a further ply.

    Parameters
    ----------
    document
        The job.
    ply
        Its keys.
    after
        How many plies lie under it.
    """
    plies = list(document.get("plies", []))
    table = tomlkit.table() if in_tables(document) else tomlkit.inline_table()
    for key, value in ply.items():
        table.add(key, value)
    after = min(max(after, 0), len(plies))
    plies_laid(document, [*plies[:after], table, *plies[after:]])


def one_more(document: TOMLDocument, which: int) -> None:
    """Lay a further ply over one, of its cloth, angle and place, in one piece.

    Parameters
    ----------
    document
        The job.
    which
        From 0.
    """
    like = plies_of(document, which)[which]
    added(document, {key: str(like[key]) for key in ("material", "angle", "region") if key in like}, which + 1)
    if "templates" in like:
        put(document, which + 1, "templates", copy.deepcopy(like["templates"]))


def turned(document: TOMLDocument, which: int) -> None:
    """Mirror the angle of a ply about the part's zero direction.

    Parameters
    ----------
    document
        The job.
    which
        From 0.
    """
    angle = str(plies_of(document, which)[which].get("angle", "0°")).strip()
    put(document, which, "angle", angle[1:].strip() if angle.startswith("-") else f"-{angle.lstrip('+')}")


def stack_mirrored(document: TOMLDocument) -> None:
    """Lay every ply again in reversed order on top, so that the stack is the same from both faces.

    Parameters
    ----------
    document
        The job.
    """
    plies = plies_of(document, 0)
    plies_laid(document, [*plies, *(copy.deepcopy(p) for p in reversed(plies))])


def put(document: TOMLDocument, which: int, key: str, value: Any) -> None:
    """Set a key of a ply, or leave it out.

    Parameters
    ----------
    document
        The job.
    which
        From 0.
    key
        Of it.
    value
        As written; None leaves it out.
    """
    key_put(plies_of(document, which)[which], key, value)


def laying_put(document: TOMLDocument, key: str, value: Any) -> None:
    """Set a key of what holds for all plies, or leave it out.

    Parameters
    ----------
    document
        The job.
    key, value
        See `put`.
    """
    if "laying" not in document:
        document["laying"] = tomlkit.table()
    key_put(document["laying"], key, value)
