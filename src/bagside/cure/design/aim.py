"""What is to become small: time, money, or strain on the part."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from bagside.errors import InputError, Problem

Floats = NDArray[np.float64]

SPREAD_UNIT, OVER_UNIT = 0.05, 10.0
"""Difference of cure within a laminate, and kelvin over the air, that count alike for the gentlest cycle."""

GENTLE_MINUTES = 60.0
"""Minutes that such a unit counts as."""

GENTLE_TIME = 0.02
"""Share of a minute by which a longer cycle is worse when the gentlest is wanted: of two alike, the shorter."""


class Aim(StrEnum):
    """What the cycle is to be."""

    FASTEST = "fastest"
    """Shortest until the end, cooling included when a temperature for taking it out is stated."""
    CHEAPEST = "cheapest"
    """Least energy times its price and oven hours times their rate; wants `Costs`."""
    GENTLEST = "gentlest"
    """Least spread of cure within a laminate and least overshoot over the air, within the longest duration."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Costs:
    """What a cure costs.

    Parameters
    ----------
    energy
        Price [money/J].
    oven
        What an hour of the oven costs besides [money/s].
    heated
        Heat capacity of all that is heated [J/K].
    loss
        Lost through walls and vents [W/K].
    room
        Temperature of the workshop [K].
    """

    energy: float
    oven: float
    heated: float
    loss: float
    room: float

    def __post_init__(self) -> None:
        """Refuse what makes no sense."""
        wrong = [
            Problem(place=f"costs, {name}", came=repr(getattr(self, name)), wanted="zero or more is wanted")
            for name in ("energy", "oven", "heated", "loss")
            if not 0.0 <= float(getattr(self, name)) < np.inf
        ]
        if not 0.0 < self.room < np.inf:
            wrong.append(Problem(place="costs, room", came=repr(self.room), wanted="above 0 K is wanted"))
        if not wrong and self.energy == 0.0 and self.oven == 0.0:
            wrong.append(
                Problem(place="costs", came="0", wanted="a price of energy or of oven hours above zero is wanted")
            )
        if wrong:
            raise InputError(wrong)

    def of(self, start: float, time: Floats, end: Floats, duration: Floats) -> Floats:
        """Return what programmes of straight lines cost, shape (g,) [money].

        Parameters
        ----------
        start
            Temperature at the start [K].
        time, end
            Of every line, shape (g, m) [s, K].
        duration
            Of the whole, cooling included, shape (g,) [s].

        Notes
        -----
        Energy as in `bagside.cure.oven_energy`: every rise of the load, and the loss through the walls while above the
        room; cooling at the end takes none.
        """
        begin = np.hstack([np.full((len(end), 1), start), end[:, :-1]])
        load = self.heated * np.maximum(end - begin, 0.0).sum(axis=1)
        a, b = begin - self.room, end - self.room
        high, low = np.maximum(a, b), np.minimum(a, b)
        gap = np.where(high > low, high - low, 1.0)
        above = np.where(low >= 0.0, 0.5 * (a + b), np.where(high <= 0.0, 0.0, 0.5 * high**2 / gap))
        out: Floats = self.energy * (load + self.loss * (above * time).sum(axis=1)) + self.oven * duration
        return out
