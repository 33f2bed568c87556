"""From areal weight and resin content to thickness and fibre volume fraction, and back.

Mass balance and nothing else: no bleed, and voids only where they are stated. Every function takes numbers or arrays.
"""

from __future__ import annotations

from typing import overload

import numpy as np
from numpy.typing import NDArray

from bagside.errors import InputError, Problem

Floats = NDArray[np.float64]
Number = float | Floats


def _refuse(checks: dict[str, tuple[Number, bool]], wanted: dict[str, str]) -> None:
    wrong = [
        Problem(place=name, came=str(value), wanted=wanted[name]) for name, (value, good) in checks.items() if not good
    ]
    if wrong:
        raise InputError(wrong)


def _positive(value: Number) -> bool:
    array = np.asarray(value, dtype=np.float64)
    return bool(np.all((array > 0.0) & np.isfinite(array)))


def _share(value: Number, *, zero: bool) -> bool:
    array = np.asarray(value, dtype=np.float64)
    low = array >= 0.0 if zero else array > 0.0
    return bool(np.all(low & (array < 1.0)))


_DENSITY = "a positive density is wanted, as in 1780 kg/m³"
_RESIN = "a mass fraction between 0 and 1 is wanted, as in 0.42"
_VOID = "a volume fraction from 0 to less than 1 is wanted, as in 0.01"
_WEIGHT = "a positive areal weight is wanted, as in 0.2 kg/m²"


@overload
def cured_thickness(
    areal_weight: float, resin_content: float, fibre_density: float, resin_density: float, void: float = 0.0
) -> float: ...
@overload
def cured_thickness(
    areal_weight: Floats, resin_content: Number, fibre_density: Number, resin_density: Number, void: Number = 0.0
) -> Floats: ...
def cured_thickness(
    areal_weight: Number,
    resin_content: Number,
    fibre_density: Number,
    resin_density: Number,
    void: Number = 0.0,
) -> Number:
    """Return the cured thickness of a ply.

    Parameters
    ----------
    areal_weight
        Fibre only [kg/m²].
    resin_content
        Resin mass over prepreg mass, at cure.
    fibre_density, resin_density
        Densities; the resin's when cured [kg/m³].
    void
        Volume fraction of voids in the cured ply.

    Returns
    -------
    Number
        Thickness [m].

    Raises
    ------
    InputError
        When a weight or density is not positive or a fraction is not a fraction.

    Notes
    -----
    t = (W_f/rho_f + W_f RC/(1 − RC)/rho_r) / (1 − void). Workshop scatter is 5 to 8 % (common practice): pressure,
    bleed and the roughness of the bag side are not in it.

    Examples
    --------
    >>> round(cured_thickness(0.200, 0.42, 1760.0, 1200.0) * 1e3, 3)
    0.234
    """
    _refuse(
        {
            "areal_weight": (areal_weight, _positive(areal_weight)),
            "resin_content": (resin_content, _share(resin_content, zero=True)),
            "fibre_density": (fibre_density, _positive(fibre_density)),
            "resin_density": (resin_density, _positive(resin_density)),
            "void": (void, _share(void, zero=True)),
        },
        {
            "areal_weight": _WEIGHT,
            "resin_content": _RESIN,
            "fibre_density": _DENSITY,
            "resin_density": _DENSITY,
            "void": _VOID,
        },
    )
    resin = areal_weight * resin_content / (1.0 - resin_content)
    return (areal_weight / fibre_density + resin / resin_density) / (1.0 - void)


def fibre_volume_fraction(
    resin_content: Number, fibre_density: Number, resin_density: Number, void: Number = 0.0
) -> Number:
    """Return the fibre volume fraction of a cured ply.

    Parameters
    ----------
    resin_content
        Resin mass over prepreg mass.
    fibre_density, resin_density
        Densities [kg/m³].
    void
        Volume fraction of voids.

    Returns
    -------
    Number
        Fibre volume over ply volume, voids included in the ply.

    Raises
    ------
    InputError
        When a density is not positive or a fraction is not a fraction.

    References
    ----------
    Chamis 1983, NASA TM-83320: kf = (1 − kv)/(1 + (rf/rm)(1/lf − 1)), the same balance in fibre weight fraction.

    Examples
    --------
    >>> round(fibre_volume_fraction(0.42, 1760.0, 1200.0), 3)
    0.485
    """
    _refuse(
        {
            "resin_content": (resin_content, _share(resin_content, zero=True)),
            "fibre_density": (fibre_density, _positive(fibre_density)),
            "resin_density": (resin_density, _positive(resin_density)),
            "void": (void, _share(void, zero=True)),
        },
        {"resin_content": _RESIN, "fibre_density": _DENSITY, "resin_density": _DENSITY, "void": _VOID},
    )
    return (1.0 - void) / (1.0 + fibre_density / resin_density * resin_content / (1.0 - resin_content))


def prepreg_areal_weight(areal_weight: Number, resin_content: Number) -> Number:
    """Return the mass per area of the prepreg, fibre and resin.

    Parameters
    ----------
    areal_weight
        Fibre only [kg/m²].
    resin_content
        Resin mass over prepreg mass.

    Returns
    -------
    Number
        Mass per area [kg/m²].

    Raises
    ------
    InputError
        When the weight is not positive or the resin content is not a fraction.

    Examples
    --------
    >>> round(prepreg_areal_weight(0.200, 0.42), 4)
    0.3448
    """
    _refuse(
        {
            "areal_weight": (areal_weight, _positive(areal_weight)),
            "resin_content": (resin_content, _share(resin_content, zero=True)),
        },
        {"areal_weight": _WEIGHT, "resin_content": _RESIN},
    )
    return areal_weight / (1.0 - resin_content)
