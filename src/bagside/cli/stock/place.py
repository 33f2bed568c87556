"""``bagside stock place NAME``: a freezer or a room is made known, or what was read there is written down."""

from __future__ import annotations

from typing import Annotated

import typer

from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson


def place(
    name: Annotated[str, typer.Argument(metavar="NAME", help="Of a freezer, a fridge or a room.")],
    temperature: Annotated[
        str, typer.Option(help='As set, of a new place; as read there now, of one that is known; as in "-18 °C".')
    ] = "",
    humidity: Annotated[str, typer.Option(help='As read there now, as in "55 %"; opening a bag is judged by it.')] = "",
    gauge: Annotated[str, typer.Option(help="With what it was read.")] = "",
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Make a place known, write down what was read there, or show it."""
    from bagside.cli.desk import desk
    from bagside.cli.options import quantity
    from bagside.cli.stock.read import optional
    from bagside.cli.stock.words import answered, kept
    from bagside.errors import InputError
    from bagside.ledger.bodies import Found, Measured, Received, Sort
    from bagside.ledger.things import Place
    from bagside.quantity import Quantity, shown

    with desk(workshop, who, at, late=late) as here:
        known = here.ledger.thing(name.strip())
        if isinstance(known, Place) and not temperature and not humidity:
            from bagside.cli.stock.show import show

            return show(known.name, workshop, json)
        if not temperature.strip():
            raise InputError.one("--temperature", "", 'how warm is it there? a temperature is wanted, as in "-18 °C"')
        warm = quantity(temperature, Quantity.TEMPERATURE, "--temperature")
        damp = optional(humidity, Quantity.HUMIDITY, "--humidity")
        if damp is not None and not 0.0 <= damp <= 1.0:
            raise InputError.one("--humidity", f'"{humidity}"', "from 0 % to 100 % are possible")
        if not isinstance(known, Place):
            if damp is not None:
                raise InputError.one("NAME", f'"{name}"', "make this place known first, without --humidity")
            events = kept(here, Received(name=name.strip(), sort=Sort.PLACE, temperature=warm))
            return answered([f"{name.strip()} is known: {shown(warm, '°C', 0)}."], events=events, json=json)
        body = Measured(subject=known.name, found=Found.CLIMATE, value=warm, humidity=damp, gauge=gauge)
        events = kept(here, body)
    wet = "" if damp is None else f", {shown(damp, '%', 0)}"
    return answered([f"{known.name}: {shown(warm, '°C', 1)}{wet} read."], events=events, json=json)
