"""From a raw mesh, scanned or drawn, to the surfaces that everything else works on, and a report of what that took.

The order matters. Mending comes first, for everything else needs one sheet. A dense scan is smoothed at its full number
of triangles and then thinned: noise that is still there while triangles are taken out is kept for good. Cropping and
closing holes come after that, on a surface whose neighbouring triangles agree.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from bagside.errors import InputError
from bagside.geometry.crop import Cropped, cropped
from bagside.geometry.fair import faired
from bagside.geometry.fill import HoleSeen, filled
from bagside.geometry.mend import mended
from bagside.geometry.mend_report import MendReport
from bagside.geometry.readers import Raw
from bagside.geometry.regions import components, regions_of
from bagside.geometry.remesh import remeshed
from bagside.geometry.scale import size_refused
from bagside.geometry.smooth import Rings, despiked, rings_of, roughness, smoothed, unfolded
from bagside.geometry.surface import Surface
from bagside.geometry.tabletop import Table, off_table, table_of
from bagside.geometry.thin import Deviation, deviation, thinned
from bagside.spec.region import Region

FINE_FAIRING = 0.001  # [m] keeps fillets of 3 mm measurable; see geometry.faired
CLOTH_FAIRING = 0.002  # [m] what cloth is draped on; noise makes patterns too big
MOST_FAIRING = 0.003  # [m]
FAIRED_ABOVE = 0.00001  # [m] a surface smoother than this is taken as it is
DENSE = 150_000  # triangles above which a mesh is smoothed in passes and thinned
FILLET = 0.003  # [m] smallest radius kept in a dense mesh when none is stated
PER_FILLET = 3.0  # a fillet's radius over the length that noise may be taken off in it
TOLD = 0.04  # share of the edge that roughness must reach to be told from the facets of a drawn shape
EVEN = 8.0  # 95th over 5th percentile of edges above which a mesh was drawn, not scanned


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What is stated about a mould's mesh.

    Parameters
    ----------
    facing
        Direction from the mould towards the laminate.
    keep
        A point on the sheet that is meant [m].
    noise
        Root mean square [m].
    size, tolerance
        Edge length of the triangles to work with, and how far they may stray [m].
    smallest_fillet
        Smallest radius that must keep its shape [m]; zero meshes evenly.
    fill_holes
        Longest way around a hole that is closed [m].
    off_table
        Height above the table from which on the surface is kept [m]; zero leaves the table.
    region
        What is kept, when not all.
    net_edge, inside
        Points along a closed line that the surface is cut along, and one on the side that stays [m].
    where
        Where all this is stated, for messages.
    """

    facing: tuple[float, float, float]
    keep: tuple[float, float, float] | None = None
    noise: float = 0.0
    size: float = 0.003
    tolerance: float = 0.0002
    smallest_fillet: float = 0.0
    fill_holes: float = 0.0
    off_table: float = 0.0
    region: Region | None = None
    net_edge: Sequence[tuple[float, float, float]] = ()
    inside: tuple[float, float, float] | None = None
    where: str = "mould"


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A mesh as it can be worked with.

    Parameters
    ----------
    fine
        Lightly faired: for corners, draft and sections.
    work
        Faired for cloth, its triangles even or thinned with care for fillets.
    report
        What all this found and did.
    """

    fine: Surface
    work: Surface
    report: MendReport


def opened(raw: Raw, wish: Wish) -> Opened:
    """Return the surfaces to work with from a mesh as read.

    Parameters
    ----------
    raw
        The mesh.
    wish
        What is stated about it.

    Raises
    ------
    InputError
        When the mesh cannot be used, or what is stated does not fit it; says why and what to do.
    NotSolved
        When fairing or remeshing fails.

    Notes
    -----
    Above 150 000 triangles noise is taken off in passes and the mesh thinned; below, it is faired in one solve. With a
    smallest fillet stated noise is taken off over no more than a third of its radius.
    """
    sheet, report = mended(raw, facing=wish.facing, keep=wish.keep, noise=wish.noise)
    size_refused(report.name, report.unit, report.size)
    noisy = wish.noise > FAIRED_ABOVE
    rings = rings_of(sheet) if noisy or len(sheet.triangles) > 1000 else None
    report = replace(report, noise=wish.noise, roughness=_rough(sheet, rings))
    if noisy and rings is not None:
        sheet, spikes = despiked(sheet, wish.noise, rings)
        x = sheet.vertices[spikes]
        report = replace(report, spikes=tuple((float(a), float(b), float(c)) for a, b, c in x))
    cloth = max(CLOTH_FAIRING, min(MOST_FAIRING, 10 * wish.noise))
    lightly = FINE_FAIRING
    if wish.smallest_fillet > 0:
        cloth, lightly = (min(x, wish.smallest_fillet / PER_FILLET) for x in (cloth, lightly))
    if len(sheet.triangles) > DENSE:
        fine, work, report = _from_dense(sheet, wish, report, rings, cloth if noisy else 0.0, lightly if noisy else 0.0)
    else:
        fine, done = _cut_to_part(faired(sheet, lightly) if noisy else sheet, wish, lightly)
        smooth = fine
        if noisy:
            smooth, done = _cut_to_part(faired(sheet, cloth), wish, cloth)
        work, report = _meshed(smooth, wish), _told(report, done, wish)
        report = replace(report, smoothed=cloth if noisy else 0.0)
        if wish.smallest_fillet > 0:
            report = replace(report, deviation=deviation(smooth, work))
    return Opened(fine=fine, work=work, report=replace(report, clean=len(work.triangles)))


def _from_dense(
    sheet: Surface, wish: Wish, report: MendReport, rings: Rings | None, cloth: float, lightly: float
) -> tuple[Surface, Surface, MendReport]:
    once = wish.smallest_fillet > 0
    length = cloth if once else lightly
    smooth = unfolded(smoothed(sheet, length, rings)) if length > 0 else sheet
    del sheet, rings
    thin = thinned(smooth, wish.size, wish.tolerance, wish.smallest_fillet if once else FILLET)
    strayed: Deviation = deviation(smooth, thin)
    del smooth
    fine, done = _cut_to_part(thin, wish, max(length, lightly))
    report = replace(_told(report, done, wish), smoothed=length, deviation=strayed)
    if once:
        return fine, fine, report
    work = remeshed(faired(fine, cloth), wish.size, wish.tolerance)
    return fine, work, replace(report, smoothed=cloth)


def _meshed(surface: Surface, wish: Wish) -> Surface:
    if wish.smallest_fillet > 0:
        return thinned(surface, wish.size, wish.tolerance, wish.smallest_fillet)
    return remeshed(surface, wish.size, wish.tolerance)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cut:
    table: Table | None
    region_area: float
    cropped: Cropped | None
    holes: tuple[HoleSeen, ...]
    surface: Surface


def _cut_to_part(surface: Surface, wish: Wish, length: float) -> tuple[Surface, _Cut]:
    table = table_of(surface, min(wish.noise, 0.0001))
    if wish.off_table > 0:
        if table is None:
            raise InputError.one(
                f"{wish.where}, off_table",
                f"{1000 * wish.off_table:.1f} mm",
                "there is no table in the mesh: no large flat part holds most of its rim with the mould above it",
                "state a net edge or a region instead",
            )
        try:
            surface = off_table(surface, table, wish.off_table)
        except ValueError as error:
            raise InputError.one(f"{wish.where}, off_table", "", str(error)) from None
    area = 0.0
    if wish.region is not None:
        made = regions_of(surface, {"crop": wish.region}, {}, wish.where)["crop"]
        surface = components(made)[0]
        area = surface.area
    edge = None
    if wish.net_edge:
        surface, edge = cropped(surface, wish.net_edge, wish.inside, f"{wish.where}, net_edge")
    elif wish.inside is not None:
        raise InputError.one(f"{wish.where}, inside", "", "a point inside says nothing without a net_edge; state one")
    surface, holes = filled(surface, wish.fill_holes, length if wish.noise > FAIRED_ABOVE else 0.0)
    return surface, _Cut(table=table, region_area=area, cropped=edge, holes=holes, surface=surface)


def _told(report: MendReport, done: _Cut, wish: Wish) -> MendReport:
    """Return the report with what cutting and filling did; holes as they are once noise no longer lengthens rims."""
    changed = wish.off_table > 0 or wish.region is not None or bool(wish.net_edge) or wish.fill_holes > 0
    report = replace(
        report,
        table=done.table,
        off_table=wish.off_table,
        region_area=done.region_area,
        cropped=done.cropped,
        fill_limit=wish.fill_holes,
        filled=tuple((h.around, h.centre) for h in done.holes if h.filled),
    )
    if not (changed or report.triangles > DENSE):
        return report
    loops = done.surface.loops
    rim = done.surface.vertices[loops[0]] if loops else np.zeros((0, 3))
    x, y, z = (float(s) for s in done.surface.size)
    return replace(
        report,
        holes=tuple((h.around, h.centre) for h in done.holes if not h.filled),
        rim=float(np.linalg.norm(rim - np.roll(rim, 1, axis=0), axis=1).sum()),
        size=(x, y, z),
        area=done.surface.area,
    )


def _rough(sheet: Surface, rings: Rings | None) -> float:
    """Return the roughness where it can be told from the facets of a drawn shape, else zero."""
    if rings is None:
        return 0.0
    away = sheet.vertices[rings.edges[:, 0]] - sheet.vertices[rings.edges[:, 1]]
    low, middle, high = np.quantile(np.sqrt(np.einsum("ij,ij->i", away, away)), [0.05, 0.5, 0.95])
    if low <= 0 or high > EVEN * low:
        return 0.0
    rough = roughness(sheet, rings)
    return rough if rough > TOLD * float(middle) else 0.0
