"""What the oven's controller can be told."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from bagside.errors import InputError, Problem

MINUTE = 60.0
ZERO_C = 273.15


class Kind(StrEnum):
    """How a controller takes a segment."""

    RATE = "rate"
    """A rate to a target, and a hold there; a segment has both."""
    TIME = "time"
    """A target and the minutes to get there; a hold is a segment of its own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Controller:
    """What the oven's controller takes.

    Parameters
    ----------
    segments
        Most segments of one programme.
    kind
        How it takes a segment.
    slowest, fastest
        Smallest and largest rate it can be told, above zero [K/s].
    rate_step
        Step in which a rate is set [K/s]; only where a segment has a rate.
    temperature_step
        Step in which a temperature is set, counted from 0 °C [K].
    time_step
        Step in which times are set [s].
    falls
        Whether a programme may fall before its end; many do not trust a controller, or a part, with that.

    Raises
    ------
    InputError
        When a value makes no sense.
    """

    segments: int = 8
    kind: Kind = Kind.RATE
    slowest: float = 0.1 / MINUTE
    fastest: float = 10.0 / MINUTE
    rate_step: float = 0.1 / MINUTE
    temperature_step: float = 1.0
    time_step: float = MINUTE
    falls: bool = False

    def __post_init__(self) -> None:
        """Refuse what makes no sense."""
        wrong = []
        if self.segments < 1:
            wrong.append(
                Problem(place="controller, segments", came=repr(self.segments), wanted="one segment or more is wanted")
            )
        for name in ("slowest", "fastest", "rate_step", "temperature_step", "time_step"):
            value = float(getattr(self, name))
            if not 0.0 < value < math.inf:
                wrong.append(Problem(place=f"controller, {name}", came=repr(value), wanted="above zero is wanted"))
        if not wrong and self.slowest > self.fastest:
            wrong.append(
                Problem(
                    place="controller, slowest",
                    came=repr(self.slowest),
                    wanted=f"not above the fastest rate, {self.fastest!r} K/s, is wanted",
                )
            )
        if wrong:
            raise InputError(wrong)
