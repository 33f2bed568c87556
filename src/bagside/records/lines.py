"""Everything in the records as lines of JSON: a text that any program can read in twenty years, and back again.

    {"bagside": "records", "form": 1, "events": 3, "files": 1, "sum": …}
    {"event": {"id": …, "at": …, "zone": …, "who": …, "device": …, "kind": …, "body": {…}, "kept": …}, "sum": …}
    …
    {"file": "<digest>", "called": "rim.jpg", "sum": …}
    {"end": 5, "sum": …}

Events stand in the order of the ledger. Each line's ``sum`` is made of the line and of the sum before it, so a line
that was changed, left out or moved is named, and a file without its last line is known to be cut off. Files that the
records name are listed; `bagside.records.carrying` copies them beside when asked for.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, NoReturn

from bagside.errors import InputError
from bagside.ledger.bodies import body_data, body_from
from bagside.ledger.event import Event

FORM = 1
"""Raised when lines are written that this program's elder sisters could not read."""
LONGEST = 64_000_000
"""A line may have so many bytes: a log of a million readings has 20 million."""
SUM = 16
_MARK = b',"sum":"'
CHANGED = "this line, or the one before it, is not as it was written"
CUT_OFF_INSIDE = "its first line says otherwise"
CUT_OFF = "the file ends without its last line: it was cut off"
COPY_AGAIN = "export it again, or copy the file again; nothing was changed"


def event_data(event: Event) -> dict[str, Any]:
    """Return an event as plain values.

    Parameters
    ----------
    event
        Any; its order is its place among the lines.
    """
    data: dict[str, Any] = {
        "id": event.id,
        "at": _moment(event.at),
        "zone": event.zone,
        "who": event.who,
        "device": event.device,
        "kind": event.kind,
        "body": body_data(event.body),
    }
    if event.late:
        data["late"] = True
    if event.kept is not None:
        data["kept"] = _moment(event.kept)
    return data


def event_from(data: Mapping[str, Any], place: str) -> Event:
    """Return the event that `event_data` wrote.

    Parameters
    ----------
    data
        Its values.
    place
        For messages.

    Raises
    ------
    InputError
        When a value is missing, unknown or none.
    """
    wanted = {"id", "at", "zone", "who", "device", "kind", "body"}
    if not wanted <= data.keys() <= wanted | {"late", "kept"}:
        strange = ", ".join(sorted((wanted - data.keys()) | (data.keys() - wanted - {"late", "kept"})))
        raise InputError.one(place, strange, "an event with " + ", ".join(sorted(wanted)) + " is wanted")
    if not isinstance(data["body"], dict) or not isinstance(data.get("late", False), bool):
        raise InputError.one(place, "", "an event with a body in braces, and late as true or false, is wanted")
    texts = {key: data[key] for key in ("id", "zone", "who", "device", "kind")}
    if not all(isinstance(text, str) for text in texts.values()):
        raise InputError.one(place, "", "text is wanted for id, zone, who, device and kind")
    try:
        at, kept = (None if data.get(k) is None else datetime.fromisoformat(data[k]) for k in ("at", "kept"))
    except (TypeError, ValueError):
        raise InputError.one(place, str(data["at"])[:40], "a time in UTC is wanted") from None
    if at is None:
        raise InputError.one(place, "", "a time in UTC is wanted")
    body = body_from(texts.pop("kind"), data["body"], place)
    try:
        return Event(at=at, body=body, late=data.get("late", False), kept=kept, **texts)
    except InputError as error:
        raise InputError(replace(p, place=p.place.replace("event", place, 1)) for p in error.problems) from None


def lines_of(events: Iterable[Event], count: int, files: Mapping[str, str]) -> Iterator[bytes]:
    """Give the lines of an export, each with its end.

    Parameters
    ----------
    events
        In the order of the ledger.
    count
        How many they are.
    files
        What the files that they name were called, by digest.
    """
    total = ""
    number = 0

    def line(data: Mapping[str, Any]) -> bytes:
        nonlocal total, number
        text = json.dumps(data, ensure_ascii=False, separators=(",", ":"), allow_nan=False).encode()
        total = _sum(total, text)
        number += 1
        return text[:-1] + _MARK + total.encode() + b'"}\n'

    yield line({"bagside": "records", "form": FORM, "events": count, "files": len(files)})
    for event in events:
        yield line({"event": event_data(event)})
    for digest, called in files.items():
        yield line({"file": digest, "called": called})
    yield line({"end": number + 1})


