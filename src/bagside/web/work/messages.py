"""What a task that plans a job says while it runs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from bagside.findings import Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class StageNews:
    """A stage of the plan has begun or ended.

    Parameters
    ----------
    stage
        As the stage log names it.
    ended
        Whether it has ended.
    kept
        Whether its result was there already.
    seconds
        It took.
    """

    stage: str
    ended: bool = False
    kept: bool = False
    seconds: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ViewNews:
    """What a page shows is there.

    Parameters
    ----------
    stage
        Whose page.
    view
        What it shows.
    digest
        Of it: a page whose view has the same digest need not be drawn again.
    early
        Whether it was made before the plan was whole.
    """

    stage: str
    view: Any
    digest: str
    early: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class HandedOn:
    """What one stage hands the next, written on the thread.

    Parameters
    ----------
    area
        Of the mould's laid surface [m²]; None without a surface.
    plies, pieces
        Counted.
    thickness, mass
        Of the part, cured [m], [kg].
    pulled
        Off rolls, all parts [m].
    cycle
        In the oven [s].
    price
        Of one part.
    currency
        Of the price.
    hands
        Attended time of one part [s].
    """

    area: float | None
    plies: int
    pieces: int
    thickness: float
    mass: float
    pulled: float
    cycle: float
    price: float
    currency: str
    hands: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """The plan is whole.

    Parameters
    ----------
    name, quantity, note
        Of the job as planned.
    findings
        All of them, weightiest first.
    handed
        From stage to stage.
    made_from
        Digest of everything it was made from.
    """

    name: str
    quantity: int
    note: str
    findings: tuple[Finding, ...]
    handed: HandedOn
    made_from: str
