"""What a person should know of a roll that was measured again: more than was reckoned cannot have grown there."""

from __future__ import annotations

from bagside.findings import Basis, Finding, Severity
from bagside.ledger.things import Cloth
from bagside.quantity import shown

OVER = 0.02
"""Share of its whole length by which a roll may be longer than stated. Common practice, no source."""
UNDER = 0.05
"""Share of its whole length that may be missing without a word: ends, starts, what was cut crooked. Common practice."""


def counted_findings(roll: Cloth, counted: float) -> tuple[Finding, ...]:
    """Return what a count says against what was reckoned.

    Parameters
    ----------
    roll
        As it was before.
    counted
        Length found [m].
    """
    off = counted - roll.left
    if -UNDER * roll.length <= off <= OVER * roll.length:
        return ()
    more = off > 0.0
    known = f"{shown(roll.left, 'm', 2)} were reckoned"
    if roll.pulled:
        cuts = f"{len(roll.pulled)} cut{'s' if len(roll.pulled) > 1 else ''}"
        known += f" of {shown(roll.length, 'm', 2)}, after {cuts}"
    return (
        Finding(
            severity=Severity.DECIDE,
            stage="stock",
            place=f"roll {roll.name}",
            what=f"{shown(counted, 'm', 2)} were counted, {known}",
            why="a roll does not grow: it is another one, or a cut is written down that was never made"
            if more
            else "somebody cut without writing it down, and its pieces have no batch and no clock",
            do="look at its label and at its history; correct what is wrong there, or the count",
            basis=Basis.MEASURED,
            source=f"bagside stock show {roll.name}",
        ),
    )
