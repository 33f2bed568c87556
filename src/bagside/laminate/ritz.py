"""A rectangular laminate as a plate, any edges: deflection, frequency, buckling, by the Ritz method.

The shape is a sum of polynomials that already meet the edges, so twist coupling (D16, D26) and any mix of free,
supported and clamped edges cost nothing extra. Thin plates, small deflections, no stretching of the mid-plane.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

import numpy as np
from numpy.polynomial import Polynomial
from numpy.polynomial.legendre import leggauss
from numpy.typing import NDArray

from bagside.errors import InputError, NotSolved

Floats = NDArray[np.float64]
_Load = Callable[[int], Floats]

TOLERANCE = 2e-3  # change between two sizes of the sum that is still called the same answer
TOLERANCE_POINT = 5e-3  # the same under a point force, where the sum closes in slowly and from the stiff side


class Edge(StrEnum):
    """How an edge is held."""

    FREE = "free"
    SUPPORTED = "simply supported"
    CLAMPED = "clamped"


_POWER = {Edge.FREE: 0, Edge.SUPPORTED: 1, Edge.CLAMPED: 2}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plate:
    """A rectangle 0..a by 0..b with bending stiffness D.

    Parameters
    ----------
    D
        Bending stiffness, shape (3, 3) [N m]; for a stack that is not symmetric take `Laminate.bending`.
    a, b
        Sides along x and y [m].
    edges
        At x = 0, x = a, y = 0, y = b.

    Raises
    ------
    InputError
        When a side is not positive, D is not positive definite, or the plate could move as a whole.
    """

    D: Floats
    a: float
    b: float
    edges: tuple[Edge, Edge, Edge, Edge] = (Edge.SUPPORTED, Edge.SUPPORTED, Edge.SUPPORTED, Edge.SUPPORTED)

    def __post_init__(self) -> None:
        """Refuse a plate that cannot carry anything."""
        if not (self.a > 0.0 and self.b > 0.0):
            raise InputError.one("plate, sides", f"{self.a:g} m, {self.b:g} m", "positive sides are wanted")
        if self.D.shape != (3, 3) or not bool((np.linalg.eigvalsh((self.D + self.D.T) / 2) > 0.0).all()):
            raise InputError.one("plate, D", "", "a positive definite bending stiffness is wanted")
        powers = [_POWER[edge] for edge in self.edges]
        held = (
            max(powers) == 2
            or (powers[0] and powers[1])
            or (powers[2] and powers[3])
            or (sum(1 for p in powers if p) >= 2)
        )
        if not held:
            raise InputError.one("plate, edges", "", "one clamped or two supported edges are wanted")


@lru_cache(maxsize=64)
def _basis(low: Edge, high: Edge, terms: int) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """Return Gauss points and weights on 0..1 and the functions' values, slopes, curvatures there, (terms, points)."""
    points, weights = leggauss(terms + 8)
    edge = Polynomial([1.0, 1.0]) ** _POWER[low] * Polynomial([1.0, -1.0]) ** _POWER[high]
    slope, curve = edge.deriv(), edge.deriv(2)
    legendre = np.polynomial.legendre.legvander(points, terms - 1).T
    one, two = np.zeros_like(legendre), np.zeros_like(legendre)
    for k in range(terms):
        unit = np.zeros(k + 1)
        unit[k] = 1.0
        one[k] = np.polynomial.legendre.legval(points, np.polynomial.legendre.legder(unit, 1))
        two[k] = np.polynomial.legendre.legval(points, np.polynomial.legendre.legder(unit, 2))
    e, s, c = edge(points), slope(points), curve(points)
    values = e * legendre
    slopes = s * legendre + e * one
    curves = c * legendre + 2 * s * one + e * two
    scale = np.sqrt((weights * values**2).sum(axis=1))[:, None]
    return points, weights / 2, values / scale, 2 * slopes / scale, 4 * curves / scale


