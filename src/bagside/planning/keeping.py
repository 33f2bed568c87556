"""An offcut that comes to stock by its outline: which way its warp lies, and whether it can be what it is said to."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside import cutting
from bagside.cutting import Sheet, SheetNest
from bagside.errors import InputError, Problem
from bagside.findings import Basis, Finding, Severity
from bagside.planning.shelf import keep_rule
from bagside.quantity import shown
from bagside.spec.library import Library
from bagside.spec.stock import Offcut
from bagside.spec.workshop import Roll, Workshop

Floats = NDArray[np.float64]
WIDER = 2e-3
"""By how much an outline taken from a photo may be wider than its roll [m]."""


def kept_offcut(
    loops: Sequence[Floats], warp: float, blank: Offcut, roll: Roll | None, library: Library, place: str
) -> Offcut:
    """Return an offcut with the outline turned so that its warp lies along x.

    Parameters
    ----------
    loops
        Outline first, then holes, each shape (k, 2) [m].
    warp
        Where the warp points in them, from their x axis [rad].
    blank
        Everything but the outline.
    roll
        It came from; None when nobody knows.
    library
        Tells the width of the cloth.
    place
        Where the outline comes from, for messages.

    Raises
    ------
    InputError
        When it crosses itself, has no area, or is wider or larger than its roll.
    """
    c, s = math.cos(-warp), math.sin(-warp)
    along = [np.asarray(loop, dtype=np.float64) @ np.array([[c, -s], [s, c]]).T for loop in loops]
    low = along[0].min(axis=0)
    moved = [loop - low for loop in along]
    polygon = shapely.Polygon(moved[0], moved[1:])
    problems: list[Problem] = []
    if not polygon.is_valid or not polygon.area > 0.0:
        why = str(shapely.is_valid_reason(polygon)) if polygon.area > 0.0 else "it has no area"
        problems.append(Problem(place=place, came=why, wanted="a simple closed outline with its holes inside"))
    across = float(np.ptp(moved[0][:, 1]))
    width = library.prepreg[blank.material].width if roll is None or roll.width is None else roll.width
    if across > width + WIDER:
        problems.append(
            Problem(
                place=place,
                came=f"{shown(across, 'mm', 0)} across the warp",
                wanted=f"its cloth is {shown(width, 'mm', 0)} wide",
                hint="look at the direction of the warp, and at the unit of the drawing",
            )
        )
    if roll is not None and polygon.area > roll.length * width:
        came = f"{shown(float(polygon.area), 'm²', 2)}"
        wanted = f"roll {roll.called} had {shown(roll.length * width, 'm²', 2)} in all"
        problems.append(Problem(place=place, came=came, wanted=wanted))
    if problems:
        raise InputError(problems)
    shapes = [tuple((float(x), float(y)) for x, y in loop) for loop in moved]
    return replace(blank, outline=shapes[0], holes=tuple(shapes[1:]))


def keeping_findings(offcut: Offcut, workshop: Workshop, library: Library) -> tuple[Finding, ...]:
    """Return what a person should know before an offcut goes into the freezer.

    Parameters
    ----------
    offcut
        As it would be kept.
    workshop
        For its keep rule.
    library
        For the life of its cloth.
    """
    rule = workshop.offcuts
    place = f"offcut {offcut.name}"
    found: list[Finding] = []
    polygon = shapely.Polygon(offcut.outline, offcut.holes)
    sheet = Sheet(
        name=offcut.name,
        material=offcut.material,
        outline=np.array(offcut.outline),
        holes=tuple(np.array(h) for h in offcut.holes),
    )
    keep = keep_rule(rule)
    if not cutting.offcuts(SheetNest(sheet=sheet, pieces=(), placements=()), rule=keep).count:
        square = shown(rule.square, "mm", 0)
        found.append(
            Finding(
                severity=Severity.WATCH,
                stage="cutting",
                place=place,
                what=f"it is {shown(float(polygon.area), 'cm²', 0)} and holds no square of {square}",
                why="small pieces cost more in looking for them than they save in cloth",
                do="cut doublers or test pieces from it now, or change the rule under [offcuts] in workshop.toml",
                basis=Basis.COMMON,
                source="keep rule of the workshop",
            )
        )
    life = library.prepreg[offcut.material].out_life
    if offcut.life_used >= life:
        found.append(
            Finding(
                severity=Severity.STOP,
                stage="cutting",
                place=place,
                what=f"its life has run out: {shown(offcut.life_used, 'h', 0)} of {shown(life, 'h', 0)}",
                why="its resin may not flow and bond any more",
                do="do not keep it for parts; use it for practice or cauls",
                basis=library.prepreg[offcut.material].basis.of("out_life"),
                source=library.prepreg[offcut.material].basis.source,
            )
        )
    if not offcut.batch:
        found.append(
            Finding(
                severity=Severity.WATCH,
                stage="cutting",
                place=place,
                what="nobody knows its batch",
                why="a piece that shows is only cut from the batch of the others, and a fault found later in a batch "
                "cannot be traced to it",
                do="state --roll or --batch if its label can still be found; use it where it does not show",
                basis=Basis.COMMON,
            )
        )
    return tuple(found)
