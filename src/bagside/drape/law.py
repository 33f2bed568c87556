"""How a cloth resists being draped, as weights of the energy that `solve` makes small.

The yarns' stretch has weight one; the shear's square of the tangent is weighed against it. The weights are numerical
choices for linear triangles (a smaller one makes them lock), not cloth properties: where a cloth is softer in shear
than any of them the map is the same.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from bagside.errors import InputError
from bagside.spec.material import ClothKind

# On sphere caps laid off the mesh's own axes the shear is nearest to the net's with 3e-3 up to forty thousand triangles
# and with 2e-3 at a hundred thousand; the threads keep their length better with less. This lies between the two.
WOVEN = 3e-3
WOVEN_LEAST = 1e-3
FINE_FROM = 20_000  # triangles
FALL = 0.5
STITCH = 20.0**0.5  # a stitched biaxial shears easily one way and about 20 times harder the other: geometric mean
UNIDIRECTIONAL = 0.3
VEIL = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ClothLaw:
    """How a cloth resists.

    Parameters
    ----------
    shear_weight
        Weight of tan² of the shear against the square of the yarn strain.
    locking_angle
        Shear past which it stiffens [rad]; nothing when the cloth has none.
    locking_weight
        Weight of the square of what tan of the shear has past tan of the locking angle.

    Raises
    ------
    InputError
        When a weight is not positive or the locking angle is not between 0 and 90°.
    """

    shear_weight: float
    locking_angle: float | None = None
    locking_weight: float = 1.0

    def __post_init__(self) -> None:
        """Refuse what would make the energy meaningless."""
        for name, weight in (("shear weight", self.shear_weight), ("locking weight", self.locking_weight)):
            if not (math.isfinite(weight) and weight > 0):
                raise InputError.one(f"cloth law, {name}", str(weight), "a positive number is wanted, as in 0.003")
        if self.locking_angle is not None and not 0 < self.locking_angle < math.pi / 2:
            raise InputError.one(
                "cloth law, locking angle",
                f"{math.degrees(self.locking_angle):.1f}°",
                "an angle between 0° and 90° is wanted, as in 45°",
            )


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
    A stitched biaxial shears unequally in its two senses; here both resist alike with the geometric mean. A
    unidirectional tape is held like a sheet whose fibres neither spread nor slide, which overstates what it resists
    across the fibre.
    """
    woven = max(WOVEN_LEAST, WOVEN * max(1.0, triangles / FINE_FROM) ** -FALL)
    weight = {
        ClothKind.WOVEN: woven,
        ClothKind.NON_CRIMP: woven * STITCH,
        ClothKind.UNIDIRECTIONAL: UNIDIRECTIONAL,
        ClothKind.VEIL: VEIL,
    }[kind]
    return ClothLaw(shear_weight=weight, locking_angle=locking_angle)
