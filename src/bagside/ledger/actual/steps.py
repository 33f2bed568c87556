"""The steps of a part as they were planned and done: when, by whom, how long."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from bagside.ledger.bodies import Found
from bagside.ledger.planned import PlannedStep
from bagside.ledger.things import Build, StepDone

LONGEST_SHIFT = 12 * 3600.0
"""Longer than this from start to finish is no hands-on time of one day [s]: common practice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StepActual:
    """One planned step and what happened of it; times [s].

    Parameters
    ----------
    key, name, stage
        Of the step.
    planned_attended, planned_unattended
        As planned, for one part or for all of the job.
    share
        Of those times that belongs to this part: one, or one of the number of parts when it is done for all at once.
    started, finished, who, note
        As recorded.
    attended
        Hands-on; None when it is not known.
    stated
        Whether hands-on time was stated; from start to finish otherwise.
    boxes
        What was to be ticked, and whether it was.
    """

    key: str
    name: str
    stage: str
    planned_attended: float
    planned_unattended: float
    share: float
    started: datetime | None
    finished: datetime | None
    who: tuple[str, ...]
    note: str
    attended: float | None
    stated: bool
    boxes: tuple[tuple[str, bool], ...]

    @property
    def elapsed(self) -> float | None:
        """From start to finish; None when either was not recorded."""
        if self.started is None or self.finished is None:
            return None
        return (self.finished - self.started).total_seconds()

    @property
    def planned_elapsed(self) -> float:
        """Hands-on and what passes by itself, as planned."""
        return self.planned_attended + self.planned_unattended

    @property
    def ticked(self) -> int:
        """How many boxes were ticked."""
        return sum(done for _, done in self.boxes)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChapterHours:
    """Hands-on time of a chapter, for one part [s].

    Parameters
    ----------
    stage
        Its name.
    planned
        Of all its steps.
    planned_known, actual
        Of those whose hands-on time is known: as planned, and as it was.
    known, steps
        How many are known, of how many.
    """

    stage: str
    planned: float
    planned_known: float
    actual: float
    known: int
    steps: int


def steps_of(build: Build) -> tuple[StepActual, ...]:
    """Return each planned step and what happened of it.

    Parameters
    ----------
    build
        The part.

    Notes
    -----
    Hands-on time is what was stated, with the step or as a measurement of hours at the step. Without that it is the
    time from start to finish, but only of a step that holds no waiting and did not run for more than `LONGEST_SHIFT`.
    """
    done = {s.key: s for s in build.steps}
    hours: dict[str, float] = {}
    for m in build.measured:
        if m.what.found is Found.HOURS:
            hours[m.what.place] = hours.get(m.what.place, 0.0) + m.what.value
    quantity = max(build.planned.quantity, 1)
    return tuple(_step(p, done.get(p.key), hours, quantity) for p in build.planned.steps)


def _step(planned: PlannedStep, done: StepDone | None, hours: dict[str, float], quantity: int) -> StepActual:
    done = done or StepDone(key=planned.key)
    stated = done.attended if done.attended is not None else hours.get(planned.key)
    attended = stated
    if stated is None and done.started is not None and done.finished is not None and not planned.unattended:
        whole = (done.finished - done.started).total_seconds()
        attended = whole if 0.0 <= whole <= LONGEST_SHIFT else None
    ticked = set(done.boxes)
    return StepActual(
        key=planned.key,
        name=planned.name,
        stage=planned.stage,
        planned_attended=planned.attended,
        planned_unattended=planned.unattended,
        share=1.0 if planned.each else 1.0 / quantity,
        started=done.started,
        finished=done.finished,
        who=done.who,
        note=done.note,
        attended=attended,
        stated=stated is not None,
        boxes=tuple((words, k in ticked) for k, words in enumerate(planned.boxes)),
    )


def chapters_of(steps: tuple[StepActual, ...]) -> tuple[ChapterHours, ...]:
    """Return hands-on time by chapter, in the plan's order.

    Parameters
    ----------
    steps
        Of one part.
    """
    out = []
    for stage in dict.fromkeys(s.stage for s in steps):
        mine = [s for s in steps if s.stage == stage]
        known = [s for s in mine if s.attended is not None]
        out.append(
            ChapterHours(
                stage=stage,
                planned=sum(s.planned_attended * s.share for s in mine),
                planned_known=sum(s.planned_attended * s.share for s in known),
                actual=sum((s.attended or 0.0) * s.share for s in known),
                known=len(known),
                steps=len(mine),
            )
        )
    return tuple(out)
