"""Reading the files that people write, reporting every problem at once.

A file is TOML; the dataclasses of this package say what may stand in it. Each problem is given with its place as a
person would name it (``job.toml, ply 3, material``), what came, what is wanted and a near match. Nothing is guessed.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass
from pathlib import Path
from types import UnionType
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

from pydantic import TypeAdapter, ValidationError

from bagside.errors import InputError, Problem, did_you_mean

T = TypeVar("T")

_ONE = {
    "plies": "ply",
    "regions": "region",
    "lines": "line",
    "cuts": "cut",
    "holes": "hole",
    "segments": "segment",
    "post_cure": "post-cure segment",
    "pieces": "piece",
    "brackets": "bracket",
    "coats": "coat",
    "stock": "roll",
    "points": "point",
    "prepreg": "prepreg",
    "offcuts": "offcut",
    "flaws": "flaw",
    "templates": "template",
    "build_ups": "build-up",
    "places": "place",
    "offers": "offer",
    "cures": "cure",
    "gels": "gel time",
    "lives": "out-life",
    "tack_life": "tack life",
    "viscosities": "viscosity",
    "dsc": "DSC curve",
}


def load_toml(path: Path) -> dict[str, Any]:
    """Return the tables of a TOML file.

    Raises
    ------
    InputError
        When the file is missing, not text, or not TOML; names the line.
    """
    try:
        text = path.read_bytes().decode("utf-8")
    except FileNotFoundError:
        raise InputError.one(str(path), "", "there is no such file") from None
    except IsADirectoryError:
        raise InputError.one(str(path), "", "this is a folder; a file is wanted") from None
    except UnicodeDecodeError:
        raise InputError.one(path.name, "", "this is not a text file in UTF-8") from None
    except OSError as error:
        raise InputError.one(str(path), "", f"cannot be read: {error.strerror or error}") from None
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError.one(path.name, "", f"this is not TOML: {_lower_first(str(error))}") from None


def _lower_first(text: str) -> str:
    return text[:1].lower() + text[1:]


def stated_from(data: object, kind: type[T], file: str, at: Sequence[str | int] = ()) -> T:
    """Return a stated value from the tables of a file.

    Parameters
    ----------
    data
        Tables as read.
    kind
        The dataclass wanted.
    file
        File name, for messages.
    at
        Where in the file the tables stand.

    Raises
    ------
    InputError
        With every problem in the tables.
    """
    try:
        return TypeAdapter(kind).validate_python(data)
    except ValidationError as error:
        raise InputError(_problem(e, kind, file, at) for e in error.errors(include_url=False)) from None


def place_of(file: str, at: Sequence[str | int]) -> str:
    """Return a place in a file as a person would name it.

    Examples
    --------
    >>> place_of("job.toml", ["plies", 2, "material"])
    'job.toml, ply 3, material'
    """
    words: list[str] = []
    steps = list(at)
    k = 0
    while k < len(steps):
        step = steps[k]
        if isinstance(step, str) and step in _ONE and k + 1 < len(steps):
            following = steps[k + 1]
            words.append(f"{_ONE[step]} {following + 1 if isinstance(following, int) else following}")
            k += 2
            continue
        words.append(f"number {step + 1}" if isinstance(step, int) else str(step))
        k += 1
    return ", ".join([file, *words])


def _problem(error: Any, kind: type[Any], file: str, at: Sequence[str | int]) -> Problem:
    loc: tuple[str | int, ...] = tuple(x for x in error["loc"] if x != "[key]")
    place = place_of(file, [*at, *loc])
    came = error["input"]
    what = error["type"]
    if what == "value_error":
        return Problem(place=place, came="", wanted=str(error["ctx"]["error"]))
    if what == "missing":
        return Problem(place=place, came="", wanted="this is missing and cannot be guessed")
    if what == "unexpected_keyword_argument":
        known = _names(kind, loc[:-1])
        return Problem(place=place, came="", wanted="this is not known here", hint=did_you_mean(str(loc[-1]), known))
    if what in ("enum", "literal_error"):
        choices = error["ctx"]["expected"].replace("'", '"')
        options = [c.strip().strip('"') for c in choices.replace(" or ", ", ").split(",")]
        return Problem(
            place=place, came=f'"{came}"', wanted=f"one of {choices} is wanted", hint=did_you_mean(str(came), options)
        )
    text = f'"{came}"' if isinstance(came, str) else _short(came)
    return Problem(place=place, came=text, wanted=_PLAIN.get(what, _lower_first(error["msg"])))


_PLAIN = {
    "int_type": "a whole number is wanted",
    "int_parsing": "a whole number is wanted",
    "int_from_float": "a whole number is wanted",
    "float_type": "a number is wanted",
    "float_parsing": "a number is wanted",
    "string_type": "text in quotes is wanted",
    "bool_type": "true or false is wanted",
    "bool_parsing": "true or false is wanted",
    "tuple_type": "a list is wanted",
    "dict_type": "a table is wanted",
    "dataclass_type": "a table is wanted",
    "string_pattern_mismatch": "three capital letters are wanted, as in EUR",
}


def _short(value: object) -> str:
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, list | tuple):
        return "a list"
    if isinstance(value, bool):
        return "true" if value else "false"
    return str(value)[:60]


def _names(kind: Any, loc: Sequence[str | int]) -> list[str]:
    """Return the field names known at a place, following the types down."""
    at: Any = kind
    for step in loc:
        at = _inside(at, step)
    at = _dataclass_in(at)
    return [f.name for f in fields(at)] if at is not None else []


def _inside(kind: Any, step: str | int) -> Any:
    found = _dataclass_in(kind) if isinstance(step, str) else None
    if found is not None:
        hints = get_type_hints(found)
        if step in hints:
            return hints[step]
    origin, arguments = get_origin(kind), get_args(kind)
    if origin is dict:
        return arguments[1]
    if origin is tuple and arguments:
        return arguments[0]
    if origin in (Union, UnionType):
        for option in arguments:
            inner = _inside(option, step)
            if inner is not None:
                return inner
    return None


def _dataclass_in(kind: Any) -> Any:
    if is_dataclass(kind):
        return kind
    if get_origin(kind) in (Union, UnionType):
        return next((a for a in get_args(kind) if is_dataclass(a)), None)
    return None
