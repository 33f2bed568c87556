"""How long trapped air takes to leave a ply along its dry paths to a breathing edge.

Prepreg for the oven is impregnated in part; gas flows through what is dry, in the plane of the cloth, thousands of
times more easily than through its thickness. Every figure here is from memory of the literature and spans decades, so
what is built on it is a band.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from bagside.errors import InputError

Floats = NDArray[np.float64]

AIR_VISCOSITY = 1.82e-5  # [Pa s] at 20 °C
PERMEABILITY = (3e-15, 1e-14, 6e-14)  # [m²] in-plane, partly impregnated woven cloth, cold: low, middle, high
ACROSS = (1e-19, 1e-17)  # [m²] through the thickness: Tavares, Michaud & Manson 2009, Composites A 40:1587
AIR_LEFT = 0.10  # share of the air that may stay: 0.8 % of pores of 8 %, under the usual 1 %
PORES = 0.08  # share of the ply that is dry, 0.05 to 0.12
# The last of the air leaves as 1 / (RATE t): the separable solution of p_t = (p p_x)_x on a path closed at one end.
_BETA = math.gamma(2.0 / 3.0) * math.gamma(0.5) / math.gamma(2.0 / 3.0 + 0.5)
RATE = (2.0 / 3.0 * _BETA) ** 3 / (0.5 * (8.0 / 3.0) ** 2)


def air_time(path: float, permeability: float | Floats, ambient: float, pores: float | Floats = PORES) -> Floats:
    """Return the time scale on which air leaves a path.

    Parameters
    ----------
    path
        Length from the farthest place to the breathing edge [m].
    permeability
        In the plane [m²].
    ambient
        Absolute pressure of the air when it was trapped [Pa].
    pores
        Share of the ply that is dry.

    Returns
    -------
    ndarray
        φ μ L² / (K P) [s].

    Raises
    ------
    InputError
        When a value is not positive.

    References
    ----------
    Darcy flow of an ideal gas; as in Arafath, Fernlund & Poursartip 2009, ICCM 17, from memory.
    """
    k, phi = np.asarray(permeability, dtype=np.float64), np.asarray(pores, dtype=np.float64)
    if not (path > 0.0 and ambient > 0.0 and (k > 0.0).all() and (phi > 0.0).all()):
        raise InputError.one(
            "air path", f"{path} m at {ambient} Pa", "a path, a permeability and a pressure are wanted"
        )
    out: Floats = np.asarray(phi * AIR_VISCOSITY * path**2 / (k * ambient), dtype=np.float64)
    return out


def air_left(time: float | Floats, scale: float | Floats, vacuum: float | Floats) -> Floats:
    """Return the share of the trapped air that is left on a path.

    Parameters
    ----------
    time
        Under vacuum [s].
    scale
        From `air_time` [s].
    vacuum
        Pressure at the breathing edge over that of the trapped air, 0 to 1.

    Returns
    -------
    ndarray
        Mean pressure on the path over that at the start; never below the vacuum.

    Notes
    -----
    The mean pressure m is followed by dm/dt = −1.443 (m² − v²), which has the exact last stage of Darcy flow into a
    vacuum; within 0.09 of the full solution at any time, and within 5 % once three quarters have left.
    """
    tau = np.asarray(time, dtype=np.float64) / np.asarray(scale, dtype=np.float64)
    v = np.maximum(np.asarray(vacuum, dtype=np.float64), 1e-6)
    u = (1.0 - v) / (1.0 + v) * np.exp(-2.0 * v * RATE * tau)
    out: Floats = np.asarray(v * (1.0 + u) / (1.0 - u), dtype=np.float64)
    return out


def time_to_leave(left: float, scale: float, vacuum: float) -> float:
    """Return how long a path needs until a share of its air is left.

    Parameters
    ----------
    left
        Share allowed, up to 1.
    scale
        From `air_time` [s].
    vacuum
        As for `air_left`.

    Returns
    -------
    float
        Time [s]; infinite when the vacuum itself is above it.
    """
    v = max(vacuum, 1e-6)
    if left >= 1.0:
        return 0.0
    if left <= v:
        return math.inf
    return scale / (2.0 * v * RATE) * math.log((1.0 - v) / (1.0 + v) * (left + v) / (left - v))


def farthest_path(
    time: float, left: float, vacuum: float, permeability: float, ambient: float, pores: float = PORES
) -> float:
    """Return the longest path from which enough air leaves in a time.

    Parameters
    ----------
    time
        Under vacuum [s].
    left, vacuum, permeability, ambient, pores
        As above.

    Returns
    -------
    float
        Length [m]; zero when the vacuum itself is too weak.
    """
    one = time_to_leave(left, float(air_time(1.0, permeability, ambient, pores)), vacuum)
    return 0.0 if math.isinf(one) else (math.inf if one == 0.0 else math.sqrt(time / one))
