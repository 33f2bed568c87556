"""What a lay-up says about itself: warps, twists, too thin, too uniform – as findings.

Computed where it can be computed (curvature on cooling), and the trade's rules where it cannot.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from math import degrees

import numpy as np
from numpy.typing import NDArray

from bagside.errors import InputError
from bagside.findings import Basis, Finding, Severity
from bagside.laminate.stack import Laminate
from bagside.laminate.zones import Zone, is_cross

Floats = NDArray[np.float64]

HANDLING_FLOOR = 0.8e-3  # exterior part that is held, pushed and polished [m]
SURFACE_PLIES = 2  # fewer are not free of pinholes
GROUPED = 4  # plies of one angle on each other
LEAST_SHARE = 0.10  # of thickness in each of 0, ±45, 90
BALANCED = 0.01  # balance error that counts
SYMMETRIC = 0.01  # symmetry error that counts
SAG = 0.5e-3  # over `SPAN`, below which a warp is not seen [m]
UNTOLD = 0.05e-3  # over `SPAN`, below which a warp is not worth a word [m]
SPAN = 0.3  # [m]
SCATTER = 10.0  # spread of a ply's direction over a zone that counts [°]
SAME_ANGLE = 7.5  # plies closer than this count as one direction [°]
RULE = "rules of thumb for laying up, from a handbook"


def findings(
    part: Laminate | Sequence[Zone],
    *,
    cooled: float | None = None,
    flat: bool = True,
    show_surface: bool = True,
    structural: bool = False,
    floor: float = HANDLING_FLOOR,
) -> tuple[Finding, ...]:
    """Return what should be known about a laminate, or about every zone of a part.

    Parameters
    ----------
    part
        One laminate, or zones.
    cooled
        Fall from the stress-free temperature to the room [K]; positive. None: not known, warps are not worked out.
    flat
        Whether the part is flat or gently curved; strong curvature forgives coupling.
    show_surface
        Whether the mould side is looked at.
    structural
        Whether the part carries load.
    floor
        Least thickness for handling [m].

    Returns
    -------
    tuple of Finding
        In order of the zones; may be empty.

    Raises
    ------
    InputError
        When the fall of temperature is negative or the floor is not positive.
    """
    if cooled is not None and not 0.0 <= cooled < 1000.0:
        raise InputError.one("cooled", f"{cooled:g} K", "a fall of temperature from 0 K up is wanted, as in 100 K")
    if not floor > 0.0:
        raise InputError.one("floor", f"{floor * 1e3:g} mm", "a positive thickness is wanted, as in 0.8 mm")
    if isinstance(part, Laminate):
        return _of_one("laminate", part, cooled, flat, show_surface, structural, floor)
    found: list[Finding] = []
    for number, zone in enumerate(part, start=1):
        place = f"zone {number} ({zone.area * 1e4:.0f} cm², plies {', '.join(p.name for p in zone.laminate.plies)})"
        found += _of_one(place, zone.laminate, cooled, flat, show_surface, structural, floor)
        found += _spread(place, zone)
    return tuple(found)


def _of_one(
    place: str,
    laminate: Laminate,
    cooled: float | None,
    flat: bool,
    show_surface: bool,
    structural: bool,
    floor: float,
) -> tuple[Finding, ...]:
    found = [
        *_unsymmetric(place, laminate, cooled, flat),
        *_unbalanced(place, laminate, flat),
        *_thin(place, laminate, show_surface, floor),
        *_grouped(place, laminate),
    ]
    if structural:
        found += _directions(place, laminate)
    return tuple(found)


def largest_curvature(curvature: Floats) -> float:
    """Return the largest curvature over all directions.

    Parameters
    ----------
    curvature
        (x, y, twist), twist in the engineering sense, shape (3,) [1/m].

    Returns
    -------
    float
        Its size [1/m].
    """
    middle, half = (curvature[0] + curvature[1]) / 2, np.hypot((curvature[0] - curvature[1]) / 2, curvature[2] / 2)
    return float(abs(middle) + half)


def _unsymmetric(place: str, laminate: Laminate, cooled: float | None, flat: bool) -> list[Finding]:
    if laminate.symmetry_error <= SYMMETRIC:
        return []
    what = f"the stack is not symmetric about its mid-plane (error {laminate.symmetry_error:.2f})"
    severity, basis, source = Severity.DECIDE if flat else Severity.SEEN, Basis.PUBLISHED, RULE
    if cooled is not None:
        curvature = laminate.free_curvature * -cooled
        largest = largest_curvature(curvature)
        sag = largest * SPAN**2 / 8
        if sag < UNTOLD:
            return []
        what += (
            f": cooled by {cooled:.0f} K it wants to curve by {largest:.2f} 1/m, {sag * 1e3:.1f} mm over "
            f"{SPAN * 1e3:.0f} mm (twist {abs(curvature[2]) / 2:.2f} 1/m)"
        )
        source = f"classical lamination theory, small deflections; {RULE}"
        if sag < SAG:
            severity = Severity.SEEN
    return [
        Finding(
            severity=severity,
            stage="laminate",
            place=place,
            what=what,
            why="a thin flat panel warps when it cools; a strongly curved part forgives it",
            do="mirror the plies about the mid-plane, or put the odd ply near the middle",
            basis=basis,
            source=source,
        )
    ]


def _unbalanced(place: str, laminate: Laminate, flat: bool) -> list[Finding]:
    if laminate.balance_error <= BALANCED:
        return []
    return [
        Finding(
            severity=Severity.DECIDE if flat else Severity.WATCH,
            stage="laminate",
            place=place,
            what=f"the stack is not balanced (error {laminate.balance_error:.2f}): pulling or cooling shears it",
            why="a thin panel twists and its edges go out of square",
            do="give each off-axis ply a partner of the opposite angle, or turn it to 0, 90 or ±45 cloth",
            basis=Basis.PUBLISHED,
            source=RULE,
        )
    ]


def _thin(place: str, laminate: Laminate, show_surface: bool, floor: float) -> list[Finding]:
    found = []
    if show_surface and len(laminate.plies) < SURFACE_PLIES:
        found.append(
            Finding(
                severity=Severity.DECIDE,
                stage="laminate",
                place=place,
                what="there is only one ply on a surface that shows",
                why="no surface is free of pinholes below 2 plies",
                do="add a backing ply, or accept filling and a coat",
                basis=Basis.COMMON,
            )
        )
    if laminate.thickness < floor:
        found.append(
            Finding(
                severity=Severity.WATCH,
                stage="laminate",
                place=place,
                what=f"{laminate.thickness * 1e3:.2f} mm is below the handling floor of {floor * 1e3:.1f} mm",
                why="it dents and cracks in handling even where it is stiff enough",
                do="add a ply, or a core; interior trim may go down to 0.6 mm",
                basis=Basis.COMMON,
            )
        )
    return found


def _direction(ply_angle: float, period: float) -> float:
    return degrees(ply_angle) % period


def _grouped(place: str, laminate: Laminate) -> list[Finding]:
    def same(index: int) -> bool:
        below, above = laminate.plies[index - 1], laminate.plies[index]
        if below.woven != above.woven:
            return False
        period = 90.0 if is_cross(below) and is_cross(above) else 180.0
        apart = abs(_direction(below.angle, period) - _direction(above.angle, period))
        return min(apart, period - apart) < SAME_ANGLE

    joined = [same(k) for k in range(1, len(laminate.plies))]
    found = []
    start = 0
    for together, run in groupby(joined):
        length = len(list(run))
        if together and length + 1 > GROUPED:
            names = ", ".join(p.name for p in laminate.plies[start : start + length + 1])
            found.append(
                Finding(
                    severity=Severity.WATCH,
                    stage="laminate",
                    place=f"{place}, plies {names}",
                    what=f"{length + 1} plies of one angle lie on each other",
                    why="thick groups crack and peel between plies",
                    do=f"part them so that at most {GROUPED} lie together",
                    basis=Basis.PUBLISHED,
                    source=RULE,
                )
            )
        start += length
    return found


def direction_shares(laminate: Laminate) -> dict[str, float]:
    """Return the shares of thickness whose fibres run along 0, +45, 90 and −45, each within 22.5°.

    Parameters
    ----------
    laminate
        A cloth counts half along warp and half along weft.

    Returns
    -------
    dict of str to float
        Shares that sum to one.
    """
    names = ("0", "+45", "90", "−45")
    shares = dict.fromkeys(names, 0.0)
    for k, ply in enumerate(laminate.plies):
        part = float(laminate.surfaces[k + 1] - laminate.surfaces[k]) / laminate.thickness
        lines = (ply.angle, ply.angle + np.pi / 2 - ply.shear) if ply.woven else (ply.angle,)
        for line in lines:
            shares[names[int(np.floor((degrees(line) + 22.5) / 45.0)) % 4]] += part / len(lines)
    return shares


def _directions(place: str, laminate: Laminate) -> list[Finding]:
    lacking = {name: share for name, share in direction_shares(laminate).items() if share < LEAST_SHARE - 1e-9}
    if not lacking:
        return []
    listed = ", ".join(f"{name}°: {share:.0%}" for name, share in lacking.items())
    return [
        Finding(
            severity=Severity.WATCH,
            stage="laminate",
            place=place,
            what=f"fewer than {LEAST_SHARE:.0%} of the fibres run in some directions ({listed})",
            why="a load nobody thought of has only resin to carry it",
            do="bring each of 0, +45, −45 and 90 to at least 10 %",
            basis=Basis.PUBLISHED,
            source=RULE,
        )
    ]


def _spread(place: str, zone: Zone) -> list[Finding]:
    wide = [
        f"ply {ply.name} by {degrees(spread):.0f}°" if np.isfinite(spread) else f"ply {ply.name} in all directions"
        for ply, spread in zip(zone.laminate.plies, zone.spreads, strict=True)
        if degrees(spread) > SCATTER
    ]
    if not wide or zone.small:
        return []
    return [
        Finding(
            severity=Severity.SEEN,
            stage="laminate",
            place=place,
            what=f"directions scatter about their mean: {', '.join(wide)}",
            why="one laminate for the whole zone is then a poor picture of its stiffness",
            do="trust thickness and mass; for stiffness look at single triangles",
            basis=Basis.COMMON,
        )
    ]
