"""``bagside build correct EVENT``: what was written down wrong is corrected by a new event; nothing is deleted."""

from __future__ import annotations

from typing import Annotated

import typer

from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson


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
    from bagside.cli import show
    from bagside.cli.build import words
    from bagside.cli.build.history import sentence_of
    from bagside.cli.correcting import Asked, check_asked, correction_kept, was_and_is
    from bagside.cli.desk import desk

    asked = Asked(event=event, change=change or (), why=why, when=when, void=void)
    check_asked(asked, "films=2")
    with desk(workshop, who, at, late=late) as here:
        done = correction_kept(asked, here, words.kept)
    if json:
        kept = [words.event_data(e) for e in done.events]
        show.emit({"kept": kept, "corrects": done.wrong.id, "findings": []})
        return 0
    for line in was_and_is(done, sentence_of):
        show.OUT.print(line, soft_wrap=True, markup=False)
    return 0
