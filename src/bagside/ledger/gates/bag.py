"""Gates of the bag: tight, of film that has seen no cure, thermocouples set."""

from __future__ import annotations

from datetime import datetime

from bagside.findings import Basis
from bagside.ledger.bodies import Found, Use
from bagside.ledger.gates.gate import Gate
from bagside.ledger.gates.tightness import judged_drop
from bagside.ledger.shop import Shop
from bagside.ledger.stock.goods_events import not_offered
from bagside.ledger.things import Build, Goods
from bagside.quantity import shown


def tight(build: Build, step: str) -> Gate:
    """Return whether the last drop test of the bag passed, made since it was bagged last.

    Parameters
    ----------
    build
        Which.
    step
        Before which.
    """
    why = "a leak draws air through the laminate while it is liquid: voids, and no pressure where it is"
    bagged = build.bagged[-1].at if build.bagged else None
    tests = [m for m in build.measured if m.what.found is Found.LEAK]
    if not tests or (bagged is not None and tests[-1].at < bagged):
        what = "no leak test is written down" if not tests else _before("the last leak test", tests[-1].at, bagged)
        return Gate(
            key="leak", step=step, holds=None, what=what, why=why, basis=Basis.COMMON,
            do="pump 10 to 15 min, shut the valve at the bag, and write down start, end, time and ambient pressure",
        )  # fmt: skip
    drop = judged_drop(build.planned, tests[-1].what)
    return Gate(
        key="leak", step=step, holds=drop.holds, what=drop.what, why=why, do=drop.do, basis=drop.basis,
        source=drop.source,
    )  # fmt: skip


def fresh_bag(build: Build, step: str, shop: Shop) -> Gate | None:
    """Return whether what the part is bagged with may go through this cure; nothing when no bags are kept count of.

    Parameters
    ----------
    build
        Which.
    step
        Before which.
    shop
        For bags, tape and breather.
    """
    why = "film that has been hot once is brittle and bursts in the next cure"
    do = "bag it anew with film that has seen no cure, and write down which"
    source = "nylon film: one cure, many debulks; its sheet's limit for heat"
    items = build.bagged[-1].what.items if build.bagged else ()
    if not items:
        if not any(isinstance(t, Goods) and t.use in (Use.BAG, Use.REUSABLE_BAG) for t in shop.things.values()):
            return None
        return Gate(
            key="bag", step=step, holds=None, what="what it is bagged with is not written down", why=why,
            do="name the bag, the tape and the breather", basis=Basis.COMMON, source=source,
        )  # fmt: skip
    wrong, unknown = [], []
    for name in items:
        goods = shop.goods(name)
        if goods is None:
            unknown.append(f"{name} is not in the ledger")
            continue
        said = _worn(goods) or _too_hot(goods, build, shop)
        if said:
            wrong.append(said)
        else:
            unknown += _hot_for_a_while(goods, build, shop)
    holds = False if wrong else None if unknown else True
    named = ", ".join(items)
    what = "; ".join([*wrong, *unknown]) or f"{named}: no cure too many, and rated for the heat"
    return Gate(key="bag", step=step, holds=holds, what=what, why=why, do=do, basis=Basis.COMMON, source=source)


def thermocouples(build: Build, step: str) -> Gate | None:
    """Return whether the thermocouples are set where the plan wants them; nothing when it wants none.

    Parameters
    ----------
    build
        Which.
    step
        Before which.

    Notes
    -----
    One reading without a place says that all are set; else each place that the plan names wants its own.
    """
    wanted = build.planned.thermocouples
    if not wanted:
        return None
    bagged = build.bagged[-1].at if build.bagged else None
    read = [
        m
        for m in build.measured
        if m.what.found is Found.THERMOCOUPLES and (bagged is None or m.at >= bagged)
    ]
    all_ = [m.what.value for m in read if not m.what.place]
    by_place = {m.what.place: m.what.value for m in read if m.what.place}
    left = [] if all_ and all_[-1] >= 1.0 else [p for p in wanted if by_place.get(p, 0.0) < 1.0]
    refused = bool(all_ and all_[-1] < 1.0 and left) or any(v < 1.0 for p, v in by_place.items() if p in left)
    return Gate(
        key="thermocouples",
        step=step,
        holds=True if not left else False if refused else None,
        what=f"not set: {'; '.join(left)}" if left else f"set: {'; '.join(wanted)}",
        why="a dwell that is timed elsewhere is too short where the part lags",
        do="set them and look at each reading at room temperature, then write down that they are set",
        basis=Basis.COMMON,
        source="air, the place that is last to cure, the place that is first",
    )


def _worn(goods: Goods) -> str:
    """Return why goods may not go through one more cure; empty when they may."""
    if goods.use in (Use.BAG, Use.REUSABLE_BAG, Use.DEBULK_BAG):
        said = not_offered(goods, Use.BAG)
        if said:
            return said
    if goods.cures is not None and goods.heats >= goods.cures:
        return f"{goods.name} has seen {goods.heats} of {goods.cures} cures"
    return ""


def _too_hot(goods: Goods, build: Build, shop: Shop) -> str:
    """Return that a film is not rated for the heat of the plan; empty when it is, or when nobody knows."""
    film, hottest = shop.library.film.get(goods.material), build.planned.hottest_tool
    if film is None or hottest is None or hottest <= (film.short_limit or film.limit):
        return ""
    limit = shown(film.short_limit or film.limit, "°C", 0)
    return f"{goods.name} stands {limit}, the cure reaches {shown(hottest, '°C', 0)}"


def _hot_for_a_while(goods: Goods, build: Build, shop: Shop) -> list[str]:
    """Return that a film stands the heat of the plan only for a while, when it does: how long it is so hot, nobody
    knows here."""
    film, hottest = shop.library.film.get(goods.material), build.planned.hottest_tool
    if film is None or film.short_limit is None or film.short_time is None or hottest is None:
        return []
    if not film.limit < hottest <= film.short_limit:
        return []
    stands = f"{shown(film.limit, '°C', 0)}, and {shown(film.short_limit, '°C', 0)} for "
    return [
        f"{goods.name} stands {stands}{shown(film.short_time, 'min', 0)}; the cure reaches {shown(hottest, '°C', 0)}"
    ]


def _before(what: str, at: datetime, bagged: datetime | None) -> str:
    again = f"; it was bagged again {bagged:%Y-%m-%d %H:%M} UTC" if bagged is not None else ""
    return f"{what} is of {at:%Y-%m-%d %H:%M} UTC{again}"
