"""What dies when: the calendar of everything that has a clock or a last day, where it lies now."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from enum import StrEnum

from bagside.findings import Basis, Severity
from bagside.ledger.bodies import Sort
from bagside.ledger.clocks.life import Reckoner
from bagside.ledger.clocks.life_notes import NEARLY, WATCHED
from bagside.ledger.clocks.life_now import Clock
from bagside.ledger.shop import Shop
from bagside.ledger.stock.as_stands import stays_of
from bagside.ledger.things import Cloth, Goods
from bagside.spec.material import Adhesive, Coating

SOON, NEAR = timedelta(days=30), timedelta(days=7)
"""A last day within the first of these is worth a look, within the second a decision: common practice, no source."""
LATELY = 7 * 86400.0
"""How its place was for so long is taken to go on [s]."""


class Ends(StrEnum):
    """What ends."""

    OUT_LIFE = "out-life"
    TACK = "tack"
    LAST_DAY = "last day"
    OPENED = "since it was opened"


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """One end of one thing.

    Parameters
    ----------
    name, sort, material
        Of the thing.
    ends
        What ends.
    when
        When it does, if the thing stays where it is [UTC]; None when nobody can say.
    share
        Used of a clock; None for a day.
    left_room
        What is left of a clock in the room [s]; None for a day.
    place
        Where it lies; empty when nobody wrote it down.
    severity
        How much it asks of a person today.
    sure
        Whether it is known how it began.
    basis
        On what it rests.
    """

    name: str
    sort: Sort
    material: str
    ends: Ends
    when: datetime | None
    share: float | None
    left_room: float | None
    place: str
    severity: Severity
    sure: bool
    basis: Basis


def due(shop: Shop, now: datetime) -> tuple[Due, ...]:
    """Return what of the stock ends when, the first first; what nobody can say stands at the end.

    Parameters
    ----------
    shop
        The workshop as it stands.
    now
        The moment, with its zone.

    Notes
    -----
    Clocks of cloth go on as they went in their place for the last week by its logger, else at what it is set to. Cloth
    whose material is not in the library has no clock; its last day counts all the same.
    """
    reckoner = Reckoner(shop)
    found: list[Due] = []
    for thing in shop.things.values():
        if isinstance(thing, Cloth) and thing.there:
            found += _of_cloth(thing, reckoner, now)
        elif isinstance(thing, Goods) and thing.there:
            found += _of_goods(thing, shop, now)
    latest = datetime.max.replace(tzinfo=UTC)
    return tuple(sorted(found, key=lambda d: (d.when or latest, d.name, d.ends)))


def first_ends(calendar: Sequence[Due]) -> dict[str, Due]:
    """Return what ends first of each thing; tack alone does not end it.

    Parameters
    ----------
    calendar
        In order of time.
    """
    out: dict[str, Due] = {}
    for one in calendar:
        if one.ends is not Ends.TACK and one.when is not None:
            out.setdefault(one.name, one)
    return out


def _of_cloth(cloth: Cloth, reckoner: Reckoner, now: datetime) -> Iterator[Due]:
    if cloth.material not in reckoner.shop.library.prepreg:
        yield from _day(cloth, Ends.LAST_DAY, cloth.use_by, Basis.DATA_SHEET, reckoner.shop, now)
        return
    life = reckoner.life(cloth.name, now)
    out, tack = reckoner.sheets(cloth)
    place = _place(cloth, reckoner.shop)
    yield _clock(cloth, place, Ends.OUT_LIFE, life.out, reckoner.rate_here(cloth, out, now, LATELY), now)
    if tack is not None and life.tack is not None:
        yield _clock(cloth, place, Ends.TACK, life.tack, reckoner.rate_here(cloth, tack, now, LATELY), now)
    basis = Basis.DATA_SHEET if cloth.use_by is not None else reckoner.prepreg(cloth).basis.of("storage")
    yield from _day(cloth, Ends.LAST_DAY, life.use_by, basis, reckoner.shop, now)


def _clock(cloth: Cloth, place: str, ends: Ends, clock: Clock, rate: float, now: datetime) -> Due:
    left = (clock.whole - clock.used) / rate  # below zero: so long ago
    over = clock.share >= 1.0
    severity = Severity.SEEN
    if clock.share >= WATCHED:
        severity = Severity.DECIDE if clock.share >= NEARLY else Severity.WATCH
    if over and clock.sure and ends is Ends.OUT_LIFE:
        severity = Severity.STOP
    return Due(
        name=cloth.name,
        sort=cloth.sort,
        material=cloth.material,
        ends=ends,
        when=_after(now, left),
        share=clock.share,
        left_room=clock.left_room,
        place=place,
        severity=severity,
        sure=clock.sure,
        basis=clock.basis,
    )


def _of_goods(goods: Goods, shop: Shop, now: datetime) -> Iterator[Due]:
    sheet: Adhesive | Coating | None = shop.library.adhesive.get(goods.material) if (
        goods.sort is Sort.ADHESIVE
    ) else shop.library.coating.get(goods.material) if goods.sort is Sort.COATING else None
    shelf = None if sheet is None else sheet.shelf_life
    opened = None if sheet is None else sheet.opened_life
    basis = Basis.DATA_SHEET if goods.use_by is not None or sheet is None else sheet.basis.of("shelf_life")
    last = goods.use_by
    if last is None and goods.made is not None and shelf is not None:
        last = goods.made + timedelta(seconds=shelf)
    yield from _day(goods, Ends.LAST_DAY, last, basis, shop, now)
    if sheet is not None and goods.opened is not None and opened is not None:
        day = (goods.opened + timedelta(seconds=opened)).date()
        yield from _day(goods, Ends.OPENED, day, sheet.basis.of("opened_life"), shop, now)


def _day(
    thing: Cloth | Goods, ends: Ends, day: date | None, basis: Basis, shop: Shop, now: datetime
) -> Iterator[Due]:
    """Yield a last day, when there is one: it ends with the day."""
    if day is None:
        return
    when = datetime.combine(day + timedelta(days=1), time(0), tzinfo=UTC)
    severity = Severity.SEEN
    if when - now <= SOON:
        severity = Severity.DECIDE if when - now <= NEAR else Severity.WATCH
    yield Due(
        name=thing.name,
        sort=thing.sort,
        material=thing.material,
        ends=ends,
        when=when,
        share=None,
        left_room=None,
        place=_place(thing, shop),
        severity=severity,
        sure=True,
        basis=basis,
    )


def _place(thing: Cloth | Goods, shop: Shop) -> str:
    stays = stays_of(thing, shop.things) if isinstance(thing, Cloth) else thing.stays
    return stays[-1].place if stays else ""


def _after(now: datetime, seconds: float) -> datetime | None:
    """Return a moment some time from now; None when no calendar reaches it."""
    try:
        return (now + timedelta(seconds=seconds)).astimezone(UTC)
    except (OverflowError, ValueError):
        return None
