"""What things are now: values that follow from the events about each, in order.

A thing's life is not stored: what is stored is where it has been since when (`Stay`), and from which thing it was cut
at what moment. `bagside.ledger.clocks.life` works the life out from that and from what the loggers of those places saw,
so a freezer log that comes later, or a correction of a roll's history, counts for everything that was cut from it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Generic, TypeVar

from pydantic import TypeAdapter

from bagside.ledger.bodies import (
    Bagged,
    Closed,
    Conceded,
    Cured,
    CutPiece,
    Debulked,
    Laid,
    Loop,
    Measured,
    Passed,
    Photographed,
    Pulled,
    Sort,
    Use,
)
from bagside.ledger.planned import Planned

B = TypeVar("B")


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """A thing is in a place from a moment on, until its next stay [K]; the place's own temperature when None."""

    place: str
    since: datetime
    temperature: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Length:
    """Cloth that was pulled off a roll, or an offcut that was cut up: for what, when, and by which event.

    Parameters
    ----------
    length
        Pulled [m]; 0 for an offcut.
    job, at, event
        For what, when, by which event.
    pieces, kept
        Area of the pieces that went into kits, and of the offcuts that were kept [m²]; the rest is waste.
    stays
        How many stays the cloth had had by then: the last of them is where it was cut.
    """

    length: float
    job: str
    at: datetime
    event: str
    pieces: float
    kept: float
    stays: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class KitPiece:
    """A piece in a kit: from which cloth, cut when, and whether it is laid, in which build."""

    piece: CutPiece
    source: str
    cut: datetime
    laid_in: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cloth:
    """A roll, an offcut or a kit.

    Parameters
    ----------
    name, sort, material, batch, price, use_by, made, up
        See `bagside.ledger.bodies.Received`; what is cut inherits them.
    born, last
        First and last event [UTC].
    birth
        Event it came by.
    parent
        Roll or offcut an offcut was cut from; empty for what was received, and for kits, whose pieces name theirs.
    comes_from
        As stated when it was received.
    length, width, selvedge
        Of a roll: as received, or as counted last [m].
    counted, counted_pulls
        When its length was counted last, and how many of `pulled` there had been by then: they no longer count.
    pulled
        In order: off a roll, or what an offcut was cut into.
    outline, holes, flaws
        Of an offcut [m].
    pieces
        Of a kit.
    stays
        Where it has been since it was born; until the first of them, where its source was
        (`bagside.ledger.stock.as_stands.stays_of`).
    life_used, tack_used
        When it was received [s]; None when not known, or when it was cut here.
    opened
        When its bag was opened last after it came out of the cold; None when it is sealed.
    gone, why
        When it was used up or thrown away; None while it is there.
    photos
        Of it.
    """

    name: str
    sort: Sort
    material: str
    born: datetime
    last: datetime
    birth: str = ""
    batch: str = ""
    price: float | None = None
    use_by: date | None = None
    made: date | None = None
    up: str = "resin-rich"
    parent: str = ""
    comes_from: str = ""
    length: float = 0.0
    width: float | None = None
    selvedge: float = 0.0
    counted: datetime | None = None
    counted_pulls: int = 0
    pulled: tuple[Length, ...] = ()
    outline: Loop = ()
    holes: tuple[Loop, ...] = ()
    flaws: tuple[Loop, ...] = ()
    pieces: tuple[KitPiece, ...] = ()
    stays: tuple[Stay, ...] = ()
    life_used: float | None = None
    tack_used: float | None = None
    opened: datetime | None = None
    gone: datetime | None = None
    why: str = ""
    photos: tuple[Photographed, ...] = ()
    note: str = ""

    @property
    def left(self) -> float:
        """Length that is left of a roll [m]; below zero when more was taken than there was."""
        return self.length - sum(p.length for p in self.pulled[self.counted_pulls :])

    @property
    def there(self) -> bool:
        """Whether it can still be used."""
        return self.gone is None


@dataclass(frozen=True, slots=True, kw_only=True)
class Goods:
    """An adhesive, a coating or a consumable.

    Parameters
    ----------
    name, sort, material, batch, price, use_by, made, use, cures
        See `bagside.ledger.bodies.Received`.
    mass, volume, count
        Left [kg], [m³], pieces; None when it is not counted so.
    several
        Whether it came as a supply of many, such as a roll of bagging film: what one piece of it saw, the rest did not.
    uses, heats
        How often it was used, and how many cures it saw.
    hottest
        It has seen [K].
    stays, opened, gone, why
        As of `Cloth`.
    """

    name: str
    sort: Sort
    material: str
    born: datetime
    last: datetime
    batch: str = ""
    price: float | None = None
    use_by: date | None = None
    made: date | None = None
    use: Use = Use.OTHER
    cures: int | None = None
    mass: float | None = None
    volume: float | None = None
    count: int | None = None
    several: bool = False
    uses: int = 0
    heats: int = 0
    hottest: float | None = None
    stays: tuple[Stay, ...] = ()
    opened: datetime | None = None
    gone: datetime | None = None
    why: str = ""
    note: str = ""

    @property
    def there(self) -> bool:
        """Whether it can still be used, life aside."""
        return self.gone is None


