"""How much of a prepreg's life is used: hours at temperatures, counted as hours at the one its data sheet states.

A data sheet gives life at a few temperatures. Between them life is a straight line of its logarithm over 1/T; outside
them it is counted so that the answer is never too kind: little relief in a colder place, much harm in a warmer one.
Tack and out-life are two clocks, each with its own sheet.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bagside.cure.kinetics import GAS
from bagside.errors import InputError, Problem

Floats = NDArray[np.float64]

NODES, WEIGHTS = np.polynomial.legendre.leggauss(12)
"""For the mean rate over a stretch in which the temperature changes."""

PIECE = 5.0
"""Most by which the temperature changes in one such stretch [K]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spell:
    """A time at one temperature, or at one that changes evenly.

    Parameters
    ----------
    duration
        [s].
    temperature
        At its start [K].
    to
        At its end [K]; the same when not stated.

    Raises
    ------
    InputError
        When the duration is negative or a temperature is not above 0 K.
    """

    duration: float
    temperature: float
    to: float | None = None

    def __post_init__(self) -> None:
        """Refuse what cannot be."""
        wrong = []
        if not 0.0 <= self.duration < math.inf:
            wrong.append(Problem(place="spell", came=f"{self.duration} s", wanted="a time of zero or more is wanted"))
        wrong += [
            Problem(place="spell", came=f"{t} K", wanted="a temperature above 0 K is wanted")
            for t in (self.temperature, self.end)
            if not 0.0 < t < math.inf
        ]
        if wrong:
            raise InputError(wrong)

    @property
    def end(self) -> float:
        """Temperature at its end [K]."""
        return self.temperature if self.to is None else self.to

    def at(self, time: ArrayLike) -> Floats:
        """Return the temperature at a time since its start, same shape [K].

        Parameters
        ----------
        time
            Any shape, within the spell [s].
        """
        share = np.asarray(time, dtype=np.float64) / self.duration if self.duration else np.zeros(np.shape(time))
        out: Floats = self.temperature + (self.end - self.temperature) * share
        return out