def _values(low: Edge, high: Edge, terms: int, at: float) -> tuple[Floats, Floats, Floats]:
    """Return the same functions' values, slopes and curvatures at one place 0..1, (terms,)."""
    points, weights, values, _, _ = _basis(low, high, terms)
    degree = terms + 4
    fit = np.polynomial.legendre.legvander(points, degree - 1)
    lengths = 2 / (2 * np.arange(degree) + 1)
    coefficients = (values * (2 * weights)) @ fit / lengths  # exact: Gauss points integrate these products exactly
    xi = 2 * at - 1
    series = np.polynomial.legendre
    out = [
        np.array([factor * series.legval(xi, series.legder(row, order)) for row in coefficients])
        for order, factor in ((0, 1.0), (1, 2.0), (2, 4.0))
    ]
    return out[0], out[1], out[2]


def _matrices(plate: Plate, terms: int) -> tuple[Floats, list[list[Floats]], list[list[Floats]]]:
    """Return the stiffness matrix and the one-dimensional products X[i][j], Y[i][j] of derivatives i and j."""
    _, wx, *fx = _basis(plate.edges[0], plate.edges[1], terms)
    _, wy, *fy = _basis(plate.edges[2], plate.edges[3], terms)
    x = [[(fx[i] * wx) @ fx[j].T / plate.a ** (i + j) for j in range(3)] for i in range(3)]
    y = [[(fy[i] * wy) @ fy[j].T / plate.b ** (i + j) for j in range(3)] for i in range(3)]
    d = plate.D
    parts = {(2, 0): 0, (0, 2): 1, (1, 1): 2}
    stiffness = np.zeros((terms**2, terms**2))
    for (i, j), r in parts.items():
        for (k, m), s in parts.items():
            twist = (2.0 if r == 2 else 1.0) * (2.0 if s == 2 else 1.0)
            stiffness += twist * d[r, s] * np.kron(x[i][k], y[j][m])
    return stiffness * plate.a * plate.b, x, y


@dataclass(frozen=True, slots=True, kw_only=True)
class Bent:
    """A loaded plate at one place.

    Parameters
    ----------
    deflection
        [m].
    moments
        Mx, My, Mxy per width [N].
    """

    deflection: float
    moments: tuple[float, float, float]


def _bent(plate: Plate, load: Floats, stiffness: Floats, terms: int, x: float, y: float) -> Bent:
    shape = np.linalg.solve(stiffness, load)
    gx = _values(plate.edges[0], plate.edges[1], terms, x / plate.a)
    gy = _values(plate.edges[2], plate.edges[3], terms, y / plate.b)
    w = float(np.kron(gx[0], gy[0]) @ shape)
    curvature = -np.array(
        [
            np.kron(gx[2], gy[0]) @ shape / plate.a**2,
            np.kron(gx[0], gy[2]) @ shape / plate.b**2,
            2 * np.kron(gx[1], gy[1]) @ shape / (plate.a * plate.b),
        ]
    )
    m = plate.D @ curvature
    return Bent(deflection=w, moments=(float(m[0]), float(m[1]), float(m[2])))


def _settled(coarse: float, fine: float, what: str, tolerance: float = TOLERANCE) -> None:
    if not abs(fine - coarse) <= tolerance * abs(fine):
        raise NotSolved(f"{what} still changes by {abs(fine / coarse - 1):.1%} with more terms; ask for more of them")


def bent_by_pressure(plate: Plate, pressure: float, at: tuple[float, float] | None = None, *, terms: int = 12) -> Bent:
    """Return deflection and moments of a plate under even pressure.

    Parameters
    ----------
    plate
        The plate.
    pressure
        [Pa].
    at
        Place (x, y) [m]; None: the centre.
    terms
        Polynomials each way.

    Returns
    -------
    Bent
        Deflection [m], moments [N].

    Raises
    ------
    InputError
        When the place is not on the plate or fewer than 4 terms are asked for.
    NotSolved
        When the deflection still changes by more than `TOLERANCE` with more terms.

    Notes
    -----
    Small deflections: beyond half a thickness the plate is stiffer than this.
    """
    return _under(plate, lambda n: _even(plate, n) * pressure, at, terms, TOLERANCE)


