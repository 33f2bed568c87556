"""What both commands that correct an event share: what is asked is looked at, the event is found, and both are told."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import datetime

    from bagside.ledger.bodies import Body
    from bagside.ledger.event import Event
    from bagside.records.database.ledger import Ledger
    from bagside.records.desk import Desk


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A correction as it is typed.

    Parameters
    ----------
    event
        Its id, or the beginning of it.
    change
        What it says instead, each as NAME=VALUE.
    why
        What was wrong.
    when
        When it really happened; as it was when empty.
    void
        Whether it never happened.
    """

    event: str
    change: Sequence[str]
    why: str
    when: str
    void: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """A correction that was kept.

    Parameters
    ----------
    wrong
        The event that is corrected.
    was, now
        What it said until now, and what it says instead; None for nothing.
    was_at, now_at
        When.
    events
        That were kept: the correction, and what goes along with it.
    """

    wrong: Event
    was: Body
    now: Body | None
    was_at: datetime
    now_at: datetime
    events: Sequence[Event]


def correction_kept(
    asked: Asked,
    here: Desk,
    keep: Callable[..., Sequence[Event]],
    *,
    read: Callable[[str, Body], str] = lambda change, body: change,
) -> Correction:
    """Return a correction once it is kept.

    Parameters
    ----------
    asked
        What is typed.
    here
        Where.
    keep
        Keeps bodies at a desk and returns their events.
    read
        Makes of a change what its kind of event takes.

    Raises
    ------
    InputError
        When there is no such event, or it cannot be true.
    """
    from datetime import UTC

    from bagside.cli.build.changing import changed
    from bagside.cli.desk import moment_of
    from bagside.ledger.correcting import as_corrected
    from bagside.ledger.following import corrections

    history = here.ledger.history
    wrong = event_called(here.ledger, asked.event)
    stands = as_corrected(wrong, history) or wrong
    body = None if asked.void else changed(stands.body, [read(c, stands.body) for c in asked.change])
    moment = moment_of(asked.when)[0].astimezone(UTC) if asked.when else None
    return Correction(
        wrong=wrong,
        was=stands.body,
        now=body,
        was_at=stands.at,
        now_at=moment or stands.at,
        events=keep(here, *corrections(wrong, history, why=asked.why, body=body, at=moment)),
    )


def check_asked(asked: Asked, example: str) -> None:
    """Refuse a correction that says nothing, or two things.

    Parameters
    ----------
    asked
        What is typed.
    example
        Of a change, for whoever typed none.

    Raises
    ------
    InputError
        Which says what is wanted.
    """
    from bagside.errors import InputError

    if asked.void and (asked.change or asked.when):
        raise InputError.one("--void", "", "what never happened says nothing else: leave the rest out")
    if not asked.void and not asked.change and not asked.when:
        raise InputError.one("NAME=VALUE", "", f'say what is different, as in "{example}", --when or --void')
    if not asked.why.strip():
        raise InputError.one("--why", "", "what was wrong is wanted, in a sentence")


def was_and_is(done: Correction, said: Callable[[Body], str]) -> list[str]:
    """Return two lines: what it was, what it is.

    Parameters
    ----------
    done
        The correction.
    said
        Says in words what happened.
    """
    from bagside.cli.build.words import clock

    now = "it never happened" if done.now is None else f"{said(done.now)}, {clock(done.now_at)}"
    return [f"It was: {said(done.was)}, {clock(done.was_at)}.", f"It is: {now}."]


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
