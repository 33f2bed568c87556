"""What may help in an inside corner, and what of the corner decides it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class RemedyKind(StrEnum):
    """What may help in a corner."""

    SLIP_JOINT = "slip joint"
    DART = "dart"
    SMALLER_PIECES = "smaller pieces"
    DEBULK = "debulk in between"
    STRIP = "pressure strip"
    TOW = "rolled tow"
    RADIUS = "larger radius"


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """One thing that helps in one corner.

    Parameters
    ----------
    kind
        Which.
    effect
        What it changes there, with its number.
    why
        Reasons for it there, then against; strongest first.
    points
        What the reasons come to; more is better.
    """

    kind: RemedyKind
    effect: str
    why: str
    points: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CornerCase:
    """What of a corner decides its remedies.

    Parameters
    ----------
    radius
        Of the mould [m].
    turn
        Of the walls [rad].
    length
        Along the corner [m].
    bending
        Angle by which the corner's line itself bends over its length [rad].
    surplus
        Curvature gathered along it [rad]: cloth too much where positive, too little where negative.
    closed
        Whether the line closes on itself.
    meetings
        Number of its ends at which more than two walls meet.
    """

    radius: float
    turn: float
    length: float
    bending: float
    surplus: float
    closed: bool
    meetings: int
