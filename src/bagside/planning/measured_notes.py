"""What a plan without a surface has to say of that, once."""

from __future__ import annotations

from bagside import mould as moulds
from bagside.findings import Basis, Finding, Severity
from bagside.planning.laminate_stage import LaminateMap
from bagside.quantity import shown
from bagside.spec.job import Job
from bagside.spec.measured import Measured


def unseen(measured: Measured, job: Job, laminate: LaminateMap) -> Finding:
    """Return what only the mould's surface could have told.

    Parameters
    ----------
    measured, job
        As stated.
    laminate
        Over the part.
    """
    flat = measured.depth == 0.0
    most, least = (
        shown(float(moulds.needed_radius(t, visible=job.laying.show, structural=job.structural)), "mm")
        for t in (laminate.main.laminate.thickness, laminate.thickest)
    )
    radius = f"{most} or more is wanted" + ("" if least == most else f", {least} where it is thickest")
    return Finding(
        severity=Severity.SEEN if flat else Severity.WATCH,
        stage="mould",
        place="mould by tape measure",
        what="there is no surface of it, so draft, undercuts, tight corners, how far cloth shears and where pleats go "
        "are not known; all else is worked out from sizes",
        why="a flat mould hides little of this"
        if flat
        else "cloth bridges a corner that is too tight, and wrinkles where it must shear too far",
        do="run a finger over the whole face, and lay a straightedge across it"
        if flat
        else f"feel every inside corner with a radius gauge, {radius}, and debulk every second ply where one is "
        "tighter; look along the pull for what hooks; push a string into every hollow before the film is cut; or scan "
        "the mould and state its mesh",
        basis=Basis.COMMON,
    )
