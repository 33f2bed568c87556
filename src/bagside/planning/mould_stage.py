"""From the mesh file to the surfaces that later stages use."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from bagside import geometry
from bagside.findings import Finding
from bagside.geometry import MendReport, Surface
from bagside.planning.content import ContentFile
from bagside.spec.job import Mould
from bagside.spec.region import Hole, Region

FINE_FAIRING = 0.001  # [m] keeps fillets of 3 mm measurable; see geometry.faired
CLOTH_FAIRING = 0.002  # [m] what cloth is draped on; noise makes patterns too big
FAIRED_ABOVE = 0.00001  # [m] a surface smoother than this is taken as it is


@dataclass(frozen=True, slots=True, kw_only=True)
class MouldSurface:
    """The mould as later stages see it.

    Parameters
    ----------
    fine
        Mended and lightly faired: for corners, draft and sections.
    work
        Faired for cloth and meshed evenly: for regions, draping and areas.
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
    mended, report = geometry.mended(raw, facing=mould.laminate_side, keep=mould.keep)
    noisy = mould.noise > FAIRED_ABOVE
    fine = geometry.faired(mended, FINE_FAIRING) if noisy else mended
    smooth = geometry.faired(mended, max(CLOTH_FAIRING, min(0.003, 10 * mould.noise))) if noisy else mended
    work = geometry.remeshed(smooth, mould.size, mould.tolerance)
    return MouldSurface(fine=fine, work=work, report=report)


def regions_on(
    work: Surface, regions: Mapping[str, Region], holes: tuple[Hole, ...], where: str
) -> dict[str, Surface]:
    """Return each named region as a surface whose boundary follows the true curve.

    Raises
    ------
    InputError
        When a region is empty or names what is not there.
    """
    return geometry.regions_of(work, regions, {hole.name: hole for hole in holes}, where)


def mending_findings(report: MendReport) -> tuple[Finding, ...]:
    """Return what mending noticed."""
    return tuple(geometry.mending_findings(report))
