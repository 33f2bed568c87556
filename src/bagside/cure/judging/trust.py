"""How far a logger, its sensors and the model may be off, and numbers that carry it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from bagside.errors import InputError, Problem

SIGMAS = 2.0
"""Standard deviations between a value and either end of its range: 95 in 100 lie within."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """A value and how low and how high it may be, 95 times in 100.

    Parameters
    ----------
    value
        As computed.
    low, high
        Ends of the range.
    """

    value: float
    low: float
    high: float

    @classmethod
    def around(cls, value: float, others: Iterable[float], highest: float = math.inf) -> Range:
        """Return a range from what a value would be if one thing at a time were otherwise.

        What acts downwards is added in quadrature, and so is what acts upwards.

        Parameters
        ----------
        value
            As computed.
        others
            The same with one thing off by two standard deviations; not a number where it was not computed.
        highest
            What it can never exceed.
        """
        below = above = 0.0
        for other in others:
            if other < value:
                below += (value - other) ** 2
            elif other > value:
                above += (other - value) ** 2
        return cls(value=value, low=value - math.sqrt(below), high=min(value + math.sqrt(above), highest))

    @property
    def half(self) -> float:
        """Half its width."""
        return 0.5 * (self.high - self.low)


@dataclass(frozen=True, slots=True, kw_only=True)
class Trust:
    """By how much things may be off, as standard deviations.

    Parameters
    ----------
    sensor
        Offset of a thermocouple with its logger and its place [K].
    lag
        Time by which a sensor runs before or after the resin it stands for [s].
    rate
        Rate of reaction of this batch against the law, as a share.
    heat
        Heat of reaction of this laminate against the stated one, as a share: resin that bled, and the batch.
    film
        Films at the two faces against the stated ones, as a share, before a sensor corrects them.
    tg
        Glass transition that the law itself leaves open [K]; a law fitted to a data sheet leaves a few kelvin.
    misfit
        By how much a section model misses a good sensor even when films and air are right [K].

    Raises
    ------
    InputError
        When one is below zero or not finite.

    Notes
    -----
    An offset of 1.5 K, rate and heat within 5 % and films within 25 % are common practice; a sensor checked in
    boiling water and films fitted to a log of this oven are better.
    """

    sensor: float = 1.5
    lag: float = 300.0
    rate: float = 0.05
    heat: float = 0.05
    film: float = 0.25
    tg: float = 0.0
    misfit: float = 1.0

    def __post_init__(self) -> None:
        """Refuse what makes no sense."""
        wrong = [
            Problem(place=f"trust, {name}", came=repr(getattr(self, name)), wanted="zero or more is wanted")
            for name in ("sensor", "lag", "rate", "heat", "film", "tg", "misfit")
            if not 0.0 <= float(getattr(self, name)) < math.inf
        ]
        if wrong:
            raise InputError(wrong)
