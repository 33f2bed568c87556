"""From the mesh file to the surfaces that later stages use."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from bagside import geometry
from bagside import mould as moulds
from bagside.findings import Finding
from bagside.geometry import MendReport, Surface
from bagside.geometry.reflect import reflected
from bagside.mould import Corner, LaidCorner, MouldReport
from bagside.planning.content import ContentFile
from bagside.spec.job import Mould
from bagside.spec.lines import Line
from bagside.spec.material import ToolMaterial
from bagside.spec.region import Hole, Plane, Region

LEAST_NOISE = 0.00001  # [m] a surface smoother than this is not faired
FINE_FAIRING = 0.001  # [m] keeps fillets of 3 mm measurable; see geometry.faired


@dataclass(frozen=True, slots=True, kw_only=True)
class MouldSurface:
    """The mould as later stages see it.

    Parameters
    ----------
    fine
        Mended, cut to the part and lightly faired: for corners, draft and sections.
    work
        Faired for cloth and meshed evenly, or finer in its fillets: for regions, draping and areas.
    report
        What mending found and did.
    """

    fine: Surface
    work: Surface
    report: MendReport


def opened_mould(file: ContentFile, mould: Mould) -> MouldSurface:
    """Return the mould's surfaces from its mesh file.

    Raises
    ------
    InputError
        When the file cannot be used; says why and what to do.
    """
    raw = geometry.read_mesh(file.path, mould.unit)
    wish = geometry.Wish(
        facing=mould.laminate_side,
        keep=mould.keep,
        noise=mould.noise,
        size=mould.size,
        tolerance=mould.tolerance,
        smallest_fillet=mould.smallest_fillet,
        fill_holes=mould.fill_holes,
        off_table=mould.off_table,
        region=mould.crop,
        net_edge=mould.net_edge,
        inside=mould.inside,
    )
    opened = geometry.opened(raw, wish)
    return MouldSurface(fine=opened.fine, work=opened.work, report=opened.report)


def regions_on(
    work: Surface,
    regions: Mapping[str, Region],
    holes: tuple[Hole, ...],
    where: str,
    lines: Mapping[str, Line] | None = None,
) -> dict[str, Surface]:
    """Return each named region as a surface whose boundary follows the true curve.

    Raises
    ------
    InputError
        When a region is empty or names what is not there.
    """
    return geometry.regions_of(work, regions, {hole.name: hole for hole in holes}, where, lines)


def mending_findings(report: MendReport) -> tuple[Finding, ...]:
    """Return what mending noticed."""
    return tuple(geometry.mending_findings(report))


def as_scanned(file: ContentFile, mould: Mould) -> Surface | None:
    """Return the mended surface before anything was faired: small fillets are read on it.

    None when nothing is faired, for then the fine surface is that already.

    Parameters
    ----------
    file
        The mould's mesh.
    mould
        As stated.

    Raises
    ------
    InputError
        As for `opened_mould`.
    """
    if mould.noise <= LEAST_NOISE:
        return None
    raw = geometry.read_mesh(file.path, mould.unit)
    return geometry.mended(raw, facing=mould.laminate_side, keep=mould.keep)[0]


def laid_on(fine: Surface, region: Surface, reach: float = 0.001) -> Surface:
    """Return the part of the fine surface that a region covers.

    Parameters
    ----------
    fine
        The mended surface.
    region
        A region of the even one.
    reach
        How far apart the two may lie [m].
    """
    distance, _, _ = geometry.nearest(region, fine.centroids)
    chosen = fine.selected(distance < reach)
    return max(geometry.components(chosen), key=lambda part: part.area)


def tight_corners(
    laid: Surface,
    thickness: float,
    mould: Mould,
    file: ContentFile,
    show: bool,
    structural: bool,
    mirror: Plane | None = None,
) -> tuple[Corner, ...]:
    """Return the inside corners that are too tight for the laminate.

    Parameters
    ----------
    laid
        The surface under the plies.
    thickness
        Of the laminate where it is thickest [m].
    mould, file
        As stated, and its mesh: radii are read on it before it is faired.
    show, structural
        Whether the mould side is seen, and whether the part carries load.
    mirror
        Plane in which the surface is the mirror image of what the mould states; none when it is that itself.
    """
    scanned = as_scanned(file, mould)
    if scanned is not None and mirror is not None:
        scanned = reflected(scanned, mirror.point, mirror.normal)
    return moulds.corners_of(
        laid,
        thickness,
        visible=show,
        structural=structural,
        noise=min(mould.noise, 0.1 * FINE_FAIRING),
        scanned=scanned,
        scanned_noise=mould.noise,
    )


def corners_laid(
    corners: tuple[Corner, ...],
    surfaces: tuple[Surface, ...],
    of: tuple[int, ...],
    thickness: tuple[float, ...],
    show: bool,
    structural: bool,
) -> tuple[LaidCorner, ...]:
    """Return each corner with the plies that run through it; corners without a ply are left out.

    Parameters
    ----------
    corners
        From `tight_corners`.
    surfaces
        Under each cut piece.
    of
        Index of each piece's ply.
    thickness
        Cured, of each ply in the order of laying [m].
    show, structural
        Whether the mould side is seen, and whether the part carries load.
    """
    out = []
    for corner in corners:
        through = sorted({ply for surface, ply in zip(surfaces, of, strict=True) if runs_through(surface, corner)})
        if through:
            plies = [thickness[k] for k in through]
            numbers = [k + 1 for k in through]
            out.append(moulds.laid_corner(corner, plies, visible=show, structural=structural, numbers=numbers))
    return tuple(out)


def runs_through(surface: Surface, corner: Corner) -> bool:
    """Return whether a piece runs through a corner: a fifth of the corner's points and more lie under it.

    Parameters
    ----------
    surface
        Under the piece.
    corner
        The corner.
    """
    distance, _, _ = geometry.nearest(surface, np.asarray(corner.points))
    return bool(np.mean(distance < 0.002) > 0.2)


def mould_facts(
    laid: Surface,
    corners: tuple[Corner, ...],
    through: tuple[LaidCorner, ...],
    mould: Mould,
    tool: ToolMaterial,
    gel_temperature: float,
    hottest: float,
    room_temperature: float,
) -> MouldReport:
    """Return what the mould says: how it comes off, tight corners, size and spring-in.

    Parameters
    ----------
    laid
        The surface under the plies.
    corners
        From `tight_corners`.
    through
        The same with their plies, from `corners_laid`.
    mould, tool
        As stated.
    gel_temperature, hottest
        From the cure [K].
    room_temperature
        [K].
    """
    pieces = [
        (p.name, p.pull, p.side.point if p.side else None, p.side.normal if p.side else None) for p in mould.pieces
    ]
    return moulds.mould_report(
        laid,
        pieces,
        corners,
        tool=_tool_facts(mould, tool),
        gel_temperature=min(max(gel_temperature, room_temperature), hottest),
        hottest=hottest,
        room_temperature=room_temperature,
        laid=through,
    )


def measured_facts(
    longest: float,
    area: float,
    mould: Mould,
    tool: ToolMaterial,
    gel_temperature: float,
    hottest: float,
    room_temperature: float,
) -> MouldReport:
    """Return what a mould says of which only the size is known: heat, size and spring-in.

    Parameters
    ----------
    longest, area
        Longest side of the part [m], and area of the mould [m²].
    mould, tool
        As stated.
    gel_temperature, hottest, room_temperature
        As for `mould_facts` [K].
    """
    return moulds.measured_report(
        longest,
        area,
        tool=_tool_facts(mould, tool),
        gel_temperature=min(max(gel_temperature, room_temperature), hottest),
        hottest=hottest,
        room_temperature=room_temperature,
    )


def _tool_facts(mould: Mould, tool: ToolMaterial) -> moulds.ToolFacts:
    return moulds.ToolFacts(
        name=mould.material, expansion=tool.expansion, limit=tool.limit, basis=tool.basis.of("limit")
    )
