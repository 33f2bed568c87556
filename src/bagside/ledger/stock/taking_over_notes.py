"""What is told when files are taken over into the ledger: what was dated otherwise, changed since, or left out."""

from __future__ import annotations

from dataclasses import fields
from datetime import date, datetime

from bagside.findings import Basis, Finding, Severity
from bagside.ledger.bodies import Received, Sort
from bagside.ledger.event import Event
from bagside.quantity import shown
from bagside.spec.stock import Taken

SOURCE = "workshop.toml and stock.toml against the ledger"


def changed(place: str, body: object, before: Event) -> list[Finding]:
    """Say what a file states otherwise now than it did when its line was taken over.

    Parameters
    ----------
    place
        Of the line.
    body
        As it stands there now.
    before
        The event it was taken over as.
    """
    if not isinstance(body, Received) or not isinstance(before.body, Received) or body.sort is Sort.PLACE:
        return []
    words = [
        f.name
        for f in fields(Received)
        if f.name not in ("place", "note") and getattr(body, f.name) != getattr(before.body, f.name)
    ]
    if not words:
        return []
    told = ", ".join(f"{w.replace('_', ' ')} {told_of(before.body, w)} → {told_of(body, w)}" for w in words)
    return [
        Finding(
            severity=Severity.WATCH,
            stage="stock",
            place=place,
            what=f"the file says otherwise now than when it was taken over: {told}",
            why="the ledger counts since then, so a change in the file changes nothing",
            do=f"if the file is right, correct the event: bagside stock correct {before.id[:8]}",
            basis=Basis.MEASURED,
            source=SOURCE,
        )
    ]


def told_of(body: object, word: str) -> str:
    """Return one value that a body states, as people write it.

    Parameters
    ----------
    body
        Of an event.
    word
        Name of the value.
    """
    value = getattr(body, word)
    if value is None or value in ("", ()):
        return "nothing"
    if word in ("length", "width", "selvedge"):
        return shown(value, "m", 2)
    if word in ("life_used", "tack_used", "seconds"):
        return shown(value, "h", 1)
    if word in ("temperature", "limit", "core", "room"):
        return shown(value, "°C", 1)
    if word in ("mass", "volume"):
        return shown(value, "g" if word == "mass" else "mL", 0)
    if word == "humidity":
        return shown(value, "%", 0)
    if word in ("outline", "holes", "flaws"):
        return f"{len(value)} corners" if word == "outline" else f"{len(value)}"
    return f"{value}"


def known(place: str, body: Received) -> list[Finding]:
    """Say that the ledger has a thing of this name already.

    Parameters
    ----------
    place
        Of the line.
    body
        As it stands there.
    """
    if body.sort is Sort.PLACE:
        return []
    return [
        Finding(
            severity=Severity.SEEN,
            stage="stock",
            place=place,
            what=f"{body.name} is in the ledger already, received there; what the file says is not taken over",
            why="a name is given once",
            do="give it another name in the file if it is another one",
            basis=Basis.MEASURED,
            source=SOURCE,
        )
    ]


def earlier(place: str, at: datetime, born: datetime) -> Finding:
    """Say that a cut is dated before its cloth is known.

    Parameters
    ----------
    place
        Of the line.
    at
        As it stands there.
    born
        When the ledger knows the cloth first.
    """
    return Finding(
        severity=Severity.WATCH,
        stage="stock",
        place=place,
        what=f"it stands there as of {at.date().isoformat()}, before the ledger knows its cloth; it is taken over "
        f"as of {born.date().isoformat()}",
        why="nothing can be cut from what is not there yet",
        do="nothing, if the length is right; what is left is right then",
        basis=Basis.MEASURED,
        source=SOURCE,
    )


def ahead(place: str, day: date, now: datetime) -> Finding:
    """Say that a day has not come yet.

    Parameters
    ----------
    place
        Of the line.
    day
        As it stands there.
    now
        The moment.
    """
    return Finding(
        severity=Severity.WATCH,
        stage="stock",
        place=place,
        what=f"its day, {day.isoformat()}, has not come yet; it is taken over as of {now.date().isoformat()}",
        why="what has not happened cannot be kept",
        do="look at the date in the file; correct the event if it was another day",
        basis=Basis.MEASURED,
        source=SOURCE,
    )


def no_roll(place: str, taken: Taken) -> Finding:
    """Say that a length was taken off a roll that nobody knows.

    Parameters
    ----------
    place
        Of the line.
    taken
        As it stands there.
    """
    return Finding(
        severity=Severity.WATCH,
        stage="stock",
        place=place,
        what=f"{shown(taken.length, 'm', 2)} were taken off roll {taken.roll}, which workshop.toml does not know; "
        "it is not taken over",
        why="a length cannot come off a roll that is not there",
        do="nothing, if that roll is used up; state it under [[stock]] and begin again if it is not",
        basis=Basis.MEASURED,
        source=SOURCE,
    )
