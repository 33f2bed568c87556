"""Everything that happened to a thing of the stock, as lines of text that can be read in twenty years."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import takewhile
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from bagside.ledger.bodies import Body
    from bagside.ledger.event import Event


def history_lines(events: Sequence[Event], name: str) -> Iterator[str]:
    """Return a line for each event in the order in which they happened: when, who, what, its id, what became of it.

    Parameters
    ----------
    events
        That touch a thing, and those that they correct.
    name
        Of the thing.
    """
    from bagside.cli.history import lines_of

    return lines_of(events, lambda body: sentence_of(body, name))


def sentence_of(body: Body, name: str = "") -> str:
    """Return what happened, in words.

    Parameters
    ----------
    body
        Of any event.
    name
        Of the thing that is looked at: it is left out where it goes without saying.
    """
    from bagside.cli.build.history import sentence_of as of_build
    from bagside.cli.history import correction_said
    from bagside.ledger import bodies as b

    if isinstance(body, b.Corrected):
        return correction_said(body, lambda other: sentence_of(other, name))
    teller = _TOLD.get(b.kind_of(body))
    if teller is not None:
        return teller(body, name)
    serial = getattr(body, "build", "")
    return f"{of_build(body)}{f' in build {serial}' if serial and serial != name else ''}"


def _received(body: Any, name: str) -> str:
    from bagside.quantity import shown

    said = [f"received{f' as {body.sort.value}' if body.name == name else f' {body.sort.value} {body.name}'}"]
    if body.material:
        said.append(f"of {body.material}")
    amounts = [
        shown(value, unit, digits)
        for value, unit, digits in ((body.length, "m", 2), (body.mass, "g", 0), (body.volume, "mL", 0))
        if value is not None
    ]
    amounts += [f"{body.count} pieces"] if body.count is not None else []
    told = [
        f"batch {body.batch}" if body.batch else "",
        f"last day {body.use_by.isoformat()}" if body.use_by is not None else "",
        f"out of the freezer for {shown(body.life_used, 'h', 0)} before" if body.life_used is not None else "",
        f"from {body.comes_from}" if body.comes_from else "",
        f"at {shown(body.temperature, '°C', 0)}" if body.temperature is not None else "",
        f"at most {shown(body.limit, '°C', 0)}" if body.limit is not None else "",
        f"into {body.place}" if body.place else "",
        body.note,
    ]
    return ", ".join([" ".join(said), *amounts, *(t for t in told if t)])


def _moved(body: Any, name: str) -> str:
    from bagside.quantity import shown

    others = [t for t in body.things if t != name]
    beside = f" with {', '.join(others)}" if others and name in body.things else ""
    what = "" if name in body.things else f"{', '.join(body.things)} "
    warm = f", {shown(body.temperature, '°C', 0)} there" if body.temperature is not None else ""
    return f"{what}moved to {body.to}{beside}{', sealed' if body.sealed else ''}{warm}"


def _opened(body: Any, name: str) -> str:
    from bagside.quantity import shown

    told = [
        f"core {shown(body.core, '°C', 1)}" if body.core is not None else "core not measured",
        f"room {shown(body.room, '°C', 1)}" if body.room is not None else "",
        shown(body.humidity, "%", 0) if body.humidity is not None else "",
        "bag dry" if body.dry else "bag not dry",
    ]
    why = f" – all the same: {body.why}" if body.why else ""
    return f"{_of(body.thing, name)}opened: {', '.join(t for t in told if t)}{why}"


def _cut(body: Any, name: str) -> str:
    from bagside.quantity import shown

    for_job = f" for {body.job}" if body.job else ""
    if name in body.kits:
        labels = ", ".join(sorted((p.label for p in body.kits[name]), key=by_ply))
        return f"{labels} cut from {body.source}{for_job}"
    if any(o.name == name for o in body.offcuts):
        return f"left over from {body.source}{for_job}"
    off = f"{shown(body.length, 'm', 2)} cut off" if body.length else "cut up"
    names = ", ".join([*body.kits, *(o.name for o in body.offcuts)])
    return f"{_of(body.source, name)}{off}{for_job}{f' into {names}' if names else ''}"


def _counted(body: Any, name: str) -> str:
    return f"{_of(body.thing, name)}counted: {_amounts(body)}{f' – {body.why}' if body.why else ''}"


def _spent(body: Any, name: str) -> str:
    return f"{_of(body.thing, name)}{_amounts(body)} used{f' in build {body.build}' if body.build else ''}"


def _logged(body: Any, name: str) -> str:
    from bagside.cli.build.words import span
    from bagside.quantity import shown

    over = span(body.times[-1] - body.times[0]) if body.times else "no time"
    cold, warm = (shown(f(body.temperatures), "°C", 1) for f in (min, max))
    gaps = f", {len(body.gaps)} gap{'s' if len(body.gaps) > 1 else ''}" if body.gaps else ""
    return f"{_of(body.place, name)}log {body.called}: {len(body.times)} readings over {over}, {cold} to {warm}{gaps}"


def _amounts(body: Any) -> str:
    from bagside.quantity import shown

    told = [
        shown(body.length, "m", 2) if getattr(body, "length", None) is not None else "",
        shown(body.mass, "g", 0) if body.mass is not None else "",
        shown(body.volume, "mL", 0) if body.volume is not None else "",
        f"{body.count} pieces" if body.count is not None else "",
    ]
    return ", ".join(t for t in told if t) or "once"


def _released(body: Any, name: str) -> str:
    coats = f"{body.coats} coat{'s' if body.coats > 1 else ''} of {body.agent}"
    return f"{_of(body.mould, name)}{'stripped, sealed anew, ' if body.sealed else ''}{coats}"


def _repaired(body: Any, name: str) -> str:
    return f"{_of(body.mould, name)}repaired{f' at {body.where}' if body.where else ''}: {body.what}"


def by_ply(label: str) -> tuple[int, str]:
    """Return a key by which 9 comes before 10A.

    Parameters
    ----------
    label
        Of a piece.
    """
    number = "".join(takewhile(str.isdigit, label))
    return (int(number or 0), label)


def _of(thing: str, name: str) -> str:
    return "" if thing == name else f"{thing} "


_TOLD: dict[str, Callable[[Any, str], str]] = {
    "received": _received,
    "moved": _moved,
    "opened": _opened,
    "cut": _cut,
    "counted": _counted,
    "spent": _spent,
    "logged": _logged,
    "released": _released,
    "repaired": _repaired,
    "discarded": lambda body, name: f"{_of(body.thing, name)}gone for good: {body.why}",
}
