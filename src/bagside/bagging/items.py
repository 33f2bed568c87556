"""What goes into a bag and what is known about it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from bagside.bagging.breathing import BreathingPlan
from bagside.bagging.breathing_over import BreathingOver
from bagside.bagging.criteria import Criterion
from bagside.bagging.debulk import Debulk
from bagside.bagging.debulk_course import DebulkCourse
from bagside.findings import Basis, Finding

Floats = NDArray[np.float64]


class BagKind(StrEnum):
    """How a part is bagged."""

    SURFACE = "surface bag"
    ENVELOPE = "envelope"


@dataclass(frozen=True, slots=True, kw_only=True)
class BagItem:
    """One thing that goes into the bag.

    Parameters
    ----------
    name
        ``bag film``, ``release film``, ``breather``, ``sealant tape`` or ``edge breather``.
    quantity
        How much for one bag.
    unit
        ``m²``, ``m`` or ``pcs``.
    how
        How it was worked out, in one sentence.
    basis
        On what it rests.
    """

    name: str
    quantity: float
    unit: str
    how: str
    basis: Basis


@dataclass(frozen=True, slots=True, kw_only=True)
class Pleats:
    """Folds of spare film in the bag's edge.

    Parameters
    ----------
    heights
        Of each, shape (k,) [m].
    places
        On the tape run, shape (k, 3) [m]; no rows when the bag was sized without a surface.
    held_up, held_down
        How many were raised to the least and lowered to the largest height of the rule.
    """

    heights: Floats
    places: Floats
    held_up: int
    held_down: int

    @property
    def count(self) -> int:
        """How many."""
        return len(self.heights)


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakLimit:
    """What a criterion allows this bag.

    Parameters
    ----------
    criterion
        Which.
    drop
        Loss of vacuum allowed [Pa].
    time
        In this time [s].
    flow
        The leak it stands for in this bag, at standard pressure [m³/s].
    reachable
        Whether today's ambient pressure and this pump meet its demand on vacuum.
    """

    criterion: Criterion
    drop: float
    time: float
    flow: float
    reachable: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BagPlan:
    """The bag: what goes in, how big, how long to pump, how tight.

    Parameters
    ----------
    kind
        How the part is bagged.
    items
        What goes in.
    tape_run
        Length of the line of tape without pleats [m].
    tape_distance
        From the net edge to that line, over the surface [m]; zero for an envelope.
    tape_line
        The line itself, shape (k, 3) [m]; no rows when there is no surface or for an envelope.
    pleats
        Where and how high.
    ports
        How many, the gauge's included.
    sheet
        Length and width of the bag film, one sheet [m].
    contour
        Strings over the bagged surface along its length and width [m].
    area
        Of the surface under the bag [m²].
    free_volume
        Of breather and lines under vacuum, an estimate [m³].
    pump_down
        Expected time to pump down [s].
    pressure
        What presses on the laminate [Pa].
    leak_limits
        What each criterion allows.
    debulks
        When to debulk.
    edge_spacing
        Between strips of edge breathing [m].
    findings
        What it noticed.
    breathing
        How the part breathes: strips, longest way, and from how far air leaves in time.
    course
        The debulks with their reasons.
    """

    kind: BagKind
    items: tuple[BagItem, ...]
    tape_run: float
    tape_distance: float
    tape_line: Floats
    pleats: Pleats
    ports: int
    sheet: tuple[float, float]
    contour: tuple[float, float]
    area: float
    free_volume: float
    pump_down: float
    pressure: float
    leak_limits: tuple[LeakLimit, ...]
    debulks: tuple[Debulk, ...]
    edge_spacing: float
    findings: tuple[Finding, ...]
    breathing: BreathingPlan | BreathingOver | None = None
    course: DebulkCourse | None = None
