"""Heat through an outer face: the film of air, radiation from walls as hot as the air, and half a cell of material."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

STEFAN_BOLTZMANN = 5.670374419e-8
"""[W/(m² K⁴)]."""

TRIES, CLOSE = 20, 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceHeat:
    """What passes a face.

    Parameters
    ----------
    flux
        Into the cell [W/m²].
    by_cell, by_air
        Its derivatives by the temperature of the cell and of the air [W/(m² K)].
    surface
        Temperature of the face itself [K].
    """

    flux: Floats
    by_cell: Floats
    by_air: Floats
    surface: Floats


def face_heat(cell: ArrayLike, air: ArrayLike, film: ArrayLike, half: ArrayLike, emissivity: ArrayLike) -> FaceHeat:
    """Return the heat that passes a face.

    Parameters
    ----------
    cell, air
        Temperature of the middle of the outer cell and of the air, any shape [K].
    film
        Heat transfer of the air; infinite holds the face at the air [W/(m² K)].
    half
        From the face to the middle of the cell [W/(m² K)].
    emissivity
        Of the face, with walls around it as hot as the air.

    Returns
    -------
    FaceHeat
        Flux, slopes and surface temperature; not a number where the surface temperature is not found.

    Notes
    -----
    The face's own balance film (Ta − Ts) + ε σ (Ta⁴ − Ts⁴) = half (Ts − Tc) is solved by Newton's method; it is
    monotone in Ts, so it has one root.
    """
    shape = np.broadcast_shapes(*(np.shape(x) for x in (cell, air, film, half, emissivity)))
    tc, ta, h, g, e = (
        np.broadcast_to(np.asarray(x, dtype=np.float64), shape) for x in (cell, air, film, half, emissivity)
    )
    held = np.isinf(h)
    h = np.where(held, 0.0, h)
    sigma = e * STEFAN_BOLTZMANN
    surface = np.where(held, ta, (h * ta + g * tc) / (h + g))
    for _ in range(TRIES):
        miss = h * (ta - surface) + sigma * (ta**4 - surface**4) - g * (surface - tc)
        step = np.where(held, 0.0, miss / (h + 4.0 * sigma * surface**3 + g))
        surface = surface + step
        if not (np.abs(step) > CLOSE).any():
            break
    else:
        surface = np.where(np.abs(step) > CLOSE, np.nan, surface)
    u = h + 4.0 * sigma * surface**3
    by_cell = np.where(held, -g, -g * u / (g + u))
    by_air = np.where(held, g, g * (h + 4.0 * sigma * ta**3) / (g + u))
    return FaceHeat(flux=g * (surface - tc), by_cell=by_cell, by_air=by_air, surface=surface)
