"""A job: one part, to be built so many times on one mould, as the maker states it in ``job.toml``."""

from __future__ import annotations

from dataclasses import field
from enum import StrEnum

from bagside.spec.build_up import BuildUp
from bagside.spec.fields import (
    Angle,
    Difference,
    Direction,
    Fraction,
    Point3,
    PositiveLength,
    PositiveRamp,
    PositiveTime,
    PositiveViscosity,
    Size2,
    SomeForce,
    SomeLength,
    SomeMoney,
    SomeTime,
    Temperature,
    stated,
)
from bagside.spec.lines import Cut, Line, Pieces
from bagside.spec.measured import Measured
from bagside.spec.patchwork import Patchwork
from bagside.spec.region import EVERYTHING, Hole, Plane, Region
from bagside.spec.template import Cutting, Template
from bagside.spec.twin import Mirror


class Face(StrEnum):
    """Which way the resin-rich face of a one-faced cloth is laid."""

    MOULD = "mould"
    BAG = "bag"


class Bagging(StrEnum):
    """How the part is bagged."""

    AUTO = "auto"
    SURFACE = "surface bag"
    ENVELOPE = "envelope"


class Rosette(StrEnum):
    """What a ply's angle is measured from away from the start."""

    PROJECTED = "projected"
    CARRIED = "carried"


@stated
class MouldPiece:
    """One piece of a mould that comes apart.

    Parameters
    ----------
    name
        What people call it.
    pull
        Direction in which it is pulled off the part.
    side
        The side of the split plane it lies on; none for a mould in one piece.
    """

    name: str
    pull: Direction
    side: Plane | None = None


@stated
class Segment:
    """One segment of an oven programme: to a temperature, at a rate, and hold there."""

    to: Temperature
    rate: PositiveRamp
    hold: SomeTime = 0.0


@stated
class ThickerMould:
    """A place where the mould's shell is thicker or thinner: a rib, a flange, a backing.

    Parameters
    ----------
    region
        Name of the region or place it lies under.
    thickness
        Of the shell there [m].
    width
        Of a strip that is narrower than the region it lies in, as a rib or a flange: then it is a place of its own,
        with the heat that comes to it from beside [m].
    sides
        On how many of its long sides the ordinary mould goes on: 1 for a flange at the edge, 2 for a rib.
    """

    region: str
    thickness: PositiveLength
    width: PositiveLength | None = None
    sides: int = 1


@stated
class Mould:
    """The mould and the mesh of its surface.

    Parameters
    ----------
    mesh
        File beside the job: STL, OBJ, PLY, 3MF or GLB; STEP and IGES with the extra ``cad``. None when the part was
        measured by tape; with one, unit, side, start and direction must be stated.
    unit
        Unit of the file's numbers: ``m``, ``cm``, ``mm``, ``in`` or ``ft``. Mesh files do not carry it reliably; STEP
        and IGES do, and theirs is used.
    laminate_side
        Direction from the mould towards the laminate, on the whole.
    keep
        A point on the sheet that is meant, when the file holds several [m].
    noise
        Roughness of the scan to be faired away, root mean square [m]; zero for a surface drawn by hand or program.
    size
        Edge length of the triangles to work with [m].
    tolerance
        Deviation that re-meshing may make [m].
    smallest_fillet
        Smallest radius that must keep its shape when triangles are taken out [m]; zero meshes evenly.
    fill_holes
        Longest way around a hole of a scan that is closed [m]; zero closes none.
    off_table
        Height above the table in a scan from which on the surface is kept [m]; zero leaves the table.
    crop
        What of the scan is kept, stated as a region is, when not all.
    net_edge
        Points along a closed line over the surface, joined by the shortest ways, that the scan is cut along [m].
    inside
        A point on the side of the net edge that stays; the smaller side when not stated [m].
    material
        Name of a tool material.
    thickness
        Of the mould's shell under the laminate [m].
    thicker
        Where it is not as thick as that.
    resin, cured
        Name of its own resin, and how it was cured and post-cured; its glass transition is worked out from both.
    pulls
        How many parts of this cure it has seen.
    pieces
        Its pieces; empty for a mould in one piece.
    cost
        What the mould and its pattern cost to make.
    expected
        Number of parts its cost is spread over.
    cleaning
        Attended time to clean and release it for each part [s].
    """

    mesh: str = ""
    unit: str = ""
    laminate_side: Direction = (0.0, 0.0, 1.0)
    keep: Point3 | None = None
    noise: SomeLength = 0.0
    size: PositiveLength = 0.003
    tolerance: PositiveLength = 0.0002
    smallest_fillet: SomeLength = 0.0
    fill_holes: SomeLength = 0.0
    off_table: SomeLength = 0.0
    crop: Region | None = None
    net_edge: tuple[Point3, ...] = ()
    inside: Point3 | None = None
    material: str
    thickness: PositiveLength
    thicker: tuple[ThickerMould, ...] = ()
    resin: str = ""
    cured: tuple[Segment, ...] = ()
    pulls: int = 0
    pieces: tuple[MouldPiece, ...] = ()
    cost: SomeMoney = 0.0
    expected: int = 20


