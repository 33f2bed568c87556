"""How a laminate compares with the part it replaces: three answers, because stiffness is three things.

Measures, each exact for an isotropic sheet and each the same in every in-plane direction:

- plate bending: the mean of D over all directions, (3 D11 + 3 D22 + 2 D12 + 4 D66)/8, with D the bending stiffness of a
  laminate whose mid-plane is free (D − B A⁻¹ B); an isotropic sheet gives E t³/12(1 − nu²);
- a gently curved panel pushed locally: √(bending × membrane), which sets the stiffness of a shallow shell under a point
  load, 8 √(D E t)/R; an isotropic sheet gives something that goes with E t²;
- in its plane: the membrane stiffness E t of the laminate with its plies turned in all directions alike,
  (U1² − U4²)/U1 of A.

A laminate that is strong one way only hides in a mean, so the weakest direction stands beside it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.errors import InputError, Problem
from bagside.laminate.elasticity import invariants, rotated_stiffness
from bagside.laminate.stack import Laminate

Floats = NDArray[np.float64]

_DIRECTIONS = np.linspace(0.0, np.pi, 361)[:-1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Original:
    """The sheet that is replaced, isotropic.

    Parameters
    ----------
    E
        Young's modulus [Pa].
    nu
        Poisson's ratio.
    thickness
        [m].
    density
        [kg/m³].

    Raises
    ------
    InputError
        When one of them is not positive, or Poisson's ratio is outside −1 to ½.
    """

    E: float
    nu: float
    thickness: float
    density: float

    def __post_init__(self) -> None:
        """Refuse a sheet that cannot be."""
        wrong = [
            Problem(place=f"original, {name}", came=f"{value:g}", wanted="a positive number is wanted")
            for name, value in (("E", self.E), ("thickness", self.thickness), ("density", self.density))
            if not 0.0 < value < float("inf")
        ]
        if not -1.0 < self.nu <= 0.5:
            wrong.append(Problem(place="original, nu", came=f"{self.nu:g}", wanted="more than −1, up to 0.5 is wanted"))
        if wrong:
            raise InputError(wrong)


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One way of being as stiff.

    Parameters
    ----------
    ratio
        New over old, by the mean measure.
    weakest
        New over old in the laminate's weakest in-plane direction.
    thickness
        Of this laminate, all plies scaled alike, that equals the original by the mean measure [m].
    mass_per_area
        Of that thickness [kg/m²].
    saving
        Share of the original's mass saved by it; negative when it is heavier.
    """

    ratio: float
    weakest: float
    thickness: float
    mass_per_area: float
    saving: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """A laminate beside the part it replaces.

    Parameters
    ----------
    bending
        As a flat plate.
    pushed
        As a gently curved panel pushed locally.
    in_plane
        As a bracket or an edge pulled in its plane.
    thickness
        Of the laminate as it is [m].
    mass_per_area
        Of the laminate as it is [kg/m²].
    saving
        Share of the original's mass saved by the laminate as it is.
    """

    bending: Answer
    pushed: Answer
    in_plane: Answer
    thickness: float
    mass_per_area: float
    saving: float


def mean_bending(laminate: Laminate) -> float:
    """Return the bending stiffness averaged over all directions [N m]."""
    return invariants(laminate.bending).U1


def mean_membrane(laminate: Laminate) -> float:
    """Return E t of the laminate with its plies turned in all directions alike [N/m]."""
    return invariants(laminate.A).isotropic[0]


def match(laminate: Laminate, original: Original) -> Match:
    """Return how a laminate compares with an isotropic sheet.

    Parameters
    ----------
    laminate
        Its plies' areal weights are needed.
    original
        The sheet replaced.

    Returns
    -------
    Match
        Three answers.

    Raises
    ------
    InputError
        When a ply's weight is not known.

    Notes
    -----
    Scaling keeps the proportions of the stack: bending goes with t³, pushing with t², in-plane with t. The means are of
    stiffness, an upper bound for a laminate that is not alike in all directions; `weakest` is the other end.
    """
    new_bending, new_membrane = mean_bending(laminate), mean_membrane(laminate)
    old_bending = original.E * original.thickness**3 / (12 * (1 - original.nu**2))
    old_membrane = original.E * original.thickness
    weak_bending = float(rotated_stiffness(laminate.bending, _DIRECTIONS)[:, 0, 0].min())
    turned = np.linalg.inv(rotated_stiffness(laminate.A, _DIRECTIONS))
    weak_membrane = float((1 / turned[:, 0, 0]).min())
    mass, old_mass = laminate.mass_per_area, original.density * original.thickness

    def answer(new: float, weak: float, old: float, power: float) -> Answer:
        scale = (old / new) ** (1 / power)
        return Answer(
            ratio=new / old,
            weakest=weak / old,
            thickness=laminate.thickness * scale,
            mass_per_area=mass * scale,
            saving=1 - mass * scale / old_mass,
        )

    return Match(
        bending=answer(new_bending, weak_bending, old_bending, 3),
        pushed=answer(
            (new_bending * new_membrane) ** 0.5,
            (weak_bending * weak_membrane) ** 0.5,
            (old_bending * old_membrane) ** 0.5,
            2,
        ),
        in_plane=answer(new_membrane, weak_membrane, old_membrane, 1),
        thickness=laminate.thickness,
        mass_per_area=mass,
        saving=1 - mass / old_mass,
    )
