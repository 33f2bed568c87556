"""What clicks for the net edge write: an outline or a height for the part, and where a scan is cut off."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import tomlkit
from tomlkit import TOMLDocument

from bagside.errors import InputError
from bagside.geometry.outline import axes
from bagside.spec.region import EVERYTHING, Outline, Shape
from bagside.web.model.job_tables import point_text
from bagside.web.pages.mould.document import (
    Change,
    Point,
    direction_list,
    first_key,
    points_array,
    short,
    table_of,
)

NEW_PART = "part"
"""What the region of the part is called when the job has none yet."""


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
            corners.append(f"{short(1e3 * x, 1)} {short(1e3 * y, 1)} mm")
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
        mould = table_of(document, "mould")
        for key in ("net_edge", "inside"):
            mould.pop(key, None)
        if points:
            mould["net_edge"] = points_array(points)
            if inside is not None:
                mould["inside"] = point_text(inside)

    return change


def _part_is(document: TOMLDocument, key: str, value: object) -> None:
    """State the part's region anew by one thing; what it starts from stays."""
    name = str(document.get("part", EVERYTHING))
    if name == EVERYTHING:
        name = NEW_PART
        if "part" in document:
            document["part"] = name
        else:
            first_key(document, "part", name)
    regions = table_of(document, "regions", super_table=True)
    region = regions[name] if name in regions else tomlkit.table()
    for old in ("inside", "outside", "beside", "near", "away"):
        region.pop(old, None)
    region[key] = value
    regions[name] = region
