"""What a cycle has to keep to."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

from bagside.errors import InputError, Problem


@dataclass(frozen=True, slots=True, kw_only=True)
class Flow:
    """Time the resin has to be thin enough to flow, before it gels at the lagging point.

    Parameters
    ----------
    viscosity
        Below which it flows [Pa s].
    time
        How long [s].
    """

    viscosity: float = 30.0
    time: float = 1800.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Power:
    """What the heater can give, and what it has to heat.

    Parameters
    ----------
    heater
        [W].
    loss
        Lost through walls and vents [W/K].
    heated
        Heat capacity of all that is heated [J/K].
    room
        Temperature of the workshop [K].
    """

    heater: float
    loss: float
    heated: float
    room: float

    def rate_at(self, temperature: float) -> float:
        """Return the fastest rise on the way to a temperature, zero or less when it cannot be held [K/s].

        Parameters
        ----------
        temperature
            Of the air at the end of the rise [K].
        """
        spare = self.heater - self.loss * max(temperature - self.room, 0.0)
        if self.heated <= 0.0:
            return math.inf if spare >= 0.0 else -math.inf
        return spare / self.heated


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """What a cycle has to keep to; each is None when there is no such limit.

    Parameters
    ----------
    target
        Degree of cure wanted at the lagging point, of every place in every scenario.
    tg
        Glass transition wanted there: service temperature and margin [K].
    hottest
        Hottest any point of the laminate may be [K].
    tool
        Hottest any place in or on the tool may be: where it meets the laminate, inside, and its back [K]. The mould is
        limited and not the oven: heat of reaction can make it hotter than the air.
    spread
        Largest difference of degree of cure between the leading and the lagging point of one laminate, at any time.
    overshoot
        Most by which any point of the laminate may be hotter than the air has been there until then [K].
    void_free
        Hottest any point of the laminate may be before that point gels [K]; a scenario may have its own.
    flow
        Time the lagging point has to flow before it gels.
    stiff
        Least by which the glass transition must be above the temperature, everywhere and at all times: for a part
        without its mould [K].
    power
        What the heater can give.
    demould
        Temperature at which the part may be taken out, laminate and tool [K]; cooling down to it then counts. When
        None the cycle ends with its last hold.
    longest
        Longest the cycle may take [s].
    """

    target: float | None = None
    tg: float | None = None
    hottest: float | None = None
    tool: float | None = None
    spread: float | None = None
    overshoot: float | None = None
    void_free: float | None = None
    flow: Flow | None = None
    stiff: float | None = None
    power: Power | None = None
    demould: float | None = None
    longest: float = 24 * 3600.0

    def __post_init__(self) -> None:
        """Refuse what makes no sense."""
        wrong = []
        for f in fields(self):
            value = getattr(self, f.name)
            if isinstance(value, float | int) and f.name != "stiff" and not 0.0 < value < math.inf:
                wrong.append(Problem(place=f"limit, {f.name}", came=repr(value), wanted="above zero is wanted"))
        if self.target is None and self.tg is None:
            wrong.append(
                Problem(place="limit, target", came="", wanted="a degree of cure or a glass transition is wanted")
            )
        if self.target is not None and self.target >= 1.0:
            wrong.append(Problem(place="limit, target", came=repr(self.target), wanted="below 1 is wanted"))
        if self.stiff is not None and not math.isfinite(self.stiff):
            wrong.append(Problem(place="limit, stiff", came=repr(self.stiff), wanted="a finite number is wanted"))
        if self.flow is not None and not (self.flow.viscosity > 0.0 and self.flow.time > 0.0):
            wrong.append(
                Problem(
                    place="limit, flow",
                    came=f"{self.flow.viscosity!r} Pa s, {self.flow.time!r} s",
                    wanted="above zero is wanted",
                )
            )
        if wrong:
            raise InputError(wrong)
