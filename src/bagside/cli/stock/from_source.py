"""An offcut that is received and names the cloth it came from: no larger than that, and as old."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bagside.cli.desk import Desk
    from bagside.ledger.bodies import Received
    from bagside.ledger.things import Cloth
    from bagside.spec.stock import Offcut


def as_its_source(here: Desk, body: Received) -> Received:
    """Return an offcut with what its label has from its source, as far as it was not stated.

    Parameters
    ----------
    here
        The desk.
    body
        As typed.

    Raises
    ------
    InputError
        When it is wider than its cloth, larger than what it came from, or of another material.
    """
    import numpy as np

    from bagside.errors import InputError
    from bagside.ledger.stock.areas import wrong_outline
    from bagside.ledger.stock.offcut_found import received_offcut
    from bagside.ledger.stock.shelves import on_shelf
    from bagside.ledger.things import Cloth
    from bagside.planning.keeping import kept_offcut
    from bagside.spec.stock import Offcut, Up

    if wrong_outline(body.outline):  # the ledger says what is wrong with it
        return body
    shop = here.standing()
    source = shop.things.get(body.comes_from)
    own = source if isinstance(source, Cloth) and source.material in here.library.prepreg else None
    if own is not None and own.material != body.material:
        raise InputError.one("--material", f'"{body.material}"', f"{own.name} is {own.material}")
    rolls = on_shelf(shop, here.at, {body.comes_from} - {""}).rolls
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
    place = f"--outline of {body.name}"
    offcut = kept_offcut([np.array(body.outline)], 0.0, blank, roll, here.library, place)
    if own is None:
        return replace(body, outline=offcut.outline)
    _not_larger(offcut, own, place)
    stated = body.life_used is not None
    found = received_offcut(offcut, own, shop, here.at, place=body.place, stated=stated)
    return replace(
        found,
        tack_used=body.tack_used if stated else found.tack_used,
        made=body.made or found.made,
        note=body.note,
    )


def _not_larger(offcut: Offcut, source: Cloth, place: str) -> None:
    """Refuse an offcut that is larger than the offcut it came from."""
    from bagside.errors import InputError
    from bagside.ledger.stock.areas import area_of
    from bagside.quantity import shown

    area, whole = area_of(offcut.outline), area_of(source.outline, source.holes)
    if source.outline and area > whole * (1.0 + 1e-6):
        raise InputError.one(
            place, shown(area, "m²", 3), f"it came from {source.name}, which had {shown(whole, 'm²', 3)}",
            "look at its measures, and at the name of its source",
        )  # fmt: skip