def told(path: Path) -> Iterator[tuple[int, Event | None, tuple[str, str] | None]]:
    """Give the number of each line of an export with the event it tells of, or with a file's digest and name.

    Parameters
    ----------
    path
        Of the file.

    Raises
    ------
    InputError
        When it is cut off, was changed, or is none, as soon as that is seen.
    """
    name = path.name
    want = {"event": -1, "file": -1}
    had = {"event": 0, "file": 0}
    end = number = 0
    for number, data in _lines(path):
        place = f"{name}, line {number}"
        if end:
            raise InputError.one(place, "", "there is more after the last line", COPY_AGAIN)
        if number == 1:
            want = {"event": _count(data, "events", place), "file": _count(data, "files", place)}
            continue
        kind, value = next(iter(data.items()), ("", None))
        if kind == "end" and len(data) == 1:
            end = number
            if value != number or had != want:
                _refuse(place, f"{had['event']} events and {had['file']} files", CUT_OFF_INSIDE)
        elif kind == "event" and len(data) == 1 and isinstance(value, dict):
            had["event"] += 1
            yield number, event_from(value, place), None
        elif kind == "file" and isinstance(value, str) and isinstance(data.get("called"), str):
            had["file"] += 1
            yield number, None, (value, str(data["called"]))
        else:
            _refuse(place, "", "an event, a file or the end is wanted")
    if not end:
        _refuse(f"{name}, line {number + 1}", "", CUT_OFF)


def _count(data: Mapping[str, Any], key: str, place: str) -> int:
    value = data.get(key)
    if not isinstance(value, int) or isinstance(value, bool) or value < 0:
        _refuse(f"{place}, {key}", repr(value)[:40], "a number from 0 is wanted")
    return value


def _lines(path: Path) -> Iterator[tuple[int, dict[str, Any]]]:
    """Give each line's number and values without its sum, which must be right."""
    total = ""
    try:
        with path.open("rb") as file:
            number = 0
            while raw := file.readline(LONGEST):
                number += 1
                place = f"{path.name}, line {number}"
                text, mark, own = raw.rstrip(b"\r\n").rpartition(_MARK)
                text += b"}"
                if number == 1:
                    _head(text if mark else raw, place)
                total = _sum(total, text)
                if own != total.encode() + b'"}':
                    _refuse(place, "", CHANGED if raw.endswith(b"\n") else CUT_OFF)
                yield number, _object(text, place)
            if not number:
                _refuse(path.name, "", "the file is empty")
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise InputError.one(path.name, f'"{path}"', f"it cannot be read: {reason}") from None


def _head(text: bytes, place: str) -> None:
    """Refuse what is no export, or one of a newer program."""
    try:
        data = json.loads(text)
    except ValueError:
        data = None
    if data is None and text.startswith(b'{"bagside":"records"'):
        _refuse(place, "", CUT_OFF)
    if not isinstance(data, dict) or data.get("bagside") != "records":
        raise InputError.one(
            place, "", "this is no export of records", 'a file that "bagside records export" wrote is wanted'
        )
    form = data.get("form")
    if form != FORM:
        raise InputError.one(
            place, f"form {form!r}"[:40], f"a newer bagside wrote this; this one reads form {FORM}", "update bagside"
        )


def _object(text: bytes, place: str) -> dict[str, Any]:
    try:
        data = json.loads(text)
    except ValueError:
        data = None
    if not isinstance(data, dict):
        _refuse(place, "", "values in braces are wanted")
    return data


def _refuse(place: str, came: str, wanted: str) -> NoReturn:
    raise InputError.one(place, came, wanted, COPY_AGAIN)


def _sum(before: str, text: bytes) -> str:
    return hashlib.sha256(before.encode() + text).hexdigest()[:SUM]


def _moment(time: datetime) -> str:
    return time.astimezone(UTC).isoformat().replace("+00:00", "Z")
