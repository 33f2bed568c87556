"""DSC curves from CSV files of any instrument: separator, decimal comma, headings with units; asks and does not guess.

A file has a heading line, perhaps a line of units under it, and numbers; above stand notes, in which the sample's mass
and the direction of heat given off are looked for. What is missing is said with where it may be stated.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from bagside.cure.fit.dsc_curve import FEWEST, DscCurve
from bagside.errors import InputError, Problem, did_you_mean
from bagside.spec.resin_sheet import DscRow, Exo

Floats = NDArray[np.float64]

_TIME = {"s": 1.0, "sec": 1.0, "min": 60.0, "h": 3600.0}
_HEAT = {"W/G": 1e3, "MW/MG": 1e3, "W/KG": 1.0, "MW/G": 1.0}
_POWER = {"MW": 1e-3, "W": 1.0, "UW": 1e-6}
_KINDS = {
    "time": re.compile(r"\b(time|t|zeit|temps)\b", re.I),
    "temperature": re.compile(r"(temp|\btr\b|\bts\b)", re.I),
    "heat": re.compile(r"(heat\s*flow|heatflow|\bdsc\b|\bhf\b|w[aä]rmestrom)", re.I),
}
_NUMBER = re.compile(r"[+\-−]?(\d+[,.]?\d*|[,.]\d+)([eE][+\-]?\d+)?")
_UNIT = re.compile(r"[\(\[]\s*([^\)\]]+?)\s*[\)\]]|/\s*\(?\s*([^\s()]+)\s*\)?\s*$|_([a-z]+)$", re.I)
_MASS = re.compile(r"mass[^0-9\n]{0,30}?([0-9]+(?:[.,][0-9]+)?)[\s;,\t]*(mg|g)\b", re.I)
_WAYS = (
    (Exo.UP, re.compile(r"exo\w*\s*(is\s*)?up|\^\s*exo|endo\w*\s*(is\s*)?down|↑\s*exo|exo\s*↑", re.I)),
    (Exo.DOWN, re.compile(r"exo\w*\s*(is\s*)?down|\^\s*endo|endo\w*\s*(is\s*)?up|exo\s*↓|↓\s*exo", re.I)),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheet:
    """A file taken apart: notes above, headings, units, and cells."""

    notes: str
    headings: tuple[str, ...]
    units: tuple[str, ...]
    cells: list[list[str]]
    first: int
    comma: bool


def dsc_curves(rows: Sequence[DscRow], sheet: Path) -> tuple[DscCurve, ...]:
    """Return the curves that a sheet names.

    Parameters
    ----------
    rows
        As stated; none or more.
    sheet
        The sheet's own file; curves are looked for beside it.

    Raises
    ------
    InputError
        With every problem of every file.
    """
    out: list[DscCurve] = []
    problems: list[Problem] = []
    for row in rows:
        try:
            out.append(dsc_curve(sheet.parent / row.file, row))
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(problems)
    return tuple(out)


def dsc_curve(path: Path, row: DscRow) -> DscCurve:
    """Return a curve as its file and its row tell it.

    Parameters
    ----------
    path
        Of the file.
    row
        What is stated of it.

    Raises
    ------
    InputError
        With every problem: what is missing, ambiguous or no number.
    """
    found = _taken_apart(_text(path), path.name)
    problems: list[Problem] = []
    columns = {
        kind: _column(found, kind, getattr(row, kind), path.name, problems) for kind in ("time", "temperature", "heat")
    }
    scale = {kind: _scale(found, kind, at, row, path.name, problems) for kind, at in columns.items() if at is not None}
    way = _way(found, row, path.name, problems)
    if row.resin <= 0.0:
        problems.append(Problem(place=f"{path.name}, resin", came="0 %", wanted="more than zero is wanted"))
    values = {kind: _numbers(found, at) for kind, at in columns.items() if at is not None}
    if "time" in values and not problems:
        back = np.flatnonzero(np.diff(values["time"]) <= 0.0)
        if len(back):
            line = found.first + int(back[0]) + 1
            place = f"{path.name}, line {line}"
            came = found.cells[int(back[0]) + 1][columns["time"] or 0]
            wanted = "time must rise; is this one heating, and is the right column its time?"
            problems.append(Problem(place=place, came=came, wanted=wanted))
        elif len(values["time"]) < FEWEST:
            came = f"{len(values['time'])} readings"
            problems.append(Problem(place=path.name, came=came, wanted=f"{FEWEST} or more are wanted"))
    if problems:
        raise InputError(problems)
    kelvin = values["temperature"] * scale["temperature"][0] + scale["temperature"][1]
    return DscCurve(
        name=path.name,
        time=(values["time"] - values["time"][0]) * scale["time"][0],
        temperature=kelvin,
        heat=values["heat"] * scale["heat"][0] * (1.0 if way is Exo.UP else -1.0) / row.resin,
    )


def _text(path: Path) -> str:
    try:
        raw = path.read_bytes()
    except FileNotFoundError:
        raise InputError.one(str(path), "", "there is no such file", "DSC files stand beside the sheet") from None
    except OSError as error:
        raise InputError.one(str(path), "", f"cannot be read: {error.strerror or error}") from None
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return raw.decode("utf-16", errors="replace")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return raw.decode("cp1252", errors="replace")


def _is_number(cell: str, comma: bool) -> bool:
    return bool(_NUMBER.fullmatch(cell)) and ("." not in cell if comma else "," not in cell)


def _taken_apart(text: str, name: str) -> _Sheet:
    """Return the parts of a file under the separator that gives the longest run of equal lines of numbers."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    best: tuple[int, str, bool, int, int] | None = None
    for separator in ("\t", ";", ","):
        for comma in (False, True) if separator != "," else (False,):
            begin, count = _run(lines, separator, comma)
            if count and (best is None or count > best[0]):
                width = len(_cells(lines[begin], separator))
                best = (count, separator, comma, begin, width)
    if best is None or best[0] < 3:
        raise InputError.one(
            name, "", "there are no lines of three numbers or more", "export time, temperature and heat flow as CSV"
        )
    count, separator, comma, begin, width = best
    above = [k for k in range(begin) if lines[k].strip()]
    titles = [_cells(lines[k], separator) for k in above[-2:]]
    if not titles or max(len(t) for t in titles) < 3:
        raise InputError.one(name, "", "no line of headings stands above its numbers", "give each column a heading")
    units: list[str] = []
    if len(titles) == 2 and len(titles[0]) >= 3 and not any(_KINDS[k].search(c) for k in _KINDS for c in titles[1]):
        headings, units = titles
    else:
        headings = titles[-1]
    if width == 2 * len(headings) and separator == ",":
        raise InputError.one(
            name,
            "",
            "commas part the columns and the decimals, so its numbers cannot be told apart",
            "export it with semicolons or tabs, or with decimal points",
        )
    cells = [_cells(line, separator) for line in lines[begin : begin + count]]
    rest = [k for k in range(begin + count, len(lines)) if lines[k].strip()]
    if rest and any(_is_number(c, comma) for c in _cells(lines[rest[0]], separator)) and len(rest) > 3:
        place = f"{name}, line {rest[0] + 1}"
        raise InputError.one(place, lines[rest[0]].strip()[:60], "numbers are wanted here as above")
    return _Sheet(
        notes="\n".join(lines[:begin]),
        headings=tuple(headings),
        units=tuple(units),
        cells=cells,
        first=begin + 1,
        comma=comma,
    )


