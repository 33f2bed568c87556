"""From the measured shape of what is bagged to the sheet of film and the list of what goes in."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.bagging.breathing import EDGE_SPACING
from bagside.bagging.items import BagItem, BagKind, Pleats
from bagside.errors import InputError
from bagside.findings import Basis

Floats = NDArray[np.float64]

SLACK = 1.25  # of the string, 1.2 to 1.3
LEAST_SPARE = 0.100  # [m] added to the string at least
DEEP = 0.100  # [m] from here on a mould counts as deep
DEEP_SPARE = 0.300  # [m] 150 mm on each side of a deep mould
TAPE_SPARE = 0.10  # of tape
OVERLAP = 0.050  # [m] where two strips of film are taped together
EDGE_STRIP = 0.100  # [m] length of one
AREA_PER_PORT = 1.25  # [m²] one port more for each 1 to 1.5
PORT_PAD = 0.08  # [m²] of breather under each port: two layers of 200 by 200 mm
NEEDED_FILMS = ("bag film", "release film", "breather", "sealant tape")
Films = Mapping[str, tuple[float, float]]


@dataclass(frozen=True, slots=True, kw_only=True)
class BagShape:
    """What was measured, or stated, of what is bagged.

    Parameters
    ----------
    kind
        How it is bagged.
    contour
        Strings over the bagged surface along and across [m].
    plan
        Its size seen from above, along and across [m].
    depth
        From its highest to its lowest point [m].
    laminate
        Area laid up [m²].
    area
        Area under the bag [m²].
    edge
        Length of the net edge [m].
    tape_run
        Length of the line of tape [m].
    parts
        Side by side in the bag.
    """

    kind: BagKind
    contour: tuple[float, float]
    plan: tuple[float, float]
    depth: float
    laminate: float
    area: float
    edge: float
    tape_run: float
    parts: int = 1


def check_films(films: Films) -> None:
    """Refuse films of which one is missing or has no sense.

    Parameters
    ----------
    films
        Limit [K] and width [m] by name.

    Raises
    ------
    InputError
        With every problem found.
    """
    missing = [name for name in NEEDED_FILMS if name not in films]
    if missing:
        raise InputError.one(
            "films", ", ".join(sorted(films)) or "none", f"limit and width are wanted of: {', '.join(missing)}"
        )
    for name in NEEDED_FILMS:
        limit, width = films[name]
        if not (limit > 0 and width > 0):
            raise InputError.one(f"films, {name}", f"limit {limit} K, width {width} m", "values above zero are wanted")


def sheet_size(shape: BagShape, pleats: Pleats) -> tuple[float, float]:
    """Return length and width of the bag film [m].

    Parameters
    ----------
    shape
        What is bagged.
    pleats
        Of its edge.

    Notes
    -----
    String × 1.25 and at least 100 mm more; 300 mm more where the mould is 100 mm deep; and a perimeter of at least the
    tape run and twice the height of every pleat, shared between the sides as they are seen from above.
    """
    spare = DEEP_SPARE if shape.depth >= DEEP else LEAST_SPARE
    length, width = (max(SLACK * c, c + spare) for c in (shape.contour[0], shape.parts * shape.contour[1]))
    wanted = shape.tape_run + 2.0 * float(pleats.heights.sum())
    along = shape.plan[0] / (shape.plan[0] + shape.parts * shape.plan[1])
    return max(length, along * wanted / 2.0), max(width, (1.0 - along) * wanted / 2.0)


def ports_of(area: float) -> int:
    """Return how many ports a bag needs: two, and one more for each 1.25 m².

    Parameters
    ----------
    area
        Under the bag [m²].
    """
    return 2 + math.floor(area / AREA_PER_PORT)


def strips_of(sheet: tuple[float, float], roll: float) -> int:
    """Return how many strips of a roll side by side cover a sheet across its shorter side.

    Parameters
    ----------
    sheet
        Its length and width [m].
    roll
        Width of the roll [m].

    Raises
    ------
    InputError
        When the roll is narrower than the overlap.
    """
    side = min(sheet)
    if side <= roll:
        return 1
    if roll <= 2 * OVERLAP:
        raise InputError.one("films, bag film", f"width {roll} m", "a film wider than 100 mm is wanted")
    return math.ceil((side - OVERLAP) / (roll - OVERLAP) - 1e-9)


def items_of(shape: BagShape, pleats: Pleats, sheet: tuple[float, float], films: Films) -> tuple[BagItem, ...]:
    """Return what goes into the bag.

    Parameters
    ----------
    shape, pleats, sheet
        What is bagged, its pleats and the size of its film.
    films
        Limit [K] and width [m] by name.
    """
    sheets = 2 if shape.kind is BagKind.ENVELOPE else 1
    strips = strips_of(sheet, films["bag film"][1])
    joint = (strips - 1) * max(sheet) * sheets
    film = sheets * max(sheet) * (min(sheet) + (strips - 1) * OVERLAP)
    ports = ports_of(shape.area)
    sides = shape.edge * shape.parts
    laminate, under = shape.laminate * shape.parts, shape.area * shape.parts
    wraps = 2.0 if shape.kind is BagKind.ENVELOPE else 1.0
    tape = (shape.tape_run + 2.0 * float(pleats.heights.sum()) + joint) * (1.0 + TAPE_SPARE)
    count = math.ceil(sides / EDGE_SPACING)
    joined = f", {strips} strips taped together with 50 mm overlap" if strips > 1 else ""
    return (
        BagItem(
            name="bag film",
            quantity=film,
            unit="m²",
            how=f"{sheets} sheet{'s' if sheets > 1 else ''} of {sheet[0]:.2f} × {sheet[1]:.2f} m, from strings over "
            f"the surface of {shape.contour[0]:.2f} and {shape.parts * shape.contour[1]:.2f} m{joined}",
            basis=Basis.COMMON,
        ),
        BagItem(
            name="release film",
            quantity=1.10 * (laminate + 0.03 * sides),
            unit="m²",
            how="area laid up and 30 mm beyond its edge, 10 % for laps",
            basis=Basis.COMMON,
        ),
        BagItem(
            name="breather",
            quantity=1.05 * (wraps * under + 0.10 * sides) + PORT_PAD * ports,
            unit="m²",
            how=("mould wrapped on both sides" if wraps > 1 else "area under the bag")
            + ", doubled over 100 mm along the edge, 5 % for laps, and two layers of 200 × 200 mm under each port",
            basis=Basis.COMMON,
        ),
        BagItem(
            name="sealant tape",
            quantity=tape,
            unit="m",
            how=f"run of {shape.tape_run:.2f} m and twice the height of {pleats.count} pleats, 10 % more; half the "
            f"local depth each, {pleats.held_up} raised to 50 mm, {pleats.held_down} lowered to 120 mm",
            basis=Basis.COMMON,
        ),
        BagItem(
            name="edge breather",
            quantity=count * EDGE_STRIP,
            unit="m",
            how=f"{count} glass strips of 100 mm from ply to breather, one every {1e3 * EDGE_SPACING:.0f} mm",
            basis=Basis.COMMON,
        ),
    )
