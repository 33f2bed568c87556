"""Cloth as it is packed: how thick it lies on a roll or in a kit, and how much heat it takes to warm it."""

from __future__ import annotations

from bagside.cure.thaw import TUBE, Pack, flat, rolled, thaw_time
from bagside.finishing.climate import ABOVE_DEW, dew_point_magnus
from bagside.spec.material import Prepreg, Resin

BULK = 1.25
"""Thickness of uncured cloth over that of the cured ply: common practice."""

BACKING, BACKING_MASS, BACKING_HEAT = 100e-6, 0.075, 1900.0
"""A backing film or paper: thickness [m], mass [kg/m²], heat capacity [J/(kg K)]: common practice."""


def as_rolled(prepreg: Prepreg, resin: Resin) -> tuple[float, float]:
    """Return how thick one layer is with its films [m], and the heat capacity of its volume [J/(m³ K)].

    Parameters
    ----------
    prepreg, resin
        As stated.
    """
    resin_mass = prepreg.areal_weight * prepreg.resin_content / (1.0 - prepreg.resin_content)
    cured = prepreg.thickness or prepreg.areal_weight / prepreg.fibre_density + resin_mass / prepreg.resin_density
    thickness = BULK * cured + prepreg.films * BACKING
    heat = (
        prepreg.areal_weight * resin.fibre_heat_capacity
        + resin_mass * resin.heat_capacity
        + prepreg.films * BACKING_MASS * BACKING_HEAT
    )
    return thickness, heat / thickness


def roll_pack(prepreg: Prepreg, resin: Resin, length: float, tube: float = TUBE) -> Pack:
    """Return a roll.

    Parameters
    ----------
    prepreg, resin
        As stated.
    length
        That is on it [m]; a millimetre at least is taken.
    tube
        Diameter of what it is rolled on [m].
    """
    thickness, capacity = as_rolled(prepreg, resin)
    return rolled(max(length, 1e-3), thickness, capacity, tube=tube)


def stack_pack(prepreg: Prepreg, resin: Resin, layers: float) -> Pack:
    """Return a flat stack.

    Parameters
    ----------
    prepreg, resin
        As stated.
    layers
        That lie on one another; one at least is taken.
    """
    thickness, capacity = as_rolled(prepreg, resin)
    return flat(max(layers, 1.0) * thickness, capacity)


def opening_temperature(room: float, humidity: float) -> float:
    """Return how warm the core must be before the bag is opened [K]: 3 K above the dew point.

    Parameters
    ----------
    room
        Temperature of the air [K].
    humidity
        Relative, above 0 up to 1.

    Raises
    ------
    InputError
        When either is out of range.
    """
    return dew_point_magnus(room, humidity) + ABOVE_DEW


def thaw_in(pack: Pack, freezer: float, room: float, humidity: float) -> float:
    """Return how long a pack takes from the freezer until its bag may be opened [s]; infinite when the air is so damp.

    Parameters
    ----------
    pack
        A roll or a stack.
    freezer, room, humidity
        Temperatures [K], and relative humidity of the room.

    Raises
    ------
    InputError
        When the humidity or the room is out of range.
    """
    return thaw_time(pack, freezer, room, opening_temperature(room, humidity))