def bent_by_force(plate: Plate, force: float, at: tuple[float, float] | None = None, *, terms: int = 24) -> Bent:
    """Return the deflection and moments of a plate under a force at a point, there.

    Parameters
    ----------
    plate
        The plate.
    force
        [N].
    at
        Place (x, y) of the force and of the answer [m]; None: the centre.
    terms
        Polynomials each way.

    Returns
    -------
    Bent
        Deflection [m], moments [N]; moments under a point force grow without bound and are not to be used.

    Raises
    ------
    InputError
        When the place is not on the plate or fewer than 4 terms are asked for.
    NotSolved
        When the deflection still changes by more than `TOLERANCE_POINT` with more terms.
    """
    x, y = (plate.a / 2, plate.b / 2) if at is None else at

    def load(n: int) -> Floats:
        gx = _values(plate.edges[0], plate.edges[1], n, x / plate.a)[0]
        gy = _values(plate.edges[2], plate.edges[3], n, y / plate.b)[0]
        return np.asarray(np.kron(gx, gy) * force, dtype=np.float64)

    return _under(plate, load, (x, y), terms, TOLERANCE_POINT)


def _even(plate: Plate, terms: int) -> Floats:
    _, wx, fx, *_ = _basis(plate.edges[0], plate.edges[1], terms)
    _, wy, fy, *_ = _basis(plate.edges[2], plate.edges[3], terms)
    return np.asarray(np.kron(fx @ wx, fy @ wy) * plate.a * plate.b, dtype=np.float64)


def _under(plate: Plate, load: _Load, at: tuple[float, float] | None, terms: int, tolerance: float) -> Bent:
    x, y = (plate.a / 2, plate.b / 2) if at is None else at
    if not (0.0 <= x <= plate.a and 0.0 <= y <= plate.b):
        raise InputError.one("plate, place", f"{x:g} m, {y:g} m", "a place on the plate is wanted")
    out, works = [], []
    for n in (_fewer(terms), terms):
        stiffness = _matrices(plate, n)[0]
        force = load(n)
        works.append(float(force @ np.linalg.solve(stiffness, force)))
        out.append(_bent(plate, force, stiffness, n, x, y))
    _settled(works[0], works[1], "the deflection", tolerance)
    return out[1]


def _fewer(terms: int) -> int:
    if terms < 4:
        raise InputError.one("terms", str(terms), "at least 4 are wanted")
    return terms - 2


def frequency(plate: Plate, mass_per_area: float, *, terms: int = 12) -> float:
    """Return the lowest natural frequency of a plate.

    Parameters
    ----------
    plate
        The plate.
    mass_per_area
        [kg/m²].
    terms
        Polynomials each way.

    Returns
    -------
    float
        [Hz].

    Raises
    ------
    InputError
        When the mass is not positive.
    NotSolved
        When it still changes by more than `TOLERANCE` with more terms.
    """
    from scipy.linalg import eigvalsh

    if not mass_per_area > 0.0:
        raise InputError.one("mass per area", f"{mass_per_area:g} kg/m²", "a positive number is wanted")
    found = []
    for n in (_fewer(terms), terms):
        stiffness, x, y = _matrices(plate, n)
        mass = np.kron(x[0][0], y[0][0]) * plate.a * plate.b * mass_per_area
        found.append(float(np.sqrt(eigvalsh(stiffness, mass, subset_by_index=[0, 0])[0])) / (2 * np.pi))
    _settled(found[0], found[1], "the frequency")
    return found[1]


def buckling(plate: Plate, force: tuple[float, float, float], *, terms: int = 12) -> float:
    """Return the factor at which a plate buckles under in-plane load.

    Parameters
    ----------
    plate
        The plate.
    force
        Nx, Ny, Nxy per width, tension positive [N/m].
    terms
        Polynomials each way.

    Returns
    -------
    float
        Least positive factor on the load.

    Raises
    ------
    InputError
        When the load never buckles the plate.
    NotSolved
        When the factor still changes by more than `TOLERANCE` with more terms.
    """
    from scipy.linalg import eigh

    found = []
    for n in (_fewer(terms), terms):
        stiffness, x, y = _matrices(plate, n)
        cross = np.kron(x[1][0], y[0][1])
        geometric = force[0] * np.kron(x[1][1], y[0][0]) + force[1] * np.kron(x[0][0], y[1][1])
        geometric = (geometric + force[2] * (cross + cross.T)) * plate.a * plate.b
        values = eigh(-geometric, stiffness, eigvals_only=True)
        if not values[-1] > 1e-12 * np.abs(values).max():
            raise InputError.one("plate, load", f"{force} N/m", "a load with compression or shear is wanted")
        found.append(float(1 / values[-1]))
    _settled(found[0], found[1], "the buckling load")
    return found[1]
