"""``bagside build correct EVENT``: what was written down wrong is corrected by a new event; nothing is deleted."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from bagside.ledger.event import Event
    from bagside.records.database.ledger import Ledger


def correct(
    event: Annotated[str, typer.Argument(metavar="EVENT", help="Its id, or the eight letters that --history shows.")],
    change: Annotated[
        list[str] | None, typer.Argument(metavar="NAME=VALUE …", help='What it says instead, as in "films=2".')
    ] = None,
    why: Annotated[str, typer.Option(help="What was wrong, in a sentence.")] = "",
    when: Annotated[str, typer.Option(help='When it really happened, as in "2026-11-26 14:05".')] = "",
    void: Annotated[bool, typer.Option("--void", help="It never happened.")] = False,
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Correct an event: what it should have said, when it really was, or that it never happened."""
    from datetime import UTC

    from bagside.cli import show
    from bagside.cli.build import words
    from bagside.cli.build.changing import changed
    from bagside.cli.build.history import sentence_of
    from bagside.cli.desk import desk, moment_of
    from bagside.errors import InputError
    from bagside.ledger.correcting import as_corrected
    from bagside.ledger.following import corrections

    if void and (change or when):
        raise InputError.one("--void", "", "what never happened says nothing else: leave the rest out")
    if not void and not change and not when:
        raise InputError.one("NAME=VALUE", "", 'say what is different, as in "films=2", --when or --void')
    if not why.strip():
        raise InputError.one("--why", "", "what was wrong is wanted, in a sentence")
    with desk(workshop, who, at, late=late) as here:
        wrong = event_called(here.ledger, event)
        now = as_corrected(wrong, here.ledger.history) or wrong
        body = None if void else changed(now.body, change or [])
        moment = moment_of(when)[0].astimezone(UTC) if when else None
        history = here.ledger.history
        events = words.kept(here, *corrections(wrong, history, why=why, body=body, at=moment))
    if json:
        show.emit({"kept": [words.event_data(e) for e in events], "corrects": wrong.id, "findings": []})
        return 0
    show.OUT.print(f"It was: {sentence_of(now.body)}, {words.clock(now.at)}.", soft_wrap=True, markup=False)
    said = "it never happened" if body is None else f"{sentence_of(body)}, {words.clock(moment or now.at)}"
    show.OUT.print(f"It is: {said}.", soft_wrap=True, markup=False)
    return 0


def event_called(ledger: Ledger, text: str) -> Event:
    """Return the event a person means: its id, or the beginning of it.

    Parameters
    ----------
    ledger
        Opened.
    text
        As typed: six letters and digits or more.

    Raises
    ------
    InputError
        When there is none, or several begin so.
    """
    from bagside.cli.build.found import listed
    from bagside.errors import InputError

    word = text.strip().casefold()
    if len(word) < 6 or not set(word) <= set("0123456789abcdef"):
        raise InputError.one(
            "EVENT", f'"{text}"', "the id of an event is wanted, six letters of it or more", "--history shows them"
        )
    if len(word) == 32:
        exact = ledger.event(word)
        found = [] if exact is None else [exact]
    else:
        found = [e for e in map(ledger.event, ledger.ids(word)) if e is not None]
    if not found:
        raise InputError.one("EVENT", f'"{text}"', "there is no event of this id", "--history shows them")
    if len(found) > 1:
        raise InputError.one("EVENT", f'"{text}"', f"it may be {listed([e.id for e in found], 'or')}")
    return found[0]

