"""What can be done with a thing in hand: move it, open its bag, count, spend, throw away."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass

from bagside.findings import Finding, Severity
from bagside.ledger.bodies import Counted, Discarded, Opened, Sort, Spent
from bagside.ledger.clocks.thaw import Thaw, thaw_of
from bagside.ledger.stock.as_stands import moved_to
from bagside.ledger.stock.count_notes import counted_findings
from bagside.ledger.stock.opening import in_air, not_yet
from bagside.ledger.things import Cloth, Goods, Place
from bagside.quantity import Quantity
from bagside.web.house import House
from bagside.web.parts.asking import Form, folded
from bagside.web.parts.findings import findings
from bagside.web.parts.frame import Sheet, now
from bagside.web.parts.html import box, words
from bagside.web.parts.records import keep
from bagside.web.parts.typed import degrees, metres
from bagside.web.views.shelf.view import ClothLine
from bagside.web.views.thing import ThingView

Done = Callable[..., Awaitable[None]]


def move(sheet: Sheet, house: House, view: ThingView, done: Done) -> None:
    """Offer to move a thing to another place: its clocks follow.

    Parameters
    ----------
    sheet, house, view, done
        See `bagside.web.pages.freezer.hand.Hand`.
    """
    say = sheet.say
    others = [p for p in view.places if p != view.place]
    if not others:
        return
    with folded(say("freezer.move")):
        form = Form(sheet)
        form.pick("to", say("freezer.move_to"), {p: p for p in others})
        form.number("temperature", say("freezer.measured_there"), Quantity.TEMPERATURE, degrees(sheet.tongue),
                    hint=say("freezer.measured_hint"))  # fmt: skip

        async def moved() -> None:
            to = form.said("to")
            warm = form.amount("temperature", least=None)
            place = await asyncio.to_thread(_place, house, to)
            await keep(house, sheet, moved_to(place, [view.thing.name], temperature=warm))
            await done(say("freezer.moved", name=view.thing.name, to=to))

        form.done(say("freezer.move_it"), moved, name=f"{view.thing.name}: {say('freezer.move_it')}")


def move_several(
    sheet: Sheet, house: House, cloth: Sequence[ClothLine], places: Sequence[str], done: Done
) -> None:
    """Offer to move several rolls, offcuts and kits at once, as in the morning and in the evening.

    Parameters
    ----------
    sheet, house, done
        See `move`.
    cloth
        That is there.
    places
        Names of the places.
    """
    say = sheet.say
    with folded(say("freezer.move_several")):
        form = Form(sheet)
        with box("div", "ticks"):
            for line in cloth:
                form.yes(f"take {line.name}", f"{line.name}, {line.place}" if line.place else line.name)
        form.pick("to", say("freezer.move_to"), {p: p for p in places})

        async def moved() -> None:
            names = [line.name for line in cloth if form.values[f"take {line.name}"]]
            if not names:
                form.wrong(f"take {cloth[0].name}", say("freezer.tick_one"))
            to = form.said("to")
            place = await asyncio.to_thread(_place, house, to)
            await keep(house, sheet, moved_to(place, names))
            await done(say("freezer.moved_several", names=", ".join(names), to=to))

        form.done(say("freezer.move_them"), moved)


def _place(house: House, name: str) -> Place:
    with house.desk() as here:
        found = here.ledger.thing(name)
    if not isinstance(found, Place):
        raise TypeError(name)
    return found


def open_bag(sheet: Sheet, house: House, view: ThingView, done: Done) -> None:
    """Offer to open a sealed bag, and ask again when its core is not above the dew point yet.

    Parameters
    ----------
    sheet, house, view, done
        See `bagside.web.pages.freezer.hand.Hand`.
    """
    say, unit = sheet.say, degrees(sheet.tongue)
    with folded(say("freezer.open")):
        words(say("freezer.open_caution"), tag="p", look="caution s")
        form = Form(sheet)
        form.number("core", say("freezer.core"), Quantity.TEMPERATURE, unit, hint=say("freezer.core_hint"))
        form.number("room", say("freezer.room"), Quantity.TEMPERATURE, unit, hint=say("freezer.room_hint"))
        form.number("humidity", say("board.humidity"), Quantity.HUMIDITY, "%")
        form.yes("dry", say("freezer.bag_dry"), True)
        form.text("why", say("freezer.anyway"), hint=say("freezer.anyway_hint"), wide="100%")
        with box("div") as answer:
            pass

        async def opened() -> None:
            core = form.amount("core", least=None)
            room = form.amount("room", least=None)
            damp = form.amount("humidity")
            if damp is not None and not 0.0 < damp <= 1.0:
                form.wrong("humidity", say("board.humidity_range"))
            found, stop = await asyncio.to_thread(_asked, house, view, core, room, damp, bool(form.values["dry"]))
            why = form.said("why")
            answer.clear()
            if stop is not None and not why:
                with answer:
                    findings([stop], sheet.tongue)
                return
            body = Opened(
                thing=view.thing.name, core=core, room=found.room, humidity=found.humidity,
                dry=bool(form.values["dry"]), why=why if stop is not None else "",
            )  # fmt: skip
            await keep(house, sheet, body)
            await done(say("freezer.opened", name=view.thing.name))

        form.done(say("freezer.open_it"), opened, name=f"{view.thing.name}: {say('freezer.open_it')}")


def _asked(
    house: House, view: ThingView, core: float | None, room: float | None, damp: float | None, dry: bool
) -> tuple[Thaw, Finding | None]:
    """Return how far it has thawed in the air as it is, and why its bag must stay shut."""
    at = now()
    with house.desk() as here:
        shop = here.standing()
        cloth = shop.cloth(view.thing.name)
        found = thaw_of(cloth, shop, at)
        if room is not None or damp is not None:
            warm, moist = (found.room if room is None else room), (found.humidity if damp is None else damp)
            found = thaw_of(cloth, in_air(shop, cloth, warm, moist, at), at)
        return found, not_yet(found, core, wet=not dry)


def count(sheet: Sheet, house: House, view: ThingView, done: Done) -> None:
    """Offer to write down how much is really there.

    Parameters
    ----------
    sheet, house, view, done
        See `bagside.web.pages.freezer.hand.Hand`.
    """
    say, thing = sheet.say, view.thing
    with folded(say("freezer.count")):
        form = Form(sheet)
        if isinstance(thing, Cloth):
            words(say("freezer.reckoned", amount=sheet.tongue.length(thing.left)), tag="p", look="q s")
            form.number("length", say("freezer.length_left"), Quantity.LENGTH, metres(sheet.tongue))
        else:
            _amounts(form, thing)
        form.text("why", say("freezer.difference"), hint=say("freezer.may_be_empty"), wide="100%")

        async def counted() -> None:
            given = _given(form)
            if given == Given():
                form.wrong(next(iter(form.fields)), say("freezer.amount_wanted"))
            body = Counted(
                thing=thing.name, why=form.said("why"), length=given.length, mass=given.mass, volume=given.volume,
                count=given.count,
            )  # fmt: skip
            noticed: tuple[Finding, ...] = ()
            if isinstance(thing, Cloth) and body.length is not None:
                noticed = counted_findings(thing, body.length)
            await keep(house, sheet, body)
            await done(say("freezer.counted", name=thing.name))
            with sheet.root:
                findings([f for f in noticed if f.severity is not Severity.SEEN], sheet.tongue)

        form.done(say("board.write_down"), counted, name=f"{thing.name}: {say('freezer.count')}")


def spend(sheet: Sheet, house: House, view: ThingView, done: Done) -> None:
    """Offer to write down what was used of goods.

    Parameters
    ----------
    sheet, house, view, done
        See `bagside.web.pages.freezer.hand.Hand`.
    """
    say, thing = sheet.say, view.thing
    with folded(say("freezer.spend")):
        form = Form(sheet)
        _amounts(form, thing)
        if view.builds:
            form.pick("build", say("freezer.for_build"), {"": "–", **{b: b for b in view.builds}})

        async def spent() -> None:
            given = _given(form)
            body = Spent(
                thing=thing.name, build=form.said("build"), mass=given.mass, volume=given.volume, count=given.count
            )
            await keep(house, sheet, body)
            await done(say("freezer.spent", name=thing.name))

        form.done(say("board.write_down"), spent, name=f"{thing.name}: {say('freezer.spend')}")


def _amounts(form: Form, thing: object) -> None:
    """Ask for an amount as the goods are counted; in every way when nothing was ever counted."""
    say = form.sheet.say
    goods = thing if isinstance(thing, Goods) else None
    uncounted = goods is None or (goods.mass is None and goods.volume is None and goods.count is None)
    if uncounted or (goods is not None and goods.mass is not None):
        form.number("mass", say("freezer.mass"), Quantity.MASS, "g")
    if uncounted or (goods is not None and goods.volume is not None):
        form.number("volume", say("freezer.volume"), Quantity.VOLUME, "mL")
    if uncounted or (goods is not None and goods.count is not None):
        form.text("count", say("freezer.pieces"), mode="numeric", wide="6em")


@dataclass(frozen=True, slots=True)
class Given:
    """Amounts that were written [m], [kg], [m³], pieces; None where nothing was."""

    length: float | None = None
    mass: float | None = None
    volume: float | None = None
    count: int | None = None


def _given(form: Form) -> Given:
    """Return the amounts that were asked for."""
    asked = {key: form.amount(key) for key in ("length", "mass", "volume") if key in form.fields}
    return Given(
        length=asked.get("length"), mass=asked.get("mass"), volume=asked.get("volume"),
        count=form.count("count") if "count" in form.fields else None,
    )  # fmt: skip


def discard(sheet: Sheet, house: House, view: ThingView, done: Done) -> None:
    """Offer to write down that a thing is gone for good.

    Parameters
    ----------
    sheet, house, view, done
        See `bagside.web.pages.freezer.hand.Hand`.
    """
    say, thing = sheet.say, view.thing
    with folded(say("freezer.discard")):
        if thing.sort is not Sort.PLACE:
            words(say("freezer.discard_caution"), tag="p", look="caution s")
        form = Form(sheet)
        form.text("why", say("freezer.why"), hint=say("freezer.why_hint"), wide="100%")

        async def gone() -> None:
            why = form.said("why", wanted=say("freezer.why_wanted"))
            await keep(house, sheet, Discarded(thing=thing.name, why=why))
            await done(say("freezer.gone", name=thing.name))

        form.done(say("freezer.it_is_gone"), gone, name=f"{thing.name}: {say('freezer.it_is_gone')}")
