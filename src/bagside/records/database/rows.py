"""Events and things as rows of a table, and back."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Row

from bagside.ledger.bodies import body_data, body_from
from bagside.ledger.event import Event
from bagside.ledger.things import Build, Thing, thing_from_json, thing_json


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """A thing as the view holds it.

    Parameters
    ----------
    thing
        As it is.
    last
        Time of the latest event that counts for it [UTC].
    upto
        Order of the newest event that touches it.
    """

    thing: Thing
    last: datetime
    upto: int


def event_row(event: Event) -> dict[str, Any]:
    """Return an event as a row of `bagside.records.database.tables.events`.

    Parameters
    ----------
    event
        With its order and when it was kept.
    """
    return {
        "order": event.order,
        "id": event.id,
        "at": event.at,
        "zone": event.zone,
        "who": event.who,
        "device": event.device,
        "late": event.late,
        "kind": event.kind,
        "body": json_of(body_data(event.body)),
        "kept": event.kept,
    }


def event_of(row: Row[Any]) -> Event:
    """Return the event that a row holds.

    Parameters
    ----------
    row
        All columns of `bagside.records.database.tables.events`, in their order.
    """
    order, id_, at, zone, who, device, late, kind, body, kept = tuple(row)
    return Event(
        id=id_,
        at=at,
        zone=zone,
        who=who,
        device=device,
        body=body_from(kind, json.loads(body), f"event {order} of the records"),
        late=bool(late),
        order=order,
        kept=kept,
    )


def thing_row(name: str, standing: Known) -> dict[str, Any]:
    """Return a thing as a row of `bagside.records.database.tables.things`.

    Parameters
    ----------
    name, standing
        Of the thing.
    """
    thing = standing.thing
    return {
        "name": name,
        "sort": thing.sort.value,
        "there": thing.there,
        "born": thing.born,
        "last": standing.last,
        "upto": standing.upto,
        "material": getattr(thing, "material", ""),
        "job": thing.planned.job if isinstance(thing, Build) else "",
        "state": thing_json(thing),
    }


def thing_of(sort: str, state: str) -> Thing:
    """Return the thing that a row holds.

    Parameters
    ----------
    sort, state
        Its columns.
    """
    return thing_from_json(sort, state)


def json_of(data: Mapping[str, Any]) -> str:
    """Return values as JSON without anything it does not need.

    Parameters
    ----------
    data
        Plain values.
    """
    return json.dumps(data, separators=(",", ":"), allow_nan=False)
