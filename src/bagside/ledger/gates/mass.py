"""Gate of the mass: weighed, and nothing is probably wrong."""

from __future__ import annotations

from collections.abc import Sequence

from bagside.findings import Basis, Severity
from bagside.ledger.bodies import MassStage
from bagside.ledger.builds.weighed import MassReading, mass_reading
from bagside.ledger.gates.gate import Gate
from bagside.ledger.shop import Shop
from bagside.ledger.things import Build
from bagside.quantity import shown

STOPS = (Severity.STOP, Severity.DECIDE)
WHY = "a ply missing or a film left in is found on the scale, and nowhere else so cheaply"
SOURCE = "chances beforehand and scatter are common practice, no source"


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
    It stops when something is more probably wrong than not; see `bagside.ledger.builds.weighed`.
    """
    planned = next((m for m in build.planned.masses if m.stage == stage.value), None)
    if planned is None or not build.planned.plies:
        return None
    gate = mass_if_weighed(build, step, (stage,), shop)
    if gate is not None:
        return gate
    return Gate(
        key="mass", step=step, holds=None, why=WHY, do="weigh it, and write the mass down", basis=Basis.COMMON,
        what=f"the {stage.value} part is not weighed; {shown(planned.mass, 'g', 0)} is planned",
    )  # fmt: skip


def mass_if_weighed(build: Build, step: str, stages: Sequence[MassStage], shop: Shop) -> Gate | None:
    """Return whether what was weighed last at one of several moments is as it should be; nothing when nothing was.

    Parameters
    ----------
    build
        Which.
    step
        Before which.
    stages
        Moments at which it may be weighed.
    shop
        Whose other cloths may have got into the kit.
    """
    read = [r for r in mass_reading(build, shop) if r.stage in stages and r.planned is not None]
    return _judged(read[-1], step) if read else None


def _judged(read: MassReading, step: str) -> Gate:
    weighty = next((f for f in read.findings if f.severity in STOPS), None)
    if weighty is not None:
        return Gate(
            key="mass", step=step, holds=False, what=f"{weighty.what}: {weighty.why}", why=WHY, do=weighty.do,
            basis=Basis.COMMON, source=SOURCE,
        )  # fmt: skip
    planned = shown(read.planned or 0.0, "g", 0)
    said = f"{shown(read.measured, 'g', 0)} {read.stage.value}, {planned} planned"
    return Gate(
        key="mass", step=step, holds=True, what=f"{said}; within {shown(2.0 * read.sigma, 'g', 0)} nothing stands out",
        why=WHY, do="", basis=Basis.COMMON, source=SOURCE,
    )  # fmt: skip
