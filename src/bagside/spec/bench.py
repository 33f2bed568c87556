"""The small files from which one bench runs alone."""

from __future__ import annotations

from dataclasses import field

from bagside.spec.fields import Angle as AngleField
from bagside.spec.fields import (
    Difference,
    Fraction,
    Humidity,
    Point2,
    PositiveConductivity,
    PositiveDensity,
    PositiveHeatCapacity,
    PositiveLength,
    Size2,
    SomeForce,
    SomeLength,
    SomeTime,
    Temperature,
    stated,
)
from bagside.spec.job import Coat, CycleWanted, MetalInside, Replaces, Segment
from bagside.spec.workshop import CuttingTable, Oven, Pump, Room


@stated
class StackPly:
    """A ply of a stack: which cloth, at what angle."""

    material: str
    angle: AngleField


@stated
class StackFile:
    """A stack of plies, first on the mould: for ``bagside laminate``.

    Parameters
    ----------
    cools
        By how much it cools from gel to the room [K].
    """

    plies: tuple[StackPly, ...]
    replaces: Replaces | None = None
    cools: Difference = 100.0
    structural: bool = False


@stated
class CardPiece:
    """A piece from a card template or a tape measure: a polygon, or a plain size.

    Parameters
    ----------
    points
        Corners, x along the warp [m].
    size
        A rectangle, along the warp and across it [m].
    copies
        How many are cut.
    free
        Whether it may be turned to any angle.
    """

    label: str
    points: tuple[Point2, ...] = ()
    size: Size2 | None = None
    copies: int = 1
    free: bool = False


@stated
class CutFile:
    """Pieces to nest on one cloth: for ``bagside cut``."""

    material: str
    pieces: tuple[CardPiece, ...]
    width: PositiveLength | None = None
    length: PositiveLength | None = None
    table: CuttingTable = field(default_factory=CuttingTable)
    time: SomeTime = 10.0


@stated
class CoreLayer:
    """A core between two skins, as heat sees it."""

    thickness: PositiveLength
    density: PositiveDensity
    heat_capacity: PositiveHeatCapacity
    conductivity: PositiveConductivity


@stated
class CureSection:
    """One place through the part: the laminate on its tool.

    Parameters
    ----------
    laminate
        All of it, or the skin on the bag side of a core [m].
    core, tool_skin
        A core, and the skin on its tool side [m]; neither for a plain laminate.
    metal
        A solid fixing at this place.
    """

    name: str
    laminate: PositiveLength
    prepreg: str
    tool: str
    tool_thickness: PositiveLength
    core: CoreLayer | None = None
    tool_skin: PositiveLength | None = None
    metal: MetalInside | None = None


@stated
class CureFile:
    """A cycle on stated sections: for the commands of ``bagside cure``.

    Parameters
    ----------
    segments, design
        The programme, or what is wanted of one that is looked for.
    post_cure
        A second programme off the mould, free-standing; empty when there is none.
    room, pump
        For the pressure on the laminate and the water in it; nothing is said of voids without them.
    life_used
        Out of the freezer before the oven is switched on [s].
    """

    sections: tuple[CureSection, ...]
    oven: Oven
    start: Temperature = 293.15
    segments: tuple[Segment, ...] = ()
    design: CycleWanted | None = None
    post_cure: tuple[Segment, ...] = ()
    room: Room | None = None
    pump: Pump | None = None
    life_used: SomeTime = 0.0
    demould: Temperature = 323.15
    service: Temperature
    margin: Difference = 20.0
    target: Fraction = 0.9


@stated
class BondFile:
    """A bracket to be bonded: for ``bagside bond``."""

    name: str
    size: Size2
    material: str
    thickness: PositiveLength
    adhesive: str
    load: SomeForce
    service: Temperature
    room: Temperature
    laminate: tuple[StackPly, ...]


@stated
class CoatFile:
    """Coats on an area: for ``bagside coat``."""

    length: PositiveLength
    width: PositiveLength
    coats: tuple[Coat, ...]
    room: Temperature
    surface: Temperature
    humidity: Humidity


@stated
class BagFile:
    """A part of a tape-measured size: for ``bagside bag``.

    Parameters
    ----------
    length, width
        Seen from above [m].
    depth
        Of the mould [m].
    flange
        Of the mould beyond the net edge [m].
    """

    length: PositiveLength
    width: PositiveLength
    depth: SomeLength = 0.0
    flange: SomeLength = 0.075
