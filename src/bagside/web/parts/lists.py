"""Fields of a file that hold several values, on one line: shown and read back as the file states them."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from bagside.errors import InputError
from bagside.web.words.tongue import Tongue


@dataclass(frozen=True, slots=True)
class OnALine:
    """How several values stand on one line.

    Parameters
    ----------
    shown
        From the file's value to the line.
    read
        From the line to the file's value; raises ValueError when it cannot be.
    example
        Of a line.
    """

    shown: Callable[[Any], str]
    read: Callable[[str], Any]
    example: str


def _words(text: str) -> list[str]:
    return [w for w in re.split(r"[\s,;]+", text) if w]


def _parts(text: str) -> list[str]:
    return [p.strip() for p in text.split(";") if p.strip()]


def _lives(text: str) -> list[dict[str, str]]:
    found = []
    for part in _parts(text):
        life, at, temperature = part.partition(" at ")
        if not at:
            raise ValueError(part)
        found.append({"temperature": temperature.strip(), "life": life.strip()})
    return found


def _ratio(text: str) -> list[float]:
    numbers = [float(n.replace(",", ".")) for n in re.split(r"\s*:\s*", text.strip())]
    if len(numbers) != 2:
        raise ValueError(text)
    return [int(x) if x == int(x) else x for x in numbers]


_LIVES = OnALine(
    lambda value: "; ".join(f"{p['life']} at {p['temperature']}" for p in value),
    _lives,
    "30 day at 21 °C; 6 day at 30 °C",
)
ON_A_LINE = {
    "days": OnALine(lambda value: " ".join(value), _words, "Mon Tue Wed Thu Fri"),
    "lives": _LIVES,
    "tack_life": _LIVES,
    "parts_by_volume": OnALine(lambda value: " : ".join(f"{x:g}" for x in value), _ratio, "2 : 1"),
    "densities": OnALine(lambda value: "; ".join(value), _parts, "1.10 g/cm³; 1.02 g/cm³"),
}
"""By the names of fields."""


def read_line(name: str, typed: str, tongue: Tongue) -> Any:
    """Return what was typed as the file states it.

    Parameters
    ----------
    name
        Of the field.
    typed
        On the line.
    tongue
        Of the person, for messages.

    Raises
    ------
    InputError
        When it cannot be read.
    """
    way = ON_A_LINE[name]
    try:
        return way.read(typed)
    except ValueError:
        says = tongue.say("asked.no_list", came=typed, example=way.example)
        raise InputError.one("", typed, says.rstrip(".")) from None
