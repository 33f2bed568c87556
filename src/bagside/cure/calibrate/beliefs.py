"""What is believed of films, oven and thermocouples before a log is read."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bagside.errors import InputError, Problem


@dataclass(frozen=True, slots=True, kw_only=True)
class Beliefs:
    """How far things may be off, as standard deviations.

    Parameters
    ----------
    film
        Logarithm of each film against the stated one; 0.5 leaves it between 0.4 and 2.7 times as much, 95 in 100.
    lag, heating
        Logarithms of the oven's lag and of its limit on a rise against the stated ones.
    rate
        Logarithm of the rate of reaction against the law's.
    sensor
        Offset of a thermocouple with its logger [K].
    noise, together
        What comes and goes around it [K], and the time over which that hangs together [s]; both are found from the
        log, and this is where the search is held.
    offset
        Air against what the oven was asked for, when hottest [K].
    start
        What the part starts from against what its sensors read then [K].
    begins
        When the programme began against the stated time [s].

    Raises
    ------
    InputError
        When one is not above zero or not finite.

    Notes
    -----
    Common practice: thermocouples that differ by 1 K side by side, readings that wander by 1 K over ten minutes.
    """

    film: float = 0.5
    lag: float = 0.7
    heating: float = 0.5
    rate: float = 0.3
    sensor: float = 1.0
    noise: float = 1.0
    together: float = 600.0
    offset: float = 5.0
    start: float = 1.0
    begins: float = 120.0

    def __post_init__(self) -> None:
        """Refuse what makes no sense."""
        wrong = [
            Problem(place=f"beliefs, {name}", came=repr(getattr(self, name)), wanted="above zero is wanted")
            for name in self.__slots__
            if not 0.0 < float(getattr(self, name)) < math.inf
        ]
        if wrong:
            raise InputError(wrong)
