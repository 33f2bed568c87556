"""One thing that speaks against a part."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from bagside.findings import Basis, Finding, Severity


class Weight(StrEnum):
    """What a reason alone would make of the part, lightest first."""

    NOTHING = "nothing"
    NOTE = "a note"
    SHORT = "not finished"
    STRUCTURE = "not for structure"
    LOST = "lost"


SEVERITY = {
    Weight.NOTHING: Severity.SEEN,
    Weight.NOTE: Severity.WATCH,
    Weight.SHORT: Severity.DECIDE,
    Weight.STRUCTURE: Severity.STOP,
    Weight.LOST: Severity.STOP,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """One thing that speaks against a part.

    Parameters
    ----------
    name
        Which one: ``cure``, ``glass transition``, ``vacuum``, …
    weight
        What it alone would make of the part.
    value, limit
        The number and what it is held against, SI.
    unit
        Unit to show both in, as `bagside.quantity.shown` takes it.
    finding
        The same as a sentence at its place.
    measure
        The one measurement that would settle it; empty when nothing is open.
    """

    name: str
    weight: Weight
    value: float
    limit: float
    unit: str
    finding: Finding
    measure: str = ""


def reason(
    name: str,
    weight: Weight,
    value: float,
    limit: float,
    unit: str,
    place: str,
    what: str,
    why: str,
    do: str,
    basis: Basis = Basis.COMMON,
    source: str = "",
    measure: str = "",
) -> Reason:
    """Return a reason with its finding.

    Parameters
    ----------
    name, weight, value, limit, unit, measure
        As of `Reason`.
    place, what, why, do, basis, source
        As of `Finding`.
    """
    return Reason(
        name=name,
        weight=weight,
        value=value,
        limit=limit,
        unit=unit,
        measure=measure,
        finding=Finding(
            severity=SEVERITY[weight],
            stage="cure",
            place=place,
            what=what,
            why=why,
            do=do,
            basis=basis,
            source=source,
        ),
    )
