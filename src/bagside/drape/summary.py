"""What a drape says about the part: how much the cloth shears and stretches, and where that needs a decision.

Single triangles at a rim or in a sliver say little: shares of the area are reported, not largest values, and findings
look at values averaged round each vertex.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp
from numpy.typing import NDArray
from scipy.sparse.csgraph import connected_components

from bagside.drape.laid import Drape
from bagside.drape.law import ClothLaw
from bagside.errors import InputError
from bagside.findings import Basis, Finding, Severity
from bagside.geometry import Surface
from bagside.geometry.geodesic import sides_across
from bagside.quantity import shown

Floats = NDArray[np.float64]

SURPLUS = 0.01  # strain: cloth this much too long for its place shows as waves
TIGHT = 0.005  # strain: dry or prepreg carbon does not stretch this much by hand
HOLLOW = 0.5  # [m] radius; a hollow flatter than this needs no force to lie in
PLACES = 3  # worst places named per kind
SMALLEST = 2e-5  # [m²] places smaller than this are left out


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """A drape in a few numbers; shares are of the area.

    Parameters
    ----------
    shear_median, shear_95, shear_99
        |shear| that half, 95 % and 99 % of the area stays below [rad].
    strain_95, strain_99
        Larger of the two thread strains, without sign, that 95 % and 99 % of the area stays below.
    over_locking
        Share of the area sheared past the locking angle; zero when the cloth has none.
    """

    shear_median: float
    shear_95: float
    shear_99: float
    strain_95: float
    strain_99: float
    over_locking: float


def percentile(values: Floats, areas: Floats, share: float) -> float:
    """Return the value that a share of the area stays below.

    Parameters
    ----------
    values
        One a triangle, shape (m,).
    areas
        Their areas, shape (m,) [m²].
    share
        Between 0 and 1.

    Raises
    ------
    InputError
        When the share is not between 0 and 1.

    Examples
    --------
    >>> percentile(np.array([3.0, 1.0, 2.0]), np.array([1.0, 1.0, 2.0]), 0.5)
    2.0
    """
    if not 0 <= share <= 1:
        raise InputError.one("percentile", str(share), "a share between 0 and 1 is wanted")
    order = np.argsort(values)
    part = np.cumsum(areas[order]) / areas.sum()
    return float(values[order[min(int(np.searchsorted(part, share)), len(order) - 1)]])


def summary_of(drape: Drape, law: ClothLaw) -> Summary:
    """Return a drape in a few numbers.

    Parameters
    ----------
    drape
        How the cloth lies.
    law
        The cloth, for its locking angle.
    """
    areas = drape.surface.areas
    shear = np.abs(drape.shear)
    strain = np.maximum(np.abs(drape.stretch_warp), np.abs(drape.stretch_weft))
    over = 0.0 if law.locking_angle is None else float(areas[shear > law.locking_angle].sum() / drape.surface.area)
    return Summary(
        shear_median=percentile(shear, areas, 0.5),
        shear_95=percentile(shear, areas, 0.95),
        shear_99=percentile(shear, areas, 0.99),
        strain_95=percentile(strain, areas, 0.95),
        strain_99=percentile(strain, areas, 0.99),
        over_locking=over,
    )


def smoothed(surface: Surface, values: Floats) -> Floats:
    """Return one value a triangle averaged over the neighbourhoods of its corners, shape (m,).

    Parameters
    ----------
    surface
        The surface.
    values
        One a triangle, shape (m,).
    """
    n = len(surface.vertices)
    corner = surface.triangles.ravel()
    weight = np.repeat(surface.areas, 3)
    total = np.bincount(corner, weights=weight, minlength=n)
    mean = np.bincount(corner, weights=weight * np.repeat(values, 3), minlength=n) / np.where(total > 0, total, 1)
    out: Floats = mean[surface.triangles].mean(axis=1)
    return out


def curvature_along(surface: Surface, direction: Floats) -> Floats:
    """Return the normal curvature along a direction in each triangle, positive where the laminate lies outside a bend.

    Parameters
    ----------
    surface
        The surface.
    direction
        Unit vector in each triangle's plane, shape (m, 3).

    Returns
    -------
    NDArray
        Shape (m,) [1/m].
    """
    c, normal = surface.corners, surface.vertex_normals[surface.triangles]
    out = np.zeros(len(c))
    cross = np.cross(c[:, 1] - c[:, 0], c[:, 2] - c[:, 0])
    square = np.einsum("ij,ij->i", cross, cross)
    for k in range(3):
        opposite = c[:, (k + 2) % 3] - c[:, (k + 1) % 3]
        hat = np.cross(cross, opposite) / square[:, None]
        out += np.einsum("ij,ij->i", hat, direction) * np.einsum("ij,ij->i", normal[:, k], direction)
    return out


def _places(surface: Surface, where: NDArray[np.bool_], badness: Floats) -> list[tuple[float, float, int]]:
    """Return connected places as area, worst value and the triangle that has it; largest area first."""
    chosen = np.flatnonzero(where)
    if len(chosen) == 0:
        return []
    across = sides_across(surface)
    mine, side = np.nonzero((across >= 0) & where[:, None])
    other = across[mine, side] // 3
    both = where[other]
    m = len(where)
    link = sp.coo_array((np.ones(int(both.sum())), (mine[both], other[both])), shape=(m, m))
    _, part = connected_components(link, directed=False)
    _, part = np.unique(part[chosen], return_inverse=True)
    area = np.bincount(part, weights=surface.areas[chosen])
    order = np.lexsort((badness[chosen], part))
    last = np.append(np.flatnonzero(np.diff(part[order])), len(order) - 1)  # the worst of each place comes last
    worst = chosen[order[last]]
    found = [(float(area[p]), float(badness[t]), int(t)) for p, t in enumerate(worst) if area[p] >= SMALLEST]
    return sorted(found, reverse=True)[:PLACES]


def _patch(area: float) -> str:
    return shown(area, "cm²", 0 if area > 1e-3 else 1)


def findings(drape: Drape, law: ClothLaw, place: str) -> tuple[Finding, ...]:
    """Return what a person should know about a draped piece.

    Parameters
    ----------
    drape
        How the cloth lies.
    law
        The cloth.
    place
        Which piece, as a person names it: ``ply 3, piece 3A``.

    Notes
    -----
    At most three places of each kind, the largest ones. The limits of strain are common practice, not measured.
    """
    surface = drape.surface
    out: list[Finding] = []

    def add(severity: Severity, triangle: int, what: str, why: str, do: str) -> None:
        x, y, z = (float(t) for t in surface.centroids[triangle])
        out.append(
            Finding(
                severity=severity,
                stage="drape",
                place=place,
                what=what,
                why=why,
                do=do,
                basis=Basis.COMMON,
                point=(x, y, z),
            )
        )

    if law.locking_angle is not None:
        shear = np.abs(smoothed(surface, drape.shear))
        for area, worst, triangle in _places(surface, shear > law.locking_angle, shear):
            add(
                Severity.DECIDE,
                triangle,
                f"The cloth shears by up to {shown(worst, '°')} over {_patch(area)}.",
                f"Past its locking angle of {shown(law.locking_angle, '°', 0)} it wrinkles instead.",
                "Turn the warp, move the start towards this place, or cut a dart or a seam here.",
            )
    short = -np.minimum(smoothed(surface, drape.stretch_warp), smoothed(surface, drape.stretch_weft))
    for area, worst, triangle in _places(surface, short > SURPLUS, short):
        add(
            Severity.DECIDE,
            triangle,
            f"The cloth is up to {shown(worst, '%')} too long for its path over {_patch(area)}.",
            "Fibre cannot be pushed together: the surplus stands up as waves or folds.",
            "Cut a dart here, split the piece, or take a cloth that shears more easily.",
        )
    for name, direction, stretch in (
        ("Along the warp", drape.warp, drape.stretch_warp),
        ("Across the warp", drape.weft, drape.stretch_weft),
    ):
        tight = smoothed(surface, stretch)
        hollow = smoothed(surface, curvature_along(surface, direction)) < -1 / HOLLOW
        for area, worst, triangle in _places(surface, hollow & (tight > TIGHT), tight):
            add(
                Severity.DECIDE,
                triangle,
                f"{name} the cloth is up to {shown(worst, '%')} too short in a hollow of {_patch(area)}.",
                "It does not stretch: it lifts off and bridges the hollow, leaving a void or a resin-rich corner.",
                "Work from the hollow outwards with the start in it, or split the piece along it with a slip joint.",
            )
    return tuple(out)
