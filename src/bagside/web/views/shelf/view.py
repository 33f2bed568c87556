"""What lies in the workshop as pages draw it: cloth by its length with the life that is left in it, goods, places."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from bagside.findings import Severity
from bagside.ledger.bodies import Sort
from bagside.ledger.clocks.due import Due, Ends, due
from bagside.ledger.clocks.life import lives_of
from bagside.ledger.clocks.life_now import Clock, LifeNow
from bagside.ledger.clocks.thaw import Thaw, thaw_of
from bagside.ledger.shop import Shop
from bagside.ledger.stock.areas import extent_of
from bagside.ledger.stock.as_stands import COLD, stays_of
from bagside.ledger.things import Cloth, Goods, Place, Thing
from bagside.ledger.words import natural

WEIGHT = (Severity.STOP, Severity.DECIDE, Severity.WATCH, Severity.SEEN)
"""Severities, the weightiest first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClothLine:
    """One roll, offcut or kit.

    Parameters
    ----------
    name, sort, material, batch
        On its label.
    place
        Where it lies; empty when nobody wrote it down.
    cold
        Whether that is a freezer or a fridge.
    length
        As it is drawn [m]: of a roll what is left, of an offcut along its warp, of a kit the length of roll that its
        pieces would cover.
    across
        Of an offcut [m]; 0 for others.
    pieces, left
        Of a kit: how many, and how many are not laid yet.
    out, tack
        Its clocks; None when its material is not in the library, or its sheet has none.
    ends, tack_ends
        What ends first besides its tack, and when the tack does; None when nobody can say.
    severity
        How much it asks of a person today.
    thaw
        How far it has thawed, for a bag that is sealed and out of the cold; None else.
    """

    name: str
    sort: Sort
    material: str
    batch: str
    place: str
    cold: bool
    length: float
    across: float
    pieces: int
    left: int
    out: Clock | None
    tack: Clock | None
    ends: Due | None
    tack_ends: Due | None
    severity: Severity
    thaw: Thaw | None

    @property
    def used(self) -> float:
        """Share of its life that is used, from 0 to 1; all of it when that is not known."""
        return 1.0 if self.out is None else min(max(self.out.share, 0.0), 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class GoodsLine:
    """An adhesive, a coating or a consumable.

    Parameters
    ----------
    name, sort, material, batch, place
        On its label, and where it lies.
    mass, volume, count
        Left [kg], [m³], pieces.
    use
        What a consumable is for; empty for others.
    heats, cures
        Cures it saw, and how many it may see; None as many as it likes.
    hottest
        It has seen [K].
    ends
        What ends first; None when nothing does.
    severity
        How much it asks of a person today.
    """

    name: str
    sort: Sort
    material: str
    batch: str
    place: str
    mass: float | None
    volume: float | None
    count: int | None
    use: str
    heats: int
    cures: int | None
    hottest: float | None
    ends: Due | None
    severity: Severity


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceLine:
    """A freezer, a fridge or a room.

    Parameters
    ----------
    name
        Of it.
    temperature
        As set, or as it usually is [K]; None when not stated.
    cold
        Whether it is a freezer or a fridge.
    read, read_at, humidity
        What was read there last [K], 0 to 1, and when; None when never.
    logged_until
        Until when a logger watched; None when none did.
    things
        How many lie there.
    """

    name: str
    temperature: float | None
    cold: bool
    read: float | None
    read_at: datetime | None
    humidity: float | None
    logged_until: datetime | None
    things: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """Everything that lies in the workshop, what asks most first.

    Parameters
    ----------
    cloth, goods, places
        See each.
    """

    cloth: tuple[ClothLine, ...]
    goods: tuple[GoodsLine, ...]
    places: tuple[PlaceLine, ...]


def shelf(shop: Shop, now: datetime) -> Shelf:
    """Return everything that lies in the workshop.

    Parameters
    ----------
    shop
        As it stands.
    now
        The moment, with its zone.
    """
    calendar = due(shop, now)
    things = tuple(shop.things.values())
    cloth = [t for t in things if isinstance(t, Cloth) and t.there]
    lives = lives_of([c.name for c in cloth if c.material in shop.library.prepreg], shop, now)
    lines = [_cloth(c, lives.get(c.name), calendar, shop, now) for c in cloth]
    goods = [_goods(t, calendar) for t in things if isinstance(t, Goods) and t.there]
    places = [_place(t, lines, goods) for t in things if isinstance(t, Place) and t.there]
    return Shelf(
        cloth=tuple(sorted(lines, key=_rank)),
        goods=tuple(sorted(goods, key=_rank)),
        places=tuple(sorted(places, key=lambda p: (not p.cold, natural(p.name)))),
    )


def _cloth(cloth: Cloth, life: LifeNow | None, calendar: Sequence[Due], shop: Shop, now: datetime) -> ClothLine:
    own = [d for d in calendar if d.name == cloth.name]
    place = _stays(cloth, shop.things)
    cold = _cold(place, shop)
    sealed = not cold and cloth.opened is None and cloth.material in shop.library.prepreg
    along, across = extent_of(cloth.outline) if cloth.outline else (0.0, 0.0)
    left = [p for p in cloth.pieces if not p.laid_in]
    length = cloth.left if cloth.sort is Sort.ROLL else along
    if cloth.sort is Sort.KIT:
        known = shop.library.prepreg.get(cloth.material)
        length = sum(p.piece.area for p in left) / (known.width if known is not None else 1.0)
    return ClothLine(
        name=cloth.name,
        sort=cloth.sort,
        material=cloth.material,
        batch=cloth.batch,
        place=place,
        cold=cold,
        length=max(length, 0.0),
        across=across,
        pieces=len(cloth.pieces),
        left=len(left),
        out=None if life is None else life.out,
        tack=None if life is None else life.tack,
        ends=next((d for d in own if d.ends is not Ends.TACK and d.when is not None), None),
        tack_ends=next((d for d in own if d.ends is Ends.TACK and d.when is not None), None),
        severity=_weightiest(own),
        thaw=thaw_of(cloth, shop, now) if sealed else None,
    )


def _goods(goods: Goods, calendar: Sequence[Due]) -> GoodsLine:
    own = [d for d in calendar if d.name == goods.name]
    return GoodsLine(
        name=goods.name,
        sort=goods.sort,
        material=goods.material,
        batch=goods.batch,
        place=goods.stays[-1].place if goods.stays else "",
        mass=goods.mass,
        volume=goods.volume,
        count=goods.count,
        use=goods.use.value if goods.sort is Sort.CONSUMABLE else "",
        heats=goods.heats,
        cures=goods.cures,
        hottest=goods.hottest,
        ends=next((d for d in own if d.when is not None), None),
        severity=_weightiest(own),
    )


def _place(place: Place, cloth: Sequence[ClothLine], goods: Sequence[GoodsLine]) -> PlaceLine:
    last = place.readings[-1] if place.readings else None
    return PlaceLine(
        name=place.name,
        temperature=place.temperature,
        cold=place.temperature is not None and place.temperature < COLD,
        read=None if last is None else last[1].value,
        read_at=None if last is None else last[0],
        humidity=None if last is None else last[1].humidity,
        logged_until=max((log.times[-1] for log in place.logs if log.times), default=None),
        things=sum(c.place == place.name for c in cloth) + sum(g.place == place.name for g in goods),
    )


def _stays(cloth: Cloth, things: Mapping[str, Thing]) -> str:
    stays = stays_of(cloth, things)
    return stays[-1].place if stays else ""


def _cold(name: str, shop: Shop) -> bool:
    place = shop.place(name) if name else None
    return place is not None and place.temperature is not None and place.temperature < COLD


def _weightiest(own: Sequence[Due]) -> Severity:
    return min((d.severity for d in own), key=WEIGHT.index, default=Severity.SEEN)


def _rank(line: ClothLine | GoodsLine) -> tuple[float, tuple[str, int, str]]:
    when = None if line.ends is None else line.ends.when
    return (float("inf") if when is None else when.timestamp(), natural(line.name))
