"""What comes next in a build: one step, the gates before it, and what stops it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from bagside.ledger.gates.before import gates_before, stopping
from bagside.ledger.gates.gate import CLOSING, Gate
from bagside.ledger.planned import PlannedStep
from bagside.ledger.shop import Shop
from bagside.ledger.things import Build, StepDone


@dataclass(frozen=True, slots=True, kw_only=True)
class NextUp:
    """The next step of a build.

    Parameters
    ----------
    step
        As planned; None when all are finished, and when the build is over.
    done
        What happened of it; None with `step`.
    number, of
        Which step it is of how many, from 1; `number` is one more than `of` when all are finished.
    gates
        Before it, or before the end when all steps are finished; none when the build is over, and none when the step
        is under way: they stood before its start.
    over
        Whether the build is closed.
    """

    step: PlannedStep | None
    done: StepDone | None
    number: int
    of: int
    gates: tuple[Gate, ...]
    over: bool = False

    @property
    def under_way(self) -> bool:
        """Whether somebody has started it."""
        return self.done is not None and self.done.started is not None

    @property
    def stopping(self) -> tuple[Gate, ...]:
        """Gates that stop it."""
        return stopping(self.gates)

    @property
    def open(self) -> bool:
        """Whether it may begin now, or be closed as good."""
        return not self.over and not self.stopping


def next_up(build: Build, shop: Shop, now: datetime) -> NextUp:
    """Return the next step of a build: the first that is not finished, in the plan's order.

    Parameters
    ----------
    build
        Which.
    shop
        The workshop as it stands.
    now
        When it would begin [UTC].
    """
    steps = build.planned.steps
    if build.closed is not None:
        return NextUp(step=None, done=None, number=len(steps) + 1, of=len(steps), gates=(), over=True)
    key = build.next_step
    if not key:
        gates = gates_before(build, CLOSING, shop, now)
        return NextUp(step=None, done=None, number=len(steps) + 1, of=len(steps), gates=gates)
    number = next(n for n, s in enumerate(steps, 1) if s.key == key)
    done = next(s for s in build.steps if s.key == key)
    gates = () if done.started is not None else gates_before(build, key, shop, now)
    return NextUp(step=steps[number - 1], done=done, number=number, of=len(steps), gates=gates)