def _cells(line: str, separator: str) -> list[str]:
    parts = [c.strip().strip('"').strip() for c in line.split(separator)]
    while parts and not parts[-1]:
        parts.pop()
    return parts


def _run(lines: list[str], separator: str, comma: bool) -> tuple[int, int]:
    """Return where the longest run of lines of equally many numbers begins, and how many lines it has."""
    best, begin, width, count = (0, 0), 0, 0, 0
    for k, line in enumerate([*lines, ""]):
        cells = _cells(line, separator)
        good = len(cells) >= 3 and all(_is_number(c, comma) for c in cells)
        if good and count and len(cells) == width:
            count += 1
        elif good:
            begin, width, count = k, len(cells), 1
        else:
            count = 0
        if count > best[1]:
            best = (begin, count)
    return best


def _column(found: _Sheet, kind: str, stated: str, name: str, problems: list[Problem]) -> int | None:
    headings = list(found.headings)
    if stated:
        if headings.count(stated) == 1:
            return headings.index(stated)
        hint = did_you_mean(stated, headings)
        problems.append(
            Problem(place=f"{name}, {kind}", came=f'"{stated}"', wanted="no single column has this heading", hint=hint)
        )
        return None
    hits = [k for k, h in enumerate(headings) if _KINDS[kind].search(h.replace("_", " "))]
    if kind == "time":
        hits = [k for k in hits if not _KINDS["temperature"].search(headings[k])]
    if len(hits) == 1:
        return hits[0]
    told = ", ".join(f'"{headings[k]}"' for k in (hits or range(len(headings))))
    what = {"time": "time", "temperature": "temperature of the sample", "heat": "heat flow"}[kind]
    wanted = f"more than one column may be the {what}" if hits else f"no column is headed as {what}"
    problems.append(
        Problem(place=f"{name}, {kind}", came=told, wanted=wanted, hint=f'state it beside the file: {kind} = "heading"')
    )
    return None


