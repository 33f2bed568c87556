"""Names and units of the columns, out of the rows that head them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from bagside.errors import Problem, did_you_mean
from bagside.records.logger.layout import Layout, is_unit_row
from bagside.records.logger.units import LogUnit, Measures, unit_of
from bagside.records.logger.words import TIME, words_in

_BRACKET = re.compile(r"[(\[{<]([^()\[\]{}<>]*(?:\([^()]*\))?)[)\]}>]")
_TAIL = re.compile(r"^(.*?)(?:\s*[,/_]\s*|\s+in\s+)([^\s,/_]+(?:[ _](?:abs|rel|gauge|absolute|g|a))?)$")
_IN = re.compile(r"^(.*?)\s+in\s+(.+)$")
_DEGREES = re.compile(r"^(.*?)\s+((?:°|º|\ufffd|deg)\s?[CFcf]|[mkhM]?[Pp]a|mbar|bar|psi[ag]?|inHg|mmHg|[Tt]orr|%)$")


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column as it is headed.

    Parameters
    ----------
    index
        Its place in a row.
    name
        Without the unit; unlike any other.
    heading
        All that stands over it.
    unit
        As headed; None when it is not.
    """

    index: int
    name: str
    heading: str
    unit: LogUnit | None

    @property
    def place(self) -> str:
        """How it is said where it stands."""
        return column_place(self.name)


def column_place(name: str) -> str:
    """Return a column's name as it is said where it stands.

    Parameters
    ----------
    name
        Of the column.
    """
    return name if name.startswith("column ") else f"column {name}"


def columns_of(layout: Layout) -> tuple[Column, ...]:
    """Return the columns of a table.

    Parameters
    ----------
    layout
        Where it stands.
    """
    units: Sequence[str] = ("",) * layout.width
    names = list(layout.head)
    if len(names) > 1 and is_unit_row(names[-1]):
        units = names.pop()
    found: list[Column] = []
    taken: dict[str, int] = {}
    for k in range(layout.width):
        parts = list(dict.fromkeys(row[k] for row in names if row[k]))
        under = next((u for part in parts[1:] if (u := unit_of(part)) is not None), None)
        heading = " ".join(parts)
        name, unit = named(" ".join(p for p in parts if unit_of(p) is None) if under else heading)
        unit = under or unit
        if units[k]:
            unit = unit_of(units[k]) or unit
            heading = f"{heading} {units[k]}".strip()
        name = name or f"column {k + 1}"
        count = taken[name] = taken.get(name, 0) + 1
        found.append(Column(index=k, name=name if count == 1 else f"{name} ({count})", heading=heading, unit=unit))
    return tuple(found)


def named(heading: str) -> tuple[str, LogUnit | None]:
    """Return a column's name and its unit, out of what heads it.

    Parameters
    ----------
    heading
        As it stands in the file.

    Examples
    --------
    >>> name, unit = named("Oven air [°F]")
    >>> name, unit.text
    ('Oven air', '°F')
    >>> named("part_C")[0], named("Zeit in s")[0], named("TC 4")
    ('part', 'Zeit', ('TC 4', None))
    """
    for bracket in _BRACKET.finditer(heading):
        unit = unit_of(bracket.group(1))
        if unit is not None:
            rest = (heading[: bracket.start()] + " " + heading[bracket.end() :]).strip(" ,:;_-")
            return " ".join(rest.split()), unit
    for pattern in (_TAIL, _DEGREES, _IN):
        tail = pattern.match(heading)
        if tail is not None and tail.group(1):
            unit = unit_of(tail.group(2).replace("_", " "))
            if unit is not None:
                return tail.group(1).strip(" ,:;_-"), unit
    before, _, last = heading.rpartition(" ")
    if set(words_in(before)) & TIME:
        unit = unit_of(last)
        if unit is not None and unit.measures is Measures.TIME:
            return before.strip(), unit
    return heading, unit_of(heading) if len(heading) > 1 else None


def by_name(
    columns: Sequence[Column], stated: Iterable[str], option: str, may_lack: frozenset[str] = frozenset()
) -> tuple[dict[int, str], list[Problem]]:
    """Return which column each stated name means, and a problem for each that means none.

    Parameters
    ----------
    columns
        Of the file.
    stated
        Names that were stated; the empty one means every column and is left out.
    option
        That stated it.
    may_lack
        Names that no column need have.
    """
    found: dict[int, str] = {}
    wrong: list[Problem] = []
    for name in stated:
        if not name:
            continue
        column = next((c for c in columns if _same(name, c)), None)
        if column is None and name in may_lack:
            continue
        if column is None:
            hint = did_you_mean(name, [c.name for c in columns])
            wrong.append(Problem(place=option, came=f'"{name}"', wanted="no column has this name", hint=hint))
        else:
            found[column.index] = name
    return found, wrong


def _same(name: str, column: Column) -> bool:
    plain = " ".join(name.split()).lower()
    return plain in (column.name.lower(), " ".join(column.heading.split()).lower())
