"""The shear at which a weave usually locks, for a cloth whose sheet states none."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bagside.spec.material import ClothKind

SOURCE = "from memory of picture-frame tests: plain 35 to 45°, twill 45 to 55°, satin 50 to 60° and more"


@dataclass(frozen=True, slots=True, kw_only=True)
class Locking:
    """A usual locking angle.

    Parameters
    ----------
    angle
        The shear [rad].
    basis
        What it rests on.
    source
        Where it is from.
    """

    angle: float
    basis: str
    source: str


_WEAVES = (("satin", 55.0), ("harness", 55.0), ("twill", 50.0), ("plain", 40.0))
_OTHER = 40.0
_STITCHED = 30.0


def usual_locking(kind: ClothKind, weave: str) -> Locking | None:
    """Return the shear at which a cloth of this kind and weave usually locks; nothing where there is no such angle.

    Parameters
    ----------
    kind
        How the cloth is built.
    weave
        Its trade name, as in ``2x2 twill``.

    Notes
    -----
    Middle of the usual range; a tight or heavy cloth locks some five degrees earlier, and a tacky prepreg before its
    dry cloth. An unknown weave is taken for a plain one, the first of them to lock. Tapes, veils and films do not lock.
    """
    if kind is ClothKind.NON_CRIMP:
        return Locking(
            angle=math.radians(_STITCHED),
            basis="common practice",
            source="no source; stitched cloth locks early and unevenly",
        )
    if kind is not ClothKind.WOVEN:
        return None
    named = weave.casefold()
    for word, degrees in _WEAVES:
        if word in named:
            return Locking(angle=math.radians(degrees), basis="common practice", source=SOURCE)
    return Locking(angle=math.radians(_OTHER), basis="common practice", source=f"{SOURCE}; taken for a plain weave")
