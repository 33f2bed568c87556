"""What can happen to a part while it is made: bodies of events. Units as in `bagside.ledger.bodies`."""

from __future__ import annotations

from dataclasses import field

from bagside.ledger.happening import Found, MassStage, happening
from bagside.ledger.planned import Planned


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
