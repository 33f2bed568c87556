"""``bagside stock list``: what the workshop has, what dies first at the top."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Annotated, Any

import typer

from bagside.cli.desk import Folder
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from bagside.ledger.clocks.due import Due
    from bagside.ledger.clocks.life_now import LifeNow
    from bagside.ledger.shop import Shop
    from bagside.ledger.things import Thing


def list_stock(
    sort: Annotated[
        str, typer.Argument(metavar="[SORT]", help="rolls, kits, offcuts, adhesives, coatings, consumables, moulds, …")
    ] = "",
    material: Annotated[str, typer.Option(help="Only of this one.")] = "",
    place: Annotated[str, typer.Option(help="Only what lies there.")] = "",
    workshop: Folder = None,
    json: AsJson = False,
) -> int:
    """List what the workshop has: how much, where, what of its life is used and left; what ends first at the top."""
    from bagside.cli import show
    from bagside.cli.desk import desk
    from bagside.cli.stock.found import place_called, sort_called
    from bagside.cli.stock.words import material_of, place_of
    from bagside.ledger.bodies import CLOTH, GOODS
    from bagside.ledger.clocks.due import due, first_ends

    wanted = (sort_called(sort),) if sort else (*CLOTH, *GOODS)
    with desk(workshop) as here:
        shop = here.standing()
        where = place_called(here.ledger, place, "--place").name if place else ""
        things = [t for t in shop.things.values() if t.sort in wanted]
        if material:
            meant = _material(material, things)
            things = [t for t in things if material_of(t) == meant]
        if where:
            things = [t for t in things if place_of(t, shop.things) == where]
        ends = first_ends(due(shop, here.at))
        lives = _lives(things, shop, here.at)
        things.sort(key=lambda t: _rank(t, ends))
        rows = [_row(t, shop, lives.get(t.name), ends.get(t.name)) for t in things]
        data = [_data(t, shop, lives.get(t.name), ends.get(t.name)) for t in things]
    if json:
        show.emit({"stock": data, "findings": []})
        return 0
    if not rows:
        show.OUT.print("There is nothing of this kind; bagside stock receive puts things into the records.")
        return 0
    headers = ["", "there", "place", "out-life", "tack", "room/−18 °C", "ends"]
    show.table("Stock, what ends first at the top", headers, rows)
    return 0


def _material(text: str, things: Sequence[Thing]) -> str:
    from bagside.cli.build.found import one_of
    from bagside.cli.stock.words import material_of

    names = sorted({material_of(t) for t in things} - {""})
    return one_of(text, names, "--material", "nothing here is of this material")


def _lives(things: Sequence[Thing], shop: Shop, now: datetime) -> Mapping[str, LifeNow]:
    from bagside.ledger.clocks.life import lives_of
    from bagside.ledger.things import Cloth

    names = [t.name for t in things if isinstance(t, Cloth) and t.material in shop.library.prepreg]
    return lives_of(names, shop, now)


def _rank(thing: Thing, ends: Mapping[str, Due]) -> tuple[bool, float, Any]:
    from bagside.ledger.words import natural

    end = ends.get(thing.name)
    when = None if end is None else end.when
    return (when is None, 0.0 if when is None else when.timestamp(), natural(thing.name))


def _row(thing: Thing, shop: Shop, life: LifeNow | None, end: Due | None) -> list[str]:
    from bagside.cli.show import MARK
    from bagside.cli.stock.words import amount_of, material_of, place_of
    from bagside.quantity import shown

    what = material_of(thing) or thing.sort.value
    row = [f"{thing.name}  {what}", amount_of(thing), place_of(thing, shop.things) or "–"]
    if life is None:
        row += ["–"] * 3
    else:
        tack = "–" if life.tack is None else shown(life.tack.share, "%", 0)
        row += [
            f"{shown(life.out.share, '%', 0)} {MARK[life.out.basis]}",
            tack,
            f"{max(life.out.left_room, 0.0) / 86400:.0f}/{max(life.out.left_cold, 0.0) / 86400:.0f} d",
        ]
    return [*row, "–" if end is None else day_of_end(end)]


def day_of_end(end: Due) -> str:
    """Return the last day on which a thing may be used.

    Parameters
    ----------
    end
        Of a thing.
    """
    from bagside.ledger.clocks.due import Ends

    if end.when is None:
        return "–"
    if end.ends in (Ends.LAST_DAY, Ends.OPENED):  # it ends with the day
        return (end.when.date() - timedelta(days=1)).isoformat()
    return end.when.astimezone().date().isoformat()


def _data(thing: Thing, shop: Shop, life: LifeNow | None, end: Due | None) -> dict[str, Any]:
    from bagside.cli.stock.show import life_data
    from bagside.cli.stock.words import amount_data, material_of, place_of

    return {
        "name": thing.name,
        "sort": thing.sort.value,
        "material": material_of(thing),
        "there": amount_data(thing),
        "place": place_of(thing, shop.things),
        "life": None if life is None else life_data(life),
        "ends": None if end is None or end.when is None else {"what": end.ends.value, "at": end.when.isoformat()},
    }