@dataclass(frozen=True, slots=True, kw_only=True)
class LifeSheet:
    """What a data sheet says about life, and the safe side where it says nothing.

    Parameters
    ----------
    points
        Temperature [K] and life [s] there; one or more.
    reference
        Temperature at which life is counted [K]; the hottest of the points when not stated.
    cold, hot
        Activation energies with which life grows below the coldest point and shrinks above the hottest [J/mol].

    Raises
    ------
    InputError
        When there is no point, two are at one temperature, or life does not fall as it gets warmer.

    Notes
    -----
    35 and 80 kJ/mol are common practice: the chemistry of an epoxy slows by 60 to 80 kJ/mol, the lives that sheets
    guarantee for freezers by 32 to 45. Loss of tack and water taken up are not chemistry and follow neither.
    """

    points: tuple[tuple[float, float], ...]
    reference: float | None = None
    cold: float = 35e3
    hot: float = 80e3

    def __post_init__(self) -> None:
        """Refuse what cannot be a data sheet's."""
        wrong = []
        if not self.points:
            wrong.append(Problem(place="life", came="", wanted="life at one temperature or more is wanted"))
        for t, life in self.points:
            if not (0.0 < t < math.inf and 0.0 < life < math.inf):
                wrong.append(Problem(place="life", came=f"{life} s at {t} K", wanted="both above zero are wanted"))
        if self.reference is not None and not 0.0 < self.reference < math.inf:
            wrong.append(Problem(place="life, reference", came=repr(self.reference), wanted="above 0 K is wanted"))
        for name in ("cold", "hot"):
            value = float(getattr(self, name))
            if not 0.0 < value < math.inf:
                wrong.append(Problem(place=f"life, {name}", came=repr(value), wanted="above zero is wanted"))
        if not wrong:
            ordered = sorted(self.points)
            for (t, life), (warmer, shorter) in pairwise(ordered):
                if warmer - t < 0.1 or not shorter < life:
                    wrong.append(
                        Problem(
                            place="life",
                            came=(
                                f"{life / 3600:g} h at {t - 273.15:g} °C, "
                                f"{shorter / 3600:g} h at {warmer - 273.15:g} °C"
                            ),
                            wanted="a life that falls as it gets warmer is wanted, and one for each temperature",
                        )
                    )
        if wrong:
            raise InputError(wrong)

    @property
    def counted_at(self) -> float:
        """Temperature at which life is counted [K]."""
        return max(t for t, _ in self.points) if self.reference is None else self.reference

    @property
    def coldest(self) -> float:
        """Coldest temperature for which the sheet states a life [K]."""
        return min(t for t, _ in self.points)

    @property
    def hottest(self) -> float:
        """Hottest temperature for which the sheet states a life [K]."""
        return max(t for t, _ in self.points)

    @property
    def energies(self) -> tuple[float, ...]:
        """Activation energy that the sheet implies between neighbouring points, from the coldest up [J/mol]."""
        p = sorted(self.points)
        return tuple(
            GAS * math.log(life / shorter) / (1.0 / t - 1.0 / warmer) for (t, life), (warmer, shorter) in pairwise(p)
        )

    def life(self, temperature: ArrayLike) -> Floats:
        """Return the whole life at a temperature.

        Parameters
        ----------
        temperature
            Any shape [K].

        Returns
        -------
        Floats
            Same shape [s].
        """
        x = 1.0 / np.asarray(temperature, dtype=np.float64)
        p = sorted(self.points, reverse=True)  # from hot to cold, so that 1/T rises
        at, ln = np.array([1.0 / t for t, _ in p]), np.log([life for _, life in p])
        out = np.interp(x, at, ln)
        out = out + (self.cold * np.maximum(x - at[-1], 0.0) - self.hot * np.maximum(at[0] - x, 0.0)) / GAS
        lives: Floats = np.exp(out)
        return lives

    def rate(self, temperature: ArrayLike) -> Floats:
        """Return how fast life is used at a temperature against the one at which it is counted.

        Parameters
        ----------
        temperature
            Any shape [K].

        Examples
        --------
        >>> sheet = LifeSheet(points=((294.15, 30 * 86400.0),))
        >>> sheet.rate([298.15, 303.15]).round(2).tolist()
        [1.55, 2.64]
        """
        out: Floats = self.life(self.counted_at) / self.life(temperature)
        return out

    def mean_rates(self, start: ArrayLike, end: ArrayLike) -> Floats:
        """Return how fast life is used on average while the temperature changes evenly from one value to another.

        Parameters
        ----------
        start, end
            Of each stretch, same shape (k,) [K].

        Returns
        -------
        Floats
            Shape (k,); exact at the corners that the rate has at the sheet's points.

        Examples
        --------
        >>> sheet = LifeSheet(points=((294.15, 30 * 86400.0),))
        >>> sheet.mean_rates([294.15, 289.15], [294.15, 299.15]).round(3).tolist()
        [1.0, 1.11]
        """
        a, b = np.asarray(start, dtype=np.float64), np.asarray(end, dtype=np.float64)
        low, high = np.minimum(a, b), np.maximum(a, b)
        wide = high - low
        still = wide < 1e-9
        out = np.zeros(low.shape)
        if still.any():
            out[still] = self.rate(low[still])
        edges = [0.0, *sorted(t for t, _ in self.points), math.inf]
        for left, right in pairwise(edges):
            p, q = np.clip(low, left, right), np.clip(high, left, right)
            here = ~still & (q > p)
            if here.any():
                middle, half = 0.5 * (q[here] + p[here]), 0.5 * (q[here] - p[here])
                rates = self.rate(middle[:, None] + half[:, None] * NODES) @ WEIGHTS
                out[here] += rates * half / wide[here]
        return out

    def used(self, spells: Sequence[Spell]) -> float:
        """Return the time that some spells used, as time at the temperature at which life is counted [s].

        Parameters
        ----------
        spells
            In any order.
        """
        return sum(self._used(s) for s in spells)

    def _used(self, spell: Spell) -> float:
        if spell.end == spell.temperature:
            return spell.duration * float(self.rate(spell.temperature))
        low, high = sorted((spell.temperature, spell.end))
        inside = [t for t, _ in self.points if low < t < high]
        count = max(2, math.ceil((high - low) / PIECE) + 1)
        edges = np.unique([*np.linspace(low, high, count), *inside])  # at a point the rate has a corner
        middle, half = 0.5 * (edges[1:] + edges[:-1]), 0.5 * np.diff(edges)
        means = 0.5 * self.rate(middle[:, None] + half[:, None] * NODES) @ WEIGHTS
        return spell.duration * float(means @ (2.0 * half)) / (high - low)

    def share(self, spells: Sequence[Spell]) -> float:
        """Return the share of the whole life that some spells used; above one when there is none left.

        Parameters
        ----------
        spells
            In any order.
        """
        return self.used(spells) / float(self.life(self.counted_at))

    def left(self, share: float, temperature: float) -> float:
        """Return the life that is left at a temperature when a share of it is used [s]; zero when there is none.

        Parameters
        ----------
        share
            Used so far.
        temperature
            Where it is to be kept [K].
        """
        return max(0.0, 1.0 - share) * float(self.life(temperature))
