"""What devices send, into the ledger: each event once, in the order in which it happened, and an answer for each.

A device sends what waits in its queue again and again until each is answered. So the answer for an event is one of
three: it was taken; the ledger has it already; or it cannot be true, with the sentence that says why. What merely looks
wrong is taken and told. When the disk fails nothing is answered, and the device keeps everything.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

from bagside.errors import InputError
from bagside.findings import Finding
from bagside.ledger.bodies import Body, Laid, Started, body_from
from bagside.ledger.builds.build_notes import noticed
from bagside.ledger.event import ID, LONGEST_NAME, Event
from bagside.ledger.following import corrections
from bagside.ledger.gates.before import gate_findings, gates_before, stopping
from bagside.ledger.things import Build
from bagside.records.desk import Desk

KINDS = (
    "started", "finished", "laid", "debulked", "bagged", "pulled", "measured", "released", "opened",
)  # fmt: skip
"""What a device on the floor may say: ticks and measurements. What decides (passing a gate, accepting a departure,
closing a build) is said at the desk."""
TAKEN_BACK = "taken-back"
"""Said of an event that was ticked by mistake: it never happened."""
MOST = 200
"""Events that are taken at once."""
OLDEST = timedelta(days=30)
"""A device that kept what it had to say for longer has a clock that is wrong, or is sent by nobody who works here."""
LONGEST_TEXT = 2000

Answer = dict[str, Any]


def answers_for(desk: Desk, sent: object, now: datetime | None = None) -> list[Answer]:
    """Take events from a device and return an answer for each, in their order.

    Parameters
    ----------
    desk
        With the device that sends; who says so stands with each event.
    sent
        As JSON data: ``id``, ``kind``, ``data``, ``at``, ``zone``, ``who``.
    now
        For tests; by the clock of this machine else [UTC].

    Raises
    ------
    InputError
        When it is no list of events, or too long a one; nothing was taken then.
    OutputError
        When the disk or the server fails: what is not answered is sent again.
    """
    if not isinstance(sent, list):
        raise InputError.one("events", type(sent).__name__, "a list of events is wanted")
    if len(sent) > MOST:
        raise InputError.one("events", str(len(sent)), f"at most {MOST} at once are wanted")
    return [_answer(desk, one, now) for one in sent]


def _answer(desk: Desk, sent: Any, now: datetime | None) -> Answer:
    """Return what became of one event."""
    id = str(sent.get("id", "")) if isinstance(sent, Mapping) else ""
    try:
        event, also = _read(desk, sent, now or datetime.now(UTC))
        known = desk.ledger.event(event.id)
        if known is not None:
            return {"id": id, "answer": "known", "said": [], "noticed": []}
        before = _build(desk, event)
        desk.ledger.add([event, *also], now)
    except InputError as error:
        return {"id": id, "answer": "refused", "said": [str(p) for p in error.problems], "noticed": []}
    return {"id": id, "answer": "taken", "said": [], "noticed": _told(desk, event, before)}


def _read(desk: Desk, sent: Any, now: datetime) -> tuple[Event, list[Event]]:
    """Return an event as a device sent it, and those that follow from it.

    Raises
    ------
    InputError
        When it cannot be read, or is not for a device on the floor to say.
    """
    if not isinstance(sent, Mapping):
        raise InputError.one("event", type(sent).__name__, "an object is wanted")
    id, kind, data = str(sent.get("id", "")), str(sent.get("kind", "")), sent.get("data")
    if not ID.fullmatch(id):
        raise InputError.one("event, id", f'"{id[:40]}"', "32 hexadecimal digits are wanted")
    if not isinstance(data, Mapping):
        raise InputError.one("event, data", type(data).__name__, "an object is wanted")
    at = moment_of(str(sent.get("at", "")))
    if at < now - OLDEST:
        raise InputError.one(
            "event, at", f"{at:%Y-%m-%d %H:%M} UTC", "that is more than a month ago",
            "look at the clock of this device; what did happen then is written down at the desk",
        )  # fmt: skip
    zone, who = str(sent.get("zone", ""))[:LONGEST_NAME], str(sent.get("who", "")).strip()
    own = Desk(folder=desk.folder, shop=desk.shop, ledger=desk.ledger, who=who, device=desk.device, kept=desk.kept)
    if kind == TAKEN_BACK:
        bodies = _taken_back(desk, data, at)
    elif kind in KINDS:
        bodies = [_body(kind, data)]
    else:
        raise InputError.one("event, kind", f'"{kind[:40]}"', "this is not for the floor to say", "say it at the desk")
    ids = [id, *(uuid.uuid5(uuid.UUID(hex=id), str(n)).hex for n in range(1, len(bodies)))]
    events = [own.event(body, at, one, zone=zone) for one, body in zip(ids, bodies, strict=True)]
    return events[0], events[1:]


def _body(kind: str, data: Mapping[str, Any]) -> Body:
    """Return what happened; texts that are too long to be typed on a phone are refused.

    Raises
    ------
    InputError
        When a value is missing, unknown, too long or of another type.
    """
    for word, value in data.items():
        if isinstance(value, str) and len(value) > LONGEST_TEXT:
            raise InputError.one(f"{kind}, {word}", f"{len(value)} letters", f"at most {LONGEST_TEXT} are wanted")
    return body_from(kind, data)


def _taken_back(desk: Desk, data: Mapping[str, Any], at: datetime) -> list[Body]:
    """Return the correction that says that an event never happened, and those that follow from it.

    Raises
    ------
    InputError
        When there is no such event, or it is not one that the floor says.
    """
    wanted, why = str(data.get("event", "")), str(data.get("why", "")).strip()
    found = desk.ledger.event(wanted) if ID.fullmatch(wanted) else None
    if found is None:
        raise InputError.one("taken back, event", f'"{wanted[:40]}"', "the records have no such event")
    if found.kind not in KINDS:
        raise InputError.one("taken back, event", found.kind, "this is not for the floor to take back")
    if not why:
        raise InputError.one("taken back, why", "", "the reason is wanted")
    out: list[Body] = list(corrections(found, desk.ledger.history, why=why[:LONGEST_TEXT]))
    return out


def moment_of(text: str) -> datetime:
    """Return a moment as a device states it [UTC].

    Parameters
    ----------
    text
        ISO 8601, with its zone.

    Raises
    ------
    InputError
        When it cannot be read, or has no zone.
    """
    try:
        at = datetime.fromisoformat(text.replace("Z", "+00:00"))
    except ValueError:
        at = datetime.min
    if at.tzinfo is None:
        raise InputError.one(
            "event, at", f'"{text[:40]}"', "a time with its zone is wanted, as in 2026-11-26T14:05:00Z"
        )
    return at.astimezone(UTC)


def text_of(data: Mapping[str, Any], word: str) -> str:
    """Return a text that a device sent, not longer than can be typed on a phone.

    Parameters
    ----------
    data
        As sent.
    word
        Name of the text.

    Raises
    ------
    InputError
        When it is too long.
    """
    text = str(data.get(word, "")).strip()
    if len(text) > LONGEST_TEXT:
        raise InputError.one(word, f"{len(text)} letters", f"at most {LONGEST_TEXT} are wanted")
    return text


def _build(desk: Desk, event: Event) -> Build | None:
    """Return the build that an event is about, as it is before it; None when it is about something else."""
    name = str(getattr(event.body, "build", "") or getattr(event.body, "subject", ""))
    found = desk.ledger.thing(name) if name else None
    return found if isinstance(found, Build) else None


def _told(desk: Desk, event: Event, build: Build | None) -> list[dict[str, str]]:
    """Return what a person should hear of an event that was taken: what looks wrong, what should have stopped it."""
    if build is None:
        return []
    out: list[Finding] = list(noticed(event, build))
    step = event.body.step if isinstance(event.body, Started) else ""
    if isinstance(event.body, Laid) and not any(n.what.ply == event.body.ply for n in build.laid):
        step = f"ply-{event.body.ply}"
    done = next((s for s in build.steps if s.key == step), None)
    if done is not None and done.started is None:
        out += gate_findings(stopping(gates_before(build, step, desk.standing(), event.at)))
    return [{"severity": f.severity.value, "place": f.place, "what": f.what, "why": f.why, "do": f.do} for f in out]
