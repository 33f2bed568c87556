"""The records carried out and in: written as lines of JSON with their files beside, and read back into any records.

What is read is looked at whole before any of it is kept, and then kept in one transaction, by the same rules as new
events and as together as it was kept first. What the ledger has already counts once.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from itertools import groupby, islice
from pathlib import Path

from sqlalchemy import insert

from bagside.errors import InputError, Problem
from bagside.ledger.event import Event
from bagside.records.attachments import Attachments, attached
from bagside.records.database.keeping import keep
from bagside.records.database.ledger import Ledger
from bagside.records.database.rows import event_row
from bagside.records.database.tables import events, touches
from bagside.records.database.views import rebuilt
from bagside.records.lines import lines_of, told
from bagside.records.writing import replaced_by

NAMING = ("logged", "cured", "photographed", "corrected")
"""Kinds of events that name files."""
AT_ONCE = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class Exported:
    """What was written: number of events, of files that the records name, and those of them that are not there."""

    events: int
    files: int
    missing: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Imported:
    """What was read: events that are new, that were there already, and files that nobody gave (digest, name)."""

    new: int
    already: int
    files: int
    missing: tuple[tuple[str, str], ...]


def exported(ledger: Ledger, path: Path, files: Path | None = None) -> Exported:
    """Write everything into a file, in one step or not at all.

    Parameters
    ----------
    ledger
        Opened; others may write to it meanwhile: what is there when this begins is written.
    path
        Of the file.
    files
        Folder into which the files that the records name are copied; they are only listed when None.

    Raises
    ------
    OutputError
        When it cannot be written; then what was there is as it was.
    """
    count = ledger.count
    named = attached(e for e in ledger.events(kinds=NAMING) if e.order <= count)
    store = Attachments(ledger.folder)
    replaced_by(path, lines_of(islice(ledger.events(), count), count, named))
    missing = store.verify(named)
    gone = {*missing.missing, *missing.changed}
    if files is not None:
        files.mkdir(parents=True, exist_ok=True)
        there = Attachments(files)
        for digest, called in named.items():
            if (digest, called) not in gone:
                there.put(store.path(digest), called)
    return Exported(events=count, files=len(named), missing=tuple(f for f in named.items() if f in gone))


def imported(ledger: Ledger, path: Path, files: Path | None = None) -> Imported:
    """Read an export into records: everything in it, or nothing.

    Parameters
    ----------
    ledger
        Opened; empty or not.
    path
        Of the file.
    files
        Folder into which the files were copied; they are looked for in the workshop only when None.

    Raises
    ------
    InputError
        When the file is cut off, was changed, or is none; when what it tells cannot be kept. Nothing is changed then.
    OutputError
        When the disk or the server fails.
    """
    named = dict(file for _, _, file in told(path) if file is not None)  # the whole file, before anything is kept
    given_events = ((number, event) for number, event, _ in told(path) if event is not None)
    new = already = 0
    with ledger.door.writing() as connection:
        for group in _chunks(given_events):
            given = [event for _, event in group]
            now = max([datetime.now(UTC), *(event.kept for event in given if event.kept is not None)])
            try:
                added = keep(connection, given, now, as_kept=True)
            except InputError as error:
                raise InputError(_at_line(p, [n for n, _ in group], path.name) for p in error.problems) from None
            new += len(added.new)
            already += len(added.already)
    store = Attachments(ledger.folder)
    if files is not None:
        beside = Attachments(files)
        lacking = beside.verify(named)
        for digest, called in named.items():
            if (digest, called) not in {*lacking.missing, *lacking.changed}:
                store.put(beside.path(digest), called)
    there = store.verify(named)
    return Imported(new=new, already=already, files=len(named), missing=(*there.missing, *there.changed))


def _chunks(events: Iterable[tuple[int, Event]]) -> Iterator[list[tuple[int, Event]]]:
    """Give events some at a time, never parting those that were kept together: they may only be true together."""
    chunk: list[tuple[int, Event]] = []
    for _, group in groupby(events, key=lambda pair: pair[1].kept):
        chunk += group
        if len(chunk) >= AT_ONCE:
            yield chunk
            chunk = []
    if chunk:
        yield chunk


def _at_line(problem: Problem, numbers: list[int], name: str) -> Problem:
    """Return a problem with the line that it is in."""
    place = problem.place
    head, mark, rest = place.partition(", ")
    number = numbers[0]
    if mark and head.startswith("event ") and " of " in head:
        number = numbers[int(head.split()[1]) - 1]
        place = rest
    return replace(problem, place=f"{name}, line {number}, {place}")


def put_back(ledger: Ledger, path: Path) -> int:
    """Put an export back into empty records as it is, and make all things anew; return how many events there are.

    Parameters
    ----------
    ledger
        Opened, and empty.
    path
        Of the file, which is looked at whole first.

    Raises
    ------
    InputError
        When the file is cut off, was changed, or is none. Nothing is changed then.
    OutputError
        When the disk or the server fails.

    Notes
    -----
    No rule is asked: what was kept once is given back, whatever the rules have become since.
    """
    for _ in told(path):
        pass
    count = 0
    with ledger.door.writing() as connection:
        rows = (event for _, event, _ in told(path) if event is not None)
        while chunk := list(islice(rows, AT_ONCE)):
            kept = [
                replace(e, order=count + k, kept=e.kept or e.at) for k, e in enumerate(chunk, start=1)
            ]
            count += len(kept)
            connection.execute(insert(events), [event_row(e) for e in kept])
            touched = [{"name": name, "event": e.order} for e in kept for name in e.subjects]
            if touched:
                connection.execute(insert(touches), touched)
        rebuilt(connection)
    return count
