"""What the resin under a bag is pressed with, and how hot and how empty that lets it be.

What carries what: the air outside presses the film with the ambient pressure Pₐ; under it, through breather and
laminate, stands the same total stress. Of what is above the pressure p in the bag, the bed of fibres carries a share s,
the resin the rest:

    resin pressure, absolute   p_r = p + (Pₐ − p)(1 − s)

A void that was closed by resin holds air of the bag's pressure p and, in time, water vapour of p_w. It grows when
p + p_w > p_r, so what counts against water is

    given = p_r − p = (Pₐ − p)(1 − s)

and a better vacuum always helps. The share s has not been measured here: it grows as resin bleeds and the bed stiffens.
No bed (s = 0) and s = 0.4 are shown as a band; prepreg whose resin does not leave lies near the first.
"""

from __future__ import annotations

from bagside.bagging.vacuum import available_pressure
from bagside.bagging.voids import hottest_gel_temperature, minimum_resin_pressure_kardos_1986
from bagside.errors import InputError

BED_SHARES = (0.0, 0.4)  # band of the share that fibres carry: none measured, two prototypes


def resin_pressure(ambient: float, bag: float, share: float) -> float:
    """Return the absolute pressure in resin under a bag.

    Parameters
    ----------
    ambient, bag
        Absolute pressures outside and in the bag [Pa].
    share
        Of what presses, carried by fibres, 0…1.

    Returns
    -------
    float
        Pressure [Pa].

    Raises
    ------
    InputError
        When the bag is above ambient or the share is not between 0 and 1.
    """
    return bag + against_water(ambient, bag, share)


def against_water(ambient: float, bag: float, share: float) -> float:
    """Return the part of the resin's pressure that holds water down, beside the air that a void holds already.

    Parameters
    ----------
    ambient, bag, share
        As for `resin_pressure`.

    Raises
    ------
    InputError
        As for `resin_pressure`.
    """
    if not 0.0 <= share <= 1.0:
        raise InputError.one("void growth", f"share {share}", "a share between 0 and 1 is wanted")
    return available_pressure(ambient, bag) * (1.0 - share)


def void_free_temperature(ambient: float, vacuum: float, humidity: float, share: float = 0.0) -> float:
    """Return the hottest temperature before gel at which water makes no voids.

    Parameters
    ----------
    ambient, vacuum
        Absolute pressures outside and in the bag [Pa].
    humidity
        Relative humidity in which the prepreg came to rest, above 0 up to 1.
    share
        Of what presses, carried by fibres, from 0 to less than 1.

    Returns
    -------
    float
        Temperature [K].

    Raises
    ------
    InputError
        When nothing presses on the resin, or the answer lies outside 280…460 K.

    Examples
    --------
    >>> round(void_free_temperature(101325.0, 0.05 * 101325.0, 0.5) - 273.15)
    119
    """
    return hottest_gel_temperature(against_water(ambient, vacuum, share), humidity)


def most_in_bag(ambient: float, temperature: float, humidity: float, share: float = 0.0) -> float:
    """Return the highest pressure in the bag at which water still makes no voids in liquid resin.

    Parameters
    ----------
    ambient
        Absolute pressure outside [Pa].
    temperature
        Of the resin [K].
    humidity
        Relative humidity in which the prepreg came to rest, 0…1.
    share
        Of what presses, carried by fibres, from 0 to less than 1.

    Returns
    -------
    float
        Absolute pressure [Pa]; negative when no vacuum is good enough.

    Raises
    ------
    InputError
        Outside 280…460 K, or when humidity or share make no sense.
    """
    if not 0.0 <= share < 1.0:
        raise InputError.one("void growth", f"share {share}", "a share from 0 to less than 1 is wanted")
    return ambient - float(minimum_resin_pressure_kardos_1986(temperature, humidity)) / (1.0 - share)
