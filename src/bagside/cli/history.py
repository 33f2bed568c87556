"""Events as lines of text that can be read in twenty years; what a kind of thing says of them is its own."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bagside.ledger.bodies import Body, Corrected
    from bagside.ledger.event import Event


def lines_of(events: Sequence[Event], said: Callable[[Body], str]) -> Iterator[str]:
    """Yield a line for each event in the order in which they happened: when, who, what, its id, what became of it.

    Parameters
    ----------
    events
        That touch a thing, and those that correct them.
    said
        Says in words what happened.
    """
    from bagside.ledger.bodies import Corrected
    from bagside.ledger.replay import in_order

    wrong = {e.body.corrects: e.id for e in events if isinstance(e.body, Corrected)}
    for event in in_order(events):
        when = event.at.astimezone().strftime("%Y-%m-%d %H:%M")
        marks = " (written down late)" if event.late else ""
        if event.id in wrong:
            marks += f" (corrected by {wrong[event.id][:8]})"
        yield f"{when}  {event.who:<10}  {said(event.body)}{marks}  [{event.id[:8]}]"


def correction_said(body: Corrected, said: Callable[[Body], str]) -> str:
    """Return in words what was wrong, and what it was instead.

    Parameters
    ----------
    body
        The correction.
    said
        Says in words what happened.
    """
    from bagside.ledger.bodies import body_from

    what = f"it was: {said(body_from(body.kind, body.data))}" if body.kind else "it never happened"
    return f"{body.corrects[:8]} was wrong, {what}{f' – {body.why}' if body.why else ''}"
