"""Plane-stress elasticity of one ply: stiffness, turning it, invariants, expansion.

Engineering shear strain throughout; vectors are (11, 22, 12). Angles are counter-clockwise from the reference
direction to the ply's axis 1, and every function that takes angles takes any shape of them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bagside.laminate.ply import Lamina

Floats = NDArray[np.float64]


def reduced_stiffness(lamina: Lamina) -> Floats:
    """Return the plane-stress stiffness Q of a ply in its own axes.

    Parameters
    ----------
    lamina
        Its constants.

    Returns
    -------
    Floats
        Shape (3, 3) [Pa].

    Notes
    -----
    nu21 is exact (nu12 E2/E1). Linear elastic, thin, no stress through the thickness.
    """
    spread = 1.0 - lamina.nu12 * lamina.nu21
    q12 = lamina.nu12 * lamina.E2 / spread
    return np.array([[lamina.E1 / spread, q12, 0.0], [q12, lamina.E2 / spread, 0.0], [0.0, 0.0, lamina.G12]])


def strain_transform(angles: ArrayLike) -> Floats:
    """Return the matrix that takes strains in reference axes to ply axes.

    Parameters
    ----------
    angles
        Ply angles, any shape (...) [rad].

    Returns
    -------
    Floats
        Shape (..., 3, 3), for engineering shear strain.
    """
    theta = np.asarray(angles, dtype=np.float64)
    c, s = np.cos(theta), np.sin(theta)
    out = np.empty((*theta.shape, 3, 3))
    out[..., 0, 0] = out[..., 1, 1] = c * c
    out[..., 0, 1] = out[..., 1, 0] = s * s
    out[..., 0, 2] = c * s
    out[..., 1, 2] = -c * s
    out[..., 2, 0] = -2.0 * c * s
    out[..., 2, 1] = 2.0 * c * s
    out[..., 2, 2] = c * c - s * s
    return out


def stress_transform(angles: ArrayLike) -> Floats:
    """Return the matrix that takes stresses in reference axes to ply axes.

    Parameters
    ----------
    angles
        Ply angles, any shape (...) [rad].

    Returns
    -------
    Floats
        Shape (..., 3, 3).
    """
    out: Floats = np.swapaxes(strain_transform(-np.asarray(angles, dtype=np.float64)), -1, -2)
    return out


def rotated_stiffness(stiffness: ArrayLike, angles: ArrayLike) -> Floats:
    """Return a stiffness given in ply axes in reference axes.

    Parameters
    ----------
    stiffness
        Q in ply axes, shape (..., 3, 3) [Pa] (or A, B, D of a whole laminate).
    angles
        Ply angles, shape (...), broadcast against the stiffness [rad].

    Returns
    -------
    Floats
        Shape (..., 3, 3) [Pa].
    """
    turn = strain_transform(angles)
    out: Floats = np.swapaxes(turn, -1, -2) @ np.asarray(stiffness, dtype=np.float64) @ turn
    return out


def rotated_expansion(expansion: ArrayLike, angles: ArrayLike) -> Floats:
    """Return thermal expansion given in ply axes in reference axes.

    Parameters
    ----------
    expansion
        (alpha1, alpha2, alpha12), shape (..., 3) [1/K]; the third is an engineering shear strain per kelvin.
    angles
        Ply angles, shape (...) [rad].

    Returns
    -------
    Floats
        Shape (..., 3) [1/K].
    """
    back = strain_transform(-np.asarray(angles, dtype=np.float64))
    out: Floats = np.einsum("...ij,...j->...i", back, np.asarray(expansion, dtype=np.float64))
    return out


@dataclass(frozen=True, slots=True, kw_only=True)
class Invariants:
    """Parts of a plane stiffness that do not change, or only change phase, when it is turned [same unit as given].

    Parameters
    ----------
    U1
        Mean of the 11 term over all directions.
    U2, U3
        Amplitudes that go with twice and four times the angle.
    U4, U5
        Means of the 12 and the 66 term over all directions.
    """

    U1: float
    U2: float
    U3: float
    U4: float
    U5: float

    @property
    def isotropic(self) -> tuple[float, float, float]:
        """Young's modulus, Poisson's ratio and shear modulus of plies in all directions alike."""
        return (self.U1**2 - self.U4**2) / self.U1, self.U4 / self.U1, self.U5


def invariants(stiffness: ArrayLike) -> Invariants:
    """Return the invariants U1 to U5 of a plane stiffness.

    Parameters
    ----------
    stiffness
        Shape (3, 3); U2 and U3 are amplitudes only when it is given in its own axes [Pa, or N/m, or N m].

    Returns
    -------
    Invariants
        U1 to U5 in the same unit.

    References
    ----------
    Tsai & Hahn 1980, Introduction to Composite Materials, table of multiple-angle transformation (from memory).
    """
    q = np.asarray(stiffness, dtype=np.float64)
    q11, q22, q12, q66 = float(q[0, 0]), float(q[1, 1]), float(q[0, 1]), float(q[2, 2])
    return Invariants(
        U1=(3 * q11 + 3 * q22 + 2 * q12 + 4 * q66) / 8,
        U2=(q11 - q22) / 2,
        U3=(q11 + q22 - 2 * q12 - 4 * q66) / 8,
        U4=(q11 + q22 + 6 * q12 - 4 * q66) / 8,
        U5=(q11 + q22 - 2 * q12 + 4 * q66) / 8,
    )
