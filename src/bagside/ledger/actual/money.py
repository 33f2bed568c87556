"""What a part cost against what was planned: hands-on time as it was, cloth as it was cut; the rest as planned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bagside.ledger.actual.cloth import Used
from bagside.ledger.actual.steps import StepActual
from bagside.ledger.things import Build
from bagside.spec.workshop import Workshop


@dataclass(frozen=True, slots=True, kw_only=True)
class Money:
    """Cost of one part against its plan, in `currency`; overhead on labour is in it, profit and scrap are not.

    Parameters
    ----------
    currency
        Three letters.
    price
        Of one part, as planned; None when there was none.
    labour_planned, labour
        Hands-on time at the rate of today, as planned and as it was; what is not known counts as planned.
    unknown_steps
        Steps that count as planned.
    cloth_pieces, cloth
        Of the plies whose cut cloth and price are known: its pieces alone, and all that was cut; None when none is.
        A cut that took less than its pieces is not counted: its length cannot be right.
    waste
        Share of the cloth that was cut and became no piece; None when not known.
    """

    currency: str
    price: float | None
    labour_planned: float
    labour: float
    unknown_steps: int
    cloth_pieces: float | None
    cloth: float | None
    waste: float | None

    @property
    def labour_more(self) -> float:
        """By how much labour cost more than planned."""
        return self.labour - self.labour_planned


def money_of(build: Build, workshop: Workshop, steps: Sequence[StepActual], cloth: Sequence[Used]) -> Money | None:
    """Return what a part cost against its plan; None when it was planned in another currency or without steps.

    Parameters
    ----------
    build
        The part.
    workshop
        Its rates: of today, for the plan keeps none.
    steps, cloth
        As they were.
    """
    if not steps or (build.planned.currency and build.planned.currency != workshop.currency):
        return None
    rate = workshop.labour * (1.0 + workshop.overhead)
    planned = sum(s.planned_attended * s.share for s in steps)
    actual = sum((s.planned_attended if s.attended is None else s.attended) * s.share for s in steps)
    known = [u for u in cloth if u.cost is not None and u.taken is not None and u.taken >= u.area]
    taken = sum(u.taken or 0.0 for u in known)
    pieces = sum(u.area for u in known)
    return Money(
        currency=workshop.currency,
        price=build.planned.price,
        labour_planned=rate * planned,
        labour=rate * actual,
        unknown_steps=sum(s.attended is None for s in steps),
        cloth_pieces=sum(u.area * (u.price or 0.0) for u in known) if known else None,
        cloth=sum(u.cost or 0.0 for u in known) if known else None,
        waste=1.0 - pieces / taken if taken > 0.0 else None,
    )
