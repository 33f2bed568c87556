"""Feature lines: the valleys and ridges along which a surface bends more sharply than a stated radius."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import partial

import numpy as np
from numpy.typing import NDArray

from bagside.errors import InputError
from bagside.geometry.surface import Surface
from bagside.mould.bending import Bending, bending
from bagside.mould.corners import tight_lines

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

FLAT = 1e-9  # [1/m] curvature of nothing
CERTAIN = 2.0  # standard deviations by which a vertex must bend before it counts


class LineKind(StrEnum):
    """To which side a feature line bends, seen from the laminate."""

    VALLEY = "valley"
    RIDGE = "ridge"


@dataclass(frozen=True, slots=True, kw_only=True)
class FeatureLine:
    """One valley or ridge, a line without branches.

    Parameters
    ----------
    id
        ``V1`` is the longest valley, ``R1`` the longest ridge.
    kind
        Which of both.
    points
        Along it, in order, shape (k, 3) [m].
    links
        Which points follow each other, shape (l, 2).
    closed
        Whether it closes on itself.
    length
        Along it [m].
    radius
        Smallest along it [m]; zero for a crease.
    radius_error
        Standard deviation of that radius as read from one section [m]; None when no sections could be read.
    included
        Angle between its walls on the side to which it is hollow [rad].
    bending
        Angle by which the line itself bends [rad].
    meetings
        Its ends at which other lines meet it, shape (0 to 2, 3) [m].
    """

    id: str
    kind: LineKind
    points: Floats
    links: Ints
    closed: bool
    length: float
    radius: float
    radius_error: float | None
    included: float
    bending: float
    meetings: Floats


def feature_lines(
    surface: Surface,
    sharper_than: float,
    scale: float,
    *,
    noise: float = 0.0,
    scanned: Surface | None = None,
    scanned_noise: float = 0.0,
    bent: Bending | None = None,
) -> tuple[FeatureLine, ...]:
    """Return the valleys and ridges along which a surface bends more sharply than a radius.

    Parameters
    ----------
    surface
        The mould's surface, normals towards the laminate.
    sharper_than
        Radius below which a bend counts as a line [m].
    scale
        Length over which curvature is read [m]; see `bending`.
    noise
        Roughness of the surface [m].
    scanned, scanned_noise
        The same surface before it was faired, and its roughness [m]; see `corners_of`.
    bent
        Curvature of the surface at the same scale, when it is at hand.

    Returns
    -------
    tuple of FeatureLine
        Valleys, then ridges, each longest first.

    Raises
    ------
    InputError
        When the radius or the scale is not positive, or no ball of the radius fits on the surface.

    Notes
    -----
    Radius and angle are read from sections, as for `corners_of`, not at the scale, so that fillets smaller than the
    scale are not blurred. Lines shorter than twice the radius are left out.
    """
    if not sharper_than > 0:
        raise InputError.one("radius of feature lines", f"{sharper_than} m", "a length above zero is wanted")
    used = np.unique(surface.triangles)
    if len(used) < len(surface.vertices):
        surface = surface.selected(np.ones(len(surface.triangles), dtype=np.bool_))

    kept = {} if bent is None else {_named(surface): bent}

    def bends(fine: Surface, kind: LineKind) -> tuple[Floats, Floats]:
        name = _named(fine if kind is LineKind.VALLEY else fine.flipped())
        if name not in kept:
            kept[name] = bending(fine if kind is LineKind.VALLEY else fine.flipped(), scale)
        found = kept[name]
        hollow, way = (-found.least, found.least_direction)
        if kind is LineKind.RIDGE:
            hollow, way = found.most, found.most_direction
        sure = np.isfinite(hollow) & (hollow > CERTAIN * found.error) & (hollow > FLAT)
        radii = np.full(len(fine.vertices), np.inf)
        radii[sure] = 1.0 / hollow[sure]
        return radii, way

    out: list[FeatureLine] = []
    back = None if scanned is None else scanned.flipped()
    for kind, side, raw in ((LineKind.VALLEY, surface, scanned), (LineKind.RIDGE, surface.flipped(), back)):
        wanted = np.full(len(side.vertices), sharper_than)
        lines = tight_lines(
            side, wanted, wanted, noise, partial(bends, kind=kind), scanned=raw, scanned_noise=scanned_noise
        )
        out += [
            FeatureLine(
                id=f"{kind.value[0].upper()}{k}",
                kind=kind,
                points=line.points,
                links=line.links,
                closed=line.closed,
                length=line.length,
                radius=line.radius,
                radius_error=line.radius_error,
                included=line.included,
                bending=line.bending,
                meetings=line.meetings,
            )
            for k, line in enumerate(lines, 1)
        ]
    return tuple(out)


def _named(surface: Surface) -> tuple[bytes, bytes]:
    """Return what tells surfaces apart whose curvature is kept."""
    return surface.vertices.tobytes(), np.sort(surface.triangles, axis=None).tobytes()
