"""What can happen in the workshop, each as a value in SI units: the body of an event.

A body holds what a person or a program stated at that moment, never what can be worked out from other events. Names of
things are those on their labels. Lengths in m, areas in m², masses in kg, times in s, temperatures in K, pressures in
Pa absolute, money in the workshop's currency.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from typing import Any, TypeVar, dataclass_transform

from pydantic import ConfigDict, TypeAdapter, ValidationError

from bagside.errors import InputError, Problem
from bagside.ledger.planned import Planned

T = TypeVar("T")
Loop = tuple[tuple[float, float], ...]


@dataclass_transform(frozen_default=True, kw_only_default=True)
def happening(cls: type[T]) -> type[T]:
    """Make a class a frozen body: unknown keys, and numbers that are none, are refused when it is read."""
    made: Any = dataclass(frozen=True, slots=True, kw_only=True)(cls)
    made.__pydantic_config__ = ConfigDict(extra="forbid", allow_inf_nan=False)
    result: type[T] = made
    return result


class Sort(StrEnum):
    """What a thing is."""

    ROLL = "roll"
    KIT = "kit"
    OFFCUT = "offcut"
    ADHESIVE = "adhesive"
    COATING = "coating"
    CONSUMABLE = "consumable"
    MOULD = "mould"
    PLACE = "place"
    BUILD = "build"


CLOTH = (Sort.ROLL, Sort.KIT, Sort.OFFCUT)
GOODS = (Sort.ADHESIVE, Sort.COATING, Sort.CONSUMABLE)


class Use(StrEnum):
    """What a consumable is used for, which decides whether it may be used again."""

    BAG = "bag"  # a vacuum bag for a cure: one heat cycle, then never again
    DEBULK_BAG = "debulk bag"
    REUSABLE_BAG = "reusable bag"
    BREATHER = "breather"
    RELEASE_FILM = "release film"
    TAPE = "sealant tape"
    OTHER = "other"


class MassStage(StrEnum):
    """At which moment a part is weighed."""

    KIT = "kit"
    LAID = "laid"
    RAW = "raw"
    TRIMMED = "trimmed"
    FINISHED = "finished"
    FILMS = "films"  # not the part: the backing films that came off, weighed together


class Found(StrEnum):
    """What a measurement measures."""

    MASS = "mass"
    THICKNESS = "thickness"
    PINHOLES = "pinholes"
    LEAK = "leak"
    CLIMATE = "climate"
    CORE = "core temperature"
    DISTORTION = "distortion"
    HOLE = "hole position"
    DRY_FILM = "dry film"
    HOURS = "hours"
    WATER_BREAK = "water break"
    TAP = "tap test"
    DEMOULD = "demould temperature"
    THERMOCOUPLES = "thermocouples"


# --- stock -----------------------------------------------------------------------------------------------------------


@happening
class Received:
    """Something came into the workshop, or is known to it from now on.

    Parameters
    ----------
    name
        On its label; never used again for another thing.
    sort
        What it is.
    material
        Name in the library; a mould's is its tool material, a place's is empty.
    place
        Where it is put.
    length, width, selvedge
        Of a roll [m].
    outline, holes, flaws
        Of an offcut taken over from elsewhere, x along the warp [m].
    mass, volume, count
        Of goods [kg], [m³], pieces.
    batch, price, use_by, made, up
        As on its label; price [money/m²] for cloth, else [money] for each unit.
    life_used, tack_used
        Out of the freezer so far, as hours at the reference temperature [s]; None when nobody knows.
    use, cures
        Of a consumable: what for, and how many cures it may see; None as many as it likes.
    temperature
        Of a place, as set [K].
    limit, coats_last
        Of a mould: hottest it may see [K], and pulls that one release coat serves.
    comes_from
        Roll or supplier's number it came from, when that is not in the ledger.
    note
        Free text.
    """

    name: str
    sort: Sort
    material: str = ""
    place: str = ""
    length: float | None = None
    width: float | None = None
    selvedge: float = 0.0
    outline: Loop = ()
    holes: tuple[Loop, ...] = ()
    flaws: tuple[Loop, ...] = ()
    mass: float | None = None
    volume: float | None = None
    count: int | None = None
    batch: str = ""
    price: float | None = None
    use_by: date | None = None
    made: date | None = None
    up: str = "resin-rich"
    life_used: float | None = None
    tack_used: float | None = None
    use: Use = Use.OTHER
    cures: int | None = None
    temperature: float | None = None
    limit: float | None = None
    coats_last: int | None = None
    comes_from: str = ""
    note: str = ""


@happening
class Moved:
    """Things went to another place: out of the freezer, back into it.

    Parameters
    ----------
    things
        Names.
    to
        Name of a place.
    temperature
        Measured there [K]; the place's own when not stated.
    sealed
        Whether they went sealed in their bags, as into a freezer.
    """

    things: tuple[str, ...]
    to: str
    temperature: float | None = None
    sealed: bool = False


@happening
class Opened:
    """A sealed bag was opened after thawing.

    Parameters
    ----------
    thing
        Name.
    core
        Temperature in the middle [K]; None when it was judged by time.
    room, humidity
        Of the room [K], 0 to 1.
    dry
        Whether the bag was dry outside.
    why
        Why it was opened although it looked too cold; empty when it did not.
    """

    thing: str
    core: float | None = None
    room: float | None = None
    humidity: float | None = None
    dry: bool = True
    why: str = ""


@happening
class CutPiece:
    """A piece that went into a kit.

    Parameters
    ----------
    label
        As on its template; with `copy` it is unique in its kit.
    ply
        Number of its ply, from 1; 0 when it has none.
    area
        [m²].
    copy
        From 1.
    """

    label: str
    ply: int
    area: float
    copy: int = 1


@happening
class NewOffcut:
    """What was left over and kept: x along the warp [m]."""

    name: str
    outline: Loop
    holes: tuple[Loop, ...] = ()
    flaws: tuple[Loop, ...] = ()


@happening
class Label:
    """What is written on the labels of all that is cut, copied from their source; see `Received`."""

    material: str = ""
    batch: str = ""
    price: float | None = None
    use_by: date | None = None
    made: date | None = None
    up: str = "resin-rich"


@happening
class Cut:
    """A roll or an offcut was cut: into pieces of kits, offcuts that are kept, and waste.

    Parameters
    ----------
    source
        Roll or offcut. An offcut that is cut from is used up: what is left of it stands in `offcuts`.
    length
        Pulled off a roll [m]; 0 for an offcut.
    kits
        Kit's name and its pieces.
    offcuts
        Kept.
    job
        For what.
    of
        As the source's label says.
    place
        Where new kits and offcuts are put; empty where the source is.
    """

    source: str
    length: float = 0.0
    kits: dict[str, tuple[CutPiece, ...]] = field(default_factory=dict)
    offcuts: tuple[NewOffcut, ...] = ()
    job: str = ""
    of: Label = field(default_factory=Label)
    place: str = ""


@happening
class Counted:
    """Somebody looked how much is there: it replaces what was reckoned.

    Parameters
    ----------
    thing
        Name.
    length, mass, volume, count
        Found [m], [kg], [m³], pieces.
    why
        How the difference is explained, if it is.
    """

    thing: str
    length: float | None = None
    mass: float | None = None
    volume: float | None = None
    count: int | None = None
    why: str = ""


@happening
class Spent:
    """Some of a consumable, an adhesive or a coating was used.

    Parameters
    ----------
    thing
        Name.
    mass, volume, count
        Used up [kg], [m³], pieces; a reusable thing is used without being used up: then all are None.
    build
        For which.
    """

    thing: str
    mass: float | None = None
    volume: float | None = None
    count: int | None = None
    build: str = ""


@happening
class Discarded:
    """A thing is gone for good.

    Parameters
    ----------
    thing
        Name.
    why
        Expired, spoiled, sold, …
    """

    thing: str
    why: str


@happening
class Logged:
    """What a logger in a place saw over a time.

    Parameters
    ----------
    place
        Name.
    file
        Digest of the file (SHA-256), kept beside the ledger; its name in `called`.
    called
        As it was called.
    times
        Seconds since the event's time, rising [s]: the event's time is that of the first reading.
    temperatures
        As many [K].
    gaps
        Start and end of each time without readings [s since the event's time].
    """

    place: str
    file: str
    called: str
    times: tuple[float, ...]
    temperatures: tuple[float, ...]
    gaps: tuple[tuple[float, float], ...] = ()


# --- moulds ----------------------------------------------------------------------------------------------------------


@happening
class Released:
    """Release agent was put on a mould.

    Parameters
    ----------
    mould
        Name.
    agent
        Which.
    coats
        How many.
    sealed
        Whether the face was stripped and sealed anew.
    """

    mould: str
    agent: str
    coats: int = 1
    sealed: bool = False


@happening
class Repaired:
    """A mould was repaired; a repair under the net edge asks for a new vacuum test."""

    mould: str
    what: str
    where: str = ""


# --- builds ----------------------------------------------------------------------------------------------------------


@happening
class Begun:
    """A part is begun.

    Parameters
    ----------
    build
        Its serial number.
    planned
        As it was planned that day.
    mould
        Name of the mould in the ledger; may be empty.
    """

    build: str
    planned: Planned
    mould: str = ""


@happening
class Started:
    """A step was started."""

    build: str
    step: str


@happening
class Finished:
    """A step was finished.

    Parameters
    ----------
    build, step
        Which.
    boxes
        Numbers of the boxes ticked, from 0.
    attended
        Hands-on time [s], when it was not from start to finish.
    note
        Free text.
    """

    build: str
    step: str
    boxes: tuple[int, ...] = ()
    attended: float | None = None
    note: str = ""


@happening
class Laid:
    """A piece of a ply was laid: its tick.

    Parameters
    ----------
    build
        Which.
    ply
        Number, from 1.
    piece
        Label.
    films
        Backing films taken off it.
    kit
        It came out of; may be empty when no kit is in the ledger.
    angle
        Measured against the plan, when it was [rad].
    """

    build: str
    ply: int
    piece: str
    films: int
    kit: str = ""
    angle: float | None = None


@happening
class Debulked:
    """What is laid was pressed under vacuum.

    Parameters
    ----------
    build
        Which.
    after
        Ply after which, from 1.
    seconds
        Under vacuum [s]; the event's time is its end.
    pressure
        In the bag, absolute, at its end [Pa].
    bag
        Name of the bag or sheet used; may be empty.
    temperature
        Of a warm one [K]; None for one at room temperature.
    """

    build: str
    after: int
    seconds: float
    pressure: float
    bag: str = ""
    temperature: float | None = None


@happening
class Bagged:
    """The part is in its bag.

    Parameters
    ----------
    build
        Which.
    items
        Names of the bag, tape, breather in the ledger.
    note
        What was reused or stacked otherwise.
    """

    build: str
    items: tuple[str, ...] = ()
    note: str = ""


@happening
class Cured:
    """A cure was run, and judged.

    Parameters
    ----------
    builds
        Serial numbers that were in the oven.
    post
        Whether it was a post-cure off the mould.
    file
        Digest of its log; empty when there is none.
    called
        Name of the log.
    seconds
        From heat on to the end [s]; the event's time is its start.
    programme
        In words.
    verdict
        ``good``, ``finish``, ``scrap`` …, as the judgement words it; empty when there was no log to judge.
    reasons
        In sentences.
    cure, tg
        Least degree of cure, and Tg there [K]; None when not judged.
    hottest_part, hottest_tool
        Highest seen [K]; None when not known.
    pressure
        Highest in the bag before gel, absolute [Pa]; None when not logged.
    bag
        Items that saw the heat, by name.
    moulds
        That saw it too, by name; as many as `builds`, in their order, when each part has one.
    settled
        How the log was to be read, where it did not tell itself: options of the command and what was typed.
    """

    builds: tuple[str, ...]
    post: bool = False
    file: str = ""
    called: str = ""
    seconds: float = 0.0
    programme: str = ""
    verdict: str = ""
    reasons: tuple[str, ...] = ()
    cure: float | None = None
    tg: float | None = None
    hottest_part: float | None = None
    hottest_tool: float | None = None
    pressure: float | None = None
    bag: tuple[str, ...] = ()
    moulds: tuple[str, ...] = ()
    settled: dict[str, str | tuple[str, ...]] = field(default_factory=dict)


@happening
class Pulled:
    """A part came off its mould.

    Parameters
    ----------
    build, mould
        Which.
    temperature
        Of the part then [K].
    stuck
        Whether it did not come off as it should.
    """

    build: str
    mould: str
    temperature: float | None = None
    stuck: bool = False


@happening
class Measured:
    """Something was measured.

    Parameters
    ----------
    subject
        A build, a mould, a place or cloth.
    found
        What was measured.
    value
        Mass [kg], thickness [m], number of pinholes, temperature [K], distortion [m], offset of a hole [m], dry film
        [m], hours [s], 1 or 0 for passed or not.
    stage
        For a mass: at which moment.
    place
        Where: a named point, a region, a ply.
    sigma
        Standard error of the value, same unit; None when not stated.
    start, end, ambient, seconds, volume
        Of a leak test: absolute pressures [Pa], how long [s], volume under the bag [m³].
    humidity
        Of a climate reading, 0 to 1.
    gauge
        With what.
    """

    subject: str
    found: Found
    value: float
    stage: MassStage | None = None
    place: str = ""
    sigma: float | None = None
    start: float | None = None
    end: float | None = None
    ambient: float | None = None
    seconds: float | None = None
    volume: float | None = None
    humidity: float | None = None
    gauge: str = ""


@happening
class Photographed:
    """A photo was taken.

    Parameters
    ----------
    subject
        A build, a mould or cloth.
    file
        Digest of the picture as it is kept, its place in the world taken out.
    called
        As it was called.
    caption
        What it shows.
    step
        During which; may be empty.
    """

    subject: str
    file: str
    called: str
    caption: str = ""
    step: str = ""


@happening
class Conceded:
    """A departure from the plan is accepted.

    Parameters
    ----------
    build
        Which.
    what, why, effect
        In sentences.
    by
        Who decided.
    customer
        Who accepted it for the customer; empty when nobody has been asked.
    """

    build: str
    what: str
    why: str
    effect: str
    by: str
    customer: str = ""


@happening
class Passed:
    """A gate that said stop was passed by a named person.

    Parameters
    ----------
    build
        Which.
    gate
        Its key.
    step
        Before which.
    by
        Who takes it on.
    why
        Their reason.
    """

    build: str
    gate: str
    step: str
    by: str
    why: str


@happening
class Closed:
    """A build is over.

    Parameters
    ----------
    build
        Which.
    verdict
        ``good``, ``conceded`` or ``scrap``.
    why
        Free text; wanted for scrap.
    """

    build: str
    verdict: str
    why: str = ""


# --- corrections -----------------------------------------------------------------------------------------------------


@happening
class Corrected:
    """An earlier event was wrong.

    Parameters
    ----------
    corrects
        Its id.
    subjects
        Everything it touched, and what it touches now.
    kind, data
        What happened instead; empty when nothing did.
    at
        When it really happened; as stated then when None.
    why
        What was wrong.
    """

    corrects: str
    subjects: tuple[str, ...]
    kind: str = ""
    data: dict[str, Any] = field(default_factory=dict)
    at: datetime | None = None
    why: str = ""


Body = (
    Received | Moved | Opened | Cut | Counted | Spent | Discarded | Logged | Released | Repaired | Begun | Started
    | Finished | Laid | Debulked | Bagged | Cured | Pulled | Measured | Photographed | Conceded | Passed | Closed
    | Corrected
)  # fmt: skip

KINDS: dict[str, type[Any]] = {
    c.__name__.lower(): c
    for c in (
        Received, Moved, Opened, Cut, Counted, Spent, Discarded, Logged, Released, Repaired, Begun, Started, Finished,
        Laid, Debulked, Bagged, Cured, Pulled, Measured, Photographed, Conceded, Passed, Closed, Corrected,
    )
}  # fmt: skip
"""Name of each kind of event, and its body."""

_ADAPTERS: dict[str, TypeAdapter[Any]] = {}

_TOUCHES: dict[type[Any], Callable[[Any], tuple[str, ...]]] = {
    Received: lambda b: (b.name,),
    Moved: lambda b: b.things,
    Opened: lambda b: (b.thing,),
    Cut: lambda b: (b.source, *b.kits, *(o.name for o in b.offcuts)),
    Counted: lambda b: (b.thing,),
    Spent: lambda b: (b.thing,),
    Discarded: lambda b: (b.thing,),
    Logged: lambda b: (b.place,),
    Released: lambda b: (b.mould,),
    Repaired: lambda b: (b.mould,),
    Begun: lambda b: (b.build,),
    Laid: lambda b: (b.build, b.kit),
    Debulked: lambda b: (b.build, b.bag),
    Bagged: lambda b: (b.build, *b.items),
    Cured: lambda b: (*b.builds, *b.bag, *b.moulds),
    Pulled: lambda b: (b.build, b.mould),
    Measured: lambda b: (b.subject,),
    Photographed: lambda b: (b.subject,),
    Corrected: lambda b: b.subjects,
}


def _build(body: Any) -> tuple[str, ...]:
    return (body.build,)


def kind_of(body: Body) -> str:
    """Return the name of a body's kind.

    Parameters
    ----------
    body
        Any.
    """
    return type(body).__name__.lower()


def touches(body: Body) -> tuple[str, ...]:
    """Return the names of what a body is about, each once.

    Parameters
    ----------
    body
        Any.
    """
    named = _TOUCHES.get(type(body), _build)(body)
    return tuple(dict.fromkeys(name for name in named if name))


def asks(body: Body) -> tuple[str, ...]:
    """Return the names of what a body rests on without changing it: rules want to know how they stand, too.

    Parameters
    ----------
    body
        Any.
    """
    named: tuple[str, ...] = ()
    if isinstance(body, Received | Cut):
        named = (body.place,)
    elif isinstance(body, Moved):
        named = (body.to,)
    elif isinstance(body, Spent):
        named = (body.build,)
    elif isinstance(body, Begun):
        named = (body.mould,)
    return tuple(name for name in named if name and name not in touches(body))


def body_data(body: Body) -> dict[str, Any]:
    """Return a body as plain values that JSON knows.

    Parameters
    ----------
    body
        Any.
    """
    data: dict[str, Any] = _adapter(kind_of(body)).dump_python(body, mode="json", exclude_defaults=True)
    return data


def body_from(kind: str, data: Mapping[str, Any], place: str = "event") -> Body:
    """Return the body that `body_data` wrote.

    Parameters
    ----------
    kind
        Its name.
    data
        Its values.
    place
        For messages.

    Raises
    ------
    InputError
        When the kind is not known, or a value is missing, unknown or of another type.
    """
    if kind not in KINDS:
        raise InputError.one(f"{place}, kind", f'"{kind}"', "one of " + ", ".join(KINDS) + " is wanted")
    try:
        body: Body = _adapter(kind).validate_python(dict(data))
    except ValidationError as error:
        raise InputError(
            Problem(
                place=", ".join([place, kind, *(str(p) for p in e["loc"])]),
                came=repr(e.get("input"))[:60],
                wanted=e["msg"].lower(),
            )
            for e in error.errors()
        ) from None
    return body


def _adapter(kind: str) -> TypeAdapter[Any]:
    if kind not in _ADAPTERS:
        _ADAPTERS[kind] = TypeAdapter(KINDS[kind])
    return _ADAPTERS[kind]


