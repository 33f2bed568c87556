"""``bagside stock correct EVENT``: what was written down wrong is corrected by a new event; nothing is deleted."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from bagside.ledger.bodies import Body
    from bagside.records.desk import Desk


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
    from bagside.cli.correcting import Asked, check_asked, correction_kept, was_and_is
    from bagside.cli.desk import desk
    from bagside.cli.stock.history import sentence_of
    from bagside.cli.stock.words import answered, kept

    asked = Asked(event=event, change=change or (), why=why, when=when, void=void)
    check_asked(asked, "length=12 m")
    with desk(workshop, who, at, late=late) as here:
        done = correction_kept(asked, here, kept, read=lambda one, body: _priced(one, body, here))
    lines = was_and_is(done, sentence_of)
    if done.now is not None and (differs := _differing(done.was, done.now)):
        lines.append(f"Changed: {', '.join(differs)}.")
    more = len(done.events) - 1
    if more:
        lines.append(f"{more} more event{' names' if more == 1 else 's name'} it, and went along.")
    return answered(lines, events=done.events, data={"corrects": done.wrong.id}, json=json)


def _priced(change: str, body: Body, here: Desk) -> str:
    """Return a change with its price read: it has the workshop's currency, and of cloth is for a square metre."""
    from bagside.cli.stock.read import money_of
    from bagside.ledger.bodies import CLOTH, Received

    name, equals, text = change.partition("=")
    if name.strip() != "price" or not equals or text.strip().casefold() in ("none", "nothing"):
        return change
    area = isinstance(body, Received) and body.sort in CLOTH
    return f"price={money_of(text, 'price', here.shop.currency, area=area)}"


def _differing(was: Body, now: Body) -> list[str]:
    """Return what two bodies of one kind state differently."""
    from dataclasses import fields

    from bagside.ledger.stock.taking_over_notes import told_of

    if type(was) is not type(now):
        return []
    names = [f.name for f in fields(now) if getattr(was, f.name) != getattr(now, f.name)]
    return [f"{n.replace('_', ' ')} {told_of(was, n)} → {told_of(now, n)}" for n in names]
