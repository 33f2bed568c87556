"""Gates of the cloth before it is laid: a kit that is complete, a room that is fit."""

from __future__ import annotations

from datetime import datetime, timedelta

from bagside.findings import Basis
from bagside.ledger.gates.climates import last_climate
from bagside.ledger.gates.gate import Gate
from bagside.ledger.gates.kits_for import KitsFor
from bagside.ledger.shop import Shop
from bagside.ledger.stock.as_stands import COLD, stays_of
from bagside.ledger.things import Build
from bagside.quantity import shown

READ_WITHIN = timedelta(hours=4)
"""How old the reading of the room may be while plies are laid: at the start and at the end of a spell. Common practice,
no source."""

NAMED = 6
"""So many missing pieces are named; the others are counted."""


def complete(build: Build, step: str, found: KitsFor) -> Gate:
    """Return whether every piece of the part is in a kit.

    Parameters
    ----------
    build
        Which.
    step
        Before which.
    found
        Its kits.

    Notes
    -----
    Where the ledger holds no kit of the job, the box of the cutting step that says so is what somebody has looked at.
    """
    why = "a ply that is missing is found when the mould is half laid, or never"
    do = "count the kit against the list of pieces, and cut what is missing"
    if not found.kits and found.waiting:
        box = f"kit {build.planned.number} complete"
        seen = ticked(build, box)
        return Gate(
            key="kit", step=step, holds=True if seen else None, why=why, do=do, basis=Basis.COMMON,
            what=f'no kit of it is in the ledger; "{box}" is {"" if seen else "not "}ticked',
        )  # fmt: skip
    names = ", ".join(k.name for k in found.kits)
    if not found.missing:
        what = f"{names}: {found.waiting} pieces, none missing" if found.waiting else "every piece is laid"
        return Gate(key="kit", step=step, holds=True, what=what, why=why, do=do, basis=Basis.COMMON)
    named = ", ".join(f"{label} (ply {ply})" for ply, label in found.missing[:NAMED])
    more = f" and {len(found.missing) - NAMED} more" if len(found.missing) > NAMED else ""
    return Gate(
        key="kit", step=step, holds=False, what=f"{names}: {named}{more} missing", why=why, do=do, basis=Basis.COMMON
    )


def lay_room(build: Build, step: str, shop: Shop, now: datetime, found: KitsFor) -> Gate:
    """Return whether the room was fit for laying when it was read last.

    Parameters
    ----------
    build
        Which.
    step
        Before which.
    shop
        For the readings of the place where the kit is.
    now
        Time at which it would be laid.
    found
        Its kits: a reading of the place where they are counts.
    """
    plan = build.planned
    wanted = (
        f"{shown(plan.lay_coldest, '°C', 0)} to {shown(plan.lay_hottest, '°C', 0)}, under "
        f"{shown(plan.lay_wettest, '%', 0)} wanted"
    )
    why = "cold cloth has no tack and bridges, warm cloth skews, wet air makes voids"
    basis = Basis.PUBLISHED if plan.lay_source else Basis.COMMON
    read = last_climate(build, shop, now, READ_WITHIN, _rooms(found, shop))
    hours = f"{READ_WITHIN.total_seconds() / 3600.0:.0f} h"
    if read is None:
        return Gate(
            key="room", step=step, holds=None, what=f"no reading of the last {hours}; {wanted}", why=why, basis=basis,
            do="read temperature and humidity where it is laid, and write them down", source=plan.lay_source,
        )  # fmt: skip
    fit = plan.lay_coldest <= read.temperature <= plan.lay_hottest and read.humidity < plan.lay_wettest
    where = f" in {read.place}" if read.place else ""
    said = f"{shown(read.temperature, '°C', 1)} and {shown(read.humidity, '%', 0)}{where}"
    return Gate(
        key="room", step=step, holds=fit, what=f"{said}; {wanted}", why=why, basis=basis, source=plan.lay_source,
        do="heat, cool or dry the room, keep the cloth sealed until then, and read again",
    )  # fmt: skip


def _rooms(found: KitsFor, shop: Shop) -> list[str]:
    """Return the places that are no freezer in which the build's kits are."""
    out = []
    for kit in found.kits:
        stays = stays_of(kit, shop.things)
        if stays:
            place = shop.place(stays[-1].place)
            if place is not None and (place.temperature is None or place.temperature >= COLD):
                out.append(place.name)
    return out


def ticked(build: Build, box: str) -> bool:
    """Return whether a box of a finished step is ticked.

    Parameters
    ----------
    build
        Which.
    box
        Its words.
    """
    done = {s.key: s for s in build.steps}
    return any(
        box in s.boxes and done[s.key].finished is not None and s.boxes.index(box) in done[s.key].boxes
        for s in build.planned.steps
    )
