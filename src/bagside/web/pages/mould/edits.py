"""What clicks on the mould write into the job's file: each a change of the document, and nothing else.

Points are written in millimetres to a tenth, directions to a thousandth: finer than anyone clicks.
"""

from __future__ import annotations

from collections.abc import Callable, MutableMapping, Sequence
from typing import cast

import numpy as np
import tomlkit
from numpy.typing import NDArray
from tomlkit import TOMLDocument
from tomlkit.items import AoT, Array, Table

from bagside.errors import InputError
from bagside.geometry.outline import axes
from bagside.spec.region import EVERYTHING, Outline, Shape

Change = Callable[[TOMLDocument], None]
Point = tuple[float, float, float]

NEW_PART = "part"
"""What the region of the part is called when the job has none yet."""


def point_text(at: Sequence[float]) -> str:
    """Return a point as a file states it.

    Parameters
    ----------
    at
        [m].

    Examples
    --------
    >>> point_text((0.085, -0.0, -0.01442))
    '85 0 -14.4 mm'
    """
    return " ".join(_short(1e3 * x, 1) for x in at) + " mm"


def direction_list(way: Sequence[float] | NDArray[np.float64]) -> list[float | int]:
    """Return a direction as a file states it.

    Parameters
    ----------
    way
        Any length but zero.

    Examples
    --------
    >>> direction_list((0.0, -2.0, -0.3))
    [0, -0.989, -0.148]
    """
    unit = np.asarray(way, dtype=np.float64)
    unit = unit / np.linalg.norm(unit)
    return [int(x) if x == int(x) else x for x in (round(float(x), 3) + 0.0 for x in unit)]