def _scale(found: _Sheet, kind: str, at: int, row: DscRow, name: str, problems: list[Problem]) -> tuple[float, float]:
    """Return factor and offset of a column's unit to SI."""
    heading = re.sub(r"_w_per_g$", "/(W/g)", found.headings[at])
    matches = list(_UNIT.finditer(heading))
    unit = found.units[at].strip("()[] ") if at < len(found.units) else ""
    unit = unit or (next((g for g in matches[-1].groups() if g), "") if matches else "")
    unit = unit.strip().replace("µ", "u").replace("μ", "u").replace(" ", "").strip("()")
    if kind == "time" and unit.lower() in _TIME:
        return _TIME[unit.lower()], 0.0
    if kind == "temperature":
        plain = unit.replace("°", "").replace("º", "").replace("deg", "").upper()
        if plain in ("C", "K", "F"):
            return {"C": (1.0, 273.15), "K": (1.0, 0.0), "F": (5.0 / 9.0, 273.15 - 160.0 / 9.0)}[plain]
    if kind == "heat" and unit.upper() in _HEAT:
        return _HEAT[unit.upper()], 0.0
    if kind == "heat" and unit.upper() in _POWER:
        return _POWER[unit.upper()] / _mass(found, row, name, problems), 0.0
    example = {"time": "Time (min)", "temperature": "Temperature (°C)", "heat": "Heat Flow (W/g)"}[kind]
    came = f'"{unit}"' if unit else f'"{found.headings[at]}"'
    problems.append(
        Problem(
            place=f"{name}, {kind}",
            came=came,
            wanted="this unit is not known" if unit else "its heading has no unit",
            hint=f"as in {example}",
        )
    )
    return 1.0, 0.0


def _mass(found: _Sheet, row: DscRow, name: str, problems: list[Problem]) -> float:
    """Return the sample's mass [kg]."""
    if row.mass is not None:
        return row.mass
    match = _MASS.search(found.notes)
    if match:
        return float(match.group(1).replace(",", ".")) * (1e-6 if match.group(2).lower() == "mg" else 1e-3)
    problems.append(
        Problem(
            place=f"{name}, mass",
            came="",
            wanted="heat flow is in milliwatts, and the sample's mass is not told",
            hint='state it beside the file: mass = "8.2 mg"',
        )
    )
    return 1.0


def _way(found: _Sheet, row: DscRow, name: str, problems: list[Problem]) -> Exo | None:
    if row.exo is not None:
        return row.exo
    ways = {way for way, pattern in _WAYS if pattern.search(found.notes)}
    if len(ways) == 1:
        return ways.pop()
    problems.append(
        Problem(
            place=f"{name}, exo",
            came="",
            wanted="it is not told whether heat given off points up or down",
            hint='state it beside the file: exo = "up" or exo = "down"',
        )
    )
    return None


def _numbers(found: _Sheet, at: int) -> Floats:
    texts = [line[at].replace("−", "-") for line in found.cells]
    if found.comma:
        texts = [t.replace(",", ".") for t in texts]
    return np.array([float(t) for t in texts])
