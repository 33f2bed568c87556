"""Where the same plies lie on each other: zones of triangles, each with one laminate.

A zone is the set of all triangles covered by the same plies; it need not hang together. Its laminate stands at the mean
angle and shear of each ply over the zone, and the zone says how far the angles spread around that mean, because a mean
of directions that point everywhere means nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside.errors import InputError
from bagside.laminate.ply import LaidPly
from bagside.laminate.stack import Laminate, laminate_of

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Zone:
    """Triangles covered by the same plies.

    Parameters
    ----------
    present
        Which plies, as indices in laying order.
    triangles
        Triangle indices, ascending.
    area
        Their area [m²].
    share
        Of all the area that carries a ply.
    small
        Whether the share is below what the caller called the least.
    angles
        Mean warp direction of each ply present [rad].
    spreads
        Circular standard deviation of each ply's direction about its mean [rad]; infinite when there is no mean.
    shears_rms
        Root mean square shear of each ply present [rad].
    laminate
        The plies at their mean angles and shears; thickness and mass are the exact means over the zone.
    """

    present: tuple[int, ...]
    triangles: NDArray[np.int64]
    area: float
    share: float
    small: bool
    angles: tuple[float, ...]
    spreads: tuple[float, ...]
    shears_rms: tuple[float, ...]
    laminate: Laminate


def axial_mean(angles: Floats, weights: Floats, period: float) -> tuple[float, float]:
    """Return the mean of directions that repeat, and their spread.

    Parameters
    ----------
    angles, weights
        Shape (n,) [rad]; weights are not negative and not all zero.
    period
        pi for a line without an arrow, pi/2 for a cross [rad].

    Returns
    -------
    tuple of float
        Mean, within half a period of zero, and circular standard deviation [rad]; infinite when they cancel.
    """
    fold = 2 * np.pi / period
    total = complex((weights * np.exp(1j * fold * angles)).sum() / weights.sum())
    length = abs(total)
    mean = float(np.angle(total)) / fold
    if length < 1e-12:
        return mean, float("inf")
    return mean, float(np.sqrt(max(0.0, -2.0 * np.log(length)))) / fold


def zones_of(
    membership: NDArray[np.bool_],
    areas: Floats,
    angles: Floats,
    shears: Floats,
    minimum_share: float = 0.01,
    *,
    plies: Sequence[LaidPly],
) -> tuple[Zone, ...]:
    """Return the zones of a part, largest first.

    Parameters
    ----------
    membership
        Which ply covers which triangle, shape (m, p).
    areas
        Triangle areas, shape (m,) [m²].
    angles
        Warp direction of each ply on each triangle, from that triangle's reference direction, shape (m, p) [rad].
    shears
        Shear of each ply on each triangle, shape (m, p) [rad].
    minimum_share
        Share of the covered area below which a zone is marked small; it is kept.
    plies
        What each ply is, in laying order; their own angle and shear are not used.

    Returns
    -------
    tuple of Zone
        Triangles that no ply covers are in none of them.

    Raises
    ------
    InputError
        When shapes do not agree, a covered triangle has an angle or shear that is not finite, or an area is negative.

    Notes
    -----
    A cloth with the same constants both ways (within 2 %) is a cross: its mean is taken with period pi/2, of the line
    half way between warp and weft, and shear changes sign where warp and weft change places. Anything else is a line,
    period pi. Shears of both signs cancel in the mean angle between the yarns but not in thickness and mass.
    """
    present = np.asarray(membership, dtype=np.bool_)
    area = np.asarray(areas, dtype=np.float64)
    theta, gamma = np.asarray(angles, dtype=np.float64), np.asarray(shears, dtype=np.float64)
    shape = (len(area), len(plies))
    if not present.shape == theta.shape == gamma.shape == shape:
        raise InputError.one(
            "laminate, zones",
            f"membership {present.shape}, angles {theta.shape}, shears {gamma.shape}",
            f"one row per triangle and one column per ply are wanted, {shape}",
        )
    if not (np.isfinite(area).all() and (area >= 0.0).all()):
        raise InputError.one("laminate, zones, areas", "", "areas from zero up are wanted")
    good = np.isfinite(theta) & np.isfinite(gamma) & (np.abs(gamma) < 1.5)
    if not (good | ~present).all():
        row, column = (int(i) for i in np.argwhere(present & ~good)[0])
        raise InputError.one(
            f"laminate, zones, triangle {row}, ply {plies[column].name}",
            f"angle {theta[row, column]:g}, shear {gamma[row, column]:g}",
            "a finite angle and a shear below 86° are wanted where the ply lies",
        )
    covered = present.any(axis=1) & (area > 0.0)
    everything = float(area[covered].sum())
    rows = np.flatnonzero(covered)
    kinds, which = np.unique(present[rows], axis=0, return_inverse=True)
    zones = [
        _zone(rows[which.ravel() == k], np.flatnonzero(kind), area, theta, gamma, plies, everything, minimum_share)
        for k, kind in enumerate(kinds)
    ]
    return tuple(sorted(zones, key=lambda zone: (-zone.area, zone.present)))


def _zone(
    triangles: NDArray[np.int64],
    present: NDArray[np.int64],
    areas: Floats,
    angles: Floats,
    shears: Floats,
    plies: Sequence[LaidPly],
    everything: float,
    minimum_share: float,
) -> Zone:
    weights = areas[triangles]
    means = [_mean_ply(plies[k], angles[triangles, k], shears[triangles, k], weights) for k in present]
    total = float(weights.sum())
    return Zone(
        present=tuple(int(k) for k in present),
        triangles=triangles,
        area=total,
        share=total / everything,
        small=total < minimum_share * everything,
        angles=tuple(ply.angle for ply, _ in means),
        spreads=tuple(spread for _, spread in means),
        shears_rms=tuple(float(np.sqrt((weights * shears[triangles, k] ** 2).sum() / total)) for k in present),
        laminate=laminate_of([ply for ply, _ in means]),
    )


def is_cross(ply: LaidPly) -> bool:
    """Return whether a ply looks the same after a quarter turn: a cloth with E1 and E2 within 2 %."""
    return ply.woven and abs(ply.lamina.E1 / ply.lamina.E2 - 1.0) < 0.02


def _mean_ply(ply: LaidPly, angles: Floats, shears: Floats, weights: Floats) -> tuple[LaidPly, float]:
    if is_cross(ply):
        middle = angles + (np.pi / 2 - shears) / 2
        mean, spread = axial_mean(middle, weights, np.pi / 2)
        quarters = np.rint((middle - mean) / (np.pi / 2))
        signed = np.where(quarters % 2 == 0, shears, -shears)
        shear = float(np.average(signed, weights=weights))
        angle = mean - (np.pi / 2 - shear) / 2
        # of the two yarn families either may be called warp: keep the name most of the area gives it
        turned = float(np.average(np.cos(2 * (angles - angle)), weights=weights))
        if turned < 0.0:
            angle, shear = angle + np.pi / 2 - shear, -shear
    else:
        angle, spread = axial_mean(angles, weights, np.pi)
        shear = float(np.average(shears, weights=weights))
    angle = (angle + np.pi / 2) % np.pi - np.pi / 2
    grown = float(np.average(1.0 / np.cos(shears), weights=weights)) * np.cos(shear)
    weight = None if ply.areal_weight is None else float(ply.areal_weight * grown)
    return (
        replace(
            ply, angle=float(angle), shear=float(shear), thickness=float(ply.thickness * grown), areal_weight=weight
        ),
        spread,
    )
