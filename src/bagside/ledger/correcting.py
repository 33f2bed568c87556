"""What was written down wrongly is corrected by a new event, as far as all that was told since still holds.

A correction, or something told late, changes what was true before events that are kept already. They are judged again
then: what could no longer be true of things as they become is refused, with the event that stands against it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import UTC, datetime, timedelta

from bagside.errors import InputError, Problem
from bagside.ledger.bodies import Body, Corrected, Received, Sort, asks, body_data, body_from, kind_of, touches
from bagside.ledger.builds.build_rules import build_problems
from bagside.ledger.event import Event
from bagside.ledger.replay import after, effective, standing_corrections
from bagside.ledger.rules import AHEAD
from bagside.ledger.stock.goods_events import a_sort
from bagside.ledger.stock.stock_rules import stock_problems
from bagside.ledger.things import Thing
from bagside.ledger.words import amiss, at_text

History = Callable[[str], Sequence[Event]]
"""From a name to every event that touches it, and those that they correct."""

KEPT_SORTS = (Sort.PLACE, Sort.MOULD)
"""Things that others name without an event of their own: they are given up, not taken back."""


def correction(
    event: Event, history: History, *, why: str, body: Body | None = None, at: datetime | None = None
) -> Corrected:
    """Return what says that an event was wrong.

    Parameters
    ----------
    event
        As it is kept. A correction that stands can be corrected too: `body` is what really happened, and without one
        the event that it corrected counts again as it did before.
    history
        Of every name.
    why
        What was wrong.
    body
        What happened instead; None when nothing did.
    at
        When it really happened; as it counts now when None.

    Raises
    ------
    InputError
        When no reason is given, nothing would change, or the time has no zone.
    """
    if not why.strip():
        raise InputError.one("corrected, why", "", "say what was wrong, as in: it was roll R-7")
    if at is not None and at.tzinfo is None:
        raise InputError.one("corrected, at", str(at), "a time with its zone is wanted, as in 2026-11-26T14:05+01:00")
    if isinstance(body, Corrected):
        raise InputError.one("corrected", "", "state what happened, not another correction")
    told = _told(event, history)
    stale = _stale(event, told.values())
    if stale:
        raise InputError.one("corrected, corrects", f'"{event.id[:8]}"', *stale)
    root = origin(event, told)
    counts = _counting(root, told.values())
    moment = None if at is None else at.astimezone(UTC)
    if body is None and counts is None and event is root:
        raise InputError.one("corrected", f'"{event.kind}"', "it is said already never to have happened")
    if body is not None and counts is not None:
        if moment is None and counts.at != root.at:
            moment = counts.at
        if body == counts.body and (moment or root.at) == counts.at:
            came, wanted = f'"{event.kind}"', "it says the same as before"
            raise InputError.one("corrected", came, wanted, "state what is different")
    new = () if body is None else touches(body)
    subjects = (*event.subjects, *(n for e in _family(root, told) for n in e.subjects), *new)
    return Corrected(
        corrects=event.id,
        subjects=tuple(dict.fromkeys(subjects)),
        kind="" if body is None else kind_of(body),
        data={} if body is None else body_data(body),
        at=moment,
        why=why.strip(),
    )


def as_corrected(event: Event, history: History) -> Event | None:
    """Return an event as it counts now, after every correction of it; None when it is said never to have happened.

    Parameters
    ----------
    event
        As it is kept; of a correction, what it corrects is returned.
    history
        Of every name.
    """
    told = _told(event, history)
    return _counting(origin(event, told), told.values())


def origin(event: Event, told: Mapping[str, Event]) -> Event:
    """Return the event that a correction, or a correction of one, speaks of at last; any other event is its own.

    Parameters
    ----------
    event
        Any.
    told
        Events by id, with what it corrects.
    """
    seen: set[str] = set()
    while isinstance(event.body, Corrected) and event.id not in seen and event.body.corrects in told:
        seen.add(event.id)
        event = told[event.body.corrects]
    return event


def _told(event: Event, history: History) -> dict[str, Event]:
    return {event.id: event, **{e.id: e for name in event.subjects for e in history(name)}}


def _counting(root: Event, told: Iterable[Event]) -> Event | None:
    return next((e for e in effective(list(told)) if e.id == root.id), None)


def _family(root: Event, told: Mapping[str, Event]) -> list[Event]:
    """Return all corrections of an event, and those of them."""
    return [e for e in told.values() if isinstance(e.body, Corrected) and origin(e, told).id == root.id]


def _stale(event: Event, told: Iterable[Event]) -> tuple[str, str] | tuple[()]:
    """Return why a correction cannot be corrected, and what to do: another one stands; nothing when it can.

    Things are told by the events that name them: one that only the older correction names would not learn of a newer.
    """
    events = {e.id: e for e in told}
    standing = standing_corrections(events.values())
    seen: set[str] = set()
    one = event
    while isinstance(one.body, Corrected) and one.id not in seen:
        seen.add(one.id)
        stands = standing.get(one.body.corrects)
        if stands is None or stands.id != one.id:
            return "another correction stands in its place", "correct that one, or the event itself"
        one = events.get(one.body.corrects, one)
    return ()


def broken_by(new: Event | Sequence[Event], history: History) -> tuple[Problem, ...]:
    """Return what would no longer hold if corrections, or events told late, were kept; nothing when all would.

    Parameters
    ----------
    new
        Events that are kept together; those among them that are no corrections and not late do no harm.
    history
        Of every name; whether it holds the new events already makes no difference.

    Returns
    -------
    tuple of Problem
        What is wrong with the corrections themselves, and every event kept before that could not be true any more.
        What was not true before either, by rules made since, is not told again.

    Notes
    -----
    Nothing before the earliest moment that changes can be broken, so only what shares an event from then on with the
    things that change is looked up: a mould that is named late does not bring every part that ever came off it.
    """
    news = (new,) if isinstance(new, Event) else tuple(new)
    ids = {e.id for e in news}
    subjects = {name for e in news for name in e.subjects}
    told: dict[str, Event] = {}
    known: set[str] = set()

    def load(names: Iterable[str]) -> None:
        for name in sorted(set(names) - known):
            known.add(name)
            told.update({e.id: e for e in history(name) if e.id not in ids})

    load(subjects)
    since = min(_changing(news, told))
    later = [e for e in told.values() if e.at >= since or isinstance(e.body, Corrected)]
    load(name for e in later for name in e.subjects)
    load(name for e in news for body in _bodies(e) for name in asks(body))
    wrong = [p for e in news if isinstance(e.body, Corrected) for p in _own(e, e.body, told, news)]
    if wrong:
        return tuple(wrong)
    found = _refused((*told.values(), *news), known, subjects, since)
    now = {k: v for k, v in found.items() if v[0].id not in ids}
    was = _refused(tuple(told.values()), known, subjects, since) if now else {}
    return tuple(
        amiss(f"{p.place}, {at_text(event.at)}", p.came, f"this would no longer hold: {p.wanted}", _first(event))
        for key, (event, p) in now.items()
        if key not in was
    )


def _changing(news: Sequence[Event], told: Mapping[str, Event]) -> Iterator[datetime]:
    """Yield the moments at which new events change what was true: of corrections, all that was said of the time."""
    everything = {**told, **{e.id: e for e in news}}
    for event in news:
        root = origin(event, everything)
        yield root.at
        for one in (event, *_family(root, everything)):
            if isinstance(one.body, Corrected) and one.body.at is not None and one.body.at.tzinfo is not None:
                yield one.body.at


def _first(event: Event) -> str:
    return f"correct event {event.id[:8]} of {event.who} first, or with it"


def _bodies(event: Event) -> Iterator[Body]:
    """Yield what an event says, and what it says instead when it is a correction."""
    body = event.body
    yield body
    if isinstance(body, Corrected) and body.kind:
        try:
            yield body_from(body.kind, body.data)
        except InputError:
            return


def _own(event: Event, body: Corrected, told: dict[str, Event], news: Sequence[Event]) -> Iterator[Problem]:
    """Yield what is wrong with a correction itself."""
    if not body.why.strip():
        yield amiss("corrected, why", "", "say what was wrong, as in: it was roll R-7")
    if body.kind == "corrected":
        yield amiss("corrected, kind", '"corrected"', "state what happened, not another correction")
        return
    if body.at is not None and body.at.utcoffset() != timedelta(0):
        yield amiss("corrected, at", str(body.at), "a time in UTC is wanted")
        return
    if body.at is not None and body.at > event.at + AHEAD:
        came, wanted = at_text(body.at), f"it is corrected on {at_text(event.at)}: it had not happened yet"
        yield amiss("corrected, at", came, wanted, "look at the time")
    instead: Body | None = None
    if body.kind:
        try:
            instead = body_from(body.kind, body.data, "corrected, data")
        except InputError as error:
            yield from error.problems
            return
    given = [e for e in news if e.id != event.id]
    all_told = {**told, **{e.id: e for e in given}}
    target = all_told.get(body.corrects)
    if target is None:
        yield amiss(
            "corrected, corrects", f'"{body.corrects}"', "no event of this id touches what is named here",
            "look at its id: bagside stock show",
        )  # fmt: skip
        return
    stale = _stale(target, all_told.values())
    if stale:
        yield amiss("corrected, corrects", f'"{body.corrects[:8]}"', *stale)
        return
    root = origin(target, all_told)
    touched = {*target.subjects, *(() if instead is None else touches(instead))}
    touched.update(n for e in _family(root, all_told) for n in e.subjects)
    lacking = sorted(touched - set(body.subjects))
    if lacking:
        wanted = f"it touched, or touches now, {', '.join(lacking)} as well"
        yield amiss("corrected, subjects", ", ".join(body.subjects), wanted, "name everything")
    first = root.body
    if isinstance(first, Received) and first.sort in KEPT_SORTS:
        kept = isinstance(instead, Received) and instead.sort is first.sort and instead.name == first.name
        if not kept and not (isinstance(target.body, Corrected) and not body.kind):
            yield amiss(
                "corrected", f'"{first.name}"', f"{a_sort(first.sort)} keeps its name and cannot be taken back: others "
                "name it", "discard it, and make the right one known",
            )  # fmt: skip


def _refused(
    events: Sequence[Event], known: set[str], subjects: set[str], since: datetime
) -> dict[tuple[str, str, str], tuple[Event, Problem]]:
    """Return what rules say against events from a moment on that touch some names, each as things were then."""
    state: dict[str, Thing | None] = {}
    out: dict[tuple[str, str, str], tuple[Event, Problem]] = {}
    for event in effective(events):
        names = event.subjects
        if event.at >= since and not subjects.isdisjoint(names):
            before = {name: state.get(name) for name in (*names, *asks(event.body)) if name in known}
            for problem in (*stock_problems(event, before), *build_problems(event, before)):
                out[(event.id, problem.place, problem.came)] = (event, problem)
        for name in names:
            if name in known:
                state[name] = after(state.get(name), event, name)
    return out
