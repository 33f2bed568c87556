"""What may turn out otherwise in a cure, each with its distribution, and what goes together."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside.cure.chance.spread import Kind, Spread
from bagside.errors import InputError, Problem, did_you_mean
from bagside.findings import Basis

Floats = NDArray[np.float64]

INPUTS = (
    "place",
    "thermocouple",
    "film_bag",
    "film_tool",
    "lag",
    "rate",
    "heat",
    "start",
    "humidity",
    "ambient",
    "leak",
)
"""Every input that may be off, in the order of the columns of draws; its number is its place in the sequence."""

WORDS = {
    "place": "where the part lies in the oven",
    "thermocouple": "error of the controlling thermocouple",
    "film_bag": "heat transfer on the bag side",
    "film_tool": "heat transfer under the tool",
    "lag": "lag of the oven's air",
    "rate": "how fast this batch reacts",
    "heat": "heat of reaction",
    "start": "degree of cure at the start, from life used",
    "humidity": "humidity of the room",
    "ambient": "air pressure of the day",
    "leak": "leak of the bag",
}
"""The inputs in words."""

SHORT = {
    "place": "place",
    "thermocouple": "thermocouple",
    "film_bag": "bag film",
    "film_tool": "tool film",
    "lag": "oven lag",
    "rate": "rate",
    "heat": "heat",
    "start": "life used",
    "humidity": "humidity",
    "ambient": "barometer",
    "leak": "leak",
}
"""The inputs in few words, for a table."""

FOR_VOIDS = ("humidity", "ambient", "leak")
"""Inputs that matter only where water can make voids."""

TOGETHER = (
    ("film_bag", "film_tool", 0.7),
    ("rate", "start", 0.5),
)
"""What goes together, and how closely: one fan blows on both faces; a batch that reacts faster has aged faster."""


COMMON = {
    "place": Spread(kind=Kind.UNIFORM, size=3.0, source="a good oven is even to ±3 K when loaded"),
    "thermocouple": Spread(kind=Kind.NORMAL, size=1.0, source="±2 K at ice and boiling water, taken as two sd"),
    "film_bag": Spread(kind=Kind.LOGNORMAL, size=0.20, source="films of an oven nobody calibrated"),
    "film_tool": Spread(kind=Kind.LOGNORMAL, size=0.20, source="films of an oven nobody calibrated"),
    "lag": Spread(kind=Kind.LOGNORMAL, size=0.20, source="load and door differ from run to run"),
    "rate": Spread(kind=Kind.LOGNORMAL, size=0.10, source="batch to batch, and the fit of the law"),
    "heat": Spread(kind=Kind.LOGNORMAL, size=0.05, source="batch to batch, and resin content"),
    "start": Spread(kind=Kind.LOGNORMAL, size=0.25, source="hours and warmth out of the freezer, as noted"),
    "humidity": Spread(kind=Kind.NORMAL, size=0.05, source="a shop hygrometer, and the hours since it was read"),
    "ambient": Spread(kind=Kind.NORMAL, size=0.0, source="the day's barometer"),
    "leak": Spread(kind=Kind.EXPONENTIAL, size=1000.0, source="a bag that passed cold and is looser hot"),
}
"""What is taken when a workshop states nothing better: common practice, each with its reason."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scatter:
    """By how much each input of a cure may be off.

    Parameters
    ----------
    place
        Air at the part against the mean of the oven, at the programme's hottest [K].
    thermocouple
        Air against what the controlling thermocouple says, at the programme's hottest [K].
    film_bag, film_tool
        Factors on the films.
    lag
        Factor on the lag of the oven's air.
    rate, heat
        Factors on rate and heat of reaction.
    start
        Factor on the odds α/(1 − α) of the degree of cure at the start; for fresh prepreg the same as on α itself.
    humidity
        Relative humidity against the stated one.
    ambient
        Pressure of the air against the stated one, as a share of it.
    leak
        Pressure in the bag above the stated one [Pa].
    together
        Pairs of inputs and the correlation of their normal scores.

    Raises
    ------
    InputError
        When a factor is not log-normal, a difference is, or the correlations contradict each other.

    Notes
    -----
    A part that fills the oven is at its hottest and its coldest place at once: give its sections there by their own
    ``air_offset``, and a ``place`` of size zero.
    """

    place: Spread = COMMON["place"]
    thermocouple: Spread = COMMON["thermocouple"]
    film_bag: Spread = COMMON["film_bag"]
    film_tool: Spread = COMMON["film_tool"]
    lag: Spread = COMMON["lag"]
    rate: Spread = COMMON["rate"]
    heat: Spread = COMMON["heat"]
    start: Spread = COMMON["start"]
    humidity: Spread = COMMON["humidity"]
    ambient: Spread = COMMON["ambient"]
    leak: Spread = COMMON["leak"]
    together: tuple[tuple[str, str, float], ...] = TOGETHER

    def __post_init__(self) -> None:
        """Refuse what cannot be drawn from."""
        factors = ("film_bag", "film_tool", "lag", "rate", "heat", "start")
        wrong = [
            Problem(
                place=f"scatter, {name}",
                came=getattr(self, name).kind.value,
                wanted="a factor is wanted here, which is log-normal"
                if name in factors
                else "a difference is wanted here, which is not log-normal",
            )
            for name in INPUTS
            if (getattr(self, name).kind is Kind.LOGNORMAL) != (name in factors)
        ]
        wrong += [
            Problem(
                place="scatter, together",
                came=name,
                wanted="two different inputs are wanted",
                hint=did_you_mean(name, INPUTS),
            )
            for a, b, _ in self.together
            for name in (a, b)
            if name not in INPUTS or a == b
        ]
        if wrong:
            raise InputError(wrong)
        if not np.linalg.eigvalsh(self.correlation).min() > 1e-9:
            raise InputError.one(
                "scatter, together",
                ", ".join(f"{a} {b} {r:g}" for a, b, r in self.together),
                "correlations between −1 and 1 that can hold together are wanted",
            )

    @property
    def correlation(self) -> Floats:
        """Correlation of the inputs' normal scores, shape (d, d)."""
        out = np.eye(len(INPUTS))
        for a, b, r in self.together:
            i, j = INPUTS.index(a), INPUTS.index(b)
            out[i, j] = out[j, i] = r
        return out

    @property
    def scattered(self) -> tuple[str, ...]:
        """The inputs that are off at all, in order."""
        return tuple(name for name in INPUTS if getattr(self, name).size > 0.0)


def scatter_of_oven(spread: float, *, base: Scatter | None = None) -> Scatter:
    """Return a scatter whose place is anywhere between the oven's coldest and its hottest.

    Parameters
    ----------
    spread
        Difference of the oven's air between its hottest and its coldest place [K].
    base
        All else; the defaults when None.

    Returns
    -------
    Scatter
        With that place.
    """
    place = Spread(kind=Kind.UNIFORM, size=0.5 * spread, basis=Basis.MEASURED, source="the workshop's oven as stated")
    return replace(base or Scatter(), place=place)
