"""Plans, guides and checks the building of carbon-fibre parts by hand lay-up of prepreg.

It does not certify structures.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from bagside.planning.plan import BuildPlan, plan_build
    from bagside.spec.job import Job
    from bagside.spec.opening import open_job
    from bagside.spec.workshop import Workshop

__all__ = ["BuildPlan", "Job", "Workshop", "open_job", "plan_build"]

_HOMES = {
    "BuildPlan": "bagside.planning.plan",
    "Job": "bagside.spec.job",
    "Workshop": "bagside.spec.workshop",
    "open_job": "bagside.spec.opening",
    "plan_build": "bagside.planning.plan",
}


def __getattr__(name: str) -> Any:
    """Import a public name when it is first asked for, so that commands start fast."""
    if name not in _HOMES:
        raise AttributeError(f"module 'bagside' has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)
