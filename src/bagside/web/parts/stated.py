"""What may stand in a table of a stated file, read off the classes of `bagside.spec`: nothing is listed twice."""

from __future__ import annotations

from dataclasses import MISSING, dataclass, fields, replace
from datetime import date, time
from enum import StrEnum
from types import NoneType, UnionType
from typing import Annotated, Any, Union, get_args, get_origin, get_type_hints

from pydantic import TypeAdapter, ValidationError, WithJsonSchema

from bagside.errors import InputError
from bagside.quantity import Quantity

_BY_EXAMPLE: dict[str, Quantity] = {f"number with a unit, as in {kind.value.example}": kind for kind in Quantity}
"""What the schema of an amount's type says of it; no two kinds have the same example."""


class Sort(StrEnum):
    """How a field is typed."""

    AMOUNT = "amount"
    CHOICE = "choice"
    TEXT = "text"
    WHOLE = "whole"
    NUMBER = "number"
    FLAG = "flag"
    DAY = "day"
    CLOCK = "clock"
    OTHER = "other"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """A field of a stated class.

    Parameters
    ----------
    name
        In the file.
    sort
        How it is typed.
    wanted
        Its type, with its limits.
    kind
        Of an amount.
    options
        Of a choice.
    must
        Whether a file that lacks it is refused.
    default
        What counts when it is not stated; None when nothing does.
    """

    name: str
    sort: Sort
    wanted: Any
    kind: Quantity | None = None
    options: tuple[str, ...] = ()
    must: bool = False
    default: Any = None


_READ: dict[type[Any], tuple[Stated, ...]] = {}


def stated_fields(cls: type[Any]) -> tuple[Stated, ...]:
    """Return the fields of a stated class in the order of the class.

    Parameters
    ----------
    cls
        Of `bagside.spec`.
    """
    if cls in _READ:
        return _READ[cls]
    hints = get_type_hints(cls, include_extras=True)
    found = []
    for one in fields(cls):
        must = one.default is MISSING and one.default_factory is MISSING
        default = None if one.default is MISSING else one.default
        found.append(replace(_stated(one.name, hints[one.name], must), default=default))
    _READ[cls] = tuple(found)
    return _READ[cls]


def _stated(name: str, hint: Any, must: bool) -> Stated:
    kind = quantity_of(hint)
    if kind is not None:
        return Stated(name=name, sort=Sort.AMOUNT, wanted=hint, kind=kind, must=must)
    bare = _bare(hint)
    if isinstance(bare, type) and issubclass(bare, StrEnum):
        return Stated(name=name, sort=Sort.CHOICE, wanted=hint, options=tuple(v.value for v in bare), must=must)
    sorts = {bool: Sort.FLAG, int: Sort.WHOLE, float: Sort.NUMBER, str: Sort.TEXT, date: Sort.DAY, time: Sort.CLOCK}
    sort = sorts.get(bare, Sort.OTHER) if isinstance(bare, type) else Sort.OTHER
    return Stated(name=name, sort=sort, wanted=hint, must=must)


def _bare(hint: Any) -> Any:
    """Return a type without what is said beside it, and without None."""
    while True:
        if get_origin(hint) is Annotated:
            hint = get_args(hint)[0]
        elif get_origin(hint) in (Union, UnionType):
            rest = [a for a in get_args(hint) if a is not NoneType]
            if len(rest) != 1:
                return hint
            hint = rest[0]
        else:
            return hint


def quantity_of(hint: Any) -> Quantity | None:
    """Return the kind of amount that a field's type reads; None when it is no amount.

    Parameters
    ----------
    hint
        The type as annotated.
    """
    if get_origin(hint) is Annotated:
        for said in get_args(hint)[1:]:
            if isinstance(said, WithJsonSchema) and said.json_schema is not None:
                found = _BY_EXAMPLE.get(str(said.json_schema.get("description", "")))
                if found is not None and _bare(hint) is float:
                    return found
        return quantity_of(get_args(hint)[0])
    if get_origin(hint) in (Union, UnionType):
        return next((k for a in get_args(hint) if (k := quantity_of(a)) is not None), None)
    return None


def checked(value: object, wanted: Any) -> None:
    """Refuse a value that a field does not take.

    Parameters
    ----------
    value
        As a file states it.
    wanted
        The field's type.

    Raises
    ------
    InputError
        With what its reader says.
    """
    try:
        TypeAdapter(wanted).validate_python(value)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        says = str(first["ctx"]["error"]) if first["type"] == "value_error" else str(first["msg"])
        raise InputError.one("", str(value), says[:1].lower() + says[1:]) from None
