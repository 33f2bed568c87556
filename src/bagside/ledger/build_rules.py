"""What cannot be true of a build: each refusal is one sentence that says where, why, and what to do instead."""

from __future__ import annotations

from collections.abc import Mapping

from bagside.errors import Problem
from bagside.ledger.bodies import Begun
from bagside.ledger.event import Event
from bagside.ledger.things import Thing


def build_problems(event: Event, before: Mapping[str, Thing | None]) -> tuple[Problem, ...]:
    """Return why an event cannot be true of the builds it touches; nothing when it can.

    Parameters
    ----------
    event
        New.
    before
        Everything it touches, as it is; None for what is not known.
    """
    body = event.body
    if isinstance(body, Begun) and before.get(body.build) is not None:
        wanted = "this serial number is taken, and no two things ever share one"
        return (Problem(place="begun, build", came=f'"{body.build}"', wanted=wanted, hint="take the next number"),)
    return ()
