"""Today's air: what was read, and whether one may lay and spray in it now.

A gate wants a reading that is not too old. What it asks for comes from the coats and the cloth of the open builds;
where none is open, from the coatings the workshop keeps a price for and from common practice.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from bagside.errors import InputError
from bagside.findings import Basis
from bagside.finishing.climate import ABOVE_DEW, climate_of
from bagside.ledger.bodies import Found
from bagside.ledger.gates.cloth import READ_WITHIN as LAY_WITHIN
from bagside.ledger.gates.coat import READ_WITHIN as COAT_WITHIN
from bagside.ledger.shop import Shop
from bagside.ledger.stock.as_stands import COLD
from bagside.ledger.things import Build, Place

SHOWN = timedelta(hours=24)
"""How far back readings are drawn."""
LEAST_HUMIDITY = 1e-3
LAY_COLDEST, LAY_HOTTEST, LAY_WETTEST = 288.15, 298.15, 0.70
"""Room in which cloth is laid when no open build says otherwise [K], 0 to 1: common practice, no source."""


class Why(StrEnum):
    """What speaks against laying or spraying now; nothing does when ``FIT``."""

    FIT = "fit"
    UNREAD = "unread"
    OLD = "old"
    COLD = "cold"
    HOT = "hot"
    WET = "wet"
    DEW = "dew"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One reading: when, where, temperature and dew point [K], humidity 0 to 1."""

    at: datetime
    where: str
    temperature: float
    humidity: float
    dew_point: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Air:
    """Today's air.

    Parameters
    ----------
    readings
        Of the last day, in their order.
    last
        The last of all; None when nobody ever read any.
    spray, lay
        What speaks against it now.
    margin
        By how much a part as warm as the room is above the dew point [K]; None without a reading.
    coat_coldest, coat_wettest, coat_margin
        What spraying wants [K], 0 to 1, above the dew point [K]; the first two None when no coat says so.
    coats
        Names of the coats that say so.
    coat_basis
        On what that rests.
    lay_coldest, lay_hottest, lay_wettest
        What laying wants [K], 0 to 1.
    lay_basis
        On what that rests.
    isocyanate
        Names of those coats that set isocyanate free when they are sprayed.
    rooms
        Places that are no freezer, where one may read.
    """

    readings: tuple[Reading, ...]
    last: Reading | None
    spray: Why
    lay: Why
    margin: float | None
    coat_coldest: float | None
    coat_wettest: float | None
    coat_margin: float
    coats: tuple[str, ...]
    coat_basis: Basis
    lay_coldest: float
    lay_hottest: float
    lay_wettest: float
    lay_basis: Basis
    isocyanate: tuple[str, ...]
    rooms: tuple[str, ...]


def air(shop: Shop, now: datetime) -> Air:
    """Return today's air.

    Parameters
    ----------
    shop
        The workshop as it stands.
    now
        The moment, with its zone.
    """
    things = tuple(shop.things.values())
    builds = [t for t in things if isinstance(t, Build) and t.there]
    places = [t for t in things if isinstance(t, Place) and t.there]
    rooms = [p for p in places if p.temperature is None or p.temperature >= COLD]
    readings = sorted(_readings(rooms, builds, now), key=lambda r: r.at)
    last = readings[-1] if readings else None
    coldest, wettest, margin, coats = _coat_limits(builds, shop)
    lay_coldest = max((b.planned.lay_coldest for b in builds), default=LAY_COLDEST)
    lay_hottest = min((b.planned.lay_hottest for b in builds), default=LAY_HOTTEST)
    lay_wettest = min((b.planned.lay_wettest for b in builds), default=LAY_WETTEST)
    return Air(
        readings=tuple(r for r in readings if r.at >= now - SHOWN),
        last=last,
        spray=_may(last, now, COAT_WITHIN, coldest, None, wettest, margin),
        lay=_may(last, now, LAY_WITHIN, lay_coldest, lay_hottest, lay_wettest, None, under=True),
        margin=None if last is None else last.temperature - last.dew_point,
        coat_coldest=coldest,
        coat_wettest=wettest,
        coat_margin=margin,
        coats=coats,
        coat_basis=Basis.DATA_SHEET if coats else Basis.PUBLISHED,
        lay_coldest=lay_coldest,
        lay_hottest=lay_hottest,
        lay_wettest=lay_wettest,
        lay_basis=Basis.PUBLISHED if any(b.planned.lay_source for b in builds) else Basis.COMMON,
        isocyanate=tuple(c for c in coats if c in shop.library.coating and shop.library.coating[c].isocyanate),
        rooms=tuple(p.name for p in rooms),
    )


def _readings(rooms: Sequence[Place], builds: Sequence[Build], now: datetime) -> Iterable[Reading]:
    told = [(at, found, place.name) for place in rooms for at, found in place.readings]
    told += [(note.at, note.what, build.name) for build in builds for note in build.measured]
    for at, found, where in told:
        if found.found is not Found.CLIMATE or found.humidity is None or at > now:
            continue
        humidity = min(max(found.humidity, LEAST_HUMIDITY), 1.0)
        try:
            dew = climate_of(found.value, humidity).dew_point
        except InputError:  # a reading that cannot be true says nothing about the air
            continue
        yield Reading(at=at, where=where, temperature=found.value, humidity=humidity, dew_point=dew)


def _coat_limits(builds: Sequence[Build], shop: Shop) -> tuple[float | None, float | None, float, tuple[str, ...]]:
    """Return the coldest, the wettest, the margin and the names of the coats that are asked for next."""
    ahead = [
        (coat.name, coat.coldest, coat.wettest, build.planned.dew_margin)
        for build in builds
        for coat in build.planned.coats
        if any(s.key == coat.step and s.finished is None for s in build.steps)
    ]
    if not ahead:
        known = shop.library.coating
        ahead = [
            (name, known[name].coldest, known[name].wettest, ABOVE_DEW)
            for name in shop.workshop.prices.coating
            if name in known
        ]
    if not ahead:
        return None, None, ABOVE_DEW, ()
    return (
        max(c for _, c, _, _ in ahead),
        min(w for _, _, w, _ in ahead),
        max(m for _, _, _, m in ahead),
        tuple(dict.fromkeys(name for name, _, _, _ in ahead)),
    )


def _may(
    last: Reading | None,
    now: datetime,
    within: timedelta,
    coldest: float | None,
    hottest: float | None,
    wettest: float | None,
    margin: float | None,
    *,
    under: bool = False,
) -> Why:
    """Return what speaks against it first; `under` when the air must be drier than the wettest, not as dry."""
    if last is None:
        return Why.UNREAD
    if now - last.at > within:
        return Why.OLD
    if coldest is not None and last.temperature < coldest:
        return Why.COLD
    if hottest is not None and last.temperature > hottest:
        return Why.HOT
    if wettest is not None and (last.humidity > wettest or (under and last.humidity == wettest)):
        return Why.WET
    if margin is not None and last.temperature - last.dew_point < margin:
        return Why.DEW
    return Why.FIT
