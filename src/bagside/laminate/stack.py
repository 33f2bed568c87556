"""The laminate: plies in the order they are laid, and what they do together.

Classical lamination theory. Ply 1 lies on the mould and has the lowest z; z is measured from mid-thickness, positive
towards the bag. Strains are engineering strains, curvature is minus the second derivative of the deflection, twist
twice the mixed one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bagside.errors import InputError
from bagside.laminate.measures import Constants, balance_error, constants_of, symmetry_error
from bagside.laminate.ply import LaidPly, Lamina
from bagside.laminate.woven import ply_response

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Laminate:
    """A stack of plies and its stiffness.

    Parameters
    ----------
    plies
        In laying order, ply 1 on the mould.
    A, B, D
        In-plane, coupling and bending stiffness, shape (3, 3) each [N/m, N, N m].
    N_thermal, M_thermal
        Thermal resultants per kelvin, shape (3,) each [N/(m K), N/K]: what a warmed, held laminate pushes with.
    surfaces
        z of the ply boundaries from the mould side up, shape (k + 1,) [m].
    """

    plies: tuple[LaidPly, ...]
    A: Floats
    B: Floats
    D: Floats
    N_thermal: Floats
    M_thermal: Floats
    surfaces: Floats

    @property
    def thickness(self) -> float:
        """Thickness with shear in it [m]."""
        return float(self.surfaces[-1] - self.surfaces[0])

    @property
    def mass_per_area(self) -> float:
        """Mass per area with shear in it [kg/m²]; raises InputError when a ply's weight is not known."""
        total = 0.0
        for ply in self.plies:
            if ply.areal_weight is None:
                raise InputError.one(
                    f"ply {ply.name}, areal weight", "", "the cured mass per area is needed, as in 345 g/m²"
                )
            total += ply.areal_weight / cos(ply.shear)
        return total

    @property
    def stiffness(self) -> Floats:
        """A, B and D as one matrix, shape (6, 6)."""
        return np.block([[self.A, self.B], [self.B, self.D]])

    @property
    def compliance(self) -> Floats:
        """Inverse of `stiffness`, shape (6, 6) [m/N, 1/N, 1/(N m)]."""
        out: Floats = np.asarray(np.linalg.inv(self.stiffness), dtype=np.float64)
        return out

    @property
    def bending(self) -> Floats:
        """Bending stiffness when the mid-plane is free to follow, D − B A⁻¹ B, shape (3, 3) [N m]."""
        out: Floats = self.D - self.B @ np.linalg.solve(self.A, self.B)
        return out

    @property
    def in_plane(self) -> Constants:
        """Constants under in-plane load, free to curve (the whole compliance)."""
        return constants_of(self.compliance[:3, :3] * self.thickness)

    @property
    def in_plane_flat(self) -> Constants:
        """Constants under in-plane load, held flat (A alone); the same as `in_plane` when B is zero."""
        flat = np.asarray(np.linalg.inv(self.A), dtype=np.float64) * self.thickness
        return constants_of(flat)

    @property
    def flexural(self) -> Constants:
        """Constants in bending, mid-plane free to follow."""
        return constants_of(self.compliance[3:, 3:] * self.thickness**3 / 12.0)

    @property
    def Ex(self) -> float:  # noqa: N802 - the field's own symbol
        """Young's modulus along the reference direction, free to curve [Pa]."""
        return self.in_plane.Ex

    @property
    def Ey(self) -> float:  # noqa: N802 - the field's own symbol
        """Young's modulus across the reference direction, free to curve [Pa]."""
        return self.in_plane.Ey

    @property
    def Gxy(self) -> float:  # noqa: N802 - the field's own symbol
        """Shear modulus, free to curve [Pa]."""
        return self.in_plane.Gxy

    @property
    def nuxy(self) -> float:
        """Contraction across under load along the reference direction."""
        return self.in_plane.nuxy

    @property
    def _free_response(self) -> Floats:
        out: Floats = np.linalg.solve(self.stiffness, np.concatenate([self.N_thermal, self.M_thermal]))
        return out

    @property
    def alpha(self) -> Floats:
        """Expansion of the free laminate (x, y, shear), shape (3,) [1/K]."""
        return self._free_response[:3]

    @property
    def free_curvature(self) -> Floats:
        """Curvature of the free laminate per kelvin (x, y, twist), shape (3,) [1/(m K)]."""
        return self._free_response[3:]

    @property
    def symmetry_error(self) -> float:
        """How far from symmetric: 4 |B| / (h |A|), 0 symmetric, of order 1 when all the stiffness is on one side."""
        return symmetry_error(self.A, self.B, self.thickness)

    @property
    def balance_error(self) -> float:
        """How far from having axes of symmetry in its plane: see `measures.balance_error`; 0 balanced."""
        return balance_error(self.A)

    def response(self, force: ArrayLike, moment: ArrayLike = (0.0, 0.0, 0.0), warmed: float = 0.0) -> Floats:
        """Return mid-plane strains and curvatures.

        Parameters
        ----------
        force
            Force per width (x, y, shear), shape (3,) [N/m].
        moment
            Moment per width (x, y, twist), shape (3,) [N].
        warmed
            Temperature above the stress-free one [K]; negative after cure.

        Returns
        -------
        Floats
            Shape (6,) [-, 1/m].
        """
        load = np.concatenate([np.asarray(force, dtype=np.float64), np.asarray(moment, dtype=np.float64)])
        heat = np.concatenate([self.N_thermal, self.M_thermal]) * warmed
        return np.asarray(np.linalg.solve(self.stiffness, load + heat), dtype=np.float64)


