"""What a cloth's weave looks like in a mirror, and what can be done about it.

Seen from above, the floats of a twill climb along a diagonal. In a mirror the diagonal falls. Laying the mirrored shape
with the mirrored warp mirrors everything but the weave itself; a balanced twill turned by 90° shows its mirror image.
"""

from __future__ import annotations

import re
from enum import StrEnum

from bagside.spec.material import ClothKind, Prepreg

BALANCED = 0.05  # share by which the moduli along warp and weft may differ in a cloth called balanced


class InMirror(StrEnum):
    """What becomes of a weave in the mirror image of a part."""

    SAME = "looks the same"
    TURNS = "its diagonal is reversed by turning it by 90°"
    UNEVEN = "its diagonal would be reversed, but warp and weft differ"
    TWO_FACES = "its two faces differ, so neither turning nor turning over mirrors it"
    LAYERS = "the order of its two layers is reversed"
    UNKNOWN = "its weave is not stated"


def in_mirror(cloth: Prepreg) -> InMirror:
    """Return what becomes of a cloth's weave in a mirror.

    Parameters
    ----------
    cloth
        As its sheet states it; the weave is read from its trade name.

    Notes
    -----
    A twill is balanced when as many ends float over as under (``2x2 twill``) and its moduli along warp and weft differ
    by less than 5 %. Turned over, such a twill shows the mirrored diagonal too.
    """
    if cloth.kind is ClothKind.NON_CRIMP:
        return InMirror.LAYERS
    if cloth.kind is not ClothKind.WOVEN:
        return InMirror.SAME
    weave = cloth.weave.lower()
    if "twill" in weave:
        floats = re.search(r"(\d+)\s*[x×/]\s*(\d+)", weave)
        even = floats is None or floats[1] == floats[2]
        alike = abs(cloth.e1 - cloth.e2) <= BALANCED * max(cloth.e1, cloth.e2)
        if not even:
            return InMirror.TWO_FACES
        return InMirror.TURNS if alike else InMirror.UNEVEN
    if "satin" in weave or "harness" in weave:
        return InMirror.TWO_FACES
    if "plain" in weave or "basket" in weave:
        return InMirror.SAME
    return InMirror.UNKNOWN
