"""``bagside stock correct EVENT``: what was written down wrong is corrected by a new event; nothing is deleted."""

from __future__ import annotations

from typing import Annotated

import typer

from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson


def correct(
    event: Annotated[str, typer.Argument(metavar="EVENT", help="Its id, or the eight letters that show gives.")],
    change: Annotated[
        list[str] | None, typer.Argument(metavar="NAME=VALUE …", help='What it says instead, as in "length=12 m".')
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

    from bagside.cli.build.changing import changed
    from bagside.cli.build.correct import event_called
    from bagside.cli.build.words import clock
    from bagside.cli.desk import desk, moment_of
    from bagside.cli.stock.history import sentence_of
    from bagside.cli.stock.words import answered, kept
    from bagside.errors import InputError
    from bagside.ledger.correcting import as_corrected
    from bagside.ledger.following import corrections

    if void and (change or when):
        raise InputError.one("--void", "", "what never happened says nothing else: leave the rest out")
    if not void and not change and not when:
        raise InputError.one("NAME=VALUE", "", 'say what is different, as in "length=12 m", --when or --void')
    with desk(workshop, who, at, late=late) as here:
        history = here.ledger.history
        wrong = event_called(here.ledger, event)
        now = as_corrected(wrong, history) or wrong
        body = None if void else changed(now.body, change or [])
        moment = moment_of(when)[0].astimezone(UTC) if when else None
        events = kept(here, *corrections(wrong, history, why=why, body=body, at=moment))
    said = "it never happened" if body is None else f"{sentence_of(body)}, {clock(moment or now.at)}"
    lines = [f"It was: {sentence_of(now.body)}, {clock(now.at)}.", f"It is: {said}."]
    if len(events) > 1:
        lines.append(f"{len(events) - 1} more events name it, and were corrected with it.")
    return answered(lines, events=events, data={"corrects": wrong.id}, json=json)
