"""Which module makes what a stage's page shows.

Each has ``view(plan, stages)``, which returns a frozen value that pickles: SVG text, arrays and numbers in SI, no
elements. One that can be made as soon as the plies are shaped has ``early(shape, opened, stages)`` too: what it shows
then stands until the whole plan is there.
"""

from __future__ import annotations

from collections.abc import Iterator
from importlib import import_module
from types import ModuleType
from typing import Any

from bagside.planning.plan import BuildPlan
from bagside.planning.shaped import Shaped
from bagside.planning.stages import Stages
from bagside.spec.opening import Opened

MAKERS = {
    "mould": "mould",
    "plies": "plies",
    "laminate": "laminate.view",
    "cut": "cut.view",
    "cure": "cure.view",
    "join": "join.view",
    "finish": "finish.view",
    "time": "time.view",
    "money": "money.view",
}
"""The module of this package by its stage, loaded where something is worked out."""
STAGES = tuple(MAKERS)
"""In the order of the work."""
BENCHES = {
    "mould": ("mould", "camera"),
    "plies": ("drape", "mirror"),
    "laminate": ("laminate",),
    "cut": ("cutting",),
    "cure": ("bagging", "cure", "resin"),
    "join": ("joining",),
    "finish": ("finishing",),
    "time": ("time", "stock"),
    "money": (),
}
"""Benches whose findings stand on the page of a stage."""


def stage_of(bench: str) -> str:
    """Return the stage on whose page a bench's findings stand.

    Parameters
    ----------
    bench
        As a finding names it.
    """
    return next((stage for stage, benches in BENCHES.items() if bench in benches), "time")


def early_views(shape: Shaped, opened: Opened, stages: Stages) -> Iterator[tuple[str, Any]]:
    """Yield the stage and what it shows for each stage that can show something before the plan is whole.

    Parameters
    ----------
    shape
        The part as far as its pieces.
    opened
        The job.
    stages
        Keep what is worked out.
    """
    for stage in STAGES:
        maker = getattr(_maker(stage), "early", None)
        made = None if maker is None else maker(shape, opened, stages)
        if made is not None:
            yield stage, made


def whole_views(plan: BuildPlan, stages: Stages) -> Iterator[tuple[str, Any]]:
    """Yield the stage and what it shows for each stage of a whole plan.

    Parameters
    ----------
    plan
        The build.
    stages
        Keep what is worked out.
    """
    for stage in STAGES:
        yield stage, _maker(stage).view(plan, stages)


def _maker(stage: str) -> ModuleType:
    return import_module(f"bagside.web.views.{MAKERS[stage]}")
