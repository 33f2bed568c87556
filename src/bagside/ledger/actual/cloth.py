"""What a part is made of: each kit with its batch, the rolls and offcuts it came from, and its life at the cure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from bagside.ledger.bodies import Sort, Spent
from bagside.ledger.clocks.life import Clock, LifeNow, Reckoner
from bagside.ledger.event import Event
from bagside.ledger.shop import Shop
from bagside.ledger.stock.areas import area_of
from bagside.ledger.things import Build, Cloth, Goods, Length


@dataclass(frozen=True, slots=True, kw_only=True)
class Used:
    """Cloth in a part: one kit, or the plies that no kit is named for.

    Parameters
    ----------
    material
        Name in the library.
    kit
        Name; empty when nobody named one.
    plies
        Numbers, from 1.
    batches
        Of what it was cut from.
    sources
        Rolls and offcuts its pieces were cut from, in order of name.
    rolls
        Rolls those came from.
    use_by
        Earliest of the maker's last days; None when not known.
    at
        Moment for which life is told [UTC].
    cured
        Whether that is the start of the first cure.
    out, tack
        Out-life and tack used then; None when not known.
    area
        Of the pieces of these plies that came from it [m²].
    taken
        Cloth that was cut for them, waste among it and without what was kept [m²]; None when not known.
    price
        [money/m²]; None when not known.
    """

    material: str
    kit: str
    plies: tuple[int, ...]
    batches: tuple[str, ...]
    sources: tuple[str, ...]
    rolls: tuple[str, ...]
    use_by: date | None
    at: datetime
    cured: bool
    out: Clock | None
    tack: Clock | None
    area: float
    taken: float | None
    price: float | None

    @property
    def cost(self) -> float | None:
        """Of the cloth that was cut [money]; None when its amount or price is not known."""
        return None if self.taken is None or self.price is None else self.taken * self.price


@dataclass(frozen=True, slots=True, kw_only=True)
class GoodsUsed:
    """A consumable, an adhesive or a coating used on a part.

    Parameters
    ----------
    name, sort, material, batch, use_by
        Of the goods; `sort` is None for a name that the ledger does not know.
    what_for
        ``bag``, ``debulk``, ``cure`` or ``used``.
    mass, volume, count
        Used up [kg], [m³], pieces; None when not stated.
    heats
        Cures it has seen by now.
    """

    name: str
    sort: Sort | None
    material: str
    batch: str
    use_by: date | None
    what_for: str
    mass: float | None = None
    volume: float | None = None
    count: int | None = None
    heats: int = 0


def cured_at(build: Build) -> datetime | None:
    """Return when the first cure began [UTC]; None before it."""
    return build.cures[0].at if build.cures else None


def used(build: Build, reckoner: Reckoner, now: datetime) -> tuple[Used, ...]:
    """Return the cloth in a part, by kit.

    Parameters
    ----------
    build
        The part.
    reckoner
        Of lives, in the workshop as it stands.
    now
        When [UTC], for a part that is not cured.
    """
    materials = {p.number: p.material for p in build.planned.plies}
    planned = {(p.number, label): p.area / len(p.pieces) for p in build.planned.plies for label in p.pieces}
    groups: dict[tuple[str, str], list[tuple[int, str]]] = {}
    for t in build.laid:
        key = (t.what.kit, materials.get(t.what.ply, ""))
        groups.setdefault(key, []).append((t.what.ply, t.what.piece))
    at = cured_at(build)
    shop = reckoner.shop
    out = []
    for (kit, material), pieces in groups.items():
        thing = shop.things.get(kit) if kit else None
        cloth = thing if isinstance(thing, Cloth) else None
        plies = tuple(sorted({p for p, _ in pieces}))
        area = sum(planned.get(p, 0.0) for p in pieces)
        out.append(
            _without_kit(material, kit, plies, area, at, now)
            if cloth is None
            else _of_kit(build, cloth, plies, reckoner, at, now)
        )
    return tuple(sorted(out, key=lambda u: (u.plies, u.kit)))


def _without_kit(
    material: str, kit: str, plies: tuple[int, ...], area: float, at: datetime | None, now: datetime
) -> Used:
    return Used(
        material=material, kit=kit, plies=plies, batches=(), sources=(), rolls=(), use_by=None, at=at or now,
        cured=at is not None, out=None, tack=None, area=area, taken=None, price=None,
    )  # fmt: skip


def _of_kit(
    build: Build, kit: Cloth, plies: tuple[int, ...], reckoner: Reckoner, at: datetime | None, now: datetime
) -> Used:
    shop = reckoner.shop
    mine = [p for p in kit.pieces if p.laid_in == build.name] or list(kit.pieces)
    sources = [shop.things.get(name) for name in sorted({p.source for p in mine})]
    cloths = [c for c in sources if isinstance(c, Cloth)]
    rolls = sorted({_root(c, shop).name for c in cloths})
    batches = sorted({c.batch for c in (*cloths, kit) if c.batch})
    ends = [c.use_by for c in (kit, *cloths) if c.use_by is not None]
    life = _life(kit, reckoner, at or now)
    return Used(
        material=kit.material,
        kit=kit.name,
        plies=plies,
        batches=tuple(batches),
        sources=tuple(sorted({p.source for p in mine})),
        rolls=tuple(rolls),
        use_by=min(ends) if ends else None,
        at=at or now,
        cured=at is not None,
        out=life.out if life is not None else None,
        tack=life.tack if life is not None else None,
        area=sum(p.piece.area for p in mine),
        taken=_taken(kit, build, shop),
        price=kit.price,
    )


def _life(kit: Cloth, reckoner: Reckoner, at: datetime) -> LifeNow | None:
    """Return the life of a kit at a moment; None when no sheet says how long its cloth lives."""
    if kit.material not in reckoner.shop.library.prepreg:
        return None
    return reckoner.life(kit.name, at)


def _root(cloth: Cloth, shop: Shop) -> Cloth:
    seen = {cloth.name}
    while cloth.parent and cloth.parent not in seen:
        parent = shop.things.get(cloth.parent)
        if not isinstance(parent, Cloth):
            break
        seen.add(parent.name)
        cloth = parent
    return cloth


def _taken(kit: Cloth, build: Build, shop: Shop) -> float | None:
    """Return the cloth cut for this part's pieces [m²]: their share of what each cut took and did not keep."""
    whole = 0.0
    for piece in kit.pieces:
        if piece.laid_in not in ("", build.name):
            continue
        source = shop.things.get(piece.source)
        if not isinstance(source, Cloth):
            return None
        pull = next((p for p in source.pulled if p.at == piece.cut), None)
        gross = None if pull is None else _gross(source, pull)
        if pull is None or gross is None or pull.pieces <= 0.0:
            return None
        whole += piece.piece.area * gross / pull.pieces
    return whole or None


