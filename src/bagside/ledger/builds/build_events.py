"""What each event makes of a build: ticks, readings and photos are added, steps take their start and their end."""

from __future__ import annotations

from dataclasses import replace
from typing import TypeVar

from bagside.ledger.bodies import (
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
from bagside.ledger.event import Event
from bagside.ledger.things import Build, Noted, StepDone

B = TypeVar("B")


def build_after(thing: Build | None, event: Event, name: str) -> Build | None:
    """Return a build after one more event; None when it has not begun.

    Parameters
    ----------
    thing
        As it was; None before it is begun.
    event
        One of those that count, not earlier than any before.
    name
        Its serial number.

    Notes
    -----
    A step that was finished without a start keeps none: how long it took is not known, and nothing is made up.
    """
    body = event.body
    if thing is None:
        return _begun(event, body, name) if isinstance(body, Begun) and body.build == name else None
    build = replace(thing, last=event.at)
    match body:
        case Started() | Finished():
            return replace(build, steps=tuple(_stepped(s, event, body) for s in build.steps))
        case Laid():
            return replace(build, laid=(*build.laid, _noted(event, body)))
        case Debulked():
            return replace(build, debulks=(*build.debulks, _noted(event, body)))
        case Bagged():
            return replace(build, bagged=(*build.bagged, _noted(event, body)))
        case Cured():
            return replace(build, cures=(*build.cures, _noted(event, body)))
        case Pulled():
            return replace(build, pulled=_noted(event, body))
        case Measured():
            return replace(build, measured=(*build.measured, _noted(event, body)))
        case Photographed():
            return replace(build, photos=(*build.photos, _noted(event, body)))
        case Conceded():
            return replace(build, conceded=(*build.conceded, _noted(event, body)))
        case Passed():
            return replace(build, passed=(*build.passed, _noted(event, body)))
        case Closed():
            return replace(build, closed=_noted(event, body))
        case _:
            return build


def _begun(event: Event, body: Begun, name: str) -> Build:
    return Build(
        name=name,
        planned=body.planned,
        born=event.at,
        last=event.at,
        begun_by=event.who,
        mould=body.mould,
        steps=tuple(StepDone(key=s.key) for s in body.planned.steps),
    )


def _stepped(step: StepDone, event: Event, body: Started | Finished) -> StepDone:
    """Return a step after its start or its end; any other as it was."""
    if step.key != body.step:
        return step
    step = replace(step, who=tuple(dict.fromkeys((*step.who, event.who))))
    if isinstance(body, Started):  # who joins later does not move its start
        return replace(step, started=step.started or event.at)
    return replace(
        step,
        finished=event.at,
        boxes=tuple(sorted(set(body.boxes))),
        attended=body.attended,
        note=body.note,
    )


def _noted(event: Event, what: B) -> Noted[B]:
    return Noted(at=event.at, who=event.who, event=event.id, what=what)
