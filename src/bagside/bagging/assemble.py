"""The plan of a bag from its shape, wherever the shape came from."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from bagside.bagging.breathing import EDGE_SPACING, BreathingPlan
from bagside.bagging.breathing_over import BreathingOver, breathing_findings
from bagside.bagging.criteria import CRITERIA
from bagside.bagging.debulk import PlyRecord
from bagside.bagging.debulk_course import debulk_course
from bagside.bagging.debulk_step import DebulkPly
from bagside.bagging.items import BagPlan, LeakLimit, Pleats
from bagside.bagging.leak.volume import BREATHER_VOID, LINE_VOLUME
from bagside.bagging.notes import bag_findings
from bagside.bagging.sheet import BagShape, Films, check_films, items_of, ports_of, sheet_size
from bagside.bagging.vacuum import available_pressure, leak_rate, pump_down, standard_flow
from bagside.errors import InputError
from bagside.findings import Finding

Floats = NDArray[np.float64]

LOOSE_VOID = 0.030  # [m] air under the film before pumping
REAL_BAG = 4.0  # times the ideal pump-down, 3 to 5


def assembled(
    shape: BagShape,
    pleats: Pleats,
    plies: Sequence[PlyRecord],
    *,
    cure_max_temperature: float,
    films: Films,
    ambient_pressure: float,
    vacuum: float,
    pump_flow: float,
    visible: bool,
    tape_distance: float = 0.0,
    tape_line: Floats | None = None,
    noticed: Sequence[Finding] = (),
    breathing: BreathingPlan | BreathingOver | None = None,
) -> BagPlan:
    """Return the plan of a bag.

    Parameters
    ----------
    shape, pleats
        What is bagged, and the pleats of its edge.
    plies
        In the order they are laid.
    cure_max_temperature
        Hottest of the cycle [K].
    films
        Limit [K] and width [m] by name.
    ambient_pressure, vacuum
        Absolute pressure outside and left in the bag [Pa].
    pump_flow
        At the pump's inlet [m³/s].
    visible
        Whether the mould side is seen.
    tape_distance, tape_line
        Of the tape from the net edge [m], and where it runs, shape (k, 3) [m].
    noticed
        Findings so far.
    breathing
        How the part breathes; the longest way says how long a debulk lasts.

    Raises
    ------
    InputError
        When films are missing, pressures, flow or number of parts make no sense, or there is no ply.
    """
    check_films(films)
    if shape.parts < 1:
        raise InputError.one("parts in one bag", str(shape.parts), "at least one is wanted")
    pressure = available_pressure(ambient_pressure, vacuum)
    sheet = sheet_size(shape, pleats)
    under = shape.area * shape.parts
    volume = under * BREATHER_VOID + LINE_VOLUME
    loose = under * LOOSE_VOID + LINE_VOLUME
    if not vacuum > 0:
        raise InputError.one("vacuum", f"{vacuum} Pa", "the absolute pressure left in a good bag is wanted")
    time = REAL_BAG * pump_down(loose, pump_flow, ambient_pressure, vacuum)
    limits = tuple(
        LeakLimit(
            criterion=c,
            drop=c.allowed_drop(pressure),
            time=c.time,
            flow=standard_flow(leak_rate(volume, c.allowed_drop(pressure), c.time)),
            reachable=(c.deepest is None or vacuum <= c.deepest) and pressure >= c.least_vacuum(ambient_pressure),
        )
        for c in CRITERIA
    )
    course = debulk_course(
        [
            DebulkPly(
                name=p.name,
                area=p.area,
                thickness=p.thickness,
                has_tight_corner=p.has_tight_corner,
                path=breathing.longest if breathing is not None else None,
                shear=p.shear,
            )
            for p in plies
        ],
        ambient=ambient_pressure,
        vacuum=vacuum,
        visible=visible,
    )
    return BagPlan(
        kind=shape.kind,
        items=items_of(shape, pleats, sheet, films),
        tape_run=shape.tape_run,
        tape_distance=tape_distance,
        tape_line=np.zeros((0, 3)) if tape_line is None else tape_line,
        pleats=pleats,
        ports=ports_of(under),
        sheet=sheet,
        contour=shape.contour,
        area=under,
        free_volume=volume,
        pump_down=time,
        pressure=pressure,
        leak_limits=limits,
        debulks=course.debulks,
        edge_spacing=EDGE_SPACING,
        findings=(
            *noticed,
            *(breathing_findings(breathing) if breathing is not None and breathing.reach > 0.0 else ()),  # else: vacuum
            *course.findings,
            *bag_findings(shape, pleats, sheet, films, cure_max_temperature, ambient=ambient_pressure, left=vacuum),
        ),
        breathing=breathing,
        course=course,
    )
