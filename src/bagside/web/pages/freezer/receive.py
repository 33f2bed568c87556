"""Something came in: it is typed from its label, and what the label does not say may stay unknown."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Mapping
from dataclasses import replace
from typing import Any

from nicegui.element import Element

from bagside.errors import InputError
from bagside.ledger.bodies import CLOTH, Received, Sort, Use
from bagside.ledger.stock.receiving import as_its_source, known_material, only_freezer, tables_of, width_of
from bagside.ledger.things import Place
from bagside.quantity import Quantity
from bagside.spec.stock import Up
from bagside.spec.workshop import Workshop
from bagside.web.house import House
from bagside.web.parts.asking import Form, folded
from bagside.web.parts.frame import Sheet, now
from bagside.web.parts.html import figure, words
from bagside.web.parts.records import keep
from bagside.web.parts.shop_pictures import group_picture
from bagside.web.parts.typed import metres, millimetres

Done = Callable[..., Awaitable[None]]
SORTS = (Sort.ROLL, Sort.OFFCUT, Sort.ADHESIVE, Sort.COATING, Sort.CONSUMABLE)


def receive(sheet: Sheet, house: House, workshop: Workshop, done: Done) -> None:
    """Offer to receive something.

    Parameters
    ----------
    sheet, house, workshop
        The page, and whose it is.
    done
        Called with a sentence, and the name of what came.
    """
    say = sheet.say
    words(say("freezer.receive"), tag="h2")
    for sort in SORTS:
        with folded(say(f"freezer.receive_{sort.value}")) as place:
            place.on("toggle", _unfolded(sheet, house, workshop, sort, done, Element("div")))


def _unfolded(
    sheet: Sheet, house: House, workshop: Workshop, sort: Sort, done: Done, inside: Element
) -> Callable[[Any], Awaitable[None]]:
    """Return what draws the questions when they are unfolded first: five forms are many elements."""
    drawn: list[bool] = []

    async def unfold(_: Any) -> None:
        if drawn:
            return
        drawn.append(True)
        places = await asyncio.to_thread(_places, house)
        with inside:
            _questions(sheet, house, workshop, sort, places, done)

    return unfold


def _places(house: House) -> tuple[str, ...]:
    with house.desk() as here:
        return here.ledger.names(Sort.PLACE)


def _materials(house: House, workshop: Workshop, sort: Sort) -> Mapping[str, str]:
    """Return the names the library has for a sort; goods need not be in it."""
    library = house.library()
    names = set() if library is None else set(tables_of(library)[sort][0])
    if sort is Sort.CONSUMABLE:
        names |= set(workshop.prices.tape)
    known = {name: name for name in sorted(names)}
    return known if sort in CLOTH else {"": "–", **known}


def _questions(
    sheet: Sheet, house: House, workshop: Workshop, sort: Sort, places: tuple[str, ...], done: Done
) -> None:
    say, tongue = sheet.say, sheet.tongue
    form = Form(sheet)
    words(say("freezer.from_label"), tag="p", look="q s")
    if sort is Sort.ROLL:
        figure(group_picture("roll", {}, tongue), look="meant")
    form.text("name", say("freezer.name"), hint=say("freezer.name_hint"))
    form.pick("material", say("freezer.material"), _materials(house, workshop, sort))
    if sort is Sort.ROLL:
        form.number("length", say("freezer.length"), Quantity.LENGTH, metres(tongue))
        form.number("width", say("freezer.width"), Quantity.LENGTH, millimetres(tongue), hint=say("freezer.width_hint"))
    elif sort is Sort.OFFCUT:
        form.number("along", say("freezer.along"), Quantity.LENGTH, millimetres(tongue))
        form.number("across", say("freezer.across"), Quantity.LENGTH, millimetres(tongue))
        form.text("comes_from", say("freezer.comes_from"), hint=say("freezer.comes_from_hint"))
    else:
        form.number("mass", say("freezer.mass"), Quantity.MASS, "g", hint=say("freezer.one_amount"))
        form.number("volume", say("freezer.volume"), Quantity.VOLUME, "mL")
        form.text("count", say("freezer.pieces"), mode="numeric", wide="6em")
    if sort is Sort.CONSUMABLE:
        form.pick("use", say("freezer.use"), {u.value: say(f"freezer.use_{u.name.lower()}") for u in Use})
        form.text("cures", say("freezer.cures"), mode="numeric", wide="6em", hint=say("freezer.cures_hint"))
    form.text("batch", say("freezer.batch"), hint=say("freezer.may_be_empty"))
    form.day("made", say("freezer.made"), hint=say("freezer.made_hint"))
    form.day("use_by", say("freezer.use_by"))
    if sort in CLOTH:
        lives = {"": "–", **{key: say(f"freezer.life_{key}") for key in ("new", "hours", "unknown")}}
        form.pick("known", say("freezer.life"), lives, hint=say("freezer.life_why"))
        form.number("life", say("freezer.life_used"), Quantity.TIME, "h", hint=say("freezer.life_hint"))
        form.pick("up", say("freezer.up"), {u.value: say(f"freezer.up_{u.name.lower()}") for u in Up})
        form.number("price", say("freezer.price"), Quantity.MONEY_PER_AREA, f"{workshop.currency}/m²")
    else:
        form.number("price", say("freezer.price"), Quantity.MONEY, workshop.currency)
    form.pick("place", say("freezer.put_into"), {"": say("freezer.only_freezer") if sort in CLOTH else "–",
              **{p: p for p in places}})  # fmt: skip
    form.text("note", say("freezer.note"), wide="100%")

    async def came() -> None:
        body = _body(form, sort)
        body = await asyncio.to_thread(_whole, house, body)
        await keep(house, sheet, body)
        await done(say("freezer.came", name=body.name), go_to=body.name)

    form.done(say("freezer.take_in"), came, go=sort is Sort.ROLL, name=say(f"freezer.receive_{sort.value}"))


def _body(form: Form, sort: Sort) -> Received:
    say = form.sheet.say
    name = form.said("name", wanted=say("freezer.name_wanted"))
    length = along = across = None
    if sort is Sort.ROLL:
        length = form.amount("length", wanted=say("freezer.amount_wanted"), positive=True)
    elif sort is Sort.OFFCUT:
        along = form.amount("along", wanted=say("freezer.amount_wanted"), positive=True)
        across = form.amount("across", wanted=say("freezer.amount_wanted"), positive=True)
    known = form.said("known", wanted=say("freezer.life_wanted")) if sort in CLOTH else ""
    life = 0.0 if known == "new" else None
    if known == "hours":
        life = form.amount("life", wanted=say("freezer.amount_wanted"))
    outline = () if along is None or across is None else ((0.0, 0.0), (along, 0.0), (along, across), (0.0, across))
    goods = sort not in CLOTH
    use = form.said("use") if sort is Sort.CONSUMABLE else ""
    return Received(
        name=name,
        sort=sort,
        material=form.said("material"),
        place=form.said("place"),
        length=length,
        width=form.amount("width", positive=True) if sort is Sort.ROLL else None,
        outline=outline,
        mass=form.amount("mass", positive=True) if goods else None,
        volume=form.amount("volume", positive=True) if goods else None,
        count=form.count("count") if goods else None,
        batch=form.said("batch"),
        price=form.amount("price"),
        use_by=form.date("use_by"),
        made=form.date("made"),
        up=form.said("up") if not goods else Up.RICH.value,
        life_used=life,
        use=Use(use) if use else Use.OTHER,
        cures=form.count("cures") if sort is Sort.CONSUMABLE else None,
        comes_from=form.said("comes_from"),
        note=form.said("note"),
    )


def _whole(house: House, body: Received) -> Received:
    """Return what came with what its sheet, its place and its source say of it."""
    with house.desk() as here:
        shop = here.standing()
        known_material(body.material, body.sort, shop, "material")
        place = body.place
        if body.sort in CLOTH and not place:
            place = only_freezer(here.ledger.things(Sort.PLACE).values(), "place")
        elif place and not isinstance(here.ledger.thing(place), Place):
            raise InputError.one("place", f'"{place}"', "there is no place of this name")
        body = replace(body, place=place)
        if body.sort is Sort.ROLL and body.width is None:
            body = replace(body, width=width_of(body.material, body.sort, shop))
        if body.sort is Sort.OFFCUT and body.outline:
            body = as_its_source(body, shop, now(), material="material", outline="outline")
    return body
