"""Changes of the lines of a job, and of the cuts of its plies along them, each in place."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import tomlkit
from tomlkit import TOMLDocument

from bagside.errors import InputError
from bagside.web.model.job_tables import Point, key_put, lines_forgotten, lines_of, plies_of, point_text


def line_put(document: TOMLDocument, name: str, points: Sequence[Point]) -> None:
    """Set the points of a line; a line that is not there yet is drawn.

    Parameters
    ----------
    document
        The job.
    name
        Of the line.
    points
        Each of three lengths [m].
    """
    array = tomlkit.array()
    array.extend(point_text(at) for at in points)
    if "lines" not in document:
        document["lines"] = tomlkit.table(is_super_table=True)
    lines: Any = document["lines"]
    if name in lines:
        lines[name]["points"] = array
    else:
        table = tomlkit.table()
        table.add("points", array)
        table.add(tomlkit.nl())
        lines[name] = table


def point_put(document: TOMLDocument, name: str, which: int, at: Point) -> None:
    """Move one point of a line; the others stay as they were written.

    Parameters
    ----------
    document
        The job.
    name
        Of the line.
    which
        From 0.
    at
        [m].

    Raises
    ------
    InputError
        When there is no such line or point.
    """
    lines: Any = document.get("lines", {})
    points: Any = lines.get(name, {}).get("points", [])
    if not 0 <= which < len(points):
        raise InputError.one(f"job.toml, lines, {name}", "", "this point is no longer there")
    points[which] = point_text(at)


def free_name(document: TOMLDocument, ply: int) -> str:
    """Return a name for a new line: that of its ply, and a number when that is taken.

    Parameters
    ----------
    document
        The job.
    ply
        Its number, from 1.
    """
    taken: Any = document.get("lines", {})
    names = (f"cut-{ply}", *(f"cut-{ply}-{k}" for k in range(2, len(taken) + 3)))
    return next(name for name in names if name not in taken)


def cut_added(document: TOMLDocument, which: int, line: str, join: str, overlap: str) -> None:
    """Cut a ply along a line.

    Parameters
    ----------
    document
        The job.
    which
        From 0.
    line
        Its name.
    join
        ``overlap``, ``butt`` or ``slip joint``; the first is not written.
    overlap
        Width, as written; empty for the job's.
    """
    ply = plies_of(document, which)[which]
    cut = tomlkit.inline_table()
    cut.add("line", line)
    if join != "overlap":
        cut.add("join", join)
    if overlap and join != "butt":
        cut.add("overlap", overlap)
    cuts: Any = ply.get("cuts")
    if cuts is None:
        cuts = tomlkit.array()
        cuts.append(cut)
        key_put(ply, "cuts", cuts)
    else:
        cuts.append(cut)


def cut_put(document: TOMLDocument, which: int, cut: int, key: str, value: Any) -> None:
    """Set a key of one cut of a ply, or leave it out.

    Parameters
    ----------
    document
        The job.
    which, cut
        From 0.
    key, value
        See `bagside.web.model.laying_edits.put`.

    Raises
    ------
    InputError
        When there is no such cut.
    """
    key_put(_cuts(document, which, cut)[cut], key, value)


def cut_removed(document: TOMLDocument, which: int, cut: int) -> None:
    """Leave one cut of a ply out, and its line when nothing else uses it.

    Parameters
    ----------
    document
        The job.
    which, cut
        From 0.

    Raises
    ------
    InputError
        When there is no such cut.
    """
    cuts = _cuts(document, which, cut)
    line = str(cuts[cut]["line"])
    if len(cuts) == 1:
        del plies_of(document, which)[which]["cuts"]
    else:
        del cuts[cut]
    lines_forgotten(document, {line})


def whole(document: TOMLDocument, which: int) -> None:
    """Lay a ply in one piece: no cut is drawn and none is looked for.

    Parameters
    ----------
    document
        The job.
    which
        From 0.
    """
    ply = plies_of(document, which)[which]
    lines = lines_of(ply)
    for key in ("cuts", "pieces"):
        key_put(ply, key, None)
    lines_forgotten(document, lines)


def _cuts(document: TOMLDocument, which: int, cut: int) -> Any:
    cuts: Any = plies_of(document, which)[which].get("cuts", [])
    if not 0 <= cut < len(cuts):
        raise InputError.one(f"job.toml, ply {which + 1}, cuts", str(cut + 1), "there is no such cut any more")
    return cuts
