"""Tables and values of a job's document, as clicks on the mould change them.

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
from bagside.web.model.job_tables import point_text

Change = Callable[[TOMLDocument], None]
Point = tuple[float, float, float]


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


def table_of(document: TOMLDocument | Table, key: str, *, super_table: bool = False) -> Table:
    """Return a table of a document; it is made when there is none.

    Parameters
    ----------
    document
        The job, or a table of it.
    key
        Of the table.
    super_table
        Whether it holds tables alone, and needs no head of its own.

    Raises
    ------
    InputError
        When something else stands there.
    """
    if key not in document:
        document[key] = tomlkit.table(is_super_table=super_table)
    found = document[key]
    if not isinstance(found, MutableMapping):  # one that is parted in the file comes as another kind of table
        raise InputError.one(f"job.toml, {key}", "", "a table is wanted here")
    return cast("Table", found)


def tables_of(document: TOMLDocument | Table, key: str) -> AoT:
    """Return a list of tables of a document; it is made when there is none.

    Parameters
    ----------
    document
        The job, or a table of it.
    key
        Of the list.

    Raises
    ------
    InputError
        When something else stands there.
    """
    if key not in document:
        document[key] = tomlkit.aot()
    found = document[key]
    if not isinstance(found, AoT):
        raise InputError.one(f"job.toml, {key}", "", f"[[{key}]] tables are wanted here, to be changed on a page")
    return found


def item_of(tables: AoT, index: int) -> Table:
    """Return one table of a list.

    Parameters
    ----------
    tables
        The list.
    index
        From zero.

    Raises
    ------
    InputError
        When it is not there.
    """
    if not 0 <= index < len(tables):
        raise InputError.one("job.toml", "", "this is not there any more")
    return tables[index]


def points_array(points: Sequence[Point]) -> Array:
    """Return points as a file states them, one a line when they are many.

    Parameters
    ----------
    points
        [m].
    """
    out = tomlkit.array()
    for at in points:
        out.append(point_text(at))
    return out.multiline(len(points) > 3)


def first_key(document: TOMLDocument, key: str, value: str) -> None:
    """Put a plain key before the first table, where TOML wants it.

    Parameters
    ----------
    document
        The job.
    key, value
        What is put there.
    """
    tables = {k: document[k] for k in list(document) if isinstance(document[k], Table | AoT)}
    for k in tables:
        document.remove(k)
    document[key] = value
    for k, table in tables.items():
        document[k] = table


def short(value: float, digits: int) -> str:
    """Return a number without needless digits.

    Parameters
    ----------
    value
        Any.
    digits
        After the point, at most.
    """
    text = f"{value:.{digits}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
