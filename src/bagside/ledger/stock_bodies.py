"""What can happen to cloth, goods, places and moulds: bodies of events. Units as in `bagside.ledger.bodies`."""

from __future__ import annotations

from dataclasses import field
from datetime import date

from bagside.ledger.happening import Loop, Sort, Use, happening


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
