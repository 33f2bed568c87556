"""How much air is in a bag: worked out from area and breather, or measured with a vessel or a known bleed.

Whether a bag passes a drop test does not hang on its volume; how large its leak is does.
"""

from __future__ import annotations

from dataclasses import dataclass

from bagside.bagging.vacuum import ATMOSPHERE
from bagside.errors import InputError
from bagside.findings import Basis
from bagside.quantity import shown

BREATHER_VOID = 0.0015  # [m] air under vacuum in a breather of 150 g/m² and the film's folds
LINE_VOLUME = 0.0005  # [m³] of 5 m hose and couplings
ROUGH = 0.5  # share by which a volume from area may be off


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeVolume:
    """Air space in bag and lines.

    Parameters
    ----------
    value
        [m³].
    spread
        Standard deviation [m³].
    basis
        On what it rests.
    how
        In half a sentence.
    """

    value: float
    spread: float
    basis: Basis
    how: str


def stated_volume(value: float) -> FreeVolume:
    """Return a free volume that was stated, known to a tenth.

    Parameters
    ----------
    value
        [m³].

    Raises
    ------
    InputError
        When it is not positive.
    """
    if not value > 0.0:
        raise InputError.one("free volume", f"{value} m³", "more than zero is wanted")
    return FreeVolume(value=value, spread=0.1 * value, basis=Basis.COMMON, how="as stated")


def volume_of_area(area: float, *, layers: float = 1.0, lines: float = LINE_VOLUME) -> FreeVolume:
    """Return the free volume from the area under the bag.

    Parameters
    ----------
    area
        Under the bag [m²].
    layers
        Of breather over it.
    lines
        Volume of hose and couplings up to the valve [m³].

    Raises
    ------
    InputError
        When the area is not positive.

    Notes
    -----
    1.5 mm of air for each layer; cloth and folds differ by half of it. Measure it when the size of a leak matters.
    """
    if not (area > 0.0 and layers > 0.0 and lines >= 0.0):
        raise InputError.one("free volume", f"{area} m² under the bag", "an area and a breather are wanted")
    value = area * layers * BREATHER_VOID + lines
    return FreeVolume(
        value=value, spread=ROUGH * value, basis=Basis.COMMON, how=f"from {shown(area, 'm²', 2)} under the bag"
    )


def volume_by_vessel(
    vessel: float, *, vessel_pressure: float, bag_pressure: float, shared: float, step: float
) -> FreeVolume:
    """Return the free volume from a vessel of known volume that is let into the pumped bag.

    Parameters
    ----------
    vessel
        Its volume up to its valve [m³].
    vessel_pressure, bag_pressure
        Absolute, before the valve is opened [Pa].
    shared
        Absolute, after it [Pa].
    step
        Of the gauge [Pa].

    Raises
    ------
    InputError
        When the shared pressure does not lie between the two by more than the gauge's steps.

    Notes
    -----
    At one temperature air is kept: V_bag (shared − bag) = V_vessel (vessel − shared). Read within seconds, before a
    leak or the breather adds to it. The vessel must be rated for vacuum.

    References
    ----------
    Boyle's law; static expansion as in ISO/TS 3567, from memory.

    Examples
    --------
    >>> v = volume_by_vessel(0.001, vessel_pressure=1e5, bag_pressure=2e3, shared=2.2e4, step=100.0)
    >>> round(1e3 * v.value, 2)
    3.9
    """
    fall, rise = vessel_pressure - shared, shared - bag_pressure
    if not (vessel > 0.0 and step > 0.0 and abs(rise) > 3.0 * step and rise * fall > 0.0):
        raise InputError.one(
            "free volume, vessel",
            f"{shown(vessel, 'L')} at {shown(vessel_pressure, 'mbar', 0)}, bag {shown(bag_pressure, 'mbar', 0)}, "
            f"together {shown(shared, 'mbar', 0)}",
            "a pressure between the two that moved by more than three steps of the gauge is wanted",
        )
    value = vessel * fall / rise
    one = step * 12.0**-0.5
    spread = value * one * ((1.0 / fall) ** 2 + (1.0 / fall + 1.0 / rise) ** 2 + (1.0 / rise) ** 2) ** 0.5
    return FreeVolume(
        value=value, spread=spread, basis=Basis.MEASURED, how=f"by letting in a vessel of {shown(vessel, 'L', 2)}"
    )


def volume_by_bleed(flow: float, *, time: float, rise: float, rise_without: float, step: float) -> FreeVolume:
    """Return the free volume from a bleed of known flow.

    Parameters
    ----------
    flow
        Of the bleed, air at 1013 mbar [m³/s].
    time
        For which it was open, and for which the rise without it was watched [s].
    rise, rise_without
        Of absolute pressure with the bleed open and shut [Pa].
    step
        Of the gauge [Pa].

    Raises
    ------
    InputError
        When the bleed did not raise the pressure by more than the gauge's steps.
    """
    more = rise - rise_without
    if not (flow > 0.0 and time > 0.0 and step > 0.0 and more > 3.0 * step):
        raise InputError.one(
            "free volume, bleed",
            f"{6e7 * flow:.0f} cm³/min for {shown(time, 'min')}: {shown(rise, 'mbar')}, "
            f"{shown(rise_without, 'mbar')} without it",
            "a difference of more than three steps of the gauge is wanted",
            "leave it open for longer",
        )
    value = flow * ATMOSPHERE * time / more
    return FreeVolume(
        value=value,
        spread=value * 2.0 * step * 12.0**-0.5 / more,
        basis=Basis.MEASURED,
        how=f"by a bleed of {6e7 * flow:.0f} cm³/min",
    )
