"""What the page of the laminate holds: values alone."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.findings import Basis
from bagside.laminate import LaidPly, Original
from bagside.spec.job import Job


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneShown:
    """One zone.

    Parameters
    ----------
    number
        On the picture, from 1: the largest.
    layers
        Index of the ply of each layer, in laying order; one that overlaps here comes twice.
    plies
        Each layer as it lies on the mean of the zone.
    area, share
        [m²]; of all that carries a ply.
    spread
        Largest spread of a layer's direction about its mean [rad]; infinite when one points everywhere.
    at
        A point in the middle of it [m]; None without a surface.
    """

    number: int
    layers: tuple[int, ...]
    plies: tuple[LaidPly, ...]
    area: float
    share: float
    spread: float
    at: tuple[float, float, float] | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LaminateView:
    """What the page of the laminate shows.

    Parameters
    ----------
    job
        That it was made from, with build-ups as plies.
    stated
        Which ply of the job's file each ply is; None for one of a build-up or of another job.
    zones
        Largest first, small ones left out unless there is no other.
    mass, area
        Of the finished part, cured [kg], [m²].
    bare
        Area that no ply covers [m²].
    original
        What is replaced; None when nothing is.
    basis
        Weakest among the constants of its cloths.
    mesh
        The zones as a packed surface; empty without one.
    of_triangle
        Number of the zone of each triangle of it, 0 for none, shape (m,).
    """

    job: Job
    stated: tuple[int | None, ...]
    zones: tuple[ZoneShown, ...]
    mass: float
    area: float
    bare: float
    original: Original | None
    basis: Basis
    mesh: bytes
    of_triangle: NDArray[np.int32]


def sorted_zones(of_triangle: NDArray[np.int32]) -> NDArray[np.int32]:
    """Return the zone of each triangle as the packed surface has them: zone by zone.

    Parameters
    ----------
    of_triangle
        Number of the zone of each triangle of the part, shape (m,).
    """
    return np.sort(of_triangle, kind="stable")
