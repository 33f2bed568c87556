"""What goes into an oven, and what the oven has room for."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bagside.cure.design import Bounds
from bagside.cure.oven import Oven
from bagside.cure.programme import Programme
from bagside.cure.resin import CureResin
from bagside.cure.section import Section
from bagside.errors import InputError, Problem

Size = tuple[float, float]

PUMPED = 3000.0
"""Pressure in the bags that the pump must hold with all of them on it [Pa]: 30 mbar, common practice."""

STANDARD = 101325.0
"""Pressure at which leaks are counted [Pa]."""

GAP = 0.06
"""Air left around each mould [m]: 50 to 75 mm, common practice."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Load:
    """A part under its bag, ready for the oven.

    Parameters
    ----------
    name
        Of the part.
    sections
        Through bag, laminate and mould at each place, at the mean of the oven's air.
    resin, resin_name
        The resin and what it is called.
    bounds
        What its cure must keep to.
    programme
        Its own cycle, without the cooling.
    demould
        Hottest laminate and mould may be when it is taken out [K].
    heated
        Heat capacity of part and mould [J/K].
    footprint
        Length and width on the shelf [m]; None when not known.
    lines
        Vacuum lines it needs.
    leak
        What leaks into its bag, at standard pressure [m³/s]; None when not measured.
    wet
        Whether it carries fresh paint or adhesive whose solvent would get at prepreg.
    """

    name: str
    sections: tuple[Section, ...]
    resin: CureResin
    resin_name: str
    bounds: Bounds
    programme: Programme
    demould: float
    heated: float = 0.0
    footprint: Size | None = None
    lines: int = 1
    leak: float | None = None
    wet: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Space:
    """What the oven and its pump have room for; None where it is not stated, and not checked then.

    Parameters
    ----------
    oven
        What its air can do.
    spread
        Of its air, hottest place against coldest [K].
    power
        Of its heater [W].
    loss
        Through its walls [W/K].
    room
        Temperature of the workshop [K].
    racks
        Heat capacity of what is heated with every load [J/K].
    shelves
        Length and width of each, as they go through the door [m].
    gap
        Air to leave around each mould [m].
    ports
        Vacuum lines that lead into the oven.
    thermocouples
        That can be read at once besides the controlling one.
    pump
        Its flow at the inlet [m³/s].
    turnaround
        To unload and load between two runs [s].

    Raises
    ------
    InputError
        When a value makes no sense.
    """

    oven: Oven
    spread: float = 0.0
    power: float | None = None
    loss: float = 0.0
    room: float = 293.15
    racks: float = 0.0
    shelves: tuple[Size, ...] | None = None
    gap: float = GAP
    ports: int | None = None
    thermocouples: int | None = None
    pump: float | None = None
    turnaround: float = 1800.0

    def __post_init__(self) -> None:
        """Refuse what makes no sense."""
        wrong = [
            Problem(place=f"oven, {name}", came=repr(getattr(self, name)), wanted="zero or more is wanted")
            for name in ("spread", "loss", "racks", "gap", "turnaround")
            if not 0.0 <= getattr(self, name) < math.inf
        ]
        if self.power is not None and not 0.0 < self.power < math.inf:
            wrong.append(Problem(place="oven, power", came=repr(self.power), wanted="above zero is wanted"))
        for k, shelf in enumerate(self.shelves or (), 1):
            if not all(0.0 < side < math.inf for side in shelf):
                wrong.append(Problem(place=f"oven, shelf {k}", came=repr(shelf), wanted="a length and a width"))
        if wrong:
            raise InputError(wrong)

    def fastest(self, heated: float, target: float) -> float:
        """Return the fastest rise on the way to a temperature that air and heater give [K/s].

        Parameters
        ----------
        heated
            Heat capacity of the load without the racks [J/K].
        target
            Temperature at the end of the rise [K].

        Returns
        -------
        float
            Zero or less when the heater cannot hold that temperature.
        """
        if self.power is None:
            return self.oven.heating
        spare = self.power - self.loss * max(target - self.room, 0.0)
        mass = heated + self.racks
        if mass <= 0.0:
            return self.oven.heating if spare > 0.0 else 0.0
        return min(self.oven.heating, spare / mass)
