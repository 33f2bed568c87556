"""One thing of the workshop looked at closely: its life, its thaw, its line up and down, everything that happened."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from bagside.errors import InputError
from bagside.ledger.bodies import Corrected, Sort
from bagside.ledger.clocks.life import life_of
from bagside.ledger.clocks.life_now import LifeNow
from bagside.ledger.clocks.thaw import Thaw, thaw_of
from bagside.ledger.event import Event
from bagside.ledger.replay import in_order
from bagside.ledger.shop import Shop
from bagside.ledger.stock.as_stands import stays_of
from bagside.ledger.stock.lineage import Line, lineage
from bagside.ledger.things import Cloth, Goods, Thing
from bagside.records.database.ledger import Ledger


@dataclass(frozen=True, slots=True, kw_only=True)
class Happened:
    """An event, and the id of the one that corrects it; empty when none does."""

    event: Event
    corrected_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ThingView:
    """One thing, looked at closely.

    Parameters
    ----------
    thing
        As it is.
    place
        Where it lies; empty when nobody wrote it down, or it has none.
    life
        Of cloth whose material is in the library; None else.
    thaw
        Of such cloth while its bag is sealed; None else.
    line
        What it came from, what came of it.
    history
        Everything that happened to it, the last first.
    places, builds
        Names of the places, and of the open builds.
    """

    thing: Thing
    place: str
    life: LifeNow | None
    thaw: Thaw | None
    line: Line
    history: tuple[Happened, ...]
    places: tuple[str, ...]
    builds: tuple[str, ...]


def thing_view(ledger: Ledger, shop: Shop, name: str, now: datetime) -> ThingView:
    """Return one thing, looked at closely.

    Parameters
    ----------
    ledger
        Opened.
    shop
        As it stands.
    name
        Of the thing, gone or not.
    now
        The moment, with its zone.

    Raises
    ------
    InputError
        When there is no thing of this name.
    """
    thing = shop.things.get(name)
    if thing is None or thing.sort is Sort.BUILD:
        raise InputError.one("name", f'"{name}"', "there is no such thing in the records")
    events = ledger.history(name)
    wrong = {e.body.corrects: e.id for e in events if isinstance(e.body, Corrected)}
    known = isinstance(thing, Cloth) and thing.material in shop.library.prepreg
    life = life_of(name, shop, now) if known else None
    thaw = thaw_of(thing, shop, now) if known and isinstance(thing, Cloth) and thing.there else None
    return ThingView(
        thing=thing,
        place=_place(thing, shop.things),
        life=life,
        thaw=None if thaw is not None and thaw.opened is not None else thaw,
        line=lineage(thing, shop.things, ledger.history),
        history=tuple(_happened(in_order(events), wrong)),
        places=ledger.names(Sort.PLACE),
        builds=ledger.names(Sort.BUILD),
    )


def _happened(events: Sequence[Event], wrong: Mapping[str, str]) -> list[Happened]:
    return [Happened(event=e, corrected_by=wrong.get(e.id, "")) for e in reversed(events)]


def _place(thing: Thing, things: Mapping[str, Thing]) -> str:
    if isinstance(thing, Cloth):
        stays = stays_of(thing, things)
    elif isinstance(thing, Goods):
        stays = thing.stays
    else:
        return ""
    return stays[-1].place if stays else ""
