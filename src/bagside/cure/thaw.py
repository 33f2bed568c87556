"""How long a roll or a flat kit takes to warm through in its sealed bag: conduction from the outside to the core.

A roll is a long hollow cylinder on a cardboard tube through which no heat comes; a kit is a slab that lies on a shelf.
The bag, the air in it and the still air of the room are one film on the outside. What is far apart in a roll is the
radius, layer over layer of cloth, film and paper, and nobody's sheet gives the conductivity of that: it is a value of
common practice, chosen with the film so that the thawing times that shops go by come out, and no better than they are.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.linalg import eigh_tridiagonal
from scipy.optimize import brentq

from bagside.cure.life import Spell
from bagside.errors import InputError, Problem

Floats = NDArray[np.float64]

CELLS = 80
"""Rings or layers into which it is cut; the core's time is then within a thousandth of the exact one."""

CONDUCTIVITY = 0.15
"""Across the layers of a roll or a stack, with films, paper and air between them [W/(m K)]: common practice, see above.
A cured laminate has 0.6; loose paper and films 0.1 to 0.2."""

FILM = 2.5
"""From the outermost layer through the air in the bag, the bag and still air into the room [W/(m² K)]: common practice.
Still air and radiation alone give 8 to 9; a bag that stands off takes the greater part of that."""

TUBE = 0.076
"""Outer diameter of the usual cardboard tube [m]: common practice."""


class Shape(StrEnum):
    """How it is packed."""

    ROLL = "roll"
    FLAT = "flat"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """Cloth in a sealed bag.

    Parameters
    ----------
    shape
        A roll, which warms from its outside, or a flat stack, which warms from the top.
    inner, outer
        Of a roll, the radius of its tube and of its outside [m]; of a stack, zero and its thickness.
    capacity
        Heat capacity of a volume of it, films and all [J/(m³ K)].
    conductivity
        Across the layers [W/(m K)].
    film
        Heat transfer from its outside to the room [W/(m² K)].

    Raises
    ------
    InputError
        When one of them cannot be.
    """

    shape: Shape
    inner: float
    outer: float
    capacity: float
    conductivity: float = CONDUCTIVITY
    film: float = FILM

    def __post_init__(self) -> None:
        """Refuse what cannot be."""
        wrong = [
            Problem(place=f"thaw, {name}", came=f"{getattr(self, name):g}", wanted="more than zero is wanted")
            for name in ("outer", "capacity", "conductivity", "film")
            if not 0.0 < getattr(self, name) < math.inf
        ]
        if not 0.0 <= self.inner < self.outer:
            wrong.append(
                Problem(
                    place="thaw, inner", came=f"{self.inner:g}", wanted="zero or more, and less than outside is wanted"
                )
            )
        if wrong:
            raise InputError(wrong)


def rolled(
    length: float,
    thickness: float,
    capacity: float,
    *,
    tube: float = TUBE,
    conductivity: float = CONDUCTIVITY,
    film: float = FILM,
) -> Pack:
    """Return a roll by what is on it.

    Parameters
    ----------
    length
        Of cloth [m].
    thickness
        Of one layer as it is rolled, with its films [m].
    capacity, conductivity, film
        As of `Pack`.
    tube
        Diameter of what it is rolled on [m].

    Examples
    --------
    50 m of 0.5 mm on a tube of 76 mm: π (R² − 0.038²) is 0.025 m², so R is 97 mm.

    >>> round(rolled(50.0, 0.0005, 1.3e6).outer, 3)
    0.097
    """
    outer = math.sqrt((0.5 * tube) ** 2 + max(length, 0.0) * thickness / math.pi)
    return Pack(
        shape=Shape.ROLL, inner=0.5 * tube, outer=outer, capacity=capacity, conductivity=conductivity, film=film
    )


def flat(thickness: float, capacity: float, *, conductivity: float = CONDUCTIVITY, film: float = FILM) -> Pack:
    """Return a stack that lies on a shelf, through which no heat comes; hung up, it is half as thick.

    Parameters
    ----------
    thickness
        Of all its layers with their films [m].
    capacity, conductivity, film
        As of `Pack`.
    """
    return Pack(shape=Shape.FLAT, inner=0.0, outer=thickness, capacity=capacity, conductivity=conductivity, film=film)


