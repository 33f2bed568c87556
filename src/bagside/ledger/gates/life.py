"""Gate of the cloth's life: enough out-life until heat is on, enough tack until the last ply, with a margin."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from bagside.errors import InputError
from bagside.findings import Basis, weakest
from bagside.ledger.bodies import Sort
from bagside.ledger.clocks.life import LifeNow, lives_of
from bagside.ledger.clocks.life_notes import time_words
from bagside.ledger.gates.gate import Gate
from bagside.ledger.gates.kits_for import KitsFor
from bagside.ledger.shop import Shop
from bagside.ledger.things import Build, Cloth
from bagside.quantity import shown

MARGIN = 0.20
"""Share by which life left must exceed what is still needed: 15 to 20 %. Common practice, no source."""


def lives(build: Build, step: str, shop: Shop, now: datetime, found: KitsFor) -> Gate | None:
    """Return whether the cloth of a build lives until heat is on; nothing when it has no plies.

    Parameters
    ----------
    build
        Which.
    step
        Before which: how long it still takes is the plan's, by its calendar.
    shop
        With the cloth and the places where it was.
    now
        When the step would begin.
    found
        The kits of the build.

    Notes
    -----
    Before cutting, one roll or offcut of each cloth that is not in a kit yet must live long enough. Life left is told
    for the room of the workshop.
    """
    if not build.planned.plies:
        return None
    planned = {s.key: s for s in build.planned.steps}
    need = planned[step].to_heat * (1.0 + MARGIN)
    bag = planned["bag"].to_heat if "bag" in planned else 0.0
    laying = max(planned[step].to_heat - bag, 0.0) * (1.0 + MARGIN)
    why = "cloth past its life does not stick, does not flow, and does not cure to what its sheet says"
    hours = f"{shown(need, 'h', 1)} until heat is on, {shown(MARGIN, '%', 0)} margin in it"
    choices = on_shelf(build, shop, found) if step == "cut" else {k.name: [k] for k in found.kits}
    none = [m for m, cloths in choices.items() if not cloths]
    if none or not choices:
        which = f"no {', no '.join(none)} is in the ledger" if none else "no kit of it is in the ledger"
        return Gate(
            key="life", step=step, holds=None, what=f"{which}; {hours} wanted", why=why, basis=Basis.COMMON,
            do="receive the roll, or take the kit into the ledger, with the hours it has been out",
        )  # fmt: skip
    try:
        told = lives_of((c.name for cloths in choices.values() for c in cloths), shop, now)
    except InputError as error:
        return Gate(
            key="life", step=step, holds=None, what=str(error.problems[0]), why=why, basis=Basis.COMMON,
            do="state its sheet under materials/ of the workshop, or discard what nobody knows",
        )  # fmt: skip
    best = [max((told[c.name] for c in cloths), key=lambda n: _spare(n, need, laying)) for cloths in choices.values()]
    short = [n for n in best if _short(n, need, laying, now)]
    worst = min(short or best, key=lambda n: _spare(n, need, laying))
    clock = worst.out if worst.tack is None or worst.out.left_room <= worst.tack.left_room else worst.tack
    return Gate(
        key="life", step=step, holds=not short, why=why,
        what="; ".join(f"{n.name}: {_short(n, need, laying, now)}" for n in short)
        or f"{worst.name}: {time_words(clock.left_room)} left in the room; {hours}",
        do="take cloth that lives longer; a coupon decides about what is a little over",
        basis=weakest(clock.basis, Basis.COMMON), source=clock.source,
    )  # fmt: skip


def _short(life: LifeNow, need: float, laying: float, now: datetime) -> str:
    """Return what a cloth is short of; empty when it lives long enough."""
    said = []
    if life.out.left_room < need or life.out.share >= 1.0:
        left = time_words(max(life.out.left_room, 0.0))
        unsure = "" if life.out.sure else ", counted on the safe side as nobody knows how long it was out"
        said.append(f"{left} of out-life left in the room, {shown(need, 'h', 1)} wanted{unsure}")
    if life.tack is not None and laying > 0.0 and (life.tack.left_room < laying or life.tack.share >= 1.0):
        left = time_words(max(life.tack.left_room, 0.0))
        said.append(f"{left} of tack left in the room, {shown(laying, 'h', 1)} wanted")
    if life.use_by is not None and life.use_by < now.date():
        said.append(f"its maker allows it until {life.use_by}")
    return ", ".join(said)


def _spare(life: LifeNow, need: float, laying: float) -> float:
    """Return by how much a cloth lives longer than is needed [s]."""
    spare = life.out.left_room - need
    if life.tack is not None and laying > 0.0:
        spare = min(spare, life.tack.left_room - laying)
    return spare


def on_shelf(build: Build, shop: Shop, found: KitsFor) -> dict[str, Sequence[Cloth]]:
    """Return what each cloth may be cut from that is not in a kit yet; the kits when everything is.

    Parameters
    ----------
    build
        Which.
    shop
        With rolls and offcuts.
    found
        Its kits.
    """
    if not found.missing:
        return {k.name: [k] for k in found.kits}
    plies = {p.number: p.material for p in build.planned.plies}
    wanted = dict.fromkeys(plies[ply] for ply, _ in found.missing)
    there = [t for t in shop.things.values() if isinstance(t, Cloth) and t.there and t.sort is not Sort.KIT]
    return {m: [t for t in there if t.material == m and (t.sort is Sort.OFFCUT or t.left > 0.0)] for m in wanted}
