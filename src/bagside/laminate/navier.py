"""A simply supported cross-ply or orthotropic rectangle by double sine series, with bending–stretching coupling.

Exact for its case, so it also checks `ritz`. Edges are held against moving along themselves and free to move across.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside.errors import InputError
from bagside.laminate.stack import Laminate

Floats = NDArray[np.float64]


def _waves(laminate: Laminate, a: float, b: float, terms: int, step: int) -> tuple[Floats, Floats, Floats]:
    """Return wave numbers each way and the stiffness of each wave with u and v eliminated [N/m³]."""
    if not (a > 0.0 and b > 0.0):
        raise InputError.one("plate, sides", f"{a:g} m, {b:g} m", "positive sides are wanted")
    A, B, D = laminate.A, laminate.B, laminate.D
    h = laminate.thickness
    for name, matrix, size in (("A", A, A), ("B", B, A * h), ("D", D, D)):
        if max(abs(matrix[0, 2]), abs(matrix[1, 2])) > 1e-6 * abs(size[0, 0] + size[1, 1]):
            raise InputError.one(
                f"laminate, {name}16 and {name}26",
                f"{matrix[0, 2]:.3g}, {matrix[1, 2]:.3g}",
                "no twist coupling is wanted for a sine series",
                "use `ritz` with the bending stiffness of the laminate",
            )
    alpha, beta = np.meshgrid(np.pi * np.arange(1, terms + 1, step) / a, np.pi * np.arange(1, terms + 1, step) / b)
    c11 = A[0, 0] * alpha**2 + A[2, 2] * beta**2
    c22 = A[1, 1] * beta**2 + A[2, 2] * alpha**2
    c12 = (A[0, 1] + A[2, 2]) * alpha * beta
    c13 = -B[0, 0] * alpha**3 - (B[0, 1] + 2 * B[2, 2]) * alpha * beta**2
    c23 = -B[1, 1] * beta**3 - (B[0, 1] + 2 * B[2, 2]) * alpha**2 * beta
    c33 = D[0, 0] * alpha**4 + 2 * (D[0, 1] + 2 * D[2, 2]) * alpha**2 * beta**2 + D[1, 1] * beta**4
    freed = (c13 * (c22 * c13 - c12 * c23) + c23 * (c11 * c23 - c12 * c13)) / (c11 * c22 - c12**2)
    return alpha, beta, c33 - freed


def deflection_even(laminate: Laminate, a: float, b: float, pressure: float, *, terms: int = 99) -> float:
    """Return the deflection at the centre under even pressure.

    Parameters
    ----------
    laminate
        Without twist coupling.
    a, b
        Sides [m].
    pressure
        [Pa].
    terms
        Highest wave number each way.

    Returns
    -------
    float
        [m].

    Raises
    ------
    InputError
        When the laminate has twist coupling or a side is not positive.
    """
    alpha, beta, stiffness = _waves(laminate, a, b, terms, 2)
    m, n = np.rint(alpha * a / np.pi), np.rint(beta * b / np.pi)
    sign = np.sin(m * np.pi / 2) * np.sin(n * np.pi / 2)
    return float((16 * pressure / (np.pi**2 * m * n) / stiffness * sign).sum())


def deflection_sine(laminate: Laminate, a: float, b: float, pressure: float) -> float:
    """Return the deflection at the centre under a pressure of one half sine wave each way.

    Parameters
    ----------
    laminate, a, b
        As in `deflection_even`.
    pressure
        At the centre [Pa].

    Returns
    -------
    float
        [m].

    Raises
    ------
    InputError
        See `deflection_even`.
    """
    return float(pressure / _waves(laminate, a, b, 1, 1)[2][0, 0])


def deflection_point(laminate: Laminate, a: float, b: float, force: float, *, terms: int = 199) -> float:
    """Return the deflection at the centre under a force there.

    Parameters
    ----------
    laminate, a, b
        As in `deflection_even`.
    force
        [N].
    terms
        Highest wave number each way.

    Returns
    -------
    float
        [m].

    Raises
    ------
    InputError
        See `deflection_even`.
    """
    return float((4 * force / (a * b) / _waves(laminate, a, b, terms, 2)[2]).sum())


def frequency_supported(laminate: Laminate, a: float, b: float, mass_per_area: float, *, terms: int = 9) -> float:
    """Return the lowest natural frequency of a simply supported rectangle.

    Parameters
    ----------
    laminate, a, b
        As in `deflection_even`.
    mass_per_area
        [kg/m²].
    terms
        Highest wave number each way.

    Returns
    -------
    float
        [Hz].

    Raises
    ------
    InputError
        See `deflection_even`, or when the mass is not positive.
    """
    if not mass_per_area > 0.0:
        raise InputError.one("mass per area", f"{mass_per_area:g} kg/m²", "a positive number is wanted")
    stiffness = _waves(laminate, a, b, terms, 1)[2]
    return float(np.sqrt(stiffness.min() / mass_per_area) / (2 * np.pi))


def buckling_supported(laminate: Laminate, a: float, b: float, ratio: float = 0.0, *, terms: int = 20) -> float:
    """Return the compression along x at which a simply supported rectangle buckles.

    Parameters
    ----------
    laminate, a, b
        As in `deflection_even`.
    ratio
        Compression along y over compression along x.
    terms
        Highest wave number each way; long plates need about a/b times three.

    Returns
    -------
    float
        Force per width [N/m], positive in compression.

    Raises
    ------
    InputError
        See `deflection_even`, or when the load never buckles the plate.

    Notes
    -----
    An unsymmetric laminate bends as soon as it is pressed; the figure is then the classical one for edges that keep it
    flat until then.
    """
    alpha, beta, stiffness = _waves(laminate, a, b, terms, 1)
    push = alpha**2 + ratio * beta**2
    if not bool((push > 0.0).any()):
        raise InputError.one("plate, ratio", f"{ratio:g}", "a load with compression is wanted")
    return float((stiffness[push > 0.0] / push[push > 0.0]).min())
