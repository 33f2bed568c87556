"""Whether the oven can do what a programme asks."""

from __future__ import annotations

from bagside.cure.oven import Oven
from bagside.cure.programme import Programme
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown


def oven_findings(programme: Programme, oven: Oven) -> tuple[Finding, ...]:
    """Return whether the oven can follow a programme.

    Parameters
    ----------
    programme
        What it is asked to do.
    oven
        What it can do.

    Returns
    -------
    tuple of Finding
        Too hot (stop), ramp too fast (watch).
    """
    found = []
    if programme.hottest > oven.hottest:
        found.append(
            Finding(
                severity=Severity.STOP,
                stage="cure",
                place="oven",
                what=f"{shown(programme.hottest, '°C', 0)} is asked for; the oven holds {shown(oven.hottest, '°C', 0)}",
                why=f"the cure was computed with the {shown(oven.hottest, '°C', 0)} that it gives",
                do="cure cooler and longer, or use another oven",
                basis=Basis.MEASURED,
                source="the workshop's oven as stated",
            )
        )
    found += _too_fast(programme, oven)
    return tuple(found)


def _too_fast(programme: Programme, oven: Oven) -> list[Finding]:
    found = []
    before = programme.start
    for i, s in enumerate(programme.segments):
        limit = oven.heating if s.target > before else oven.cooling
        if s.target != before and s.ramp > limit * (1.0 + 1e-9):
            late = abs(s.target - before) * (1.0 / limit - 1.0 / s.ramp)
            found.append(
                Finding(
                    severity=Severity.WATCH,
                    stage="cure",
                    place=f"oven, segment {i + 1}",
                    what=f"{shown(s.ramp, '°C/min')} is asked for; the oven manages {shown(limit, '°C/min')}",
                    why=f"it arrives {shown(late, 'min', 0)} late, and the hold after it is shorter by as much",
                    do=f"ask for {shown(limit, '°C/min')}, or lengthen the hold by {shown(late, 'min', 0)}",
                    basis=Basis.MEASURED,
                    source="the workshop's oven as stated",
                )
            )
        before = s.target
    return found
