"""The last reading of a room that a build was in: its own, or one of the place where its cloth is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from bagside.ledger.bodies import Found
from bagside.ledger.shop import Shop
from bagside.ledger.things import Build


@dataclass(frozen=True, slots=True, kw_only=True)
class Read:
    """A reading of a room: temperature [K], humidity 0 to 1, when, and of which place; empty when of the build."""

    temperature: float
    humidity: float
    at: datetime
    place: str = ""


def last_climate(
    build: Build, shop: Shop, now: datetime, within: timedelta, places: Iterable[str] = ()
) -> Read | None:
    """Return the last reading of temperature and humidity that is not too old; None when there is none.

    Parameters
    ----------
    build
        Its own readings count.
    shop
        For the readings of places.
    now
        Until when.
    within
        How old it may be.
    places
        Names of the places whose readings count besides.
    """
    found = [(m.at, m.what, "") for m in build.measured]
    for name in dict.fromkeys(places):
        place = shop.place(name)
        if place is not None:
            found += [(at, what, name) for at, what in place.readings]
    read = [
        Read(temperature=what.value, humidity=what.humidity, at=at, place=place)
        for at, what, place in found
        if what.found is Found.CLIMATE and what.humidity is not None and now - within <= at <= now
    ]
    return max(read, key=lambda r: r.at, default=None)
