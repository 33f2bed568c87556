"""A cloth whose two yarn families are no longer at right angles.

A data sheet states a cloth at zero shear only. To turn the families apart they must first be told apart, which a single
homogenised ply does not determine; this module states the closure it uses and what it changes.

Derivation. Let the cloth be half warp family, half weft family, each a unidirectional half ply over the full thickness
(not one above the other, so that A, B and D all stay those of one homogenised ply). With the warp family's stiffness
(q11w, q12, q22, q66) and the weft family's (q11f, q12, q22, q66), each in its own axes, the mean at a right angle is

    Q11 = (q11w + q22)/2,   Q22 = (q22 + q11f)/2,   Q12 = q12,   Q66 = q66,

so q12 and q66 are the cloth's, and q11w = 2 Q11 − q22, q11f = 2 Q22 − q22 once q22 is chosen. Whatever q22 is, the
cloth at zero shear is recovered exactly. q22 is set to `TRANSVERSE_RATIO` times G12; carbon in epoxy has 1.3 to 2.8.
The expansion is split the same way: along the yarns it is `YARN_EXPANSION` (carbon: nearly zero) and across them it is
whatever gives the cloth's thermal stress at zero shear.

Limits. Crimp is inside the stated constants and does not change with shear; yarns do not shift; the matrix carries the
same share. Below about 45° of shear the choice of q22 within 1.3 to 2.8 G12 moves A by only a few per cent (tested).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bagside.errors import InputError
from bagside.laminate.elasticity import reduced_stiffness, rotated_stiffness, stress_transform
from bagside.laminate.ply import Lamina

Floats = NDArray[np.float64]

TRANSVERSE_RATIO = 1.8  # q22 / G12 of a unidirectional carbon half ply
YARN_EXPANSION = 0.0  # along carbon yarns in resin [1/K]


def yarn_families(lamina: Lamina, transverse_ratio: float = TRANSVERSE_RATIO) -> tuple[Floats, Floats]:
    """Return the stiffness of the warp and of the weft family, each in its own yarn axes.

    Parameters
    ----------
    lamina
        The cloth at zero shear.
    transverse_ratio
        Stiffness across the yarns over the shear modulus.

    Returns
    -------
    tuple of Floats
        Two matrices of shape (3, 3) [Pa], as if each family filled the ply.

    Raises
    ------
    InputError
        When the constants cannot be those of two crossing yarn families: a family would be softer along its yarns than
        across them.
    """
    cloth = reduced_stiffness(lamina)
    across = transverse_ratio * lamina.G12
    families = []
    for along in (2 * cloth[0, 0] - across, 2 * cloth[1, 1] - across):
        if not (along > across and along * across > cloth[0, 1] ** 2):
            raise InputError.one(
                "lamina, woven",
                f"E1 {lamina.E1 / 1e9:.3g} GPa, E2 {lamina.E2 / 1e9:.3g} GPa, G12 {lamina.G12 / 1e9:.3g} GPa",
                "constants of a cloth are wanted, stiff along both yarns and soft in shear",
                "state a unidirectional ply as not woven",
            )
        families.append(
            np.array([[along, cloth[0, 1], 0.0], [cloth[0, 1], across, 0.0], [0.0, 0.0, cloth[2, 2]]], dtype=np.float64)
        )
    return families[0], families[1]


def woven_stiffness(
    lamina: Lamina, angles: ArrayLike, shears: ArrayLike, transverse_ratio: float = TRANSVERSE_RATIO
) -> Floats:
    """Return the stiffness of a sheared cloth in reference axes.

    Parameters
    ----------
    lamina
        The cloth at zero shear.
    angles
        Warp directions, shape (...) [rad].
    shears
        Right angle minus the angle from warp to weft, same shape [rad].
    transverse_ratio
        See `yarn_families`.

    Returns
    -------
    Floats
        Shape (..., 3, 3) [Pa].

    Raises
    ------
    InputError
        See `yarn_families`.

    Notes
    -----
    Exact at zero shear for any cloth. Thickness is not in it; it grows by 1/cos(shear).
    """
    warp, weft = yarn_families(lamina, transverse_ratio)
    theta = np.asarray(angles, dtype=np.float64)
    other = theta + np.pi / 2 - np.asarray(shears, dtype=np.float64)
    out: Floats = (rotated_stiffness(warp, theta) + rotated_stiffness(weft, other)) / 2
    return out


def woven_thermal_stress(
    lamina: Lamina,
    angles: ArrayLike,
    shears: ArrayLike,
    transverse_ratio: float = TRANSVERSE_RATIO,
    yarn_expansion: float = YARN_EXPANSION,
) -> Floats:
    """Return the product of stiffness and expansion of a sheared cloth in reference axes.

    Parameters
    ----------
    lamina
        The cloth at zero shear.
    angles, shears
        See `woven_stiffness` [rad].
    transverse_ratio
        See `yarn_families`.
    yarn_expansion
        Expansion along the yarns [1/K].

    Returns
    -------
    Floats
        Shape (..., 3) [Pa/K]: minus the stress per kelvin in a ply that is held.

    Raises
    ------
    InputError
        See `yarn_families`.

    Notes
    -----
    Exact at zero shear; how it is split between the yarns' axes is the closure of this module.
    """
    warp, weft = yarn_families(lamina, transverse_ratio)
    cloth = reduced_stiffness(lamina)[:2, :2] @ np.array([lamina.alpha1, lamina.alpha2])
    q12, q22 = warp[0, 1], warp[1, 1]
    # unknowns: expansion across the warp family, across the weft family
    given = 2 * cloth - yarn_expansion * np.array([warp[0, 0] + q12, q12 + weft[0, 0]])
    across = np.linalg.solve(np.array([[q12, q22], [q22, q12]]), given)
    theta = np.asarray(angles, dtype=np.float64)
    other = theta + np.pi / 2 - np.asarray(shears, dtype=np.float64)
    total = np.zeros((*np.broadcast(theta, other).shape, 3))
    for family, transverse, direction in ((warp, across[0], theta), (weft, across[1], other)):
        own = family @ np.array([yarn_expansion, transverse, 0.0])
        total += np.einsum("...ij,j->...i", stress_transform(-direction), own) / 2
    return total


def ply_response(lamina: Lamina, angles: ArrayLike, shears: ArrayLike, woven: bool) -> tuple[Floats, Floats]:
    """Return stiffness and thermal stress of one ply in reference axes, at one or many places.

    Parameters
    ----------
    lamina
        The ply at zero shear.
    angles, shears
        Warp (or fibre) directions and shears, same shape (...) [rad].
    woven
        Two yarn families instead of one.

    Returns
    -------
    tuple of Floats
        Stiffness (..., 3, 3) [Pa] and stiffness times expansion (..., 3) [Pa/K].

    Raises
    ------
    InputError
        When a sheared cloth's constants cannot be split into two yarn families.

    Notes
    -----
    A unidirectional ply keeps its constants and follows its fibres; only its thickness knows about shear.
    """
    theta = np.asarray(angles, dtype=np.float64)
    gamma = np.asarray(shears, dtype=np.float64)
    if woven and bool(np.any(gamma != 0.0)):
        return woven_stiffness(lamina, theta, gamma), woven_thermal_stress(lamina, theta, gamma)
    own = reduced_stiffness(lamina)
    heat = own @ np.array([lamina.alpha1, lamina.alpha2, 0.0])
    return rotated_stiffness(own, theta), np.einsum("...ij,j->...i", stress_transform(-theta), heat)