@stated
class Ply:
    """One ply, in the order they are laid: the first lies on the mould.

    Parameters
    ----------
    material
        Name of a prepreg.
    angle
        Of the warp from the job's direction, counter-clockwise seen from the laminate side [rad].
    region
        Name of the region it covers.
    start
        Point where laying starts, when not the job's [m].
    face
        Which way a one-faced cloth is laid.
    pieces
        Whether it is cut as drawn, or the fewest pieces and darts are looked for that lie without wrinkles or bridges.
    cuts
        Where it is cut, as drawn; found ones come on top.
    laid_first
        Name of a line along which it is laid first, when not straight along its warp.
    templates
        What it is cut from, for each part, when it is not draped: names of templates.
    """

    material: str
    angle: Angle
    region: str = EVERYTHING
    start: Point3 | None = None
    face: Face = Face.MOULD
    pieces: Pieces = Pieces.DRAWN
    cuts: tuple[Cut, ...] = ()
    laid_first: str = ""
    templates: tuple[Cutting, ...] = ()


@stated
class Laying:
    """How plies are laid.

    Parameters
    ----------
    start
        Point where every ply starts unless it says otherwise [m].
    direction
        The part's zero direction; angles of plies are measured from it.
    show
        Whether the mould side is seen, so that its weave and pinholes matter.
    overlap
        Width of an overlap when a cut states none [m].
    stagger
        Distance over the surface between the joins of successive plies along one line [m]; zero lays them over each
        other.
    rosette
        Whether the zero direction elsewhere is the stated one laid into the surface there, or the one at the start
        carried over the surface unturned.
    """

    start: Point3 = (0.0, 0.0, 0.0)
    direction: Direction = (1.0, 0.0, 0.0)
    show: bool = True
    overlap: PositiveLength = 0.015
    stagger: SomeLength = 0.025
    refine: bool = False
    rosette: Rosette = Rosette.PROJECTED


@stated
class Replaces:
    """The part that this one replaces, so that stiffness can be compared."""

    material: str
    thickness: PositiveLength


class CycleAim(StrEnum):
    """What a cycle that is looked for shall be."""

    FASTEST = "fastest"
    CHEAPEST = "cheapest"
    GENTLEST = "gentlest"


@stated
class CycleWanted:
    """A cycle that is looked for, in place of segments; the part's own limits are those of the cure.

    Parameters
    ----------
    aim
        What it shall be.
    two_stage
        Whether the part comes off the mould half cured and is cured to the end free-standing.
    hottest
        Hottest the laminate may get [K]; what the resin takes when not stated.
    overshoot
        By how much the laminate may get hotter than the air.
    spread
        Difference of cure between the leading and the lagging place that is allowed; any when not stated.
    flow
        Time that the lagging place must be thinner than ``flow_viscosity`` before it gels [s].
    flow_viscosity
        Viscosity below which resin counts as flowing [Pa s].
    voids
        Whether resin must gel where the bag's pressure keeps water from boiling.
    fibre_share
        Share of the bag's pressure that the bed of fibres carries.
    stiff
        By which the glass transition must stay above the temperature of a part without its mould.
    handling
        To take it off the mould and set it up again, between two stages [s].
    robust
        Whether it must hold when heat of reaction, films and place in the oven are off.
    chance
        Chance wanted that every limit holds; not asked when not stated.
    longest
        Longest cycle that is accepted [s].
    """

    aim: CycleAim = CycleAim.FASTEST
    two_stage: bool = False
    hottest: Temperature | None = None
    overshoot: Difference = 15.0
    spread: Fraction | None = None
    flow: SomeTime = 0.0
    flow_viscosity: PositiveViscosity = 30.0
    voids: bool = True
    fibre_share: Fraction = 0.0
    stiff: Difference = 10.0
    handling: SomeTime = 1800.0
    robust: bool = True
    chance: Fraction | None = None
    longest: PositiveTime = 86400.0


@stated
class MetalInside:
    """A solid fixing that is laid in, or bolted on while it cures: it runs behind the laminate around it.

    Parameters
    ----------
    name
        What and where.
    material
        Name of a tool material.
    diameter
        Of the metal, or of a circle of the same area [m].
    depth, inside
        Its height, and how much of that takes the place of laminate [m].
    region
        Name of the region or place it lies in; the whole part when not stated.
    """

    name: str
    material: str
    diameter: PositiveLength
    depth: PositiveLength
    inside: SomeLength = 0.0
    region: str = ""