@dataclass(frozen=True, slots=True, eq=False)
class _Modes:
    """Ways in which a pack's temperature dies away: rates [1/s], each one's share of all places, and its core."""

    rates: Floats
    inward: Floats  # (modes, cells): from temperatures to amplitudes
    core: Floats  # (modes,): from amplitudes to the core


@lru_cache(maxsize=64)
def _modes(pack: Pack) -> _Modes:
    """Return the modes of a pack cut into cells: exact in time, of second order in space."""
    edges = np.linspace(pack.inner, pack.outer, CELLS + 1)
    step = float(edges[1] - edges[0])
    round_ = pack.shape is Shape.ROLL
    area = edges if round_ else np.ones(CELLS + 1)
    volume = 0.5 * np.diff(edges**2) if round_ else np.full(CELLS, step)
    heat = pack.capacity * volume
    between = pack.conductivity * area[1:-1] / step
    out = float(area[-1]) / (0.5 * step / pack.conductivity + 1.0 / pack.film)
    loss = np.zeros(CELLS)
    loss[:-1] += between
    loss[1:] += between
    loss[-1] += out
    root = np.sqrt(heat)
    rates, vectors = eigh_tridiagonal(loss / heat, -between / (root[:-1] * root[1:]))
    shapes = vectors / root[:, None]
    return _Modes(rates=np.maximum(rates, 1e-12), inward=(vectors * root[:, None]).T, core=shapes[0])


def core_temperatures(pack: Pack, start: float, room: float, times: ArrayLike) -> Floats:
    """Return the core's temperature after some times in a room [K].

    Parameters
    ----------
    pack
        What warms up.
    start
        Temperature all through it when it was taken out [K].
    room
        Temperature of the air [K].
    times
        Since then, shape (k,) [s].
    """
    m = _modes(pack)
    amplitudes = m.core * (m.inward @ np.ones(CELLS))
    t = np.asarray(times, dtype=np.float64)
    out: Floats = room + (start - room) * (np.exp(-np.multiply.outer(t, m.rates)) @ amplitudes)
    return out


def thaw_time(pack: Pack, start: float, room: float, wanted: float) -> float:
    """Return how long it takes until the core is as warm as wanted [s]; infinite when the room is no warmer.

    Parameters
    ----------
    pack, start, room
        As of `core_temperatures`.
    wanted
        Temperature of the core [K].

    Notes
    -----
    Latent heat of frost on the bag and the heat that comes in at a roll's ends are left out; the second shortens it.

    Examples
    --------
    >>> round(thaw_time(flat(0.005, 1.3e6), 255.15, 294.15, 287.15) / 3600, 1)
    1.3
    """
    return _time_from(pack, np.full(CELLS, start), room, wanted)


def core_after(pack: Pack, start: float, spells: Sequence[Spell], *, room: float, wanted: float) -> tuple[float, float]:
    """Return the core's temperature after some spells, and how much longer it takes in a room until it is as wanted.

    Parameters
    ----------
    pack
        What warms up.
    start
        Temperature all through it before them [K].
    spells
        Temperatures of the air in order.
    room, wanted
        As of `thaw_time`.

    Returns
    -------
    tuple
        Temperature of the core now [K], and time from now [s]: zero when it is warm enough, infinite when it will
        never be.
    """
    m = _modes(pack)
    ones = m.inward @ np.ones(CELLS)
    held = start * ones
    for s in spells:
        if s.duration <= 0.0:
            continue
        slope = (s.end - s.temperature) / s.duration
        behind = slope / m.rates
        decay = np.exp(-m.rates * s.duration)
        held = ones * (s.end - behind) + (held - ones * (s.temperature - behind)) * decay
    now = float(m.core @ held)
    return now, _time_from(pack, held, room, wanted, ready=True)


def _time_from(pack: Pack, temperatures: Floats, room: float, wanted: float, *, ready: bool = False) -> float:
    """Return when the core is as warm as wanted, from temperatures, or from amplitudes that are ready."""
    m = _modes(pack)
    ones = m.inward @ np.ones(CELLS)
    held = (temperatures if ready else m.inward @ temperatures) - room * ones

    def short(time: float) -> float:
        return room + float(m.core @ (held * np.exp(-m.rates * time))) - wanted

    if short(0.0) >= 0.0:
        return 0.0
    if room <= wanted:
        return math.inf
    late = 1.0 / float(m.rates.min())
    while short(late) < 0.0:
        late *= 2.0
    return float(brentq(short, 0.0, late, xtol=1e-3, rtol=1e-12))
