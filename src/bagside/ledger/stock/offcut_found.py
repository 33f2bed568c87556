"""An offcut that was found and is kept: nobody wrote down when it was cut, so it is received, with its roll's life.

It was waste when its roll was cut, and waste is not kept count of; so no area is taken off the roll again.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from bagside.ledger.bodies import Received, Sort
from bagside.ledger.clocks.life import life_of
from bagside.ledger.shop import Shop
from bagside.ledger.stock.one_over import OneOver
from bagside.ledger.things import Cloth
from bagside.spec.stock import Offcut


def received_offcut(
    offcut: Offcut, roll: Cloth | None, shop: Shop, now: datetime, *, place: str, stated: bool
) -> Received:
    """Return what says that an offcut was found and kept.

    Parameters
    ----------
    offcut
        With its outline, as it is seen with its own face up.
    roll
        In the ledger, from which it came; None when nobody knows.
    shop
        As it stands.
    now
        When it is kept.
    place
        Where it is put.
    stated
        Whether its life was stated; else it is as old as its roll is now.

    Notes
    -----
    A roll of which it is not known how long it was out gives an offcut of which it is not known either.
    """
    body = Received(
        name=offcut.name,
        sort=Sort.OFFCUT,
        material=offcut.material,
        place=place,
        outline=offcut.outline,
        holes=offcut.holes,
        flaws=offcut.flaws,
        batch=offcut.batch,
        price=offcut.price if offcut.price is not None or roll is None else roll.price,
        use_by=offcut.use_by,
        made=None if roll is None else roll.made,
        up=offcut.up.value,
        life_used=offcut.life_used,
        comes_from=offcut.roll,
    )
    if stated or roll is None:
        return body
    old = life_of(roll.name, shop, now)
    if not old.out.sure:
        return replace(body, life_used=None)
    # what the ledger adds by itself for the time since the cloth was made is in the roll's life already
    new = _fresh(replace(body, life_used=0.0, tack_used=0.0), now)
    added = life_of(new.name, replace(shop, things=OneOver(new, shop.things)), now)
    tack = None
    if old.tack is not None and added.tack is not None:
        tack = max(0.0, old.tack.used - added.tack.used)
    return replace(body, life_used=max(0.0, old.out.used - added.out.used), tack_used=tack)


def _fresh(body: Received, now: datetime) -> Cloth:
    """Return the offcut as it would stand when it had never been out."""
    at = now.astimezone(UTC)
    return Cloth(
        name=body.name,
        sort=Sort.OFFCUT,
        material=body.material,
        born=at,
        last=at,
        use_by=body.use_by,
        made=body.made,
        life_used=body.life_used,
        tack_used=body.tack_used,
    )