@dataclass(frozen=True, slots=True, kw_only=True)
class Mould:
    """A mould.

    Parameters
    ----------
    pulls
        Builds that came off it, in order.
    pulled
        When the last did.
    coats
        Agent, number of coats and pull number at which each release was put on.
    hottest
        It has seen [K]; None when never.
    heats
        Build, highest temperature of the tool [K], None when not known, and time [s] of each cure it saw.
    repairs
        When, what, where.
    tests
        Vacuum tests of its own face, and other measurements.
    stuck
        Number of parts that did not come off as they should.
    """

    name: str
    material: str
    born: datetime
    last: datetime
    limit: float | None = None
    coats_last: int | None = None
    pulls: tuple[str, ...] = ()
    pulled: datetime | None = None
    coats: tuple[tuple[str, int, int], ...] = ()
    released: datetime | None = None
    hottest: float | None = None
    heats: tuple[tuple[str, float | None, float], ...] = ()
    repairs: tuple[tuple[datetime, str, str], ...] = ()
    tests: tuple[tuple[datetime, Measured], ...] = ()
    stuck: int = 0
    photos: tuple[Photographed, ...] = ()
    gone: datetime | None = None
    why: str = ""
    note: str = ""
    sort: Sort = Sort.MOULD

    @property
    def there(self) -> bool:
        """Whether it can still be used."""
        return self.gone is None

    @property
    def pulls_since_release(self) -> int:
        """How many parts came off since release agent was put on; all when it never was."""
        return len(self.pulls) - (self.coats[-1][2] if self.coats else 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class LogPart:
    """What one log of a place says: rising times and temperatures [K], and times without readings."""

    file: str
    called: str
    times: tuple[datetime, ...]
    temperatures: tuple[float, ...]
    gaps: tuple[tuple[datetime, datetime], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A freezer, a fridge or a room.

    Parameters
    ----------
    temperature
        As set, or as it usually is [K].
    logs
        What loggers saw there.
    readings
        Temperature and humidity that were read there: the last 2000; all of them are in its history.
    """

    name: str
    born: datetime
    last: datetime
    temperature: float | None = None
    logs: tuple[LogPart, ...] = ()
    readings: tuple[tuple[datetime, Measured], ...] = ()
    gone: datetime | None = None
    why: str = ""
    note: str = ""
    sort: Sort = Sort.PLACE

    @property
    def there(self) -> bool:
        """Whether it is still used."""
        return self.gone is None


@dataclass(frozen=True, slots=True, kw_only=True)
class StepDone:
    """What happened of a planned step; `attended` is hands-on time where it was stated [s]."""

    key: str
    started: datetime | None = None
    finished: datetime | None = None
    who: tuple[str, ...] = ()
    boxes: tuple[int, ...] = ()
    attended: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Noted(Generic[B]):
    """Something that happened in a build: what, when, who says so, and the event it stands in."""

    at: datetime
    who: str
    event: str
    what: B


@dataclass(frozen=True, slots=True, kw_only=True)
class Build:
    """One part being made, or made.

    Parameters
    ----------
    name
        Its serial number.
    planned
        As it was planned the day it was begun.
    mould
        Name in the ledger; may be empty.
    steps
        What happened of each planned step, in the plan's order.
    laid, debulks, bagged, cures, pulled, measured, photos, conceded, passed
        What happened, in order.
    closed
        How it ended; None while it is open.
    """

    name: str
    planned: Planned
    born: datetime
    last: datetime
    begun_by: str
    mould: str = ""
    steps: tuple[StepDone, ...] = ()
    laid: tuple[Noted[Laid], ...] = ()
    debulks: tuple[Noted[Debulked], ...] = ()
    bagged: tuple[Noted[Bagged], ...] = ()
    cures: tuple[Noted[Cured], ...] = ()
    pulled: Noted[Pulled] | None = None
    measured: tuple[Noted[Measured], ...] = ()
    photos: tuple[Noted[Photographed], ...] = ()
    conceded: tuple[Noted[Conceded], ...] = ()
    passed: tuple[Noted[Passed], ...] = ()
    closed: Noted[Closed] | None = None
    sort: Sort = Sort.BUILD

    @property
    def there(self) -> bool:
        """Whether it is still being made."""
        return self.closed is None

    @property
    def next_step(self) -> str:
        """Key of the first planned step that is not finished; empty when all are."""
        return next((s.key for s in self.steps if s.finished is None), "")


Thing = Cloth | Goods | Mould | Place | Build

_TYPES: dict[str, TypeAdapter[Any]] = {}


def thing_data(thing: Thing) -> dict[str, Any]:
    """Return a thing as plain values that JSON knows.

    Parameters
    ----------
    thing
        Any.
    """
    data: dict[str, Any] = _adapter(type(thing)).dump_python(thing, mode="json", exclude_defaults=True)
    return data


def thing_from(sort: str, data: dict[str, Any]) -> Thing:
    """Return the thing that `thing_data` wrote.

    Parameters
    ----------
    sort
        What it is.
    data
        Its values.
    """
    thing: Thing = _adapter(_kind(sort)).validate_python(data)
    return thing


def thing_json(thing: Thing) -> str:
    """Return a thing as JSON, faster than by `thing_data`.

    Parameters
    ----------
    thing
        Any.
    """
    return _adapter(type(thing)).dump_json(thing, exclude_defaults=True).decode()


def thing_from_json(sort: str, text: str) -> Thing:
    """Return the thing that `thing_json` wrote.

    Parameters
    ----------
    sort
        What it is.
    text
        As written.
    """
    thing: Thing = _adapter(_kind(sort)).validate_json(text)
    return thing


def _kind(sort: str) -> type[Any]:
    kinds: dict[Sort, type[Any]] = {Sort.MOULD: Mould, Sort.PLACE: Place, Sort.BUILD: Build}
    what = Sort(sort)
    return kinds.get(what, Cloth if what in (Sort.ROLL, Sort.KIT, Sort.OFFCUT) else Goods)


def _adapter(kind: type[Any]) -> TypeAdapter[Any]:
    if kind.__name__ not in _TYPES:
        _TYPES[kind.__name__] = TypeAdapter(kind)
    return _TYPES[kind.__name__]
