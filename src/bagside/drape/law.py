"""How a cloth resists being draped, as weights of the energy that `solve` makes small.

The yarns' stretch has weight one; everything else is weighed against it. The weights are numerical choices for linear
triangles (a smaller one makes them lock), not cloth properties: where a cloth is softer in shear than any of them the
map is the same. What the cloth itself brings is which of its ways to give is soft and which is hard, and its locking
angle.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.errors import InputError
from bagside.spec.material import ClothKind

Floats = NDArray[np.float64]

# On sphere caps laid off the mesh's own axes the shear is nearest to the net's with 3e-3 up to forty thousand triangles
# and with 2e-3 at a hundred thousand; the threads keep their length better with less. This lies between the two.
WOVEN = 3e-3
WOVEN_LEAST = 1e-3
FINE_FROM = 20_000  # triangles
FALL = 0.5
STITCHED = 20.0  # common practice, no source: the stitch pulled tight resists some twenty times as hard as let slack
TAPE_ACROSS = 0.1  # fibres of a tape spread or bunch ten times as easily as they stretch; a choice, no source
TAPE_SLIDING = 0.1  # and slide along each other about as hard: tacky prepreg, nothing that weaves them; a choice
VEIL = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ClothLaw:
    """How a cloth resists.

    Parameters
    ----------
    shear_weight
        Weight of tan² of the shear against the square of the warp's strain.
    locking_angle
        Shear past which it stiffens [rad]; nothing when the cloth has none.
    locking_weight
        Weight of the square of what tan of the shear has past tan of the locking angle.
    warp_weight, weft_weight
        Weights of the squares of the strains along u and along v.
    closing
        How many times the shear weight holds where warp and weft close (positive shear); 1 for a cloth that shears
        alike both ways.
    opening
        How many times it holds where they open (negative shear).

    Raises
    ------
    InputError
        When a weight is not positive or the locking angle is not between 0 and 90°.
    """

    shear_weight: float
    locking_angle: float | None = None
    locking_weight: float = 1.0
    warp_weight: float = 1.0
    weft_weight: float = 1.0
    closing: float = 1.0
    opening: float = 1.0

    def __post_init__(self) -> None:
        """Refuse what would make the energy meaningless."""
        weights = (
            ("shear weight", self.shear_weight),
            ("locking weight", self.locking_weight),
            ("warp weight", self.warp_weight),
            ("weft weight", self.weft_weight),
            ("closing", self.closing),
            ("opening", self.opening),
        )
        for name, weight in weights:
            if not (math.isfinite(weight) and weight > 0):
                raise InputError.one(f"cloth law, {name}", str(weight), "a positive number is wanted, as in 0.003")
        if self.locking_angle is not None and not 0 < self.locking_angle < math.pi / 2:
            raise InputError.one(
                "cloth law, locking angle",
                f"{math.degrees(self.locking_angle):.1f}°",
                "an angle between 0° and 90° is wanted, as in 45°",
            )

    def shear_cost(self, tangent: Floats) -> Floats:
        """Return what shear costs.

        Parameters
        ----------
        tangent
            tan of the shear, any shape.
        """
        cost = self._weight(tangent) * tangent * tangent
        if self.locking_angle is not None:
            past = np.maximum(0, np.abs(tangent) - math.tan(self.locking_angle))
            cost = cost + self.locking_weight * past * past
        return cost

    def shear_row(self, tangent: Floats) -> tuple[Floats, Floats]:
        """Return slope and value of one residual that pulls as the shear's cost does.

        Parameters
        ----------
        tangent
            tan of the shear, any shape.

        Notes
        -----
        Shear and locking are two residuals along one row: their squares add up to slope², their pulls to slope times
        value. The cost is smooth to its first derivative, at no shear and at the locking angle alike.
        """
        weight = self._weight(tangent)
        if self.locking_angle is None:
            root = np.sqrt(weight)
            return root, root * tangent
        past = np.abs(tangent) - math.tan(self.locking_angle)
        pull = weight * tangent + np.copysign(self.locking_weight, tangent) * np.maximum(0, past)
        root = np.sqrt(weight + np.where(past > 0, self.locking_weight, 0.0))
        return root, pull / root

    def _weight(self, tangent: Floats) -> Floats:
        if self.closing == self.opening:
            return np.full_like(tangent, self.shear_weight * self.closing)
        return np.where(tangent > 0, self.shear_weight * self.closing, self.shear_weight * self.opening)


def law_of(kind: ClothKind, locking_angle: float | None, triangles: int) -> ClothLaw:
    """Return how a kind of cloth resists on a mesh of a given fineness.

    Parameters
    ----------
    kind
        How the cloth is built.
    locking_angle
        Its locking angle [rad]; nothing when none is stated.
    triangles
        Number of triangles of the surface it is draped on.

    Returns
    -------
    ClothLaw
        Weights without unit.

    Notes
    -----
    Of a stitched biaxial (±45°) u runs along its +45° fibres and v along the others, 90° further; the stitch runs along
    the roll, between u and −v. Where u and v open the stitch is pulled tight and the cloth resists twenty times as hard
    as where they close. Laid with the other face to the mould it is the other way round: swap ``closing`` and
    ``opening``. Of a unidirectional tape u runs along the fibres, whose length is held; across them they spread and
    along each other they slide ten times as easily, so that ``stretch_weft`` of the result is the gap or the bunching
    and shear the sliding. A veil or film gives as a sheet does, alike in every direction.
    """
    soft = max(WOVEN_LEAST, WOVEN * max(1.0, triangles / FINE_FROM) ** -FALL)
    match kind:
        case ClothKind.WOVEN:
            return ClothLaw(shear_weight=soft, locking_angle=locking_angle)
        case ClothKind.NON_CRIMP:
            return ClothLaw(shear_weight=soft, locking_angle=locking_angle, opening=STITCHED)
        case ClothKind.UNIDIRECTIONAL:
            return ClothLaw(shear_weight=TAPE_SLIDING, locking_angle=locking_angle, weft_weight=TAPE_ACROSS)
        case ClothKind.VEIL:
            return ClothLaw(shear_weight=VEIL, locking_angle=locking_angle)
