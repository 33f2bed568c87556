"""Numbers that sum up a plane stiffness: engineering constants, and how far from symmetric and from balanced it is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.laminate.elasticity import strain_transform

Floats = NDArray[np.float64]

_AXES = 361  # trial axes over a quarter turn, before the best one is refined


@dataclass(frozen=True, slots=True, kw_only=True)
class Constants:
    """Engineering constants of a laminate in reference axes.

    Parameters
    ----------
    Ex, Ey, Gxy
        Moduli [Pa].
    nuxy, nuyx
        Contraction across and along.
    """

    Ex: float
    Ey: float
    Gxy: float
    nuxy: float
    nuyx: float


def constants_of(compliance: Floats) -> Constants:
    """Return engineering constants of a plane compliance.

    Parameters
    ----------
    compliance
        Strain per mean stress, shape (3, 3) [1/Pa].

    Returns
    -------
    Constants
        Moduli [Pa] and Poisson's ratios.
    """
    c = compliance
    return Constants(
        Ex=float(1 / c[0, 0]),
        Ey=float(1 / c[1, 1]),
        Gxy=float(1 / c[2, 2]),
        nuxy=float(-c[0, 1] / c[0, 0]),
        nuyx=float(-c[0, 1] / c[1, 1]),
    )


def _size(matrix: Floats) -> float:
    """Return the length of a plane stiffness as a tensor, which does not change when it is turned."""
    weight = np.array([[1.0, 1.0, 2.0], [1.0, 1.0, 2.0], [2.0, 2.0, 4.0]])
    return float(np.sqrt((weight * matrix**2).sum()))


def symmetry_error(A: Floats, B: Floats, thickness: float) -> float:
    """Return how far a laminate is from symmetric.

    Parameters
    ----------
    A, B
        In-plane and coupling stiffness, shape (3, 3) [N/m, N].
    thickness
        Total thickness [m].

    Returns
    -------
    float
        4 |B| / (h |A|) with lengths of tensors: 0 for B = 0, 1 when all the stiffness lies on one side of
        mid-thickness.
    """
    return 4.0 * _size(B) / (thickness * _size(A))


def balance_error(A: Floats) -> float:
    """Return how far a laminate is from balanced, in the axes that suit it best.

    Parameters
    ----------
    A
        In-plane stiffness, shape (3, 3) [N/m].

    Returns
    -------
    float
        Least over all in-plane axes of hypot(A16, A26) / (A11 + A22 + 2 A66): 0 when the laminate has axes along which
        pulling does not shear it. A balanced stack that is turned as a whole stays balanced.
    """
    trace = float(A[0, 0] + A[1, 1] + 2 * A[2, 2])

    def coupling(angles: Floats) -> Floats:
        turn = strain_transform(angles)
        turned = np.swapaxes(turn, -1, -2) @ A @ turn
        out: Floats = np.hypot(turned[..., 0, 2], turned[..., 1, 2])
        return out

    angles = np.linspace(0.0, np.pi / 2, _AXES)
    for _ in range(4):
        values = coupling(angles)
        best, step = float(angles[int(np.argmin(values))]), float(angles[1] - angles[0])
        angles = np.linspace(best - step, best + step, 41)
    return float(coupling(np.array([best])).min()) / trace
