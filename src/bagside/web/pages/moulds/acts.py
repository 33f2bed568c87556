"""What is written down about a mould: release, repair, vacuum test, that it came or is gone."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from dataclasses import replace

from bagside.bagging import ambient_pressure
from bagside.errors import InputError
from bagside.ledger.bodies import Discarded, Found, Measured, Received, Released, Repaired, Sort
from bagside.ledger.stock.receiving import known_material, limit_of
from bagside.quantity import Quantity
from bagside.spec.workshop import Workshop
from bagside.web.house import House
from bagside.web.parts.asking import Form, folded
from bagside.web.parts.frame import Sheet
from bagside.web.parts.html import words
from bagside.web.parts.records import keep
from bagside.web.parts.typed import degrees
from bagside.web.views.thing import ThingView

Done = Callable[..., Awaitable[None]]


def release(sheet: Sheet, house: House, view: ThingView, done: Done) -> None:
    """Offer to write down that release agent was put on; its caution stands before it.

    Parameters
    ----------
    sheet, house, view, done
        The page, the workshop, the mould, and what is called with a sentence when something was written down.
    """
    say, name = sheet.say, view.thing.name
    with folded(say("moulds.release")):
        words(say("moulds.release_caution"), tag="p", look="caution s")
        form = Form(sheet)
        form.text("agent", say("moulds.agent"))
        form.text("coats", say("moulds.coats"), "1", mode="numeric", wide="5em")
        form.yes("sealed", say("moulds.sealed"))

        async def put_on() -> None:
            agent = form.said("agent", wanted=say("moulds.agent_wanted"))
            coats = form.count("coats")
            if not coats:
                form.wrong("coats", say("moulds.coats_wanted"))
            await keep(house, sheet, Released(mould=name, agent=agent, coats=coats, sealed=bool(form.values["sealed"])))
            await done(say("moulds.released", name=name))

        form.done(say("board.write_down"), put_on, name=f"{name}: {say('moulds.release')}")


def repair(sheet: Sheet, house: House, view: ThingView, done: Done) -> None:
    """Offer to write down a repair.

    Parameters
    ----------
    sheet, house, view, done
        See `release`.
    """
    say, name = sheet.say, view.thing.name
    with folded(say("moulds.repair")):
        words(say("moulds.repair_caution"), tag="p", look="caution s")
        form = Form(sheet)
        form.text("what", say("moulds.what_done"), hint=say("moulds.what_done_hint"), wide="100%")
        form.text("where", say("moulds.where"))

        async def repaired() -> None:
            what = form.said("what", wanted=say("moulds.what_done_hint"))
            await keep(house, sheet, Repaired(mould=name, what=what, where=form.said("where")))
            await done(say("moulds.repaired", name=name))

        form.done(say("board.write_down"), repaired, name=f"{name}: {say('moulds.repair')}")


def test(sheet: Sheet, house: House, workshop: Workshop, view: ThingView, done: Done) -> None:
    """Offer to write down a vacuum test of the bare mould: what the gauge showed when the pump was shut off.

    Parameters
    ----------
    sheet, house, workshop, view, done
        See `release`.
    """
    say, name = sheet.say, view.thing.name
    with folded(say("moulds.test")):
        words(say("moulds.test_how"), tag="p", look="q s")
        form = Form(sheet)
        gauges = {"absolute": say("moulds.gauge_absolute"), "below": say("moulds.gauge_below")}
        form.pick("gauge", say("moulds.gauge"), gauges)
        form.number("start", say("moulds.start"), Quantity.PRESSURE, "mbar")
        form.number("end", say("moulds.end"), Quantity.PRESSURE, "mbar")
        form.number("time", say("moulds.time"), Quantity.TIME, "min")
        form.number("ambient", say("moulds.ambient"), Quantity.PRESSURE, "mbar", hint=say("moulds.ambient_hint"))
        form.number("volume", say("moulds.volume"), Quantity.VOLUME, "L", hint=say("freezer.may_be_empty"))

        async def tested() -> None:
            seconds = form.amount("time", wanted=say("freezer.amount_wanted"), positive=True)
            outside = form.amount("ambient", positive=True) or ambient_pressure(workshop.room.altitude)
            first, last = (_absolute(form, key, outside) for key in ("start", "end"))
            assert seconds is not None
            body = Measured(
                subject=name, found=Found.LEAK, value=(last - first) / seconds, start=first, end=last, ambient=outside,
                seconds=seconds, volume=form.amount("volume", positive=True),
            )  # fmt: skip
            await keep(house, sheet, body)
            rise = sheet.tongue.pressure(60.0 * body.value, 1)
            await done(say("moulds.test_kept", name=name, rise=rise))

        form.done(say("board.write_down"), tested, name=f"{name}: {say('moulds.test')}")


def _absolute(form: Form, key: str, ambient: float) -> float:
    """Return what a gauge shows as absolute pressure [Pa]; one below ambient may show it with or without a minus."""
    say = form.sheet.say
    below = form.said("gauge") == "below"
    value = form.amount(key, wanted=say("freezer.amount_wanted"), least=None if below else 0.0)
    assert value is not None
    if not below:
        return value
    left = ambient - abs(value)
    if left <= 0.0:
        form.wrong(key, say("moulds.too_much_vacuum", ambient=form.sheet.tongue.pressure(ambient)))
    return left


def give_up(sheet: Sheet, house: House, view: ThingView, done: Done) -> None:
    """Offer to write down that a mould is no longer used.

    Parameters
    ----------
    sheet, house, view, done
        See `release`.
    """
    say, name = sheet.say, view.thing.name
    with folded(say("moulds.give_up")):
        form = Form(sheet)
        form.text("why", say("freezer.why"), hint=say("moulds.give_up_hint"), wide="100%")

        async def gone() -> None:
            why = form.said("why", wanted=say("freezer.why_wanted"))
            await keep(house, sheet, Discarded(thing=name, why=why))
            await done(say("freezer.gone", name=name))

        form.done(say("board.write_down"), gone, name=f"{name}: {say('moulds.give_up')}")


def receive(sheet: Sheet, house: House, done: Done) -> None:
    """Ask what a mould is called, of what it is, and what is known of it.

    Parameters
    ----------
    sheet, house, done
        See `release`.
    """
    say = sheet.say
    library = house.library()
    materials = {} if library is None else {name: name for name in sorted(library.tool)}
    form = Form(sheet)
    form.text("name", say("freezer.name"), hint=say("moulds.name_hint"))
    form.pick("material", say("moulds.made_of"), materials)
    unit = degrees(sheet.tongue)
    form.number("limit", say("moulds.limit"), Quantity.TEMPERATURE, unit, hint=say("moulds.limit_hint"))
    form.text("coats_last", say("moulds.coats_last"), mode="numeric", wide="5em", hint=say("moulds.coats_last_hint"))
    form.text("note", say("freezer.note"), wide="100%")

    async def came() -> None:
        body = Received(
            name=form.said("name", wanted=say("freezer.name_wanted")),
            sort=Sort.MOULD,
            material=form.said("material"),
            limit=form.amount("limit", least=None),
            coats_last=form.count("coats_last"),
            note=form.said("note"),
        )
        body = await asyncio.to_thread(_whole, house, body)
        await keep(house, sheet, body)
        await done(say("freezer.came", name=body.name), go_to=body.name)

    form.done(say("freezer.take_in"), came, go=True, name=say("moulds.new"))


def _whole(house: House, body: Received) -> Received:
    """Return a mould with the hottest that its material may see, where nothing else is stated."""
    with house.desk() as here:
        shop = here.standing()
        known_material(body.material, body.sort, shop, "material")
        limit = body.limit if body.limit is not None else limit_of(body.material, body.sort, shop)
    if body.coats_last == 0:
        raise InputError.one("coats_last", "0", "one pull or more is wanted, or nothing when it is not known")
    return replace(body, limit=limit)
