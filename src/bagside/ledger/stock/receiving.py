"""What something that came in takes from its sheet, its place and its source where nothing was stated about it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

import numpy as np

from bagside.errors import InputError
from bagside.ledger.bodies import CLOTH, Received, Sort
from bagside.ledger.shop import Shop
from bagside.ledger.stock.areas import area_of, wrong_outline
from bagside.ledger.stock.as_stands import COLD
from bagside.ledger.stock.offcut_found import received_offcut
from bagside.ledger.stock.shelves import on_shelf
from bagside.ledger.things import Cloth, Place, Thing
from bagside.planning.keeping import kept_offcut
from bagside.quantity import shown
from bagside.spec.library import Library, lookup
from bagside.spec.stock import Offcut, Up


def tables_of(library: Library) -> dict[Sort, tuple[Mapping[str, Any], str]]:
    """Return in which table of the library the material of each sort stands, and what it is called there.

    Parameters
    ----------
    library
        Of the workshop.
    """
    return {
        **dict.fromkeys(CLOTH, (library.prepreg, "prepreg")),
        Sort.ADHESIVE: (library.adhesive, "adhesive"),
        Sort.COATING: (library.coating, "coating"),
        Sort.MOULD: (library.tool, "tool material"),
        Sort.CONSUMABLE: (library.film, "film or tape"),
    }


def known_material(name: str, sort: Sort, shop: Shop, place: str) -> str:
    """Return a material's name when the library has it where it must.

    Parameters
    ----------
    name
        As stated; may be empty for goods.
    sort
        What is made of it.
    shop
        With the library.
    place
        For messages.

    Raises
    ------
    InputError
        When there is none of this name, or none is stated where one is wanted.
    """
    tables = tables_of(shop.library)
    if sort not in tables:
        return name
    table, word = tables[sort]
    if not name:
        if sort in (Sort.CONSUMABLE, Sort.ADHESIVE, Sort.COATING):
            return ""
        known = f"there are {', '.join(sorted(table))}" if table else ""
        raise InputError.one(place, "", f"the name of its {word} in the library is wanted", known)
    problems = lookup(dict(table), name, place, word)
    if problems and not (sort is Sort.CONSUMABLE and name in shop.workshop.prices.tape):
        raise InputError(problems)
    return name


def only_freezer(things: Iterable[Thing], place: str) -> str:
    """Return the one freezer or fridge that there is.

    Parameters
    ----------
    things
        That are there.
    place
        For messages.

    Raises
    ------
    InputError
        When there is none, or more than one.
    """
    places = [t for t in things if isinstance(t, Place) and t.there]
    cold = [p.name for p in places if p.temperature is not None and p.temperature < COLD]
    if len(cold) == 1:
        return cold[0]
    hint = f"there are {', '.join(cold)}" if cold else 'bagside stock receive place freezer --temperature "-18 °C"'
    raise InputError.one(place, "", "where is it put? the name of a place is wanted", hint)


def width_of(material: str, sort: Sort, shop: Shop) -> float | None:
    """Return the width of a roll by its sheet [m]; None for anything else.

    Parameters
    ----------
    material, sort
        Of what came; the material must be in the library.
    shop
        With the library.
    """
    if sort is not Sort.ROLL:
        return None
    width: float = shop.library.prepreg[material].width
    return width


def limit_of(material: str, sort: Sort, shop: Shop) -> float | None:
    """Return the hottest that a mould may see by its material [K]; None for anything else.

    Parameters
    ----------
    material, sort
        Of what came; the material must be in the library.
    shop
        With the library.
    """
    if sort is not Sort.MOULD:
        return None
    limit: float | None = shop.library.tool[material].limit
    return limit


def as_its_source(body: Received, shop: Shop, now: datetime, *, material: str, outline: str) -> Received:
    """Return an offcut with what its label has from its source, as far as it was not stated.

    Parameters
    ----------
    body
        As stated.
    shop
        As it stands.
    now
        The moment.
    material, outline
        What they are called in messages.

    Raises
    ------
    InputError
        When it is wider than its cloth, larger than what it came from, or of another material.
    """
    if wrong_outline(body.outline):  # the ledger says what is wrong with it
        return body
    source = shop.things.get(body.comes_from)
    own = source if isinstance(source, Cloth) and source.material in shop.library.prepreg else None
    if own is not None and own.material != body.material:
        raise InputError.one(material, f'"{body.material}"', f"{own.name} is {own.material}")
    rolls = on_shelf(shop, now, {body.comes_from} - {""}).rolls
    roll = next((r for r in rolls if r.called == body.comes_from), None)
    blank = Offcut(
        name=body.name,
        material=body.material,
        outline=(),
        roll=body.comes_from,
        batch=body.batch or ("" if own is None else own.batch),
        life_used=body.life_used or 0.0,
        up=Up(body.up),
        price=body.price,
        use_by=body.use_by or (None if own is None else own.use_by),
    )
    place = f"{outline} of {body.name}"
    offcut = kept_offcut([np.array(body.outline)], 0.0, blank, roll, shop.library, place)
    if own is None:
        return replace(body, outline=offcut.outline)
    _not_larger(offcut, own, place)
    stated = body.life_used is not None
    found = received_offcut(offcut, own, shop, now, place=body.place, stated=stated)
    return replace(
        found,
        tack_used=body.tack_used if stated else found.tack_used,
        made=body.made or found.made,
        note=body.note,
    )


def _not_larger(offcut: Offcut, source: Cloth, place: str) -> None:
    """Refuse an offcut that is larger than the offcut it came from."""
    area, whole = area_of(offcut.outline), area_of(source.outline, source.holes)
    if source.outline and area > whole * (1.0 + 1e-6):
        raise InputError.one(
            place, shown(area, "m²", 3), f"it came from {source.name}, which had {shown(whole, 'm²', 3)}",
            "look at its measures, and at the name of its source",
        )  # fmt: skip
