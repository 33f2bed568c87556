"""Everything that happened to a thing, the last at the top, and how one of it is corrected: nothing is deleted."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from dataclasses import fields, replace
from datetime import UTC, date
from typing import Any

from nicegui.element import Element

from bagside.ledger.bodies import Body, Corrected
from bagside.ledger.correcting import as_corrected
from bagside.ledger.event import Event
from bagside.ledger.following import corrections
from bagside.quantity import Quantity
from bagside.web.guard import device_of
from bagside.web.house import House
from bagside.web.parts.asking import Form
from bagside.web.parts.controls import verb
from bagside.web.parts.frame import Sheet, now, who_of
from bagside.web.parts.html import box, words
from bagside.web.parts.typed import degrees, metres
from bagside.web.views.thing import Happened, ThingView
from bagside.web.views.told import told

Done = Callable[..., Awaitable[None]]
SHOWN = 8
"""Events that are shown at once."""
KINDS: dict[str, tuple[Quantity, str]] = {
    "length": (Quantity.LENGTH, "m"),
    "width": (Quantity.LENGTH, "m"),
    "mass": (Quantity.MASS, "g"),
    "volume": (Quantity.VOLUME, "mL"),
    "temperature": (Quantity.TEMPERATURE, "°C"),
    "core": (Quantity.TEMPERATURE, "°C"),
    "room": (Quantity.TEMPERATURE, "°C"),
    "limit": (Quantity.TEMPERATURE, "°C"),
    "humidity": (Quantity.HUMIDITY, "%"),
    "life_used": (Quantity.TIME, "h"),
    "tack_used": (Quantity.TIME, "h"),
}
"""Numbers of events that can be changed here, and the unit they are asked in."""
WORDS = ("name", "material", "batch", "place", "to", "note", "agent", "what", "where", "why", "comes_from")
COUNTS = ("count", "coats", "coats_last", "cures")
DAYS = ("use_by", "made")
AMOUNTS = ("length", "mass", "volume", "count")


def happened_lines(sheet: Sheet, house: House, view: ThingView, done: Done) -> None:
    """Show everything that happened to a thing; each can be corrected.

    Parameters
    ----------
    sheet, house, view, done
        The page, the workshop, the thing, and what is called with a sentence when something was written down.
    """
    with box("ol", "history"):
        for happened in view.history[:SHOWN]:
            _line(sheet, house, view, happened, done)
    rest = view.history[SHOWN:]
    if rest:
        with box("details"):
            with box("summary", "act"):
                words(sheet.say("common.further", count=len(rest)))
            with box("ol", "history"):
                for happened in rest:
                    _line(sheet, house, view, happened, done)


def _line(sheet: Sheet, house: House, view: ThingView, happened: Happened, done: Done) -> None:
    say, tongue, event = sheet.say, sheet.tongue, happened.event
    when = event.at.astimezone(now().tzinfo)
    with box("li"):
        stamp = f"{tongue.day(when)} {when.year} {tongue.clock(when)}, {event.who}"
        late = f", {say('freezer.late')}" if event.late else ""
        words(stamp + late, look="q s")
        words(told(event.body, tongue, view.thing.name), tag="p", look="stale" if happened.corrected_by else "")
        if happened.corrected_by:
            words(say("freezer.corrected_by", id=happened.corrected_by[:8]), look="q s")
        elif not isinstance(event.body, Corrected):
            place = Element("div")

            def unfold() -> None:
                place.clear()
                with place:
                    _form(sheet, house, event, done)

            verb(say("freezer.correct"), unfold, name=f"{say('freezer.correct')}: {told(event.body, tongue)}")
            place.move()


def _form(sheet: Sheet, house: House, event: Event, done: Done) -> None:
    """Ask what is to be said instead: fields as they stand, when it really was, or that it never happened."""
    say = sheet.say
    form = Form(sheet)
    shown = _shown(form, event.body)
    form.text("at", say("freezer.when_really"), kind="datetime-local", wide="15em", hint=say("freezer.may_be_empty"))
    form.yes("never", say("freezer.never"))
    form.text("because", say("freezer.what_was_wrong"), hint=say("freezer.what_was_wrong_hint"), wide="100%")

    async def corrected() -> None:
        because = form.said("because", wanted=say("freezer.what_was_wrong_hint"))
        never = bool(form.values["never"])
        body = None if never else _changed(form, event.body, shown)
        moment = form.moment("at")
        device = device_of(sheet.client.request) or "desk"
        who = who_of(sheet.client)

        def write() -> None:
            with house.desk(who, device) as here:
                current = as_corrected(event, here.ledger.history) or event
                instead = None if never else current.body if body == event.body else body
                at = None if moment is None else moment.astimezone(UTC)
                given = corrections(event, here.ledger.history, why=because, body=instead, at=at)
                here.ledger.add([here.event(b) for b in given])

        await asyncio.to_thread(write)
        await done(say("freezer.is_corrected"))

    form.done(say("freezer.correct_it"), corrected)


def _shown(form: Form, body: Body) -> dict[str, str]:
    """Ask for every field that can be changed here, as it stands; return what stands there."""
    sheet = form.sheet
    tongue = sheet.tongue
    out: dict[str, str] = {}
    for f in fields(body):
        value: Any = getattr(body, f.name)
        if value is None and f.name in AMOUNTS:
            continue  # it was not counted so
        name = sheet.say(f"freezer.field_{f.name}") if f.name in (*KINDS, *WORDS, *COUNTS, *DAYS) else ""
        if f.name in KINDS:
            kind, unit = KINDS[f.name]
            if unit == "°C":
                unit = degrees(tongue)
            elif unit == "m":
                unit = metres(tongue)
            out[f.name] = "" if value is None else _in_unit(value, kind, unit, sheet)
            form.number(f.name, name, kind, unit, out[f.name])
        elif f.name in DAYS:
            out[f.name] = value.isoformat() if isinstance(value, date) else ""
            form.day(f.name, name, out[f.name])
        elif f.name in COUNTS:
            out[f.name] = "" if value is None else str(value)
            form.text(f.name, name, out[f.name], mode="numeric", wide="6em")
        elif f.name in WORDS and isinstance(value, str):
            out[f.name] = value
            form.text(f.name, name, value)
    return out


def _in_unit(value: float, kind: Quantity, unit: str, sheet: Sheet) -> str:
    """Return an SI number as it is written on a line in front of its unit."""
    from bagside.quantity import read

    zero, one = (read(f"{x} {unit}", kind) for x in (0, 1))
    number = (value - zero) / (one - zero)
    digits = 0 if abs(number - round(number)) < 1e-9 else 3
    return sheet.tongue.number(number, digits).replace("\u2009", "").replace("\u2212", "-")


def _changed(form: Form, body: Body, shown: dict[str, str]) -> Body:
    """Return what an event says with what was changed on the form; what was left alone stays to the last digit."""
    changes: dict[str, Any] = {}
    for name, before in shown.items():
        if form.said(name) == before:
            continue
        if name in KINDS:
            least = None if KINDS[name][0] is Quantity.TEMPERATURE else 0.0
            changes[name] = form.amount(name, least=least)
        elif name in DAYS:
            changes[name] = form.date(name)
        elif name in COUNTS:
            changes[name] = form.count(name)
        else:
            changes[name] = form.said(name)
    whole: Any = body
    made: Body = replace(whole, **changes)
    return made
