"""Everything that happened to one build, as lines of text that can be read in twenty years."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from bagside.ledger.bodies import Body
    from bagside.ledger.event import Event


def history_lines(events: Sequence[Event]) -> Iterator[str]:
    """Return a line for each event in the order in which they happened: when, who, what, its id, what became of it.

    Parameters
    ----------
    events
        That touch a build, and those that correct them.
    """
    from bagside.cli.history import lines_of

    return lines_of(events, sentence_of)


def sentence_of(body: Body) -> str:
    """Return what happened, in words.

    Parameters
    ----------
    body
        Of an event that is about a build.
    """
    from bagside.cli.history import correction_said
    from bagside.ledger import bodies as b

    if isinstance(body, b.Corrected):
        return correction_said(body, sentence_of)
    teller: Callable[[Any], str] | None = _TOLD.get(b.kind_of(body))
    return b.kind_of(body) if teller is None else teller(body)


def _begun(body: Any) -> str:
    on = f", on {body.mould}" if body.mould else ""
    return f"begun: {body.planned.job}, part {body.planned.number} of {body.planned.quantity}{on}"


def _finished(body: Any) -> str:
    ticks = f", ticked {', '.join(str(n + 1) for n in body.boxes)}" if body.boxes else ""
    note = f" – {body.note}" if body.note else ""
    return f"{body.step} finished{ticks}{note}"


def _laid(body: Any) -> str:
    kit = f" out of {body.kit}" if body.kit else ""
    return f"ply {body.ply}, piece {body.piece} laid{kit}, {_count(body.films, 'film')} off"


def _debulked(body: Any) -> str:
    from bagside.cli.build.words import span
    from bagside.quantity import shown

    warm = f", at {shown(body.temperature, '°C', 0)}" if body.temperature is not None else ""
    return f"debulked after ply {body.after}: {span(body.seconds)} at {shown(body.pressure, 'mbar', 0)}{warm}"


def _bagged(body: Any) -> str:
    items = f" with {', '.join(body.items)}" if body.items else ""
    note = f" – {body.note}" if body.note else ""
    return f"bagged{items}{note}"


def _cured(body: Any) -> str:
    from bagside.quantity import shown

    what = "post-cured" if body.post else "cured"
    log = f", log {body.called} ({body.file[:8]})" if body.file else ", no log"
    verdict = f": {body.verdict}" if body.verdict else ""
    cure = f", at least {shown(body.cure, '%', 0)} cured" if body.cure is not None else ""
    tg = f", Tg at least {shown(body.tg, '°C', 0)}" if body.tg is not None else ""
    return f"{what}{verdict}{cure}{tg}{log}"


def _pulled(body: Any) -> str:
    from bagside.quantity import shown

    off = f" {body.mould}" if body.mould else " the mould"
    warm = f" at {shown(body.temperature, '°C', 0)}" if body.temperature is not None else ""
    return f"pulled off{off}{warm}{', it stuck' if body.stuck else ''}"


def _measured(body: Any) -> str:
    from bagside.ledger.bodies import Found
    from bagside.quantity import shown

    place = f" at {body.place}" if body.place else ""
    value = body.value
    if body.found is Found.MASS:
        return f"{body.stage.value} mass {shown(value, 'g')}"
    if body.found is Found.CLIMATE:
        wet = f", {shown(body.humidity, '%', 0)}" if body.humidity is not None else ""
        return f"climate {shown(value, '°C')}{wet}"
    if body.found is Found.LEAK and body.start is not None and body.end is not None and body.seconds is not None:
        from bagside.cli.build.words import span

        return f"leak test {shown(body.start, 'mbar', 0)} to {shown(body.end, 'mbar', 0)} in {span(body.seconds)}"
    from bagside.cli.build.measure import key_of, told

    return f"{body.found.value}{place} {told(key_of(body.found), value)}"


def _count(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"


_TOLD: dict[str, Callable[[Any], str]] = {
    "begun": _begun,
    "started": lambda body: f"{body.step} started",
    "finished": _finished,
    "laid": _laid,
    "debulked": _debulked,
    "bagged": _bagged,
    "cured": _cured,
    "pulled": _pulled,
    "measured": _measured,
    "photographed": lambda body: f"photo {body.called}{f': {body.caption}' if body.caption else ''} ({body.file[:8]})",
    "conceded": lambda body: f"conceded by {body.by}: {body.what} – {body.why}; {body.effect}",
    "passed": lambda body: f"gate {body.gate} before {body.step} passed by {body.by}: {body.why}",
    "closed": lambda body: f"closed: {body.verdict}{f' – {body.why}' if body.why else ''}",
}
