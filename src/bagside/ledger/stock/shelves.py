"""What of the ledger's cloth may be laid, as planning takes it: rolls with what is left, offcuts, their life now.

Cloth that is gone, whose last day is over or whose time out of the freezer is used up is left out, and said. A layout
that was cut before stays known: the rolls and offcuts it was cut from stand here too, with nothing left of them.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from bagside.findings import Basis, Finding, Severity
from bagside.ledger.bodies import Sort
from bagside.ledger.clocks.life import LifeNow, Reckoner
from bagside.ledger.shop import Shop
from bagside.ledger.things import Cloth
from bagside.ledger.words import natural
from bagside.planning.shelf import ROOM_AT_LEAST
from bagside.quantity import shown
from bagside.spec.stock import Offcut, Stock, Taken, Up, Used
from bagside.spec.workshop import Roll

STEP = 0.005
"""Share of out-life in steps of which planning sees it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OnShelf:
    """Cloth as planning takes it.

    Parameters
    ----------
    rolls
        With everything that ever came off them, which is in `stock` too.
    stock
        Offcuts; what was taken off rolls; offcuts that may not be laid, as used.
    noticed
        What is left out, and rolls of unknown price, by material.
    """

    rolls: tuple[Roll, ...]
    stock: Stock
    noticed: Mapping[str, tuple[Finding, ...]]

    def findings(self, materials: Iterable[str] | None = None) -> tuple[Finding, ...]:
        """Return what was noticed of some cloths.

        Parameters
        ----------
        materials
            Names of the cloths; every one when None.
        """
        wanted = self.noticed if materials is None else dict.fromkeys(materials)
        return tuple(f for m in wanted for f in self.noticed.get(m, ()))


def rolls_and_offcuts(shop: Shop, now: datetime) -> tuple[tuple[Roll, ...], Stock]:
    """Return the rolls and the stock that planning needs.

    Parameters
    ----------
    shop
        As it stands.
    now
        When their life is looked at.
    """
    found = on_shelf(shop, now)
    return found.rolls, found.stock


def on_shelf(shop: Shop, now: datetime, known: Collection[str] = ()) -> OnShelf:
    """Return the cloth of a workshop as planning takes it.

    Parameters
    ----------
    shop
        As it stands.
    now
        When their life is looked at.
    known
        Names of rolls and offcuts that layouts were cut from before: they stand here even when they are gone.

    Notes
    -----
    Time out of the freezer is rounded up to half a percent of the out-life, so that a plan does not change every hour.
    """
    rolls: list[Roll] = []
    offcuts: list[Offcut] = []
    taken: list[Taken] = []
    used: list[Used] = []
    noticed: dict[str, tuple[Finding, ...]] = {}
    reckoner = Reckoner(shop)
    for cloth in cloths(shop, known):
        life = reckoner.life(cloth.name, now if cloth.gone is None else cloth.gone)
        why = "" if not cloth.there else dead(life, now)
        if why:
            noticed[cloth.material] = (*noticed.get(cloth.material, ()), _left_out(cloth, life, why))
            if cloth.name not in known:
                continue
        seconds = used_of(cloth, life, shop)
        if cloth.sort is Sort.OFFCUT:
            offcuts.append(_offcut(cloth, life, seconds))
            if why or not cloth.there:
                used.append(Used(offcut=cloth.name))
            continue
        if not cloth.length > 0.0:
            continue
        whole = max(cloth.left, 0.0) + sum(p.length for p in cloth.pulled)
        price = cloth.price
        if price is None:
            price = price_like(cloth.material, shop)
            noticed[cloth.material] = (*noticed.get(cloth.material, ()), _priceless(cloth, price, shop))
        rolls.append(_roll(cloth, life, whole, seconds, price))
        left = cloth.left if cloth.there and not why else 0.0
        if (gone := whole - left) > ROOM_AT_LEAST:
            taken.append(Taken(roll=cloth.name, length=gone))
    return OnShelf(
        rolls=tuple(rolls),
        stock=Stock(offcuts=tuple(offcuts), taken=tuple(taken), used=tuple(used)),
        noticed=noticed,
    )


