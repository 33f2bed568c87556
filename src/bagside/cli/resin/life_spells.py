"""Where a prepreg has been, as a person types it: spells in words, or the freezer's in-and-out list."""

from __future__ import annotations

import csv
import io
import re
from datetime import datetime
from pathlib import Path

from bagside.cure import Spell
from bagside.errors import InputError, Problem
from bagside.quantity import NotAQuantity, Quantity, read

_SPELL = re.compile(r"^\s*(?P<time>.+?)\s+(?:at|from)\s+(?P<start>.+?)(?:\s+to\s+(?P<end>.+?))?\s*$")
COLUMNS = ("out", "back", "temperature")


def spell_of(text: str, option: str) -> Spell:
    """Return "6 h at 21 °C", or "3 h from 5 °C to 21 °C", as a spell.

    Parameters
    ----------
    text
        As typed.
    option
        Where it was typed, for messages.

    Raises
    ------
    InputError
        When it cannot be read.
    """
    wanted = 'a time and a temperature are wanted, as in "6 h at 21 °C" or "3 h from 5 °C to 21 °C"'
    match = _SPELL.match(text)
    if match is None:
        raise InputError.one(option, f'"{text}"', wanted)
    try:
        duration = read(match["time"], Quantity.TIME)
        start = read(match["start"], Quantity.TEMPERATURE)
        end = None if match["end"] is None else read(match["end"], Quantity.TEMPERATURE)
    except NotAQuantity as error:
        raise InputError.one(option, f'"{text}"', str(error)) from None
    if duration < 0.0:
        raise InputError.one(option, f'"{text}"', "a time of zero or more is wanted")
    return Spell(duration=duration, temperature=start, to=end)


def listed_text(path: Path) -> str:
    """Return the text of an in-and-out list.

    Raises
    ------
    InputError
        When it is not there or no text.
    """
    try:
        return path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        raise InputError.one(str(path), "", "there is no such file") from None
    except (OSError, UnicodeDecodeError):
        raise InputError.one(
            str(path), "", "it cannot be read as text; a list with commas in UTF-8 is wanted"
        ) from None


def point_of(text: str, option: str) -> tuple[float, float]:
    """Return "30 day at 21 °C" as the temperature and the life there [K, s].

    Raises
    ------
    InputError
        When it cannot be read.
    """
    spell = spell_of(text, option)
    if spell.to is not None:
        raise InputError.one(option, f'"{text}"', 'one temperature is wanted, as in "30 day at 21 °C"')
    return spell.temperature, spell.duration


def spells_of_list(text: str, name: str, freezer: float) -> list[Spell]:
    """Return an in-and-out list as spells, with the freezer in between.

    Parameters
    ----------
    text
        Lines of ``out,back,temperature`` below that heading: ``2026-03-02 08:10,2026-03-02 14:40,21 °C``.
    name
        Of the file, for messages.
    freezer
        Temperature in between [K].

    Returns
    -------
    list of Spell
        In order of time.

    Raises
    ------
    InputError
        With every line that cannot be read, and where it was taken out before it was back.
    """
    rows = csv.DictReader(io.StringIO(text), skipinitialspace=True)
    headers = tuple(h.strip() for h in rows.fieldnames or ())
    if headers != COLUMNS:
        raise InputError.one(
            f"{name}, line 1", f'"{",".join(headers)}"', f'the heading "{",".join(COLUMNS)}" is wanted'
        )
    wrong: list[Problem] = []
    out: list[Spell] = []
    before: datetime | None = None
    for row in rows:
        place = f"{name}, line {rows.line_num}"
        if not all(isinstance(v, str) for v in row.values()) or None in row:
            wrong.append(Problem(place=place, came="", wanted="three values separated by commas are wanted"))
            continue
        times = [_moment(row[column], f"{place}, {column}", wrong) for column in COLUMNS[:2]]
        try:
            temperature = read(row["temperature"].strip(), Quantity.TEMPERATURE)
        except NotAQuantity as error:
            wrong.append(Problem(place=f"{place}, temperature", came=f'"{row["temperature"]}"', wanted=str(error)))
            continue
        taken, back = times
        if taken is None or back is None:
            continue
        if back < taken or (before is not None and taken < before):
            wrong.append(
                Problem(
                    place=place,
                    came=f"out {taken:%Y-%m-%d %H:%M}, back {back:%Y-%m-%d %H:%M}",
                    wanted="times that go on are wanted: out, back, and out again after that",
                )
            )
            continue
        if before is not None:
            out.append(Spell(duration=(taken - before).total_seconds(), temperature=freezer))
        out.append(Spell(duration=(back - taken).total_seconds(), temperature=temperature))
        before = back
    if wrong:
        raise InputError(wrong)
    if not out:
        raise InputError.one(name, "", "one line or more below the heading is wanted")
    return out


def _moment(text: str, place: str, wrong: list[Problem]) -> datetime | None:
    for pattern in ("%Y-%m-%d %H:%M", "%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M:%S", "%Y-%m-%dT%H:%M:%S"):
        try:
            return datetime.strptime(text.strip(), pattern)
        except ValueError:
            continue
    wrong.append(Problem(place=place, came=f'"{text}"', wanted='a day and a time are wanted, as in "2026-03-02 08:10"'))
    return None
