"""What a clock shows: how much of a life is used, what is left of it, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from bagside.findings import Basis, Finding


class Filled(StrEnum):
    """With what a time without readings was filled."""

    WARMER_END = "the warmer of the readings before and after"
    ROOM = "the temperature of the room"


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """A time in which a thing lay in a place whose logger saw nothing, and what it is counted at [K]."""

    place: str
    start: datetime
    end: datetime
    temperature: float
    filled: Filled


@dataclass(frozen=True, slots=True, kw_only=True)
class Unmeasured:
    """Time in a place that no logger watched [s], and the temperature it is counted at [K].

    Parameters
    ----------
    place
        Name; empty when nobody wrote down where it was.
    seconds, temperature
        How long, at what.
    how
        ``measured on the way in``, ``as set`` or ``the room's``.
    """

    place: str
    seconds: float
    temperature: float
    how: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """One clock of a cloth: its out-life, or its tack.

    Parameters
    ----------
    share
        Used; above one when nothing is left.
    whole, used
        As time at the temperature at which the sheet counts [s].
    counted_at
        That temperature [K].
    left_room, left_cold
        What is left in the room of the workshop, and at −18 °C [s].
    sure
        Whether it is known how it began; otherwise what is not known is counted on the safe side.
    basis, source
        Of the sheet, and of the temperatures it was at.
    """

    share: float
    whole: float
    used: float
    counted_at: float
    left_room: float
    left_cold: float
    sure: bool
    basis: Basis
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LifeNow:
    """Life of a roll, an offcut or a kit at a moment.

    Parameters
    ----------
    name, material
        Of the cloth.
    at
        The moment [UTC].
    out
        Out-life.
    tack
        Tack; None when the sheet has no clock for it.
    use_by
        Last day that the maker allows: as on the label, else worked out from the day it was made; None when neither
        is known.
    worst
        Of a kit: the roll or offcut from which the piece with the least life comes; empty for others.
    gaps
        Times without readings in a place that has a logger, the longest first.
    unmeasured
        Times that no logger watched, the longest first.
    since_made
        Whether the time from its making until it came here is counted.
    findings
        What a person should know, the gravest first.
    """

    name: str
    material: str
    at: datetime
    out: Clock
    tack: Clock | None
    use_by: date | None
    worst: str = ""
    gaps: tuple[Gap, ...] = ()
    unmeasured: tuple[Unmeasured, ...] = ()
    since_made: bool = True
    findings: tuple[Finding, ...] = ()

    @property
    def share(self) -> float:
        """Share used of the clock that is further on."""
        return self.out.share if self.tack is None else max(self.out.share, self.tack.share)
