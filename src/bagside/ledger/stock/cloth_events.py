"""What an event makes of a roll, a kit or an offcut.

Cloth is told by the events that touch it: an offcut does not know its roll, only its name and the event it came by.
Where the roll was then, and what life it had left, is asked for when it is needed, so that what is learnt late about a
roll counts for everything that was cut from it.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from bagside.ledger.bodies import (
    CLOTH,
    Counted,
    Cut,
    Discarded,
    Laid,
    Moved,
    NewOffcut,
    Opened,
    Photographed,
    Received,
    Sort,
    Spent,
)
from bagside.ledger.event import Event
from bagside.ledger.stock.areas import area_of
from bagside.ledger.things import Cloth, KitPiece, Length, Stay

USED_UP = "used up"
LAID = "laid"
LEAST_LENGTH = 1e-6
"""Shorter than this is nothing [m]."""

FREEZING = 273.15
"""What is put away colder than this goes sealed [K]; common practice, no source."""


def cloth_after(thing: Cloth | None, event: Event, name: str) -> Cloth | None:
    """Return cloth after one more event.

    Parameters
    ----------
    thing
        As it was; None when it is not known.
    event
        Not earlier than any before. What it cannot mean for this cloth leaves it as it was.
    name
        Of the cloth.
    """
    if thing is None:
        return _born(event, name)
    thing = replace(thing, last=max(thing.last, event.at))
    body = event.body
    if isinstance(body, Cut):
        if body.source == name:
            return _cut(thing, event, body)
        return _filled(thing, event, body) if name in body.kits and thing.sort is Sort.KIT else thing
    if isinstance(body, Moved):
        sealed = body.sealed or (body.temperature is not None and body.temperature < FREEZING)
        stay = Stay(place=body.to, since=event.at, temperature=body.temperature)
        return replace(thing, stays=(*thing.stays, stay), opened=None if sealed else thing.opened)
    if isinstance(body, Opened):
        return replace(thing, opened=event.at)
    if isinstance(body, Counted):
        return _counted(thing, event, body)
    if isinstance(body, Laid):
        return _laid(thing, event, body)
    if isinstance(body, Spent):
        whole = thing.sort in (Sort.OFFCUT, Sort.KIT)
        return _gone(thing, event.at, f"used for {body.build}" if body.build else "used") if whole else thing
    if isinstance(body, Discarded):
        return _gone(thing, event.at, body.why)
    if isinstance(body, Photographed):
        return replace(thing, photos=(*thing.photos, body))
    return thing


def _born(event: Event, name: str) -> Cloth | None:
    """Return cloth as it comes: received, or cut; None when the event does not make it."""
    body = event.body
    if isinstance(body, Received):
        if body.name != name or body.sort not in CLOTH:
            return None
        return Cloth(
            name=name, sort=body.sort, material=body.material, born=event.at, last=event.at, birth=event.id,
            batch=body.batch, price=body.price, use_by=body.use_by, made=body.made, up=body.up,
            comes_from=body.comes_from, length=body.length or 0.0, width=body.width, selvedge=body.selvedge,
            outline=body.outline, holes=body.holes, flaws=body.flaws,
            stays=(Stay(place=body.place, since=event.at),) if body.place else (),
            life_used=body.life_used, tack_used=body.tack_used, note=body.note,
        )  # fmt: skip
    if not isinstance(body, Cut) or body.source == name:
        return None
    if name in body.kits:
        return _filled(_new(event, body, name, Sort.KIT), event, body)
    offcut = next((o for o in body.offcuts if o.name == name), None)
    if offcut is None:
        return None
    made = _new(event, body, name, Sort.OFFCUT)
    return replace(made, parent=body.source, outline=offcut.outline, holes=offcut.holes, flaws=offcut.flaws)


def _new(event: Event, body: Cut, name: str, sort: Sort) -> Cloth:
    """Return cloth that was cut, with what stands on its label."""
    of = body.of
    return Cloth(
        name=name, sort=sort, material=of.material, born=event.at, last=event.at, birth=event.id, batch=of.batch,
        price=of.price, use_by=of.use_by, made=of.made, up=of.up,
        stays=(Stay(place=body.place, since=event.at),) if body.place else (),
    )  # fmt: skip


def kept_area(offcuts: tuple[NewOffcut, ...]) -> float:
    """Return the area of offcuts, holes taken out [m²].

    Parameters
    ----------
    offcuts
        Any.
    """
    return sum(area_of(o.outline, o.holes) for o in offcuts)


def piece_area(body: Cut) -> float:
    """Return the area of all pieces that a cut put into kits [m²].

    Parameters
    ----------
    body
        A cut.
    """
    return sum(p.area for pieces in body.kits.values() for p in pieces)


def _cut(thing: Cloth, event: Event, body: Cut) -> Cloth:
    """Return a roll that is shorter now, or an offcut that is used up."""
    entry = Length(
        length=body.length if thing.sort is Sort.ROLL else 0.0,
        job=body.job,
        at=event.at,
        event=event.id,
        pieces=piece_area(body),
        kept=kept_area(body.offcuts),
        stays=len(thing.stays),
    )
    thing = replace(thing, pulled=(*thing.pulled, entry))
    if thing.sort is Sort.OFFCUT:
        return _gone(thing, event.at, f"cut for {body.job}" if body.job else "cut up")
    if thing.sort is Sort.ROLL and thing.left <= LEAST_LENGTH:
        return _gone(thing, event.at, USED_UP)
    return thing


def _filled(thing: Cloth, event: Event, body: Cut) -> Cloth:
    """Return a kit with more pieces in it."""
    more = tuple(KitPiece(piece=p, source=body.source, cut=event.at) for p in body.kits[thing.name])
    return _settled(replace(thing, pieces=(*thing.pieces, *more)), event.at)


def _laid(thing: Cloth, event: Event, body: Laid) -> Cloth:
    """Return a kit of which one more piece is laid."""
    at = next((i for i, p in enumerate(thing.pieces) if not p.laid_in and is_piece(p, body)), None)
    if at is None or thing.sort is not Sort.KIT:
        return thing
    piece = replace(thing.pieces[at], laid_in=body.build)
    return _settled(replace(thing, pieces=(*thing.pieces[:at], piece, *thing.pieces[at + 1 :])), event.at)


def is_piece(piece: KitPiece, body: Laid) -> bool:
    """Return whether a tick means a piece of a kit, or a copy of it.

    Parameters
    ----------
    piece
        In the kit.
    body
        The tick.
    """
    return piece.piece.label == body.piece and piece.piece.ply in (0, body.ply)


def _settled(kit: Cloth, at: datetime) -> Cloth:
    """Return a kit that is gone when all in it is laid, and back when there is more in it again."""
    if kit.pieces and all(p.laid_in for p in kit.pieces):
        return _gone(kit, at, LAID)
    return replace(kit, gone=None, why="") if kit.why == LAID else kit


def _counted(thing: Cloth, event: Event, body: Counted) -> Cloth:
    """Return a roll that is as long as somebody found it."""
    if thing.sort is not Sort.ROLL or body.length is None:
        return thing
    thing = replace(thing, length=body.length, counted=event.at, counted_pulls=len(thing.pulled))
    if body.length <= LEAST_LENGTH:
        return _gone(thing, event.at, USED_UP)
    return replace(thing, gone=None, why="") if thing.why == USED_UP else thing


def _gone(thing: Cloth, at: datetime, why: str) -> Cloth:
    """Return cloth that is gone; what was gone before stays so for the first reason."""
    return thing if thing.gone is not None else replace(thing, gone=at, why=why)
