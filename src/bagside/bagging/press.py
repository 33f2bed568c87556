"""What presses on the mould side, place by place: vacuum and ambient pressure, corners, cloth that spans one.

Where the lay-up is bent, the bag's face and the mould's face of it are not the same size. Plies that slide freely
carry no load along their length, so the force through them stays the same and the pressure goes with the areas: less on
the mould in an inside corner, more on an outside one.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.bagging.vacuum import available_pressure
from bagside.bagging.void_pressure import BED_SHARES
from bagside.errors import InputError
from bagside.findings import Basis, Finding, Severity
from bagside.geometry import Surface, curvature
from bagside.quantity import shown

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

WEAK = 0.75  # of the flat's pressure, below which a corner is told


def corner_factor(radius: float | Floats, thickness: float | Floats, *, concave: bool) -> Floats:
    """Return the pressure on the mould over that of the bag on a bent lay-up.

    Parameters
    ----------
    radius
        Of the mould [m].
    thickness
        Of the lay-up [m].
    concave
        Whether it is an inside corner.

    Returns
    -------
    ndarray
        R_bag / R_mould: (R − t) / R inside, (R + t) / R outside; zero where the lay-up fills the corner.

    Raises
    ------
    InputError
        When a radius is not positive or a thickness negative.

    Notes
    -----
    Equilibrium of a ring without friction. Friction, and fibres that bridge, take more; so it is the best case inside.

    References
    ----------
    Idea in Hubert & Poursartip 2001, Journal of Composite Materials 35:2; derived here.

    Examples
    --------
    >>> round(float(corner_factor(0.010, 0.002, concave=True)), 3)
    0.8
    """
    r, t = np.asarray(radius, dtype=np.float64), np.asarray(thickness, dtype=np.float64)
    if not ((r > 0.0).all() and (t >= 0.0).all()):
        raise InputError.one("corner", f"radius {radius} m, {thickness} m thick", "a radius above zero is wanted")
    out: Floats = np.maximum(1.0 - t / r, 0.0) if concave else 1.0 + t / r
    return out


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PressureMap:
    """What presses on the mould at each place, and what of it the resin gets.

    Parameters
    ----------
    flat
        On flat ground: ambient less what is left in the bag [Pa].
    factor
        On the mould over the flat's, shape (n,); zero where cloth spans a corner.
    pressure
        On the mould, shape (n,) [Pa].
    resin
        In the resin with the bed's smallest and largest share, shape (n, 2) [Pa].
    shares
        Those shares; assumed, not measured.
    bridged
        Where cloth or bag spans the corner, shape (n,).
    least
        Index of the least pressure that still arrives; −1 when all is bridged.
    """

    flat: float
    factor: Floats
    pressure: Floats
    resin: Floats
    shares: tuple[float, float]
    bridged: Flags
    least: int


def pressure_map(
    bends: Floats,
    thickness: float | Floats,
    *,
    ambient: float,
    vacuum: float,
    bridged: Flags | None = None,
    shares: tuple[float, float] = BED_SHARES,
) -> PressureMap:
    """Return what presses on the mould at each place.

    Parameters
    ----------
    bends
        Two principal curvatures of the mould at each place, shape (n, 2) [1/m]; positive where it is hollow as seen
        from the lay-up (inside corner, R = 1 / bend).
    thickness
        Of the lay-up, one or shape (n,) [m].
    ambient, vacuum
        Absolute pressures outside and left in the bag [Pa].
    bridged
        Where cloth is known to span a corner, shape (n,).
    shares
        Of what presses, carried by fibres: band, smallest first.

    Returns
    -------
    PressureMap

    Raises
    ------
    InputError
        When shapes do not agree or pressures make no sense.

    Notes
    -----
    The ratio of areas of two parallel faces is (1 − κ₁ t)(1 − κ₂ t); with one curvature it is the ring's. Where it
    falls to zero the lay-up does not fit into the corner, and none arrives.
    """
    k = np.asarray(bends, dtype=np.float64)
    if k.ndim != 2 or k.shape[1] != 2 or not np.isfinite(k).all():
        raise InputError.one("pressure map", f"bends of shape {k.shape}", "two finite curvatures a place are wanted")
    n = len(k)
    t = np.asarray(thickness, dtype=np.float64)
    spans = np.zeros(n, dtype=bool) if bridged is None else np.asarray(bridged, dtype=bool)
    if t.shape not in ((), (n,)) or spans.shape != (n,) or not (t >= 0.0).all():
        raise InputError.one(
            "pressure map", f"{t.size} thicknesses, {spans.size} flags", f"one for each of {n} places is wanted"
        )
    low, high = shares
    if not 0.0 <= low <= high <= 1.0:
        raise InputError.one("pressure map", f"shares {low} to {high}", "a band between 0 and 1 is wanted")
    flat = available_pressure(ambient, vacuum)
    sides = np.maximum(1.0 - k * (t[:, None] if t.ndim else t), 0.0)
    factor = np.where(spans, 0.0, sides.prod(axis=1))
    pressure = flat * factor
    some = np.flatnonzero(factor > 0.0)
    return PressureMap(
        flat=flat,
        factor=factor,
        pressure=pressure,
        resin=vacuum + pressure[:, None] * (1.0 - np.array([low, high])),
        shares=(low, high),
        bridged=factor <= 0.0,
        least=int(some[np.argmin(factor[some])]) if len(some) else -1,
    )


def pressure_on(
    surface: Surface,
    thickness: float | Floats,
    *,
    ambient: float,
    vacuum: float,
    bridged: Flags | None = None,
) -> PressureMap:
    """Return what presses at each vertex of a mould's surface.

    Parameters
    ----------
    surface
        Faired, its normals towards the lay-up.
    thickness, ambient, vacuum, bridged
        As for `pressure_map`, per vertex.

    Raises
    ------
    InputError
        As `pressure_map`.

    Notes
    -----
    Radii under three edges of the mesh come out too wide, so the least pressure of a sharp corner comes out too high;
    give radii measured for corners through ``bends`` where they are known.
    """
    bent = curvature(surface)
    return pressure_map(
        -np.stack([bent.least, bent.most], axis=1),  # the geometry room counts hollows negative
        thickness,
        ambient=ambient,
        vacuum=vacuum,
        bridged=bridged,
    )


def pressure_findings(found: PressureMap, points: Floats | None = None) -> tuple[Finding, ...]:
    """Return what a pressure map asks of people.

    Parameters
    ----------
    found
        The map.
    points
        Of the places, shape (n, 3) [m].
    """

    def at(index: int) -> tuple[float, float, float] | None:
        if points is None or index < 0:
            return None
        x, y, z = points[index]
        return (float(x), float(y), float(z))

    out = []
    if found.bridged.any():
        count = int(found.bridged.sum())
        out.append(
            Finding(
                severity=Severity.DECIDE,
                stage="bagging",
                place="inside corners",
                what=f"cloth spans them or the lay-up does not fit in: no pressure arrives at {count} of "
                f"{len(found.factor)} places",
                why="they fill with resin without fibres, or with voids",
                do="a slip joint or dart there, a pressure strip over it, or a larger radius",
                basis=Basis.MEASURED,
                source="radius against thickness",
                point=at(int(np.argmax(found.bridged))),
            )
        )
    if found.least >= 0 and found.factor[found.least] < WEAK:
        out.append(
            Finding(
                severity=Severity.WATCH,
                stage="bagging",
                place="tightest inside corner",
                what=f"{shown(float(found.pressure[found.least]), 'mbar', 0)} of {shown(found.flat, 'mbar', 0)} arrive "
                "on the mould, less with friction",
                why="the lay-up stays thick there and water makes voids at a lower temperature",
                do="press it with a strip of rubber under the bag, or debulk it on its own",
                basis=Basis.PUBLISHED,
                source="ring without friction, after Hubert & Poursartip 2001",
                point=at(found.least),
            )
        )
    return tuple(out)
