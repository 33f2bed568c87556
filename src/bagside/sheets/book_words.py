"""Words that several chapters of the book share."""

from __future__ import annotations

from bagside.findings import Finding
from bagside.planning.laminate_stage import laid_ply
from bagside.planning.plan import BuildPlan
from bagside.quantity import THIN_SPACE


def day(moment: object) -> str:
    """Return a moment as a day."""
    return f"{moment:%a %-d %b}" if hasattr(moment, "strftime") else ""


def money(plan: BuildPlan, amount: float) -> str:
    """Return an amount in the workshop's currency."""
    return f"{amount:,.2f}".replace(",", THIN_SPACE) + f" {plan.cost.currency}"


def of_stage(plan: BuildPlan, *stages: str) -> tuple[Finding, ...]:
    """Return the findings of some stages."""
    return tuple(f for f in plan.findings if f.stage in stages)


def ply_thickness(plan: BuildPlan, k: int) -> float:
    """Return the cured thickness of a ply [m]."""
    ply = plan.job.plies[k]
    return laid_ply(str(k + 1), plan.library.prepreg[ply.material], ply.angle).thickness


def duration(seconds: float) -> str:
    """Return a time as people say it; empty for none."""
    if seconds <= 0:
        return ""
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60:02d}"
