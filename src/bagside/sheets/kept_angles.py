"""How well a ply's threads keep the angle they were drawn at, in one sentence for its page."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from bagside.drape import Drape, angles_that_survive
from bagside.drape.angles import LIMITS
from bagside.quantity import shown
from bagside.spec.job import Rosette

Shares = tuple[tuple[float, float], ...]


def kept_angles(
    drapes: Sequence[Drape], direction: tuple[float, float, float], angle: float, rule: Rosette
) -> tuple[Shares, Shares]:
    """Return the share of a ply's area whose warp and whose weft keep their direction, over all its pieces.

    Parameters
    ----------
    drapes
        The pieces; at least one.
    direction
        The part's zero direction.
    angle
        Of the ply [rad].
    rule
        How the zero direction is found at each place.

    Returns
    -------
    tuple
        For warp and weft: an angle [rad] and the share within it, narrowest first.
    """
    found = [angles_that_survive(d, np.array(direction), angle, rule) for d in drapes]
    weight = np.array([d.surface.area * (1.0 - a.left_out) for d, a in zip(drapes, found, strict=True)])
    if not weight.sum() > 0.0:
        return (), ()
    warp, weft = (
        tuple(zip(LIMITS, (float(x) for x in weight @ np.array(shares) / weight.sum()), strict=True))
        for shares in ([a.warp_within for a in found], [a.weft_within for a in found])
    )
    return warp, weft


def angle_words(warp: Sequence[tuple[float, float]], weft: Sequence[tuple[float, float]]) -> str:
    """Return how much of the area keeps its direction, as one sentence.

    Parameters
    ----------
    warp, weft
        An angle [rad] and the share of the area whose threads run within it, narrowest first.

    Examples
    --------
    >>> angle_words(((np.radians(3), 0.82), (np.radians(5), 0.95)), ())
    'Warp within ±3° 82 %, ±5° 95 % of the area.'
    """

    def of(word: str, shares: Sequence[tuple[float, float]]) -> str:
        told = ", ".join(f"±{shown(angle, '°', 0)} {shown(share, '%', 0)}" for angle, share in shares)
        return f"{word} within {told}" if shares else ""

    told = "; ".join(w for w in (of("warp", warp), of("weft", weft)) if w)
    return f"{told[:1].upper()}{told[1:]} of the area." if told else ""