def _gross(source: Cloth, pull: Length) -> float | None:
    """Return what a cut took of a roll or an offcut and did not keep [m²]; None when its width is not known."""
    if source.sort is Sort.ROLL:
        return None if source.width is None else pull.length * source.width - pull.kept
    return area_of(source.outline, source.holes) - pull.kept


def goods_used(build: Build, shop: Shop, spent: Sequence[tuple[Event, Spent]]) -> tuple[GoodsUsed, ...]:
    """Return what was used up on a part besides cloth.

    Parameters
    ----------
    build
        The part.
    shop
        The workshop.
    spent
        Events of what was used up for this part.
    """
    named: dict[str, str] = {}
    for d in build.debulks:
        if d.what.bag:
            named.setdefault(d.what.bag, "debulk")
    for b in build.bagged:
        for item in b.what.items:
            named[item] = "bag"
    for c in build.cures:
        for item in c.what.bag:
            named.setdefault(item, "cure")
    out = [_goods(name, what_for, shop) for name, what_for in named.items()]
    for _, body in spent:
        if body.thing not in named:
            out.append(_goods(body.thing, "used", shop, body))
    return tuple(sorted(out, key=lambda g: (g.what_for, g.name)))


def _goods(name: str, what_for: str, shop: Shop, body: Spent | None = None) -> GoodsUsed:
    thing = shop.things.get(name)
    goods = thing if isinstance(thing, Goods) else None
    return GoodsUsed(
        name=name,
        sort=goods.sort if goods else None,
        material=goods.material if goods else "",
        batch=goods.batch if goods else "",
        use_by=goods.use_by if goods else None,
        what_for=what_for,
        mass=body.mass if body else None,
        volume=body.volume if body else None,
        count=body.count if body else None,
        heats=goods.heats if goods else 0,
    )
