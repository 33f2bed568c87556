"""A strip of laminate or sandwich as a beam: three-point bending with shear between the plies.

Shear stress follows from equilibrium of the bending stresses, the energy of it gives the shear stiffness; no shear
factor is assumed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.errors import InputError
from bagside.laminate.stack import Laminate
from bagside.laminate.woven import ply_response

Floats = NDArray[np.float64]

_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(5)  # exact for the square of a quadratic


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Strip:
    """A strip bent along x, cylindrical or narrow.

    Parameters
    ----------
    bending
        Bending stiffness per width [N m].
    shear
        Shear stiffness per width [N/m].
    interfaces
        Shear stress at each ply boundary per unit shear force per width, shape (k + 1,) [1/m].
    """

    bending: float
    shear: float
    interfaces: Floats


def strip_of(laminate: Laminate, through: Sequence[float]) -> Strip:
    """Return a narrow strip of a laminate, free to contract across.

    Parameters
    ----------
    laminate
        The laminate; x runs along the strip.
    through
        Shear modulus G_xz of each ply [Pa].

    Returns
    -------
    Strip
        Stiffnesses and shear stresses.

    Raises
    ------
    InputError
        When there is not one positive modulus per ply.

    Notes
    -----
    Bending stress in a ply is Q̄ times the strain that a unit moment along x causes, with all curvatures free. Edge
    effects and twist held by grips are not in it.
    """
    if len(through) != len(laminate.plies) or not all(g > 0.0 for g in through):
        raise InputError.one(
            "strip, shear moduli",
            f"{len(through)} values",
            f"one positive modulus for each of {len(laminate.plies)} plies",
        )
    response = laminate.compliance[:, 3]  # strains and curvatures of a unit moment along x
    interfaces = np.zeros(len(laminate.plies) + 1)
    energy, flow = 0.0, 0.0
    for k, ply in enumerate(laminate.plies):
        stiffness, _ = ply_response(ply.lamina, ply.angle, ply.shear, ply.woven)
        at_zero, slope = float(stiffness[0] @ response[:3]), float(stiffness[0] @ response[3:])
        low, high = float(laminate.surfaces[k]), float(laminate.surfaces[k + 1])
        z = (low + high) / 2 + (high - low) / 2 * _POINTS
        inside = flow - at_zero * (z - low) - slope * (z**2 - low**2) / 2
        energy += float((inside**2 * _WEIGHTS).sum()) * (high - low) / 2 / through[k]
        flow += -at_zero * (high - low) - slope * (high**2 - low**2) / 2
        interfaces[k + 1] = flow
    return Strip(bending=float(1 / laminate.compliance[3, 3]), shear=1 / energy, interfaces=np.abs(interfaces))


def three_point(strip: Strip, span: float, force: float) -> tuple[float, float]:
    """Return the deflection under a line force at mid-span, from bending and from shear.

    Parameters
    ----------
    strip
        The strip.
    span
        Between supports [m].
    force
        Per width [N/m].

    Returns
    -------
    tuple of float
        Bending, shear [m]; their sum is the deflection.

    Raises
    ------
    InputError
        When the span is not positive.
    """
    if not span > 0.0:
        raise InputError.one("strip, span", f"{span:g} m", "a positive length is wanted")
    return force * span**3 / (48 * strip.bending), force * span / (4 * strip.shear)


def wrinkling_hoff_mautner_1945(face_modulus: float, core_modulus: float, core_shear: float) -> float:
    """Return the stress at which a sandwich face wrinkles, in the form used for design.

    Parameters
    ----------
    face_modulus, core_modulus, core_shear
        [Pa]; the core's modulus is the one through its thickness.

    Returns
    -------
    float
        0.5 (Ef Ec Gc)^(1/3) [Pa].

    Notes
    -----
    0.5 is the usual allowance for faces that are not quite straight; a thick core, and no print-through of cells.
    """
    return 0.5 * float(np.cbrt(face_modulus * core_modulus * core_shear))
