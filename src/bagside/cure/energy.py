"""What a cure takes from the meter."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from bagside.cure.air import Air
from bagside.cure.programme import Programme
from bagside.errors import InputError, Problem


@dataclass(frozen=True, slots=True, kw_only=True)
class Energy:
    """Energy of one cure.

    Parameters
    ----------
    load
        To heat part, tools and the oven's own inside [J].
    walls
        Lost through the walls [J].
    """

    load: float
    walls: float

    @property
    def total(self) -> float:
        """Both [J]."""
        return self.load + self.walls


def oven_energy(
    capacities: Mapping[str, float],
    air: Programme | Air,
    *,
    loss: float,
    room: float,
) -> Energy:
    """Return the energy of a cure: every rise of the load, and the loss through the walls while above the room.

    Parameters
    ----------
    capacities
        Mass times heat capacity of everything that is heated, by name [J/K].
    air
        The programme or the air over time.
    loss
        Loss through walls and vents per kelvin [W/K].
    room
        Temperature of the workshop [K].

    Returns
    -------
    Energy
        Its parts [J].

    Raises
    ------
    InputError
        When a capacity or the loss is negative or the room is not above 0 K.

    Notes
    -----
    The load is taken to follow the air, rises added up and nothing won back on cooling; heat of reaction is left out,
    as it is a few per cent. Fans are not counted.

    References
    ----------
    Sum of m c ΔT and of UA ΔT t: a heat balance; no source is needed.
    """
    wrong = [
        Problem(place=f"load, {name}", came=repr(value), wanted="zero or more is wanted")
        for name, value in capacities.items()
        if not 0.0 <= value < np.inf
    ]
    if not 0.0 <= loss < np.inf:
        wrong.append(Problem(place="oven, loss", came=repr(loss), wanted="zero or more is wanted"))
    if not 0.0 < room < np.inf:
        wrong.append(Problem(place="room", came=repr(room), wanted="above 0 K is wanted"))
    if wrong:
        raise InputError(wrong)
    course = air.as_air if isinstance(air, Programme) else air
    stretches = zip(course.breaks[:-1], course.breaks[1:], strict=True)
    time = np.append(np.concatenate([np.linspace(a, b, 33)[:-1] for a, b in stretches]), course.end)
    t = course.at(time)
    rises = float(np.maximum(np.diff(t), 0.0).sum())
    above = float(np.trapezoid(np.maximum(t - room, 0.0), time))
    return Energy(load=sum(capacities.values()) * rises, walls=loss * above)
