"""One thing that happened: what, to what, when, who says so; written once and never changed.

Everything the workshop remembers is a row of these. An event has its id from the device that wrote it, so that one that
is sent twice counts once. What is true now follows from all of them in order (`bagside.ledger.replay`).
"""

from __future__ import annotations

import re
import uuid
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from bagside.errors import InputError, Problem
from bagside.ledger.bodies import Body, kind_of, touches

ID = re.compile(r"[0-9a-f]{32}")
LONGEST_NAME = 120


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One thing that happened.

    Parameters
    ----------
    id
        32 hexadecimal digits, made by the device that wrote it.
    at
        When it happened, in UTC.
    zone
        Of the clock it was read on: a name such as ``Europe/Berlin``, or an offset such as ``+01:00``.
    who
        Says so.
    device
        On which it was written.
    body
        What happened.
    late
        Whether it was written down after what came later, on purpose.
    order
        Its place in the ledger; 0 until it is kept.
    kept
        When the ledger took it, in UTC; None until then. It says nothing about what happened, so events are equal
        without `order` and `kept` (`same`).

    Raises
    ------
    InputError
        When the id is none, a name is missing or too long, or a time has no zone.
    """

    id: str
    at: datetime
    zone: str
    who: str
    device: str
    body: Body
    late: bool = False
    order: int = 0
    kept: datetime | None = None

    def __post_init__(self) -> None:
        """Refuse what cannot be kept."""
        wrong: list[Problem] = []
        if not ID.fullmatch(self.id):
            wrong.append(Problem(place="event, id", came=f'"{self.id}"', wanted="32 hexadecimal digits are wanted"))
        for word in ("who", "device", "zone"):
            text = str(getattr(self, word))
            if not text.strip() or len(text) > LONGEST_NAME:
                came, wanted = f'"{text[:20]}"', f"a name of 1 to {LONGEST_NAME} letters is wanted"
                wrong.append(Problem(place=f"event, {word}", came=came, wanted=wanted))
        for word in ("at", "kept"):
            time = getattr(self, word)
            if time is not None and time.utcoffset() != timedelta(0):
                wrong.append(Problem(place=f"event, {word}", came=str(time), wanted="a time in UTC is wanted"))
        if wrong:
            raise InputError(wrong)

    @property
    def kind(self) -> str:
        """What kind of thing happened: ``received``, ``moved``, …"""
        return kind_of(self.body)

    @property
    def subjects(self) -> tuple[str, ...]:
        """Names of everything it happened to, or that came of it."""
        return touches(self.body)

    def same(self, other: Event) -> bool:
        """Return whether another event says the same, whenever each was kept.

        Parameters
        ----------
        other
            With the same id, as a rule.
        """
        return (self.id, self.at, self.zone, self.who, self.device, self.body, self.late) == (
            other.id, other.at, other.zone, other.who, other.device, other.body, other.late,
        )  # fmt: skip


def new_event(
    body: Body, *, who: str, device: str, at: datetime, zone: str = "", late: bool = False, id: str = ""
) -> Event:
    """Return an event with an id of its own.

    Parameters
    ----------
    body
        What happened.
    who, device, late
        See `Event`.
    at
        When, with any zone.
    zone
        Name of the zone; the offset of `at` when not stated.
    id
        When the device has made one already.

    Raises
    ------
    InputError
        When `at` has no zone, or a name is missing.
    """
    if at.tzinfo is None:
        raise InputError.one("event, at", str(at), "a time with its zone is wanted, as in 2026-11-26T14:05+01:00")
    return Event(
        id=id or uuid.uuid4().hex,
        at=at.astimezone(UTC),
        zone=zone or at.strftime("%z")[:3] + ":" + at.strftime("%z")[3:5],
        who=who.strip(),
        device=device,
        body=body,
        late=late,
    )