def cloths(shop: Shop, known: Collection[str] = ()) -> Iterator[Cloth]:
    """Yield rolls and offcuts of known material that are there, rolls first, in the order of their names' numbers.

    Parameters
    ----------
    shop
        As it stands.
    known
        Names of others that are wanted although they are gone.
    """
    things = {n: t for n, t in shop.things.items() if t.there}
    things |= {n: t for n in known if (t := shop.things.get(n)) is not None}
    found = [
        t
        for t in things.values()
        if isinstance(t, Cloth) and t.sort in (Sort.ROLL, Sort.OFFCUT) and t.material in shop.library.prepreg
    ]
    yield from sorted(found, key=lambda c: (c.sort is not Sort.ROLL, natural(c.name)))


def price_like(material: str, shop: Shop) -> float:
    """Return what cloth of unknown price is taken to have cost [money/m²]: as the dearest other roll, else as on offer.

    Parameters
    ----------
    material
        Name of the cloth.
    shop
        As it stands.

    Returns
    -------
    float
        Zero when nobody knows any price of it.
    """
    rolls = [t.price for t in shop.things.values() if isinstance(t, Cloth) and t.material == material]
    known = [p for p in rolls if p is not None]
    offers = [o.price for o in shop.workshop.offers if o.material == material]
    return max(known, default=min(offers, default=0.0))


def dead(life: LifeNow, now: datetime) -> str:
    """Return why cloth may not be laid any more, in half a sentence; empty when it may.

    Parameters
    ----------
    life
        Of cloth that is there.
    now
        The moment.
    """
    if life.use_by is not None and life.use_by < now.date():
        return f"its last day was {life.use_by.isoformat()}"
    if life.out.share >= 1.0 and not life.out.sure:
        return "nobody knows how long it was out of the freezer, so all of its out-life counts as used up"
    if life.out.share >= 1.0:
        spent, whole = shown(life.out.used, "h", 0), shown(life.out.whole, "h", 0)
        return f"its out-life is used up: {spent} of {whole}"
    return ""


def used_of(cloth: Cloth, life: LifeNow, shop: Shop) -> float:
    """Return the time out of the freezer that planning counts on [s]: the used share of the sheet's out-life.

    Parameters
    ----------
    cloth
        Roll or offcut.
    life
        Of it.
    shop
        For its material.
    """
    whole = shop.library.prepreg[cloth.material].out_life
    return whole * STEP * math.ceil(max(life.out.share, 0.0) / STEP - 1e-6)


def _roll(cloth: Cloth, life: LifeNow, whole: float, seconds: float, price: float) -> Roll:
    return Roll(
        material=cloth.material,
        length=whole,
        price=price,
        width=cloth.width,
        selvedge=cloth.selvedge,
        life_used=seconds,
        batch=cloth.batch,
        name=cloth.name,
        up=Up(cloth.up),
        use_by=life.use_by,
    )


def _offcut(cloth: Cloth, life: LifeNow, seconds: float) -> Offcut:
    return Offcut(
        name=cloth.name,
        material=cloth.material,
        outline=cloth.outline,
        holes=cloth.holes,
        flaws=cloth.flaws,
        roll=cloth.parent or cloth.comes_from,
        batch=cloth.batch,
        life_used=seconds,
        up=Up(cloth.up),
        price=cloth.price,
        made=cloth.born.date(),
        use_by=life.use_by,
    )


def _priceless(cloth: Cloth, price: float, shop: Shop) -> Finding:
    currency = shop.workshop.currency
    return Finding(
        severity=Severity.WATCH if price == 0.0 else Severity.SEEN,
        stage="stock",
        place=f"roll {cloth.name}",
        what=f"nobody stated what it cost; {price:.2f} {currency}/m² are taken"
        + (", so a nest takes it for free" if price == 0.0 else ", as for others of its material"),
        why="a nest weighs offcuts against what fresh cloth costs, and the price of the part holds it",
        do="correct the event in which it was received: bagside stock show gives its letters, then price=…",
        basis=Basis.COMMON,
    )


def _left_out(cloth: Cloth, life: LifeNow, why: str) -> Finding:
    by_day = why.startswith("its last day")
    return Finding(
        severity=Severity.WATCH,
        stage="stock",
        place=f"{cloth.sort.value} {cloth.name}",
        what=f"it is not used: {why}",
        why="its resin may not flow and bond any more",
        do="use it for practice, cauls or test pieces that carry nothing, and discard it: "
        f'bagside stock discard {cloth.name} --why "out of date"',
        basis=Basis.DATA_SHEET if by_day else life.out.basis,
        source="label" if by_day else life.out.source,
    )