@stated
class Cure:
    """The cycle as stated, or what is wanted of one that is looked for.

    Parameters
    ----------
    start
        Temperature of oven and part at the start [K].
    segments
        The programme; empty when one is looked for.
    design
        What is wanted of the programme that is looked for; none when it is stated.
    demould
        Coolest temperature at which the part is taken off [K].
    post_cure
        A second programme off the mould, free-standing; empty when there is none.
    service
        Hottest the part will be in use [K].
    margin
        By which the glass transition must exceed it.
    target
        Degree of cure wanted at the lagging point.
    vacuum_hold
        Time under vacuum before heat [s].
    metal
        Solid fixings that are there while it cures.
    """

    start: Temperature = 293.15
    segments: tuple[Segment, ...] = ()
    design: CycleWanted | None = None
    demould: Temperature = 323.15
    post_cure: tuple[Segment, ...] = ()
    service: Temperature
    margin: Difference = 20.0
    target: Fraction = 0.9
    vacuum_hold: SomeTime = 3600.0
    metal: tuple[MetalInside, ...] = ()


@stated
class Bracket:
    """A bracket bonded on.

    Parameters
    ----------
    name
        What people call it.
    at
        A point on or near the surface under its centre [m]; must be stated when the mould has a mesh.
    size
        Of the bond: along the load and across it [m].
    material, modulus, thickness
        ``aluminium``, ``steel``, ``titanium``, ``carbon`` or ``glass``; thickness of its foot [m].
    adhesive
        Name of an adhesive.
    load
        In shear, that it must carry [N].
    service
        Hottest the joint will be [K]; the part's when not stated.
    """

    name: str
    at: Point3 = (0.0, 0.0, 0.0)
    size: Size2
    material: str
    thickness: PositiveLength
    adhesive: str
    load: SomeForce
    service: Temperature | None = None


@stated
class Coat:
    """A coat: which, and how many times over."""

    coating: str
    times: int = 1


@stated
class Finish:
    """What is done to the surface after trimming.

    Parameters
    ----------
    filler
        Name of the coating that fills pinholes; none when they are left.
    fill_passes
        Times it is wiped in.
    coats
        What is sprayed after that.
    """

    filler: str = ""
    fill_passes: int = 0
    coats: tuple[Coat, ...] = ()


@stated
class Bag:
    """How it is bagged, and with which films of the library.

    Parameters
    ----------
    kind
        On the mould's flange, in an envelope, or chosen by the flange's width.
    flange
        Width of flange below which a bag on it is reported as tight [m].
    film, release, breather, tape
        Names of films.
    """

    kind: Bagging = Bagging.AUTO
    flange: PositiveLength = 0.075
    film: str = "bag-nylon"
    release: str = "release-film"
    breather: str = "breather"
    tape: str = "sealant-tape"


@stated
class Job:
    """One part on one mould, so many off.

    Parameters
    ----------
    name
        What people call the part.
    quantity
        How many are built.
    note
        A line for the cover.
    part
        Region that is the finished part, up to its net edge.
    mould, regions, lines, holes, laying, plies, cure, bag, brackets, finish, replaces
        See there.
    measured
        The part by tape measure, when its mould has no mesh.
    templates
        Flat outlines by name, which plies can be cut from.
    build_ups
        Rings and strips among the plies.
    patchwork
        The ply that is cut as tiles; none when every ply is cut whole.
    mirror
        What this part is the mirror image of; then everything else is stated in the other part's axes.
    complexity
        Factor on attended times: 1.0 flat, 1.5 compound, 2.0 deep and split.
    """

    name: str
    quantity: int
    note: str = ""
    part: str
    mould: Mould
    regions: dict[str, Region] = field(default_factory=dict)
    lines: dict[str, Line] = field(default_factory=dict)
    holes: tuple[Hole, ...] = ()
    laying: Laying = field(default_factory=Laying)
    plies: tuple[Ply, ...]
    measured: Measured | None = None
    templates: dict[str, Template] = field(default_factory=dict)
    build_ups: tuple[BuildUp, ...] = ()
    cure: Cure
    bag: Bag = field(default_factory=Bag)
    brackets: tuple[Bracket, ...] = ()
    finish: Finish = field(default_factory=Finish)
    replaces: Replaces | None = None
    patchwork: Patchwork | None = None
    mirror: Mirror | None = None
    structural: bool = False
    complexity: float = 1.0
    nest_time: PositiveTime = 20.0
