"""What clicks on a mould of several pieces write: where it is split, and how each piece comes off."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import tomlkit
from tomlkit import TOMLDocument

from bagside.errors import InputError
from bagside.web.model.job_tables import point_text
from bagside.web.pages.mould.document import (
    Change,
    Point,
    direction_list,
    item_of,
    table_of,
    tables_of,
)


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
        pieces = tables_of(table_of(document, "mould"), "pieces")
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
        item_of(tables_of(table_of(document, "mould"), "pieces"), index)["pull"] = direction_list(way)

    return change
