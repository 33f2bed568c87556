"""What used life does to a cure, told where it is much."""

from __future__ import annotations

from dataclasses import replace

from bagside import cure as curing
from bagside.cure import Section
from bagside.findings import Basis, Finding, Severity
from bagside.planning.cure_case import CureCase
from bagside.quantity import shown

TOLD = 0.3  # share of life from which on its effect is told


def life_effect_findings(case: CureCase) -> tuple[Finding, ...]:
    """Return what the life used does to gel and flow, when it is much.

    Parameters
    ----------
    case
        With the resin as it is now.
    """
    if case.life_share < TOLD or not case.on_mould:
        return ()
    place: Section = replace(case.on_mould[-1], start=case.start)
    new, used = curing.life_effect(place, case.resin, case.oven.air(case.programme), (case.fresh, case.resin.alpha0))
    if new.gel_time is None or used.gel_time is None:
        return ()
    words = f"gels {shown(new.gel_time - used.gel_time, 'min', 0)} sooner than fresh resin"
    if new.flow_time and used.flow_time is not None:
        words += f" and flows for {shown(used.flow_time, 'min', 0)} in place of {shown(new.flow_time, 'min', 0)}"
    short = bool(new.flow_time) and used.flow_time is not None and used.flow_time < 0.7 * (new.flow_time or 0.0)
    return (
        Finding(
            severity=Severity.WATCH if short else Severity.SEEN,
            stage="cure",
            place=f"cure, {place.name}",
            what=f"with {shown(case.life_share, '%', 0)} of its out-life used the resin starts at "
            f"{shown(case.resin.alpha0, '%', 1)} cure; it {words}",
            why="resin that flows less leaves pinholes and dry corners",
            do="use the fresher roll for this part, or have a longer hold before gel; feel its tack first",
            basis=Basis.COMMON,
            source="straight line between fresh resin and resin whose life is used up",
        ),
    )
