"""What happened, in the reader's words: the history of a roll, an offcut, a tin, a freezer, a mould."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from bagside.errors import InputError
from bagside.ledger.bodies import Body, Corrected, Found, body_from, kind_of
from bagside.web.words.sentences import recognised, said
from bagside.web.words.tongue import Tongue


def told(body: Body, tongue: Tongue, name: str = "") -> str:
    """Return what happened in words.

    Parameters
    ----------
    body
        Of any event.
    tongue
        Of the reader.
    name
        Of the thing that is looked at: it is left out where it goes without saying.
    """
    if isinstance(body, Corrected):
        return _corrected(body, tongue, name)
    teller = _TOLD.get(kind_of(body))
    return tongue.say(f"history.{kind_of(body)}", **_plain(body)) if teller is None else teller(body, tongue, name)


def _plain(body: Any) -> dict[str, str]:
    """Return every field of a body as words, for texts that need only those."""
    return {field: str(getattr(body, field)) for field in body.__dataclass_fields__}


def _corrected(body: Corrected, tongue: Tongue, name: str) -> str:
    why = f" – {own_words(body.why, tongue)}" if body.why else ""
    if not body.kind:
        return tongue.say("history.never", id=body.corrects[:8]) + why
    try:
        what = told(body_from(body.kind, body.data), tongue, name)
    except InputError:  # the ledger takes none like this
        what = body.kind
    return tongue.say("history.corrected", id=body.corrects[:8], what=what) + why


def own_words(text: str, tongue: Tongue) -> str:
    """Return words of an event: those that the program wrote in the reader's language, those of people as they are.

    Parameters
    ----------
    text
        A note or a reason; may be empty.
    tongue
        Of the reader.
    """
    return said(text, tongue).text if text and recognised(text) is not None else text


def _joined(*parts: str) -> str:
    return ", ".join(p for p in parts if p)


def amounts(body: Any, tongue: Tongue) -> str:
    """Return the amounts that a body states, in words; empty when it states none.

    Parameters
    ----------
    body
        With some of ``length``, ``mass``, ``volume``, ``count``.
    tongue
        Of the reader.
    """
    out = []
    for field, say in (("length", tongue.length), ("mass", tongue.mass), ("volume", tongue.volume)):
        value = getattr(body, field, None)
        if value is not None:
            out.append(say(value))
    count = getattr(body, "count", None)
    if count is not None:
        out.append(tongue.say("history.pieces", count=count))
    return _joined(*out)


def _received(body: Any, tongue: Tongue, name: str) -> str:
    say = tongue.say
    return _joined(
        _as_what(body, tongue, name),
        body.material,
        amounts(body, tongue),
        say("history.batch", batch=body.batch) if body.batch else "",
        say("history.use_by", day=tongue.day(body.use_by)) + f" {body.use_by.year}" if body.use_by else "",
        say("history.made", day=tongue.day(body.made)) + f" {body.made.year}" if body.made else "",
        say("history.life_used", time=tongue.duration(body.life_used)) if body.life_used is not None else "",
        say("history.comes_from", name=body.comes_from) if body.comes_from else "",
        say("history.set_to", temperature=tongue.temperature(body.temperature)) if body.temperature is not None else "",
        say("history.at_most", temperature=tongue.temperature(body.limit)) if body.limit is not None else "",
        say("history.into", place=body.place) if body.place else "",
        own_words(body.note, tongue),
    )


def _as_what(body: Any, tongue: Tongue, name: str) -> str:
    sort = tongue.say(f"freezer.sort_{body.sort.value}")
    return tongue.say("history.received", sort=sort, name="" if body.name == name else body.name).strip()


def _moved(body: Any, tongue: Tongue, name: str) -> str:
    others = [t for t in body.things if t != name]
    return _joined(
        tongue.say("history.moved", to=body.to),
        tongue.say("history.with", names=", ".join(others)) if others else "",
        tongue.say("history.sealed") if body.sealed else "",
        tongue.temperature(body.temperature) if body.temperature is not None else "",
    )


def _opened(body: Any, tongue: Tongue, name: str) -> str:
    say = tongue.say
    core = "" if body.core is None else say("history.core", temperature=tongue.temperature(body.core, 1))
    return _joined(
        say("history.opened"),
        core or say("history.core_reckoned"),
        "" if body.room is None else say("history.room", temperature=tongue.temperature(body.room, 1)),
        "" if body.humidity is None else tongue.share(body.humidity),
        say("history.dry" if body.dry else "history.wet"),
        say("history.all_the_same", why=body.why) if body.why else "",
    )


def _cut(body: Any, tongue: Tongue, name: str) -> str:
    say = tongue.say
    job = say("history.for_job", job=body.job) if body.job else ""
    if name in body.kits:
        return _joined(say("history.cut_from", source=body.source), ", ".join(p.label for p in body.kits[name]), job)
    if any(o.name == name for o in body.offcuts):
        return _joined(say("history.left_over", source=body.source), job)
    names = ", ".join([*body.kits, *(o.name for o in body.offcuts)])
    off = say("history.cut_off", length=tongue.length(body.length)) if body.length else say("history.cut_up")
    return _joined(off, job, say("history.became", names=names) if names else "")


def _counted(body: Any, tongue: Tongue, name: str) -> str:
    return _joined(tongue.say("history.counted", amount=amounts(body, tongue)), body.why)


def _spent(body: Any, tongue: Tongue, name: str) -> str:
    amount = amounts(body, tongue) or tongue.say("history.once")
    return _joined(
        tongue.say("history.spent", amount=amount),
        tongue.say("history.in_build", build=body.build) if body.build else "",
    )


def _logged(body: Any, tongue: Tongue, name: str) -> str:
    over = tongue.duration(body.times[-1] - body.times[0]) if body.times else "–"
    cold, warm = (tongue.temperature(f(body.temperatures), 1) for f in (min, max))
    gaps = tongue.count("history.gaps", len(body.gaps)) if body.gaps else ""
    return _joined(
        tongue.say("history.logged", called=body.called, count=len(body.times), over=over, cold=cold, warm=warm), gaps
    )


def _released(body: Any, tongue: Tongue, name: str) -> str:
    sealed = tongue.say("history.stripped") if body.sealed else ""
    return _joined(sealed, tongue.count("history.released", body.coats, agent=body.agent))


def _repaired(body: Any, tongue: Tongue, name: str) -> str:
    return _joined(tongue.say("history.repaired", what=body.what), body.where)


def _laid(body: Any, tongue: Tongue, name: str) -> str:
    return tongue.say("history.laid", ply=body.ply, piece=body.piece, build=body.build)


def _debulked(body: Any, tongue: Tongue, name: str) -> str:
    time = tongue.duration(body.seconds)
    return tongue.say("history.debulked", after=body.after, build=body.build, time=time)


def _cured(body: Any, tongue: Tongue, name: str) -> str:
    hottest = body.hottest_tool if body.hottest_tool is not None else body.hottest_part
    return _joined(
        tongue.say("history.post_cured" if body.post else "history.cured", builds=", ".join(body.builds)),
        "" if hottest is None else tongue.say("history.up_to", temperature=tongue.temperature(hottest)),
        _verdict(body.verdict, tongue),
    )


def _verdict(word: str, tongue: Tongue) -> str:
    """Return a verdict in the reader's language; one that this program does not know as it is written."""
    try:
        return tongue.say(f"history.verdict_{word.replace(' ', '_')}") if word else ""
    except KeyError:
        return word


