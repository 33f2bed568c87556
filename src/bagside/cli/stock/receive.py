"""``bagside stock receive SORT NAME``: something came into the workshop: cloth, goods, a mould, a place."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from bagside.ledger.bodies import Received, Sort
    from bagside.ledger.shop import Shop
    from bagside.records.desk import Desk


def receive(
    sort: Annotated[
        str, typer.Argument(metavar="SORT", help="roll, offcut, adhesive, coating, consumable, mould or place.")
    ],
    name: Annotated[str, typer.Argument(metavar="NAME", help="On its label; nothing else has ever had it.")],
    material: Annotated[str, typer.Option(help="Its name in the library.")] = "",
    length: Annotated[str, typer.Option(help='Of a roll, as in "25 m".')] = "",
    width: Annotated[str, typer.Option(help="Of a roll, from edge to edge; the sheet's else.")] = "",
    selvedge: Annotated[str, typer.Option(help="Of a roll, along each edge, not to be used.")] = "",
    outline: Annotated[
        str, typer.Option(help='Of an offcut, x along the warp, as in "0 0; 500 0; 500 300 mm"; keep reads drawings.')
    ] = "",
    mass: Annotated[str, typer.Option(help='Of goods, as in "500 g".')] = "",
    volume: Annotated[str, typer.Option(help='Of goods, as in "1 L".')] = "",
    count: Annotated[str, typer.Option(help="Of goods, in pieces.")] = "",
    batch: Annotated[str, typer.Option(help="As on its label.")] = "",
    price: Annotated[str, typer.Option(help='Of cloth as in "46 EUR/m²", of goods for each unit as in "85 EUR".')] = "",
    use_by: Annotated[str, typer.Option("--use-by", help="Last day on its label, as 2027-03-01.")] = "",
    made: Annotated[str, typer.Option(help="Day on which it was made, as 2026-03-01.")] = "",
    life_used: Annotated[
        str, typer.Option("--life-used", help='Out of the freezer so far, as in "0 h"; not known else.')
    ] = "",
    tack_used: Annotated[str, typer.Option("--tack-used", help="The same of its tack, when that is known.")] = "",
    up: Annotated[str, typer.Option(help="Face that is up, of one-faced cloth: resin-rich or dry.")] = "resin-rich",
    use: Annotated[
        str, typer.Option(help="Of a consumable: bag, debulk bag, reusable bag, breather, release film, sealant tape.")
    ] = "",
    cures: Annotated[str, typer.Option(help="Of a consumable: how many cures it may see.")] = "",
    temperature: Annotated[str, typer.Option(help='Of a place, as in "-18 °C".')] = "",
    limit: Annotated[str, typer.Option(help="Of a mould: the hottest it may see; its material's else.")] = "",
    coats_last: Annotated[
        str, typer.Option("--coats-last", help="Of a mould: pulls that one release coat serves.")
    ] = "",
    place: Annotated[str, typer.Option(help="Where it is put; cloth goes into the freezer else.")] = "",
    comes_from: Annotated[str, typer.Option("--from", help="Roll or number it came from, when not known here.")] = "",
    note: Annotated[str, typer.Option(help="Free text.")] = "",
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Receive something: from now on the records know it under its name."""
    from bagside.cli.desk import desk
    from bagside.cli.stock.found import day_of, sort_called
    from bagside.cli.stock.read import face_of, money_of, optional, use_of, whole
    from bagside.cli.stock.words import answered, kept
    from bagside.errors import InputError
    from bagside.ledger.bodies import CLOTH, Received, Sort
    from bagside.ledger.stock.receiving import as_its_source, known_material
    from bagside.quantity import Quantity

    what = sort_called(sort)
    if what is Sort.KIT:
        raise InputError.one("SORT", "kit", "a kit is not received, it is cut", "bagside cut --accept makes kits")
    if what is Sort.PLACE and not temperature.strip():
        raise InputError.one("--temperature", "", 'how warm is it there, as set or as usual? as in "-18 °C"')
    with desk(workshop, who, at, late=late) as here:
        shop = here.standing()
        body = Received(
            name=name,
            sort=what,
            material=known_material(material, what, shop, "--material"),
            place=place_for(here, what, place),
            length=optional(length, Quantity.LENGTH, "--length"),
            width=_width(shop, what, width, material),
            selvedge=optional(selvedge, Quantity.LENGTH, "--selvedge") or 0.0,
            outline=_outline(outline),
            mass=optional(mass, Quantity.MASS, "--mass"),
            volume=optional(volume, Quantity.VOLUME, "--volume"),
            count=whole(count, "--count"),
            batch=batch,
            price=money_of(price, "--price", here.shop.currency, area=what in CLOTH),
            use_by=day_of(use_by, "--use-by"),
            made=day_of(made, "--made"),
            up=face_of(up),
            life_used=optional(life_used, Quantity.TIME, "--life-used"),
            tack_used=optional(tack_used, Quantity.TIME, "--tack-used"),
            use=use_of(use),
            cures=whole(cures, "--cures"),
            temperature=optional(temperature, Quantity.TEMPERATURE, "--temperature"),
            limit=_limit(shop, what, limit, material),
            coats_last=whole(coats_last, "--coats-last"),
            comes_from=comes_from,
            note=note,
        )
        if what is Sort.OFFCUT and body.outline:
            body = as_its_source(body, shop, here.at, material="--material", outline="--outline")
        events = kept(here, body)
        findings = _findings(here, body)
    where = f" in {body.place}" if body.place else ""
    said = [f"{body.name}: {body.sort.value}{f' of {body.material}' if body.material else ''}{where}."]
    return answered(said, findings, events=events, json=json)


