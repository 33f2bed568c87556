"""What the bench notices about a nest and a person should know."""

from __future__ import annotations

from bagside.cutting.layout import Nest
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown

USED_WELL = 0.60
"""Share of the cloth below which a look is worth it: up to 40 % is discarded in practice."""


def nest_findings(nest: Nest, pull: float, *, used_well: float = USED_WELL) -> tuple[Finding, ...]:
    """Return what a person should know about a nest before cutting.

    Parameters
    ----------
    nest
        The layout.
    pull
        Length to pull off the roll [m].
    used_well
        Share of the cloth below which a look is worth it.

    Returns
    -------
    tuple of Finding
        Cloth too short (stop), cloth poorly used (watch), an engine that failed (watch).
    """
    found = []
    cloth = nest.cloth
    place = f"nest of {cloth.material}"
    if cloth.length_available is not None and pull > cloth.length_available:
        short = pull - cloth.length_available
        left = shown(cloth.length_available, "m", 2)
        found.append(
            Finding(
                severity=Severity.STOP,
                stage="cutting",
                place=place,
                what=f"{shown(pull, 'm', 2)} of cloth are wanted, {left} are on the roll",
                why=f"the roll ends {shown(short, 'm', 2)} too early; the last pieces cannot be cut",
                do="buy cloth, cut fewer kits, or nest longer",
                basis=Basis.MEASURED,
                source="length of the roll as stated in the workshop's stock",
            )
        )
    used = nest.area_of_pieces / (cloth.width * pull)
    if used < used_well:
        found.append(
            Finding(
                severity=Severity.WATCH,
                stage="cutting",
                place=place,
                what=f"{shown(used, '%', 0)} of {shown(pull, 'm', 2)} of cloth become pieces",
                why=f"{shown(cloth.width * pull - nest.area_of_pieces, 'm²', 2)} are paid for and left over",
                do="cut several kits together, nest longer, or use offcuts for the small pieces",
                basis=Basis.COMMON,
                source="30 to 40 % of the cloth is discarded where pieces lie at ±45°",
            )
        )
    failed = [t for t in nest.trials if t.method == "engine" and t.length is None and t.note]
    if failed and not any(t.method == "engine" and t.length is not None for t in nest.trials):
        found.append(
            Finding(
                severity=Severity.WATCH,
                stage="cutting",
                place=place,
                what="the search for a shorter nest gave nothing; the first, quick layout stands",
                why=failed[0].note,
                do="nest again; the layout may be cut as it is",
                basis=Basis.MEASURED,
            )
        )
    return tuple(found)
