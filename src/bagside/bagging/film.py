"""The bag over a real surface: strings pushed into its hollows, the tape around the net edge, pleats at corners."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.bagging.assemble import assembled
from bagside.bagging.breathing_over import breathing_on
from bagside.bagging.debulk import PlyRecord
from bagside.bagging.items import BagKind, BagPlan, Pleats
from bagside.bagging.pleats import pleats_along
from bagside.bagging.reach import distance_around
from bagside.bagging.sections import contour_lengths, plan_axes
from bagside.bagging.sheet import BagShape, Films
from bagside.errors import InputError
from bagside.findings import Basis, Finding, Severity
from bagside.geometry import Surface, cut
from bagside.quantity import shown

Floats = NDArray[np.float64]

NEAREST_TAPE, FARTHEST_TAPE = 0.030, 0.045  # [m] from the net edge
BEYOND_TAPE = 0.032  # [m] 12 mm of tape and 20 mm of flange outside it
NEEDED_REACH = FARTHEST_TAPE + BEYOND_TAPE + 0.003  # [m] flange beyond which more changes nothing
EASY_FLANGE = 0.075  # [m] comfortable for a surface bag
HOLD = 3600.0  # [s] under vacuum before heat, at least an hour for tooling and 30 to 120 min for parts
ENVELOPE_SPARE = 0.150  # [m] around the mould on each side of an envelope


@dataclass(frozen=True, slots=True, kw_only=True)
class _Flange:
    """The flange beside the part: distances from the net edge, and where it is narrowest."""

    distance: Floats
    narrowest: float
    at: tuple[float, float, float]


def plan_bag(
    part: Surface,
    flange: Surface | None,
    plies: Sequence[PlyRecord],
    *,
    cure_max_temperature: float,
    films: Films,
    ambient_pressure: float,
    vacuum: float,
    pump_flow: float,
    part_count: int = 1,
    kind: BagKind | str | None = None,
    flange_wanted: float = EASY_FLANGE,
    visible: bool = True,
    around: Floats | None = None,
    hold: float = HOLD,
    ways: Floats | None = None,
) -> BagPlan:
    """Return the bag over a part on its mould.

    Parameters
    ----------
    part
        What is laid up, to its net edge; normals towards the laminate.
    flange
        The whole mould's surface, flange and part; None when only the part is known.
    plies
        In the order they are laid: name, area [m²], thickness [m], whether through a tight corner.
    cure_max_temperature
        Hottest of the cycle [K].
    films
        Limit [K] and width [m] of ``bag film``, ``release film``, ``breather`` and ``sealant tape``.
    ambient_pressure
        Absolute, today [Pa].
    vacuum
        Absolute pressure left in a good bag [Pa].
    pump_flow
        At the pump's inlet [m³/s].
    part_count
        Number of these parts side by side in one bag.
    kind
        ``surface bag`` or ``envelope``; None or ``auto`` to choose by the flange.
    flange_wanted
        Width of flange below which a surface bag is reported as tight [m].
    visible
        Whether the mould side is seen.
    around
        Distance of each vertex of the flange's surface from the part, from `distance_around`, when it has been
        measured before; shape (n,) [m].
    hold
        Under vacuum before heat, in which air leaves [s].
    ways
        From `ways_out`: the plan then says how the part breathes, and debulks last as long as air needs.

    Returns
    -------
    BagPlan

    Raises
    ------
    InputError
        When the part does not lie on the mould, its surface closes on itself, films are missing, a surface bag is asked
        for where the flange is too narrow for its tape, or pressures make no sense.
    NotSolved
        When points of the net edge crowd so that they cannot be told apart.

    Notes
    -----
    The tape runs 30 to 45 mm from the net edge, as far as 12 mm of tape and 20 mm outside it leave room. Strings are
    taken at 25 sections each way; a hollow narrower than a 25th of the part may be missed.
    """
    wanted = _kind(kind)
    beside = _flange(flange, part, flange_reach(flange_wanted), around) if flange is not None else None
    noticed: list[Finding] = []
    room = beside.narrowest - BEYOND_TAPE if beside is not None else -np.inf
    if wanted is BagKind.SURFACE and room < NEAREST_TAPE:
        raise InputError.one(
            "bag",
            "surface bag" + (f" on a flange of {shown(beside.narrowest, 'mm', 0)}" if beside else " without a flange"),
            f"a flange of at least {shown(NEAREST_TAPE + BEYOND_TAPE, 'mm', 0)} beyond the net edge is wanted",
            "use an envelope, or give the mould a wider flange",
        )
    edge = _length(part.vertices[part.loops[0]]) if part.loops else 0.0
    distance = 0.0
    tape: Floats = np.zeros((0, 3))
    if flange is not None and beside is not None and room >= NEAREST_TAPE and wanted is not BagKind.ENVELOPE:
        distance = min(FARTHEST_TAPE, room)
        noticed += tight_flange(beside.narrowest, flange_wanted, distance, beside.at)
        covered = cut(flange, beside.distance, distance)
        tape = covered.vertices[covered.loops[0]]
        shape, pleats = _shape(BagKind.SURFACE, covered, part.area, edge, tape, part_count)
    else:
        whole = flange if flange is not None else part
        if wanted is None:
            noticed += wrapped(None, None) if beside is None else wrapped(beside.narrowest, beside.at)
        rim = whole.vertices[whole.loops[0]]
        shape, pleats = _shape(BagKind.ENVELOPE, whole, part.area, edge, rim, part_count)
    return assembled(
        shape,
        pleats,
        plies,
        cure_max_temperature=cure_max_temperature,
        films=films,
        ambient_pressure=ambient_pressure,
        vacuum=vacuum,
        pump_flow=pump_flow,
        visible=visible,
        tape_distance=distance,
        tape_line=tape,
        noticed=noticed,
        breathing=breathing_on(part, time=hold, ambient=ambient_pressure, vacuum=vacuum, ways=ways)
        if ways is not None and 0.0 <= vacuum < ambient_pressure
        else None,
    )


def _kind(kind: BagKind | str | None) -> BagKind | None:
    if kind is None or str(kind) == "auto":
        return None
    if str(kind) not in list(BagKind):
        raise InputError.one("bag, kind", f'"{kind}"', "surface bag, envelope or auto is wanted")
    return BagKind(str(kind))


def _length(line: Floats) -> float:
    return float(np.linalg.norm(line - np.roll(line, -1, axis=0), axis=1).sum())


def flange_reach(flange_wanted: float) -> float:
    """Return how far from the part the mould is looked at [m].

    Parameters
    ----------
    flange_wanted
        As for `plan_bag` [m].
    """
    return max(NEEDED_REACH, flange_wanted)


def _flange(mould: Surface, part: Surface, reach: float, around: Floats | None) -> _Flange:
    if not mould.loops:
        raise InputError.one("bag", "a mould whose surface closes on itself", "a surface open on one side is wanted")
    distance = distance_around(mould, part, reach) if around is None else around
    rim = mould.loops[0]
    at = rim[int(np.argmin(distance[rim]))]
    x, y, z = mould.vertices[at]
    return _Flange(distance=distance, narrowest=float(distance[at]), at=(float(x), float(y), float(z)))


def _shape(
    kind: BagKind, covered: Surface, laminate: float, edge: float, line: Floats, parts: int
) -> tuple[BagShape, Pleats]:
    axes = plan_axes(covered)
    reach = covered.vertices @ axes.T
    size = np.ptp(reach, axis=0)
    contour = contour_lengths(covered, axes)
    pleats = pleats_along(line, covered, axes[2])
    run = _length(line)
    if kind is BagKind.ENVELOPE:
        around = 2.0 * ENVELOPE_SPARE + float(size[2])
        contour = (contour[0] + around, contour[1] + around)
        run = 2.0 * (contour[0] + parts * contour[1])
    elif parts > 1:
        run += 2.0 * (parts - 1) * float(size[1])
    if parts > 1:
        places = np.concatenate([pleats.places] * parts)
        pleats = Pleats(
            heights=np.tile(pleats.heights, parts),
            places=places,
            held_up=pleats.held_up * parts,
            held_down=pleats.held_down * parts,
        )
    shape = BagShape(
        kind=kind,
        contour=contour,
        plan=(float(size[0]), float(size[1])),
        depth=float(size[2]),
        laminate=laminate,
        area=covered.area,
        edge=edge,
        tape_run=run,
        parts=parts,
    )
    return shape, pleats


def tight_flange(
    narrowest: float, wanted: float, distance: float, at: tuple[float, float, float] | None
) -> list[Finding]:
    """Return what a flange asks for that holds the tape, but not with ease.

    Parameters
    ----------
    narrowest, wanted
        Width of the flange, and below which it is told [m].
    distance
        Of the tape from the net edge [m].
    at
        Where it is narrowest [m]; None when only its width is known.
    """
    if narrowest >= wanted:
        return []
    return [
        Finding(
            severity=Severity.WATCH,
            stage="bagging",
            place="flange",
            what=f"it is {shown(narrowest, 'mm', 0)} wide at its narrowest, {shown(wanted, 'mm', 0)} are "
            f"wanted; the tape runs {shown(distance, 'mm', 0)} from the net edge",
            why="laminate, edge breather and tape crowd each other, and resin on the tape's line leaks",
            do="trim plies and breather closely there, or use an envelope",
            basis=Basis.MEASURED,
            source="10 to 20 mm of laminate, 20 to 25 mm of edge breather, 12 mm of tape and 20 to 30 mm beyond",
            point=at,
        )
    ]


def wrapped(narrowest: float | None, at: tuple[float, float, float] | None) -> list[Finding]:
    """Return what an envelope asks for that was taken because the flange does not hold the tape.

    Parameters
    ----------
    narrowest
        Width of the flange [m]; None when it is not known.
    at
        Where that is [m]; None when only its width is known.
    """
    if narrowest is not None:
        what = f"the flange is {shown(narrowest, 'mm', 0)} wide at its narrowest"
        do = "bag it in an envelope and pad sharp edges and bolts with breather, or widen the flange there"
    else:
        what = "only the part's surface is known, not the mould's flange"
        do = "bag it in an envelope, or read in the mould with its flange"
    least = shown(NEAREST_TAPE + BEYOND_TAPE, "mm", 0)
    return [
        Finding(
            severity=Severity.DECIDE,
            stage="bagging",
            place="flange",
            what=what,
            why=f"a bag on the surface needs {least} beyond the net edge for its tape; an envelope takes over twice "
            "the film and presses on the mould from all sides",
            do=do,
            basis=Basis.COMMON if narrowest is None else Basis.MEASURED,
            point=at,
        )
    ]