def _closed(body: Any, tongue: Tongue, name: str) -> str:
    return _joined(tongue.say("history.closed", build=body.build, verdict=_verdict(body.verdict, tongue)), body.why)


def _pulled(body: Any, tongue: Tongue, name: str) -> str:
    return _joined(
        tongue.say("history.pulled", build=body.build),
        "" if body.temperature is None else tongue.temperature(body.temperature),
        tongue.say("history.stuck") if body.stuck else "",
    )


def _measured(body: Any, tongue: Tongue, name: str) -> str:
    if body.found is Found.CLIMATE:
        wet = "" if body.humidity is None else tongue.share(body.humidity)
        return _joined(tongue.say("history.climate", temperature=tongue.temperature(body.value, 1)), wet)
    if body.found is Found.LEAK and body.start is not None and body.end is not None and body.seconds is not None:
        return tongue.say(
            "history.leak", start=tongue.pressure(body.start), end=tongue.pressure(body.end),
            time=tongue.duration(body.seconds),
        )  # fmt: skip
    if body.found is Found.CORE:
        return tongue.say("history.core", temperature=tongue.temperature(body.value, 1))
    if body.found is Found.MASS:
        return tongue.say("history.weighed", mass=tongue.mass(body.value))
    return tongue.say("history.measured", what=body.found.value, place=body.place or "–")


def _photo(body: Any, tongue: Tongue, name: str) -> str:
    return _joined(tongue.say("history.photographed", called=body.called), body.caption)


_TOLD: dict[str, Callable[[Any, Tongue, str], str]] = {
    "received": _received,
    "moved": _moved,
    "opened": _opened,
    "cut": _cut,
    "counted": _counted,
    "spent": _spent,
    "logged": _logged,
    "released": _released,
    "repaired": _repaired,
    "laid": _laid,
    "debulked": _debulked,
    "cured": _cured,
    "closed": _closed,
    "pulled": _pulled,
    "measured": _measured,
    "photographed": _photo,
}