def mesh_set(name: str, unit: str, start: Point) -> Change:
    """Return the change that names a mesh and its unit; places stated before stay as they are.

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
        mould = _table(document, "mould")
        mould["mesh"] = name
        mould["unit"] = unit
        if "laminate_side" not in mould:
            mould["laminate_side"] = [0, 0, 1]
        laying = _table(document, "laying")
        laying.setdefault("start", point_text(start))
        laying.setdefault("direction", [1, 0, 0])

    return change


def side_set(way: Sequence[float]) -> Change:
    """Return the change that says on which side of the mould the laminate lies.

    Parameters
    ----------
    way
        From the mould to the laminate.
    """

    def change(document: TOMLDocument) -> None:
        _table(document, "mould")["laminate_side"] = direction_list(way)

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
        mould = _table(document, "mould")
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
        _tables(document, "holes").append(hole)

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
        holes = _tables(document, "holes")
        before = str(_at(holes, index)["name"])
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
        holes = _tables(document, "holes")
        _at(holes, index)
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
        lines = _table(document, "lines", super_table=True)
        line = lines[name] if name in lines else tomlkit.table()
        line["points"] = _points(points)
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


def net_edge_set(points: Sequence[Point], along: Sequence[float]) -> Change:
    """Return the change that makes a closed line, seen from the laminate side, the net edge of the part.

    Parameters
    ----------
    points
        Corners on the surface, three and more [m].
    along
        Direction of sight, from the mould to the laminate.

    Raises
    ------
    InputError
        When there are fewer than three corners, or they enclose nothing.
    """
    way = direction_list(along)
    frame = axes(Outline(shape=Shape.POLYGON, along=(float(way[0]), float(way[1]), float(way[2]))))
    flat = np.array(points, dtype=np.float64).reshape(-1, 3) @ frame[:2].T
    following = np.roll(flat, -1, axis=0)
    area = 0.5 * abs(float((flat[:, 0] * following[:, 1] - flat[:, 1] * following[:, 0]).sum()))
    if len(flat) < 3 or area < 1e-4:
        raise InputError.one("net edge", "", "three corners and more, around at least 1 cm², are wanted")

    def change(document: TOMLDocument) -> None:
        inside = tomlkit.table()
        inside["shape"] = "polygon"
        inside["along"] = way
        corners = tomlkit.array()
        for x, y in flat:
            corners.append(f"{_short(1e3 * x, 1)} {_short(1e3 * y, 1)} mm")
        inside["points"] = corners.multiline(len(flat) > 4)
        _part_is(document, "inside", inside)

    return change


def net_edge_at(at: Point, inside: Point, along: Sequence[float]) -> Change:
    """Return the change that puts the net edge at a height over the whole part.

    Parameters
    ----------
    at
        A point on the edge [m].
    inside
        A point on the part [m].
    along
        Direction in which height is counted, from the mould to the laminate.

    Raises
    ------
    InputError
        When both lie at the same height.
    """
    way = np.array(direction_list(along), dtype=np.float64)
    above = float((np.asarray(inside) - np.asarray(at)) @ way)
    if abs(above) < 5e-4:
        raise InputError.one("net edge", "", "a point on the part is wanted, clearly higher or lower than its edge")

    def change(document: TOMLDocument) -> None:
        side = tomlkit.inline_table()
        side["point"] = point_text(at)
        side["normal"] = direction_list(way if above > 0 else -way)
        _part_is(document, "beside", side)

    return change


def cut_off_set(points: Sequence[Point], inside: Point | None) -> Change:
    """Return the change that cuts the scan off along a closed line over it.

    Parameters
    ----------
    points
        Corners on the surface [m]; none takes the cut away.
    inside
        A point on the side that stays; the smaller side when None [m].
    """

    def change(document: TOMLDocument) -> None:
        mould = _table(document, "mould")
        for key in ("net_edge", "inside"):
            mould.pop(key, None)
        if points:
            mould["net_edge"] = _points(points)
            if inside is not None:
                mould["inside"] = point_text(inside)

    return change


def split_set(one: Point, other: Point, along: Sequence[float], names: tuple[str, str]) -> Change:
    """Return the change that parts the mould in two along a plane through two points, upright to its face.

    Parameters
    ----------
    one, other
        On the split line [m].
    along
        From the mould to the laminate.
    names
        Of the two pieces.

    Raises
    ------
    InputError
        When the points lie on each other, seen along that direction.
    """
    up = np.array(direction_list(along), dtype=np.float64)
    across = np.cross(up, np.asarray(other) - np.asarray(one))
    if float(np.linalg.norm(across)) < 1e-3:
        raise InputError.one("split line", "", "two points that stand apart are wanted")

    def change(document: TOMLDocument) -> None:
        document.get("mould", {}).pop("pieces", None)
        pieces = _tables(_table(document, "mould"), "pieces")
        for name, way in zip(names, (across, -across), strict=True):
            piece = tomlkit.table()
            piece["name"] = name
            piece["pull"] = direction_list(way)
            side = tomlkit.inline_table()
            side["point"] = point_text(one)
            side["normal"] = direction_list(way)
            piece["side"] = side
            pieces.append(piece)

    return change


def one_piece() -> Change:
    """Return the change that makes the mould one piece again."""

    def change(document: TOMLDocument) -> None:
        document.get("mould", {}).pop("pieces", None)

    return change


def pull_set(index: int, way: Sequence[float]) -> Change:
    """Return the change of the direction in which a piece of the mould is pulled.

    Parameters
    ----------
    index
        Of the piece, from zero.
    way
        Any length but zero.
    """

    def change(document: TOMLDocument) -> None:
        _at(_tables(_table(document, "mould"), "pieces"), index)["pull"] = direction_list(way)

    return change


def _part_is(document: TOMLDocument, key: str, value: object) -> None:
    """State the part's region anew by one thing; what it starts from stays."""
    name = str(document.get("part", EVERYTHING))
    if name == EVERYTHING:
        name = NEW_PART
        if "part" in document:
            document["part"] = name
        else:
            _first_keys(document, "part", name)
    regions = _table(document, "regions", super_table=True)
    region = regions[name] if name in regions else tomlkit.table()
    for old in ("inside", "outside", "beside", "near", "away"):
        region.pop(old, None)
    region[key] = value
    regions[name] = region


def _first_keys(document: TOMLDocument, key: str, value: str) -> None:
    """Put a plain key before the first table, where TOML wants it."""
    tables = {k: document[k] for k in list(document) if isinstance(document[k], Table | AoT)}
    for k in tables:
        document.remove(k)
    document[key] = value
    for k, table in tables.items():
        document[k] = table


def _table(document: TOMLDocument | Table, key: str, *, super_table: bool = False) -> Table:
    if key not in document:
        document[key] = tomlkit.table(is_super_table=super_table)
    found = document[key]
    if not isinstance(found, MutableMapping):  # one that is parted in the file comes as another kind of table
        raise InputError.one(f"job.toml, {key}", "", "a table is wanted here")
    return cast("Table", found)


def _tables(document: TOMLDocument | Table, key: str) -> AoT:
    if key not in document:
        document[key] = tomlkit.aot()
    found = document[key]
    if not isinstance(found, AoT):
        raise InputError.one(f"job.toml, {key}", "", f"[[{key}]] tables are wanted here, to be changed on a page")
    return found


def _at(tables: AoT, index: int) -> Table:
    if not 0 <= index < len(tables):
        raise InputError.one("job.toml", "", "this is not there any more")
    return tables[index]


def _points(points: Sequence[Point]) -> Array:
    out = tomlkit.array()
    for at in points:
        out.append(point_text(at))
    return out.multiline(len(points) > 3)


def _short(value: float, digits: int) -> str:
    text = f"{value:.{digits}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
