"""``bagside stock open NAME``: a sealed bag is opened after it has thawed, not while water condenses on the cloth."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from bagside.findings import Finding
    from bagside.ledger.clocks.thaw import Thaw
    from bagside.ledger.shop import Shop
    from bagside.ledger.things import Cloth, Thing


def open_bag(
    name: Annotated[str, typer.Argument(metavar="NAME", help="Roll, kit or offcut.")],
    core: Annotated[str, typer.Option(help='Measured in its middle, as in "17 °C"; reckoned else.')] = "",
    room: Annotated[str, typer.Option(help="Air of the room; as read there today, or as usual, else.")] = "",
    humidity: Annotated[str, typer.Option(help='Of the air of the room, as in "55 %".')] = "",
    wet: Annotated[bool, typer.Option("--wet", help="The bag is not dry outside.")] = False,
    anyway: Annotated[bool, typer.Option("--anyway", help="Open it although it is too cold; wants --why.")] = False,
    why: Annotated[str, typer.Option(help="Why it is opened all the same.")] = "",
    ask: Annotated[bool, typer.Option("--ask", help="Only say whether it may be opened; write nothing.")] = False,
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Open a bag: its core must be above the dew point of the room, and the bag dry outside."""
    from bagside.cli.desk import desk
    from bagside.cli.stock.found import thing_called
    from bagside.cli.stock.read import optional
    from bagside.cli.stock.words import answered, kept
    from bagside.errors import InputError
    from bagside.ledger.bodies import CLOTH, Opened
    from bagside.ledger.clocks.thaw import thaw_of
    from bagside.ledger.things import Cloth
    from bagside.quantity import Quantity

    if anyway and not why.strip():
        raise InputError.one("--why", "", "say why it is opened all the same; it stands in the records")
    with desk(workshop, who, at, late=late) as here:
        cloth = thing_called(here.ledger, name, CLOTH)
        assert isinstance(cloth, Cloth)
        measured = optional(core, Quantity.TEMPERATURE, "--core")
        air = optional(room, Quantity.TEMPERATURE, "--room")
        damp = optional(humidity, Quantity.HUMIDITY, "--humidity")
        shop = here.standing()
        found = thaw_of(cloth, shop, here.at)
        if air is not None or damp is not None:
            warm, moist = (found.room if air is None else air), (found.humidity if damp is None else damp)
            found = thaw_of(cloth, in_air(shop, cloth, warm, moist, here.at), here.at)
        stop = not_yet(found, measured, wet=wet)
        if ask:
            said = [_outlook(found)] if stop is None else []
            return answered(said, [] if stop is None else [stop], data={"thaw": thaw_data(found)}, json=json)
        if stop is not None and not anyway:
            said = ["It stays shut: nothing was written down."]
            return answered(said, [stop], data={"thaw": thaw_data(found)}, json=json)
        body = Opened(
            thing=cloth.name,
            core=measured,
            room=found.room,
            humidity=found.humidity,
            dry=not wet,
            why=why if stop is not None else "",
        )
        events = kept(here, body)
    how = "opened" if stop is None else "opened all the same; it stands in the records with who and why"
    return answered([f"{cloth.name}: {how}."], events=events, data={"thaw": thaw_data(found)}, json=json)


def in_air(shop: Shop, cloth: Cloth, room: float, humidity: float, now: datetime) -> Shop:
    """Return the workshop with the air that was read around cloth just now.

    Parameters
    ----------
    shop
        As it stands.
    cloth
        Whose place it is.
    room, humidity
        Of the air [K], 0 to 1.
    now
        The moment.
    """
    from dataclasses import replace

    from bagside.cli.stock.words import place_of
    from bagside.ledger.bodies import Found, Measured
    from bagside.ledger.stock.one_over import OneOver

    there = replace(shop.workshop, room=replace(shop.workshop.room, temperature=room, humidity=humidity))
    place = shop.place(place_of(cloth, shop.things))
    things: Mapping[str, Thing] = shop.things
    if place is not None:
        read = Measured(subject=place.name, found=Found.CLIMATE, value=room, humidity=humidity)
        things = OneOver(replace(place, readings=(*place.readings, (now, read))), shop.things)
    return replace(shop, workshop=there, things=things)


def not_yet(found: Thaw, core: float | None, *, wet: bool) -> Finding | None:
    """Return why a bag must stay shut; None when it may be opened.

    Parameters
    ----------
    found
        As it is reckoned, in the air as it is now.
    core
        Measured in the middle [K]; None when it was not.
    wet
        Whether the bag is wet outside.
    """
    from bagside.findings import Basis, Finding, Severity
    from bagside.ledger.clocks.thaw import SOURCE
    from bagside.quantity import shown

    if wet:
        return Finding(
            severity=Severity.STOP,
            stage="stock",
            place=found.name,
            what="the bag is wet outside",
            why="it is still colder than the dew point of the room, whatever is reckoned",
            do="leave it sealed until it has dried by itself",
            basis=Basis.COMMON,
        )
    if core is None or found.cold:  # nobody measures the core of what lies in the freezer: its move was not told
        return found.finding
    if core >= found.needed:
        return None
    air = f"{shown(found.room, '°C', 0)}, {shown(found.humidity, '%', 0)}"
    return Finding(
        severity=Severity.STOP,
        stage="stock",
        place=found.name,
        what=f"its core was measured at {shown(core, '°C', 1)}; {shown(found.needed, '°C', 1)} are wanted in this "
        f"air ({air})",
        why="water condenses on cold cloth and becomes voids in a cure under vacuum alone",
        do="leave the bag sealed and measure again later",
        basis=Basis.MEASURED,
        source=SOURCE,
    )


def thaw_data(found: Thaw) -> dict[str, Any]:
    """Return a thaw as JSON data.

    Parameters
    ----------
    found
        Of cloth.
    """
    import math

    return {
        "name": found.name,
        "openable": found.openable,
        "core_c": found.core - 273.15,
        "room_c": found.room - 273.15,
        "humidity_percent": 100.0 * found.humidity,
        "dew_point_c": found.dew_point - 273.15,
        "needed_c": found.needed - 273.15,
        "takes_h": None if math.isinf(found.takes) else found.takes / 3600.0,
        "out_since": None if found.out_since is None else found.out_since.isoformat(),
        "opened": None if found.opened is None else found.opened.isoformat(),
    }


def _outlook(found: Thaw) -> str:
    from bagside.cli.build.words import clock
    from bagside.quantity import shown

    if found.opened is not None:
        return f"{found.name}: it is open since {clock(found.opened)}."
    return f"{found.name}: it may be opened when it is dry outside; its core is at about {shown(found.core, '°C', 0)}."
