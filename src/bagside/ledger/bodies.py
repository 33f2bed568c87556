"""What can happen in the workshop, each as a value in SI units: the body of an event.

A body holds what a person or a program stated at that moment, never what can be worked out from other events. Names of
things are those on their labels. Lengths in m, areas in m², masses in kg, times in s, temperatures in K, pressures in
Pa absolute, money in the workshop's currency.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field
from datetime import datetime
from typing import Any

from pydantic import TypeAdapter, ValidationError

from bagside.errors import InputError, Problem
from bagside.ledger.build_bodies import (
    Bagged,
    Begun,
    Closed,
    Conceded,
    Cured,
    Debulked,
    Finished,
    Laid,
    Measured,
    Passed,
    Photographed,
    Pulled,
    Started,
)
from bagside.ledger.happening import (
    CLOTH,
    GOODS,
    Found,
    Loop,
    MassStage,
    Sort,
    Use,
    happening,
)
from bagside.ledger.stock_bodies import (
    Counted,
    Cut,
    CutPiece,
    Discarded,
    Label,
    Logged,
    Moved,
    NewOffcut,
    Opened,
    Received,
    Released,
    Repaired,
    Spent,
)

__all__ = [
    "CLOTH",
    "GOODS",
    "KINDS",
    "Bagged",
    "Begun",
    "Body",
    "Closed",
    "Conceded",
    "Corrected",
    "Counted",
    "Cured",
    "Cut",
    "CutPiece",
    "Debulked",
    "Discarded",
    "Finished",
    "Found",
    "Label",
    "Laid",
    "Logged",
    "Loop",
    "MassStage",
    "Measured",
    "Moved",
    "NewOffcut",
    "Opened",
    "Passed",
    "Photographed",
    "Pulled",
    "Received",
    "Released",
    "Repaired",
    "Sort",
    "Spent",
    "Started",
    "Use",
    "asks",
    "body_data",
    "body_from",
    "happening",
    "kind_of",
    "touches",
]


@happening
class Corrected:
    """An earlier event was wrong.

    Parameters
    ----------
    corrects
        Its id.
    subjects
        Everything it touched, and what it touches now.
    kind, data
        What happened instead; empty when nothing did.
    at
        When it really happened; as stated then when None.
    why
        What was wrong.
    """

    corrects: str
    subjects: tuple[str, ...]
    kind: str = ""
    data: dict[str, Any] = field(default_factory=dict)
    at: datetime | None = None
    why: str = ""


Body = (
    Received | Moved | Opened | Cut | Counted | Spent | Discarded | Logged | Released | Repaired | Begun | Started
    | Finished | Laid | Debulked | Bagged | Cured | Pulled | Measured | Photographed | Conceded | Passed | Closed
    | Corrected
)  # fmt: skip

KINDS: dict[str, type[Any]] = {
    c.__name__.lower(): c
    for c in (
        Received, Moved, Opened, Cut, Counted, Spent, Discarded, Logged, Released, Repaired, Begun, Started, Finished,
        Laid, Debulked, Bagged, Cured, Pulled, Measured, Photographed, Conceded, Passed, Closed, Corrected,
    )
}  # fmt: skip
"""Name of each kind of event, and its body."""

_ADAPTERS: dict[str, TypeAdapter[Any]] = {}

_TOUCHES: dict[type[Any], Callable[[Any], tuple[str, ...]]] = {
    Received: lambda b: (b.name,),
    Moved: lambda b: b.things,
    Opened: lambda b: (b.thing,),
    Cut: lambda b: (b.source, *b.kits, *(o.name for o in b.offcuts)),
    Counted: lambda b: (b.thing,),
    Spent: lambda b: (b.thing,),
    Discarded: lambda b: (b.thing,),
    Logged: lambda b: (b.place,),
    Released: lambda b: (b.mould,),
    Repaired: lambda b: (b.mould,),
    Begun: lambda b: (b.build,),
    Laid: lambda b: (b.build, b.kit),
    Debulked: lambda b: (b.build, b.bag),
    Bagged: lambda b: (b.build, *b.items),
    Cured: lambda b: (*b.builds, *b.bag, *b.moulds),
    Pulled: lambda b: (b.build, b.mould),
    Measured: lambda b: (b.subject,),
    Photographed: lambda b: (b.subject,),
    Corrected: lambda b: b.subjects,
}


def _build(body: Any) -> tuple[str, ...]:
    return (body.build,)


def kind_of(body: Body) -> str:
    """Return the name of a body's kind.

    Parameters
    ----------
    body
        Any.
    """
    return type(body).__name__.lower()


def touches(body: Body) -> tuple[str, ...]:
    """Return the names of what a body is about, each once.

    Parameters
    ----------
    body
        Any.
    """
    named = _TOUCHES.get(type(body), _build)(body)
    return tuple(dict.fromkeys(name for name in named if name))


def asks(body: Body) -> tuple[str, ...]:
    """Return the names of what a body rests on without changing it: rules want to know how they stand, too.

    Parameters
    ----------
    body
        Any.
    """
    named: tuple[str, ...] = ()
    if isinstance(body, Received | Cut):
        named = (body.place,)
    elif isinstance(body, Moved):
        named = (body.to,)
    elif isinstance(body, Spent):
        named = (body.build,)
    elif isinstance(body, Begun):
        named = (body.mould,)
    return tuple(name for name in named if name and name not in touches(body))


def body_data(body: Body) -> dict[str, Any]:
    """Return a body as plain values that JSON knows.

    Parameters
    ----------
    body
        Any.
    """
    data: dict[str, Any] = _adapter(kind_of(body)).dump_python(body, mode="json", exclude_defaults=True)
    return data


def body_from(kind: str, data: Mapping[str, Any], place: str = "event") -> Body:
    """Return the body that `body_data` wrote.

    Parameters
    ----------
    kind
        Its name.
    data
        Its values.
    place
        For messages.

    Raises
    ------
    InputError
        When the kind is not known, or a value is missing, unknown or of another type.
    """
    if kind not in KINDS:
        raise InputError.one(f"{place}, kind", f'"{kind}"', "one of " + ", ".join(KINDS) + " is wanted")
    try:
        body: Body = _adapter(kind).validate_python(dict(data))
    except ValidationError as error:
        raise InputError(
            Problem(
                place=", ".join([place, kind, *(str(p) for p in e["loc"])]),
                came=repr(e.get("input"))[:60],
                wanted=e["msg"].lower(),
            )
            for e in error.errors()
        ) from None
    return body


def _adapter(kind: str) -> TypeAdapter[Any]:
    if kind not in _ADAPTERS:
        _ADAPTERS[kind] = TypeAdapter(KINDS[kind])
    return _ADAPTERS[kind]