def place_for(here: Desk, sort: Sort, text: str) -> str:
    """Return the place that something is put into: as typed; for cloth the only freezer when nothing is.

    Parameters
    ----------
    here
        The desk.
    sort
        What it is.
    text
        As typed; may be empty.

    Raises
    ------
    InputError
        When no place is meant, or there is more than one freezer.
    """
    from bagside.cli.stock.found import place_called
    from bagside.ledger.bodies import CLOTH, Sort
    from bagside.ledger.stock.receiving import only_freezer

    if text:
        return place_called(here.ledger, text, "--place").name
    return only_freezer(here.ledger.things(Sort.PLACE).values(), "--place") if sort in CLOTH else ""


def _width(shop: Shop, sort: Sort, text: str, material: str) -> float | None:
    from bagside.cli.options import positive
    from bagside.ledger.stock.receiving import width_of
    from bagside.quantity import Quantity

    return positive(text, Quantity.LENGTH, "--width") if text else width_of(material, sort, shop)


def _limit(shop: Shop, sort: Sort, text: str, material: str) -> float | None:
    from bagside.cli.options import quantity
    from bagside.ledger.stock.receiving import limit_of
    from bagside.quantity import Quantity

    return quantity(text, Quantity.TEMPERATURE, "--limit") if text else limit_of(material, sort, shop)


def _outline(text: str) -> tuple[tuple[float, float], ...]:
    from bagside.cli.options import points
    from bagside.errors import InputError

    if not text:
        return ()
    if Path(text).suffix.lower() in (".toml", ".dxf", ".svg"):
        raise InputError.one("--outline", f'"{text}"', "corners are wanted here", "bagside keep FILE reads drawings")
    return tuple((p[0], p[1]) for p in points(text, "--outline", 2))


def _findings(here: Desk, body: Received) -> list[Any]:
    """Return what should be known of what came: cloth that is old, or of which too little is stated."""
    from bagside.ledger.bodies import CLOTH
    from bagside.ledger.clocks.life import life_of

    if body.sort not in CLOTH:
        return []
    return list(life_of(body.name, here.standing(), here.at).findings)