def laminate_of(plies: Sequence[LaidPly]) -> Laminate:
    """Return the laminate of plies given in laying order.

    Parameters
    ----------
    plies
        Ply 1, on the mould, first; at least one.

    Returns
    -------
    Laminate
        Stiffness [N/m, N, N m], thermal resultants and what follows from them.

    Raises
    ------
    InputError
        When there is no ply, or a sheared cloth's constants cannot be split into two yarn families.

    Notes
    -----
    Thin plies, perfectly bonded, linear. No stress through the thickness; see `beam` for interlaminar shear.
    """
    if not plies:
        raise InputError.one("laminate", "no ply", "at least one ply is wanted")
    pairs = [ply_response(p.lamina, p.angle, p.shear, p.woven) for p in plies]
    real = np.array([p.thickness / cos(p.shear) for p in plies])
    surfaces: Floats = np.concatenate([np.zeros(1), np.cumsum(real)]) - real.sum() / 2
    stiffness, heat = np.stack([q for q, _ in pairs]), np.stack([n for _, n in pairs])
    first, second, third = _moments(surfaces)
    return Laminate(
        plies=tuple(plies),
        A=np.einsum("k,kij->ij", first, stiffness),
        B=np.einsum("k,kij->ij", second, stiffness),
        D=np.einsum("k,kij->ij", third, stiffness),
        N_thermal=np.einsum("k,ki->i", first, heat),
        M_thermal=np.einsum("k,ki->i", second, heat),
        surfaces=surfaces,
    )


def abd_of(
    angles: ArrayLike,
    thickness: ArrayLike,
    shears: ArrayLike | None = None,
    *,
    laminae: Sequence[Lamina],
    woven: Sequence[bool] | None = None,
) -> tuple[Floats, Floats, Floats]:
    """Return A, B and D at many places at once.

    Parameters
    ----------
    angles
        Warp (or fibre) directions, shape (p, k): places, plies in laying order [rad].
    thickness
        Cured thickness without shear, shape (p, k), or (k,) for all places; zero where a ply is absent [m].
    shears
        Shears, shape (p, k); None for none [rad].
    laminae
        One per ply.
    woven
        One per ply; None for none woven.

    Returns
    -------
    tuple of Floats
        A, B, D, each of shape (p, 3, 3) [N/m, N, N m]; z from the local mid-thickness.

    Raises
    ------
    InputError
        When shapes do not agree, a number is not finite, or a place has no ply at all.
    """
    theta = np.asarray(angles, dtype=np.float64)
    gamma = np.zeros_like(theta) if shears is None else np.asarray(shears, dtype=np.float64)
    if theta.ndim != 2 or gamma.shape != theta.shape or theta.shape[1] != len(laminae):
        raise InputError.one(
            "laminate, angles",
            f"angles {theta.shape}, shears {gamma.shape}, {len(laminae)} plies",
            "one row per place and one column per ply are wanted",
        )
    kinds = [False] * len(laminae) if woven is None else list(woven)
    if len(kinds) != len(laminae):
        raise InputError.one("laminate, woven", f"{len(kinds)} values", f"{len(laminae)} are wanted, one a ply")
    nominal = np.asarray(thickness, dtype=np.float64)
    if nominal.shape not in (theta.shape, theta.shape[1:]):
        raise InputError.one("laminate, thickness", f"{nominal.shape}", f"{theta.shape} or one per ply is wanted")
    nominal = np.broadcast_to(nominal, theta.shape)
    present = nominal > 0.0
    usable = np.isfinite(theta) & np.isfinite(gamma) & (np.abs(gamma) < 1.5) | ~present
    if not (usable.all() and np.isfinite(nominal).all() and (nominal >= 0.0).all()):
        raise InputError.one("laminate, angles", "", "finite angles, shears below 86°, thicknesses from 0 are wanted")
    if not present.any(axis=1).all():
        place = int(np.flatnonzero(~present.any(axis=1))[0])
        raise InputError.one(f"laminate, place {place}", "no ply", "at least one ply is wanted")
    theta, gamma = np.where(present, theta, 0.0), np.where(present, gamma, 0.0)
    real = nominal / np.cos(gamma)
    total = real.sum(axis=1, keepdims=True)
    surfaces = np.concatenate([np.zeros_like(total), np.cumsum(real, axis=1)], axis=1) - total / 2
    moments = _moments(surfaces)
    out = [np.zeros((len(theta), 3, 3)) for _ in range(3)]
    for k, (lamina, cloth) in enumerate(zip(laminae, kinds, strict=True)):
        stiffness, _ = ply_response(lamina, theta[:, k], gamma[:, k], cloth)
        for matrix, weight in zip(out, moments, strict=True):
            matrix += weight[:, k, None, None] * stiffness
    return out[0], out[1], out[2]


def _moments(surfaces: Floats) -> tuple[Floats, Floats, Floats]:
    low, high = surfaces[..., :-1], surfaces[..., 1:]
    return high - low, (high**2 - low**2) / 2, (high**3 - low**3) / 3
