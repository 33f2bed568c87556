"""Pleats: spare film folded into the bag's edge, so that it reaches into every hollow.

The rule of the trade: one at each corner of the tape run and every 300 to 400 mm between; each half as high as the
mould is deep there, not lower than 50 mm, not higher than 120 mm. How many the limits touched is kept and reported.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from bagside.bagging.items import Pleats
from bagside.geometry.surface import Surface

Floats = NDArray[np.float64]

WIDEST_STEP = 0.400  # [m] between pleats
LOWEST, HIGHEST = 0.050, 0.120  # [m] of a pleat
CORNER_TURN = float(np.radians(50.0))  # of the tape run that asks for a pleat
CORNER_REACH = 0.060  # [m] to both sides, over which the turn is taken
BETWEEN_CORNERS = 0.150  # [m] least distance between two corners
LOCAL = 0.200  # [m] around a pleat in which depth is looked for
SAMPLE = 0.005  # [m] along the tape run


def heights_of(depths: Floats) -> tuple[Floats, int, int]:
    """Return heights of pleats for local depths, and how many of them the least and the largest height set.

    Parameters
    ----------
    depths
        Local depth at each pleat, shape (k,) [m].

    Returns
    -------
    heights : ndarray
        Shape (k,) [m].
    raised, lowered : int
    """
    half = 0.5 * np.asarray(depths, dtype=np.float64)
    heights: Floats = np.minimum(np.maximum(half, LOWEST), HIGHEST)
    return heights, int((half < LOWEST).sum()), int((half > HIGHEST).sum())


def pleats_along(line: Floats, surface: Surface, up: Floats) -> Pleats:
    """Return the pleats of a closed tape run over a surface.

    Parameters
    ----------
    line
        Points of the closed line in order, shape (k, 3) [m].
    surface
        What the bag covers.
    up
        Unit vector away from the mould.

    Returns
    -------
    Pleats
    """
    samples, length = _even(line)
    at = places_along(samples, length)
    points = samples[at]
    depths = np.array([_local_depth(p, surface, up) for p in points])
    heights, raised, lowered = heights_of(depths)
    return Pleats(heights=heights, places=points, held_up=raised, held_down=lowered)


def pleats_of_rectangle(length: float, width: float, depth: float, parts: int = 1) -> Pleats:
    """Return the pleats of a tape run that is a rectangle, without places.

    Parameters
    ----------
    length, width
        Of the rectangle [m].
    depth
        Of the mould [m].
    parts
        Number of parts side by side, each with a hollow of its own.
    """
    between = sum(2 * steps_between(side) for side in (length, width))
    heights, raised, lowered = heights_of(np.full((4 + between) * parts, depth))
    return Pleats(heights=heights, places=np.zeros((0, 3)), held_up=raised, held_down=lowered)


def steps_between(gap: float) -> int:
    """Return how many pleats go between two corners, so that none are wider apart than the rule allows.

    Parameters
    ----------
    gap
        Between the corners along the tape [m].
    """
    return max(0, math.ceil(gap / WIDEST_STEP - 1e-9) - 1)


def _even(line: Floats) -> tuple[Floats, float]:
    closed = np.concatenate([line, line[:1]])
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(closed, axis=0), axis=1))])
    count = max(24, round(run[-1] / SAMPLE))
    at = np.arange(count) * run[-1] / count
    samples: Floats = np.stack([np.interp(at, run, closed[:, k]) for k in range(3)], axis=1)
    return samples, float(run[-1])


def places_along(samples: Floats, length: float) -> NDArray[np.int64]:
    """Return which of evenly spaced samples of a closed line get a pleat.

    Parameters
    ----------
    samples
        Points, evenly spaced along the closed line, shape (k, 3) [m].
    length
        Of the line [m].
    """
    k = len(samples)
    step = length / k
    reach = max(1, min(round(CORNER_REACH / step), k // 6))
    ahead = np.roll(samples, -reach, axis=0) - samples
    behind = samples - np.roll(samples, reach, axis=0)
    cross = np.linalg.norm(np.cross(behind, ahead), axis=1)
    turn = np.arctan2(cross, np.einsum("ij,ij->i", behind, ahead))
    corners: list[int] = []
    apart = max(1, round(BETWEEN_CORNERS / step))
    for i in np.argsort(-turn, kind="stable"):
        if turn[i] < CORNER_TURN:
            break
        if all(min(abs(int(i) - c), k - abs(int(i) - c)) >= apart for c in corners):
            corners.append(int(i))
    corners = sorted(corners) or [0]
    chosen: list[int] = []
    for here, following in zip(corners, [*corners[1:], corners[0] + k], strict=True):
        between = steps_between((following - here) * step)
        chosen += [round(here + (following - here) * j / (between + 1)) % k for j in range(between + 1)]
    return np.array(sorted(set(chosen)), dtype=np.int64)


def _local_depth(point: Floats, surface: Surface, up: Floats) -> float:
    offset = surface.vertices - point
    height = offset @ up
    flat = np.linalg.norm(offset - height[:, None] * up, axis=1)
    near = flat <= LOCAL
    return float(np.abs(height[near]).max()) if near.any() else 0.0
