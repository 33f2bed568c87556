"""Angles that survive: how far the threads of a draped cloth lie from the directions that were intended.

A ply is drawn at an angle to the part's axis, but on a doubly curved surface its threads cannot keep it everywhere.
What "the same angle" means there is a rule that must be stated: the axis laid into the surface at each place, or the
direction at the start carried over the surface unturned.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.drape.carry import carried
from bagside.drape.laid import Drape
from bagside.drape.refuse import STEEPEST, direction_on, start_on
from bagside.drape.summary import percentile, smoothed
from bagside.findings import Basis, Finding, Severity
from bagside.geometry import Surface
from bagside.quantity import shown
from bagside.spec.job import Rosette

Floats = NDArray[np.float64]

LIMITS = (math.radians(3), math.radians(5), math.radians(10))
ENOUGH = 0.9  # of the area within the limit: with less a person should know
LITTLE = 0.5  # with less than this a structural ply is not what was drawn
PRACTICE = "±2° for structural plies, ±5° tolerable in backing plies"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AngleMap:
    """How far threads lie from their intended directions.

    Parameters
    ----------
    rule
        How the intended direction is found at each place.
    warp, weft
        From the intended direction to the thread, counter-clockwise seen from the laminate side, between −90° and 90°,
        in each triangle, shape (m,) [rad]; not a number where no direction is intended.
    warp_within, weft_within
        Shares of the area, where a direction is intended, within ±3°, ±5° and ±10°.
    left_out
        Share of the whole area where none is intended.
    """

    rule: Rosette
    warp: Floats
    weft: Floats
    warp_within: tuple[float, float, float]
    weft_within: tuple[float, float, float]
    left_out: float


def intended(surface: Surface, axis: Floats, angle: float, rule: Rosette, start: Floats) -> Floats:
    """Return the intended direction of the warp in each triangle, not a number where there is none, shape (m, 3).

    Parameters
    ----------
    surface
        The surface.
    axis
        The part's zero direction, shape (3,).
    angle
        Of the ply from it, counter-clockwise seen from the laminate side [rad].
    rule
        How the axis is found at each place.
    start
        From where it is carried, shape (3,) [m].

    Raises
    ------
    InputError
        When the axis has no length, or is to be carried from a start where it stands straight up from the surface.

    Notes
    -----
    An axis within 3° of the surface's normal names no direction by projection.
    """
    normal = surface.normals
    if rule is Rosette.CARRIED:
        at, triangle, _ = start_on(surface, np.asarray(start, dtype=np.float64), math.inf)
        zero = carried(surface, at, triangle, direction_on(surface, triangle, np.asarray(axis, dtype=np.float64)))
    else:
        unit = np.asarray(axis, dtype=np.float64)
        unit = unit / max(float(np.linalg.norm(unit)), 1e-300)
        along = unit - (normal @ unit)[:, None] * normal
        size = np.linalg.norm(along, axis=1)
        zero = along / np.where(size >= STEEPEST, size, np.nan)[:, None]
    out: Floats = math.cos(angle) * zero + math.sin(angle) * np.cross(normal, zero)
    return out


def angles_that_survive(drape: Drape, axis: Floats, angle: float, rule: Rosette = Rosette.PROJECTED) -> AngleMap:
    """Return how far the threads of a draped cloth lie from their intended directions.

    Parameters
    ----------
    drape
        How the cloth lies.
    axis
        The part's zero direction, shape (3,).
    angle
        Of the ply from it, counter-clockwise seen from the laminate side [rad].
    rule
        How the axis is found at each place.

    Returns
    -------
    AngleMap
        Deviations of warp and weft [rad] and shares of the area.

    Raises
    ------
    InputError
        When the axis is to be carried from a start where it stands straight up from the surface.

    Notes
    -----
    The weft is intended at a right angle to the warp: a sheared cloth cannot have both right.
    """
    surface = drape.surface
    wanted = intended(surface, axis, angle, rule, drape.start)
    aside = np.cross(surface.normals, wanted)
    warp, weft = _turn(drape.warp, wanted, aside), _turn(drape.weft, aside, -wanted)
    known = np.isfinite(warp)
    total = float(surface.areas[known].sum())

    def within(off: Floats) -> tuple[float, float, float]:
        shares = [
            float(surface.areas[known & (np.abs(off) <= limit)].sum()) / total if total > 0 else 0.0 for limit in LIMITS
        ]
        return shares[0], shares[1], shares[2]

    return AngleMap(
        rule=rule,
        warp=warp,
        weft=weft,
        warp_within=within(warp),
        weft_within=within(weft),
        left_out=max(0.0, 1.0 - total / surface.area),
    )


def _turn(thread: Floats, along: Floats, aside: Floats) -> Floats:
    """Return the angle from a direction to a thread, whose sense has no meaning, shape (m,) [rad]."""
    turn = np.arctan2(np.einsum("ij,ij->i", thread, aside), np.einsum("ij,ij->i", thread, along))
    out: Floats = turn - np.pi * np.round(turn / np.pi)
    return out


def angle_findings(
    drape: Drape, survived: AngleMap, place: str, *, structural: bool, weft: bool = True
) -> tuple[Finding, ...]:
    """Return what a person should know when little of the intended angles survives.

    Parameters
    ----------
    drape
        How the cloth lies.
    survived
        How far its threads lie from what was intended.
    place
        Which piece, as a person names it: ``ply 3, piece 3A``.
    structural
        Whether the ply carries load: then ±3° count, otherwise ±5°.
    weft
        Whether there are fibres along the weft.

    Notes
    -----
    The limits are common practice. Nine tenths of the area within them are taken as enough.
    """
    limit, k = (LIMITS[0], 0) if structural else (LIMITS[1], 1)
    surface = drape.surface
    out = []
    threads = [("warp", survived.warp, survived.warp_within[k])]
    if weft:
        threads.append(("weft", survived.weft, survived.weft_within[k]))
    for name, off, share in threads:
        known = np.isfinite(off)
        if share >= ENOUGH or not known.any():
            continue
        size = np.where(known, np.abs(off), 0.0)
        worst = int(np.argmax(smoothed(surface, size)))
        most = percentile(size[known], surface.areas[known], 0.95)
        x, y, z = (float(t) for t in surface.centroids[worst])
        out.append(
            Finding(
                severity=Severity.DECIDE if structural and share < LITTLE else Severity.WATCH,
                stage="drape",
                place=place,
                what=f"The {name} keeps within ±{shown(limit, '°', 0)} of its angle on {shown(share, '%', 0)} of the "
                f"area; a twentieth of it is off by more than {shown(most, '°')}.",
                why="The cloth turns as it follows the surface, so that stiffness and strength there are not those of "
                "the angle drawn.",
                do="Move the start or the first line to where the angle matters, split the piece, or count on the "
                "angles as they lie.",
                basis=Basis.COMMON,
                source=PRACTICE,
                point=(x, y, z),
            )
        )
    return tuple(out)
