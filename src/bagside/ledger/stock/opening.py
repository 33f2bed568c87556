"""Whether a sealed bag may be opened in the air as it was read just now."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

from bagside.findings import Basis, Finding, Severity
from bagside.ledger.bodies import Found, Measured
from bagside.ledger.clocks.thaw import SOURCE, Thaw
from bagside.ledger.shop import Shop
from bagside.ledger.stock.as_stands import stays_of
from bagside.ledger.stock.one_over import OneOver
from bagside.ledger.things import Cloth, Thing
from bagside.quantity import shown


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
    there = replace(shop.workshop, room=replace(shop.workshop.room, temperature=room, humidity=humidity))
    place = shop.place(_place_of(cloth, shop.things))
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


def _place_of(cloth: Cloth, things: Mapping[str, Thing]) -> str:
    stays = stays_of(cloth, things)
    return stays[-1].place if stays else ""
