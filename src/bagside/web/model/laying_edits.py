"""Changes of a job's plies, cuts and lines, as a person would write them: comments and all other keys stay.

Each function here changes a document in place. What names a ply by its number (the patchwork, what a build-up is laid
after) goes on naming the same ply.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Sequence
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


def moved(document: TOMLDocument, which: int, to: int) -> None:
    """Lay a ply elsewhere in the order.

    Parameters
    ----------
    document
        The job.
    which, to
        From 0: its place, and the one it shall have.
    """
    plies = _plies(document, which)
    order = list(range(len(plies)))
    order.insert(min(max(to, 0), len(order) - 1), order.pop(which))
    _laid(document, [plies[k] for k in order], lambda k: order.index(k))


def copied(document: TOMLDocument, which: int) -> None:
    """Lay a ply once more, right on itself.

    Parameters
    ----------
    document
        The job.
    which
        From 0.
    """
    plies = _plies(document, which)
    again = [*plies[: which + 1], copy.deepcopy(plies[which]), *plies[which + 1 :]]
    _laid(document, again, lambda k: k if k <= which else k + 1)


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
    plies = _plies(document, which)
    if len(plies) == 1:
        raise InputError.one("job.toml, plies", "", "a part needs at least one ply")
    if "patchwork" in document and _number(document["patchwork"], "ply") == which + 1:
        raise InputError.one(
            "job.toml, patchwork, ply", str(which + 1), "this ply is cut as tiles", "leave the patchwork out first"
        )
    lines = _lines_of(plies[which])
    _laid(document, [*plies[:which], *plies[which + 1 :]], lambda k: k if k < which else max(k - 1, 0))
    _forget(document, lines)


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
    table = tomlkit.table() if _is_tables(document) else tomlkit.inline_table()
    for key, value in ply.items():
        table.add(key, value)
    after = min(max(after, 0), len(plies))
    _laid(document, [*plies[:after], table, *plies[after:]], lambda k: k if k < after else k + 1)


def one_more(document: TOMLDocument, which: int) -> None:
    """Lay a further ply over one, of its cloth, angle and place, in one piece.

    Parameters
    ----------
    document
        The job.
    which
        From 0.
    """
    like = _plies(document, which)[which]
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
    angle = str(_plies(document, which)[which].get("angle", "0°")).strip()
    put(document, which, "angle", angle[1:].strip() if angle.startswith("-") else f"-{angle.lstrip('+')}")


def stack_mirrored(document: TOMLDocument) -> None:
    """Lay every ply again in reversed order on top, so that the stack is the same from both faces.

    Parameters
    ----------
    document
        The job.
    """
    plies = _plies(document, 0)
    _laid(document, [*plies, *(copy.deepcopy(p) for p in reversed(plies))], lambda k: k)


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
    _put(_plies(document, which)[which], key, value)


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
    _put(document["laying"], key, value)


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
    ply = _plies(document, which)[which]
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
        _put(ply, "cuts", cuts)
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
        See `put`.

    Raises
    ------
    InputError
        When there is no such cut.
    """
    _put(_cuts(document, which, cut)[cut], key, value)


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
        del _plies(document, which)[which]["cuts"]
    else:
        del cuts[cut]
    _forget(document, {line})


def whole(document: TOMLDocument, which: int) -> None:
    """Lay a ply in one piece: no cut is drawn and none is looked for.

    Parameters
    ----------
    document
        The job.
    which
        From 0.
    """
    ply = _plies(document, which)[which]
    lines = _lines_of(ply)
    for key in ("cuts", "pieces"):
        _put(ply, key, None)
    _forget(document, lines)


def _plies(document: TOMLDocument, which: int) -> list[Any]:
    plies: list[Any] = list(document.get("plies", []))
    if not 0 <= which < len(plies):
        raise InputError.one("job.toml, plies", str(which + 1), "there is no such ply any more")
    return plies


def _cuts(document: TOMLDocument, which: int, cut: int) -> Any:
    cuts: Any = _plies(document, which)[which].get("cuts", [])
    if not 0 <= cut < len(cuts):
        raise InputError.one(f"job.toml, ply {which + 1}, cuts", str(cut + 1), "there is no such cut any more")
    return cuts


def _is_tables(document: TOMLDocument) -> bool:
    return not isinstance(document.get("plies"), Array)


def _laid(document: TOMLDocument, order: Sequence[Any], now: Callable[[int], int]) -> None:
    """Put plies in place of those that stand there; `now` gives the new place of an old one."""
    if "plies" not in document:
        document["plies"] = AoT([])
    if _is_tables(document):
        plies: Any = document["plies"]
        for table in order:
            _spaced(table)
        plies._body[:] = order  # adding them one by one would put an empty line more between them each time
    else:
        array: Any = document["plies"]
        items = list(order)
        array.clear()
        array.extend(items)
    patchwork: Any = document.get("patchwork")
    if patchwork is not None and _number(patchwork, "ply"):
        patchwork["ply"] = now(_number(patchwork, "ply") - 1) + 1
    build_ups: Any = document.get("build_ups", [])
    for build_up in build_ups:
        if _number(build_up, "after"):
            build_up["after"] = now(_number(build_up, "after") - 1) + 1


def _spaced(table: Any) -> None:
    """See that an empty line stands after a table."""
    if not table.as_string().endswith("\n\n"):
        table.add(tomlkit.nl())


def _number(table: Any, key: str) -> int:
    value = table.get(key, 0)
    return int(value) if isinstance(value, int) else 0


def _put(table: Any, key: str, value: Any) -> None:
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


def _lines_of(ply: Any) -> set[str]:
    return {str(cut["line"]) for cut in ply.get("cuts", [])}


def _forget(document: TOMLDocument, names: set[str]) -> None:
    """Leave out lines that nothing uses any more."""
    lines: Any = document.get("lines")
    if not names or lines is None:
        return
    used = set()
    for ply in document.get("plies", []):
        used |= _lines_of(ply) | {str(ply.get("laid_first", ""))}
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
