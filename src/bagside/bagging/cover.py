"""The bag of a part without a surface: from a stated length, width and depth."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bagside.bagging.assemble import assembled
from bagside.bagging.breathing import EDGE_SPACING, breathing_plan
from bagside.bagging.debulk import PlyRecord
from bagside.bagging.film import (
    BEYOND_TAPE,
    ENVELOPE_SPARE,
    FARTHEST_TAPE,
    HOLD,
    NEAREST_TAPE,
    tight_flange,
    wrapped,
)
from bagside.bagging.items import BagKind, BagPlan
from bagside.bagging.pleats import pleats_of_rectangle
from bagside.bagging.sheet import BagShape, Films
from bagside.errors import InputError
from bagside.findings import Basis, Finding, Severity


@dataclass(frozen=True, slots=True, kw_only=True)
class Taped:
    """What a tape measure says beyond length, width and depth.

    Parameters
    ----------
    area
        Laid up, measured over the surface [m²].
    edge
        Length of its edge [m].
    flange_wanted
        Width of flange below which a surface bag is reported as tight [m].
    """

    area: float
    edge: float
    flange_wanted: float


def plan_cover(
    length: float,
    width: float,
    depth: float,
    plies: Sequence[PlyRecord],
    *,
    cure_max_temperature: float,
    films: Films,
    ambient_pressure: float,
    vacuum: float,
    pump_flow: float,
    flange: float = 0.075,
    part_count: int = 1,
    kind: BagKind | None = None,
    visible: bool = True,
    taped: Taped | None = None,
    hold: float = HOLD,
) -> BagPlan:
    """Return the bag of a part of a stated size, taken as a tray with upright sides.

    Parameters
    ----------
    length, width
        Of the part seen from above [m].
    depth
        Of the mould, zero for a flat part [m].
    plies, cure_max_temperature, films, ambient_pressure, vacuum, pump_flow
        As for `plan_bag`.
    flange
        Width of the mould beyond the net edge [m].
    part_count
        Number of these parts side by side in one bag.
    kind
        How it is bagged; by the flange when None.
    visible
        Whether the mould side is seen.
    taped
        Area and edge when they were measured; else those of the tray, and the plan says that it knows no surface.
    hold
        As for `plan_bag`; ways of air are those of the rectangle laid flat with its sides folded out.

    Returns
    -------
    BagPlan
        Without places on the surface.

    Raises
    ------
    InputError
        When a size is not positive, a surface bag is asked for on too narrow a flange, or as `plan_bag`.

    Notes
    -----
    Upright sides are the longest way over the contour that a hollow of this depth can have, so the film is never too
    small, and up to twice the depth too long for a shallow dish. With a measured edge the line of tape beside it is
    longer by 2π times its distance, and the area out to it by Steiner's formula, as holds for every convex outline.
    """
    if not (length > 0 and width > 0 and depth >= 0 and flange >= 0):
        raise InputError.one(
            "bag", f"{length} × {width} m, {depth} m deep, flange {flange} m", "sizes above zero are wanted"
        )
    room = flange - BEYOND_TAPE
    if kind is BagKind.SURFACE and room < NEAREST_TAPE:
        raise InputError.one("bag", f"surface bag on a flange of {1e3 * flange:.0f} mm", "62 mm or more is wanted")
    surface = room >= NEAREST_TAPE and kind is not BagKind.ENVELOPE
    distance = min(FARTHEST_TAPE, room) if surface else 0.0
    long, short = max(length, width), min(length, width)
    out = distance if surface else flange
    plan = (long + 2 * out, short + 2 * out)
    contour = (plan[0] + 2 * depth, plan[1] + 2 * depth)
    run = 2.0 * (plan[0] + part_count * plan[1])
    if not surface:
        around = 2.0 * ENVELOPE_SPARE + depth
        contour = (contour[0] + around, contour[1] + around)
        run = 2.0 * (contour[0] + part_count * contour[1])
    sides = 2.0 * (long + short) * depth
    laminate, edge, area = long * short + sides, 2.0 * (long + short), plan[0] * plan[1] + sides
    if taped is not None:
        laminate, edge = taped.area, taped.edge
        area = laminate + edge * out + math.pi * out**2
        run = edge + 2.0 * math.pi * out if surface and part_count == 1 else run
    shape = BagShape(
        kind=BagKind.SURFACE if surface else BagKind.ENVELOPE,
        contour=contour,
        plan=plan,
        depth=depth,
        laminate=laminate,
        area=area,
        edge=edge,
        tape_run=run,
        parts=part_count,
    )
    return assembled(
        shape,
        pleats_of_rectangle(plan[0], plan[1], depth, part_count),
        plies,
        cure_max_temperature=cure_max_temperature,
        films=films,
        ambient_pressure=ambient_pressure,
        vacuum=vacuum,
        pump_flow=pump_flow,
        visible=visible,
        tape_distance=distance,
        noticed=[_sized(long, short, depth)] if taped is None else _flange(flange, taped, distance, kind),
        breathing=breathing_plan(
            np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]) * [long + 2 * depth, short + 2 * depth],
            time=hold,
            ambient=ambient_pressure,
            vacuum=vacuum,
            # As many strips as the net edge gets: folding out makes that longer.
            spacing=EDGE_SPACING * (long + short + 4 * depth) / (long + short),
        )
        if 0.0 <= vacuum < ambient_pressure
        else None,
    )


def _flange(flange: float, taped: Taped, distance: float, kind: BagKind | None) -> list[Finding]:
    if distance > 0.0:
        return tight_flange(flange, taped.flange_wanted, distance, None)
    return wrapped(flange, None) if kind is None else []


def _sized(long: float, short: float, depth: float) -> Finding:
    return Finding(
        severity=Severity.SEEN,
        stage="bagging",
        place="bag",
        what=f"it is sized from {1e3 * long:.0f} × {1e3 * short:.0f} mm, {1e3 * depth:.0f} mm deep, without a surface",
        why="upright sides are assumed; places of pleats and narrow hollows are not known",
        do="lay a string into the mould both ways and compare before cutting the film",
        basis=Basis.COMMON,
    )
