"""What clicks on the mould write into the job's file: each a change of the document, and nothing else."""

from __future__ import annotations

from collections.abc import Sequence

import tomlkit
from tomlkit import TOMLDocument

from bagside.errors import InputError
from bagside.spec.region import EVERYTHING
from bagside.web.model.job_tables import point_text
from bagside.web.pages.mould.document import (
    Change,
    Point,
    direction_list,
    item_of,
    points_array,
    table_of,
    tables_of,
)


def mesh_set(name: str, unit: str, start: Point) -> Change:
    """Return the change that names a mesh and its unit; places stated before stay as they are.

    Regions that plies or the part name, and that are stated nowhere, become the whole surface until they are drawn:
    without a surface nobody had to state them.

    Parameters
    ----------
    name
        Of the file beside the job.
    unit
        Of its numbers.
    start
        Where laying starts when nothing is stated of that yet: a point of the mesh [m].
    """

    def change(document: TOMLDocument) -> None:
        mould = table_of(document, "mould")
        mould["mesh"] = name
        mould["unit"] = unit
        if "laminate_side" not in mould:
            mould["laminate_side"] = [0, 0, 1]
        laying = table_of(document, "laying")
        laying.setdefault("start", point_text(start))
        laying.setdefault("direction", [1, 0, 0])
        named = [document.get("part"), *(ply.get("region") for ply in document.get("plies", []))]
        stated = document.get("regions", {})
        for region in dict.fromkeys(str(n) for n in named if n and n != EVERYTHING and n not in stated):
            whole = tomlkit.table()
            whole["of"] = EVERYTHING
            table_of(document, "regions", super_table=True)[region] = whole

    return change


def side_set(way: Sequence[float]) -> Change:
    """Return the change that says on which side of the mould the laminate lies.

    Parameters
    ----------
    way
        From the mould to the laminate.
    """

    def change(document: TOMLDocument) -> None:
        table_of(document, "mould")["laminate_side"] = direction_list(way)

    return change


def mould_set(key: str, value: str) -> Change:
    """Return the change of one line of the mould; an empty value takes it away.

    Parameters
    ----------
    key
        Such as ``noise``.
    value
        As a file states it.
    """

    def change(document: TOMLDocument) -> None:
        mould = table_of(document, "mould")
        if value:
            mould[key] = value
        else:
            mould.pop(key, None)

    return change


def hole_added(name: str, at: Point, diameter: str) -> Change:
    """Return the change that adds a hole.

    Parameters
    ----------
    name
        What people call it.
    at
        Its centre on the surface [m].
    diameter
        As a file states it.
    """

    def change(document: TOMLDocument) -> None:
        hole = tomlkit.table()
        hole["name"] = name
        hole["at"] = point_text(at)
        hole["diameter"] = diameter
        tables_of(document, "holes").append(hole)

    return change


def hole_set(index: int, key: str, value: str) -> Change:
    """Return the change of one line of a hole.

    Parameters
    ----------
    index
        From zero.
    key
        ``name``, ``at`` or ``diameter``.
    value
        As a file states it.
    """

    def change(document: TOMLDocument) -> None:
        holes = tables_of(document, "holes")
        before = str(item_of(holes, index)["name"])
        holes[index][key] = value
        if key == "name":
            for region in document.get("regions", {}).values():
                for way in ("near", "away"):
                    names = region.get(way, {}).get("holes")
                    if names is not None:
                        region[way]["holes"] = [value if n == before else n for n in names]

    return change


def hole_removed(index: int) -> Change:
    """Return the change that takes a hole away.

    Parameters
    ----------
    index
        From zero.
    """

    def change(document: TOMLDocument) -> None:
        holes = tables_of(document, "holes")
        item_of(holes, index)
        del holes[index]
        if not len(holes):
            del document["holes"]

    return change


def line_set(name: str, points: Sequence[Point], *, closed: bool = False) -> Change:
    """Return the change that draws a line on the mould: a seam, a cut, the line laid first.

    Parameters
    ----------
    name
        What people call it.
    points
        That it runs through [m].
    closed
        Whether it returns to its first point.
    """

    def change(document: TOMLDocument) -> None:
        lines = table_of(document, "lines", super_table=True)
        line = lines[name] if name in lines else tomlkit.table()
        line["points"] = points_array(points)
        if closed:
            line["closed"] = True
        lines[name] = line

    return change


def line_moved(name: str, index: int, at: Point) -> Change:
    """Return the change that moves a point of a line.

    Parameters
    ----------
    name
        Of the line.
    index
        Of the point, from zero.
    at
        Where it is now [m].
    """

    def change(document: TOMLDocument) -> None:
        lines = document.get("lines", {})
        if name not in lines or not 0 <= index < len(lines[name]["points"]):
            raise InputError.one(f"job.toml, line {name}", "", "this point of it is gone")
        lines[name]["points"][index] = point_text(at)

    return change


def line_removed(name: str) -> Change:
    """Return the change that takes a line away.

    Parameters
    ----------
    name
        Of the line.
    """

    def change(document: TOMLDocument) -> None:
        lines = document.get("lines", {})
        if name not in lines:
            raise InputError.one(f"job.toml, line {name}", "", "there is no such line")
        del lines[name]
        if not lines:
            del document["lines"]

    return change
