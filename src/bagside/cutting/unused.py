"""Cloth that would expire before anything is cut from it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from bagside.errors import InputError, Problem


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """A roll or an offcut in the freezer.

    Parameters
    ----------
    name
        What people call it; each has its own.
    area
        Of its cloth [m²].
    width
        From edge to edge of a roll [m]; None for an offcut.
    price
        What the cloth cost [money/m²]; None when nobody knows.
    use_by
        Last day that the maker of the cloth allows; None when it is not stated.
    life_left
        Time that it may still spend out of the freezer [s]; None when it is not counted.
    """

    name: str
    area: float
    width: float | None = None
    price: float | None = None
    use_by: date | None = None
    life_left: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Expiring:
    """Cloth that would be lost.

    Parameters
    ----------
    held
        Which roll or offcut.
    area
        Not cut from by then [m²].
    value
        Of that area, at what it cost [money]; None without a price.
    by_date
        Whether its last day is over; else its time out of the freezer is used up.
    """

    held: Held
    area: float
    value: float | None
    by_date: bool

    @property
    def length(self) -> float | None:
        """Of a roll, not cut from by then [m]; None for an offcut."""
        return None if self.held.width is None else self.area / self.held.width


def unused(
    held: Sequence[Held], taken: Mapping[str, float], on: date, *, out: Mapping[str, float] | None = None
) -> tuple[Expiring, ...]:
    """Return the cloth that would expire uncut, the dearest first.

    Parameters
    ----------
    held
        Rolls and offcuts in the freezer, different names.
    taken
        By name, area that is cut from it until then [m²].
    on
        The day to look at; cloth may still be used on its last day.
    out
        By name, time it will spend out of the freezer until then [s].

    Returns
    -------
    tuple of Expiring
        Cloth of unknown price comes last, the largest first.

    Raises
    ------
    InputError
        When a name stands twice, more is taken than is there, or a number is negative or not finite.

    Examples
    --------
    >>> roll = Held(name="T-7", area=6.0, width=1.25, price=40.0, use_by=date(2031, 5, 31))
    >>> [(e.held.name, e.length, e.value) for e in unused([roll], {"T-7": 1.0}, date(2031, 6, 1))]
    [('T-7', 4.0, 200.0)]
    """
    out = out or {}
    _check(held, taken, out)
    found = []
    for h in held:
        left = h.area - taken.get(h.name, 0.0)
        late = h.use_by is not None and h.use_by < on
        spent = h.life_left is not None and h.life_left <= out.get(h.name, 0.0)
        if left > 1e-9 and (late or spent):
            value = None if h.price is None else left * h.price
            found.append(Expiring(held=h, area=left, value=value, by_date=late))
    return tuple(sorted(found, key=lambda e: (e.value is None, -(e.value or 0.0), -e.area, e.held.name)))


def _check(held: Sequence[Held], taken: Mapping[str, float], out: Mapping[str, float]) -> None:
    problems = []
    names = [h.name for h in held]
    for name in sorted({n for n in names if names.count(n) > 1}):
        problems.append(
            Problem(place=f"cloth {name}", came="the name stands twice", wanted="a name of its own for each")
        )
    for h in held:
        used = taken.get(h.name, 0.0)
        for what, value in (("area", h.area), ("price", h.price), ("area taken", used), ("time", out.get(h.name))):
            if value is not None and not (math.isfinite(value) and value >= 0.0):
                problems.append(
                    Problem(place=f"cloth {h.name}, {what}", came=f"{value}", wanted="a finite number, not negative")
                )
        if used > h.area + 1e-9:
            came, wanted = f"{used:.3f} m² taken", f"at most the {h.area:.3f} m² that are there"
            problems.append(Problem(place=f"cloth {h.name}", came=came, wanted=wanted))
    if problems:
        raise InputError(problems)
