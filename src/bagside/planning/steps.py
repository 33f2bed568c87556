"""The build as a list of steps: what to do, boxes to tick, how long a person and how long nobody is needed.

Steps are either done once for the whole job (cutting all kits, coating all parts together) or once for each part
(laying, bagging, curing: there is one mould). Attended times are the workshop's own, the library's where it has none,
times the job's complexity; each step names the hazards whose caution is shown before it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields

from bagside.bagging import BagPlan
from bagside.cutting import FlatPiece
from bagside.planning.calendar import Task
from bagside.planning.cure_stage import CurePlan
from bagside.planning.finish_stage import FinishPlan
from bagside.planning.joint_stage import JointPlan
from bagside.planning.kit import MaterialKit
from bagside.planning.patchwork_stage import PlyPatchwork
from bagside.planning.ply_pieces import PlyPieces
from bagside.planning.step import Step
from bagside.planning.step_lists import bagging_and_curing, bonding, coating, fitting, getting_ready, laying, trimming
from bagside.spec.job import Job
from bagside.spec.library import Library
from bagside.spec.workshop import Times, Workshop

__all__ = ["Step", "steps_of", "tasks_of", "times_in"]


def times_in(workshop: Workshop, generic: Times) -> dict[str, float]:
    """Return every attended time or rate: the workshop's where stated, else the library's."""
    merged: dict[str, float] = {}
    for field in fields(Times):
        own = getattr(workshop.times, field.name)
        value = own if own is not None else getattr(generic, field.name)
        if value is not None:
            merged[field.name] = value
    return merged


def steps_of(
    job: Job,
    library: Library,
    times: Mapping[str, float],
    *,
    plies: Sequence[PlyPieces],
    kits: Sequence[MaterialKit],
    bag: BagPlan,
    cure: CurePlan,
    joints: JointPlan,
    finish: FinishPlan,
    edge: float,
    cut: Sequence[FlatPiece],
    patchwork: PlyPatchwork | None = None,
) -> tuple[Step, ...]:
    """Return every step of the job, in order.

    Parameters
    ----------
    job, library, times
        As stated; attended times and rates by name.
    plies
        The pieces of each ply.
    kits, bag, cure, joints, finish
        From the benches.
    edge
        Length of the finished part's edge [m].
    cut
        Everything that is cut.
    patchwork
        The ply that is cut as tiles; None when there is none.
    """
    return (
        *getting_ready(job, kits, cut, times),
        *laying(job, library, plies, bag, times, patchwork),
        *bagging_and_curing(job, bag, cure, times),
        *trimming(job, edge, cure, times),
        *bonding(job, joints, times),
        *coating(job, finish, times),
        *fitting(job, times),
    )


def tasks_of(steps: Sequence[Step], quantity: int) -> tuple[Task, ...]:
    """Return the steps as tasks for the calendar: a step for each part is repeated, the mould is kept.

    Parameters
    ----------
    steps
        In order.
    quantity
        Number of parts.
    """
    tasks: list[Task] = []
    ended: list[tuple[str, ...]] = [() for _ in range(quantity)]
    everything: tuple[str, ...] = ()
    on_mould = [s for s in steps if "mould" in s.needs]
    for step in steps:
        if not step.each:
            before = tuple(dict.fromkeys(n for chain in ended for n in chain)) or everything
            tasks.append(
                Task(
                    name=step.name, attended=step.attended, unattended=step.unattended, after=before,
                    needs=step.needs - {"mould"}, hold=step.hold,
                )
            )  # fmt: skip
            everything = (step.name,)
            ended = [everything for _ in range(quantity)]
            continue
        for n in range(quantity):
            name = f"{step.name}, part {n + 1}"
            mould = frozenset({"mould"})
            tasks.append(
                Task(
                    name=name,
                    attended=step.attended,
                    unattended=step.unattended,
                    after=ended[n],
                    needs=step.needs - {"mould"},
                    claims=mould if on_mould and step is on_mould[0] else frozenset(),
                    frees=mould if on_mould and step is on_mould[-1] else frozenset(),
                    hold=step.hold,
                )
            )
            ended[n] = (name,)
    return tuple(tasks)
