"""Gate of the mass: weighed, and nothing is probably wrong."""

from __future__ import annotations

from bagside.findings import Basis, Severity
from bagside.ledger.bodies import MassStage
from bagside.ledger.gate import Gate
from bagside.ledger.shop import Shop
from bagside.ledger.things import Build
from bagside.ledger.weighed import mass_reading
from bagside.quantity import shown

STOPS = (Severity.STOP, Severity.DECIDE)


def mass(build: Build, step: str, stage: MassStage, shop: Shop) -> Gate | None:
    """Return whether the part was weighed at a moment, and weighs what it should; nothing when the plan says no mass.

    Parameters
    ----------
    build
        Which.
    step
        Before which.
    stage
        At which moment.
    shop
        Whose other cloths may have got into the kit.

    Notes
    -----
    It stops when something is more probably wrong than not; see `bagside.ledger.weighed`.
    """
    planned = next((m for m in build.planned.masses if m.stage == stage.value), None)
    if planned is None or not build.planned.plies:
        return None
    why = "a ply missing or a film left in is found on the scale, and nowhere else so cheaply"
    read = next((r for r in mass_reading(build, shop) if r.stage is stage), None)
    if read is None:
        return Gate(
            key="mass", step=step, holds=None, why=why, do="weigh it, and write the mass down", basis=Basis.COMMON,
            what=f"the {stage.value} part is not weighed; {shown(planned.mass, 'g', 0)} is planned",
        )  # fmt: skip
    weighty = next((f for f in read.findings if f.severity in STOPS), None)
    usual = f"{shown(read.measured, 'g', 0)} {stage.value}, {shown(planned.mass, 'g', 0)} planned"
    return Gate(
        key="mass", step=step, holds=weighty is None,
        what=f"{usual}; within {shown(2.0 * read.sigma, 'g', 0)} nothing stands out" if weighty is None
        else f"{weighty.what}: {weighty.why}",
        why=why, do=weighty.do if weighty is not None else "", basis=Basis.COMMON,
        source="chances beforehand and scatter are common practice, no source",
    )  # fmt: skip
