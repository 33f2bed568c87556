"""True corners of an edge that a lens has rounded: where two smooth sides would meet."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

ARM = 0.0035  # [m] of each side that says where it goes
BEND = 0.40  # [rad] less is a curve
APART = 0.0025  # [m] corners stand at least so far apart


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Corners:
    """Corners of a closed edge.

    Parameters
    ----------
    index
        Of the reading nearest to each, rising, shape (c,).
    place
        Where its sides meet, shape (c, 2) [m].
    blind
        Readings so near to a corner that they mix both sides, shape (n,).
    """

    index: NDArray[np.int64]
    place: Floats
    blind: Mask


def corners_in(
    points: Floats, kept: Mask, spacing: float, blur: float, solid: Callable[[Floats, int], Floats], side: float = 0.0
) -> Corners:
    """Return the corners of a closed edge.

    Parameters
    ----------
    points
        Readings, evenly spaced, shape (n, 2) [m].
    kept
        Those that count, shape (n,).
    spacing
        Between them [m].
    blur
        Standard deviation of the blur [m]; readings within two and a half of it are rounded by the lens.
    solid
        Says from the photo how far places, shape (m, 2) [m], near a reading look like the object: 1, or like what is
        beside it: 0.
    side
        How far the object's own side shows beside its top at most [m]: near a corner it hides the edge.

    Notes
    -----
    A place is a corner when two smooth sides, each fitted over 3.5 mm, turn by more than 23° and the photo shows the
    object (in a hollow corner the ground) right up to where they meet; a rounding wider than the blur stays a rounding.
    """
    n = len(points)
    gap = max(2, round((2.5 * blur + side) / spacing))
    arm = max(6, round((ARM + side) / spacing))
    none = Corners(index=np.zeros(0, dtype=np.int64), place=np.zeros((0, 2)), blind=np.zeros(n, dtype=np.bool_))
    if n < 4 * (gap + arm):
        return none
    turn = _turn(points, kept, gap, arm)
    size = max(1, round(APART / spacing))
    peak = (turn == ndimage.maximum_filter1d(turn, 2 * size + 1, mode="wrap")) & (turn > 0.8 * BEND)
    index: list[int] = []
    places: list[Floats] = []
    blind = np.zeros(n, dtype=np.bool_)
    for i in np.flatnonzero(peak):
        if any(min(abs(i - j), n - abs(i - j)) <= size for j in index):
            continue
        met = _met(points, kept, int(i), gap, arm, blur, solid, side)
        if met is None:
            continue
        near = points[(i + np.arange(-2 * gap, 2 * gap + 1)) % n]
        middle = int((i - 2 * gap + np.linalg.norm(near - met, axis=1).argmin()) % n)
        index.append(middle)
        places.append(met)
        wide = gap + int(np.linalg.norm(points[middle] - met) / spacing)
        blind[(middle + np.arange(-wide, wide + 1)) % n] = True
    if not index:
        return none
    order = np.argsort(index)
    return Corners(index=np.array(index)[order], place=np.array(places)[order], blind=blind)


def _turn(points: Floats, kept: Mask, gap: int, arm: int) -> Floats:
    """Return by how much the direction changes between the sides before and after each reading [rad]."""
    weight = kept.astype(np.float64)
    middle = points.mean(axis=0)
    x, y = (points - middle).T
    moments = [weight, weight * x, weight * y, weight * x * x, weight * x * y, weight * y * y]
    sums = [ndimage.uniform_filter1d(m, arm, mode="wrap") for m in moments]
    w, sx, sy, sxx, sxy, syy = (s for s in sums)
    w = np.maximum(w, 1e-9)
    cxx, cxy, cyy = sxx / w - (sx / w) ** 2, sxy / w - sx * sy / w**2, syy / w - (sy / w) ** 2
    angle = 0.5 * np.arctan2(2.0 * cxy, cxx - cyy)
    shift = gap + arm // 2
    diff = np.roll(angle, -shift) - np.roll(angle, shift)
    # directions of fitted lines are known to half a turn; the way along the edge says which
    chord = np.roll(points, -1, axis=0) - np.roll(points, 1, axis=0)
    along = np.stack([ndimage.uniform_filter1d(chord[:, k], arm, mode="wrap") for k in (0, 1)], axis=1)
    sense = np.sign(np.cos(angle) * along[:, 0] + np.sin(angle) * along[:, 1])
    flipped = np.roll(sense, -shift) * np.roll(sense, shift) < 0
    diff = diff + np.where(flipped, np.pi, 0.0)
    out: Floats = np.abs((diff + np.pi) % (2.0 * np.pi) - np.pi)
    return out


def _met(
    points: Floats,
    kept: Mask,
    i: int,
    gap: int,
    arm: int,
    blur: float,
    solid: Callable[[Floats, int], Floats],
    side: float,
) -> Floats | None:
    """Return where the two sides meet, or None when there is no corner."""
    n = len(points)
    sides = []
    for way in (-1, 1):
        steps = np.arange(gap, gap + arm)
        at = (i + way * steps) % n
        good = kept[at]
        if good.sum() < 0.6 * arm:
            return None
        fit = _side(points[at][good])
        if fit is None:
            return None
        sides.append(fit)
    (p, u, a, off_a), (q, v, b, off_b) = sides
    cross = u[0] * v[1] - u[1] * v[0]
    turn = float(np.arccos(np.clip(-(u @ v), -1.0, 1.0)))
    if turn < BEND or abs(cross) < 0.2:
        return None
    # both sides run from the corner outwards; they meet at p - s·u + a·s² across, found by a few steps
    s, t = 0.0, 0.0
    for _ in range(8):
        one, slope_one = _on(p, u, a, s)
        two, slope_two = _on(q, v, b, t)
        system = np.stack([slope_one, -slope_two], axis=1)
        if abs(np.linalg.det(system)) < 1e-3:
            return None
        move = np.linalg.solve(system, two - one)
        s, t = s + float(move[0]), t + float(move[1])
    met, leaving = _on(p, u, a, s)
    _, coming = _on(q, v, b, t)
    size = float(np.linalg.norm(leaving) * np.linalg.norm(coming))
    if float(np.arccos(np.clip(-(leaving @ coming) / size, -1.0, 1.0))) < BEND:
        return None  # both sides follow one curve
    if np.linalg.norm(met - points[i]) > 0.7 * arm * float(np.linalg.norm(points[(i + 1) % n] - points[i])):
        return None
    inward = u + v
    size = float(np.linalg.norm(inward))
    if size < 1e-3:
        return None
    hollow = u[0] * v[1] - u[1] * v[0] > 0.0
    if hollow and side > 2.0 * blur:
        return met  # its own side stands there
    # the lens draws a corner back: so far inside its sides that the blur of both leaves three quarters of the light
    reach = 1.2 * blur + (side if hollow else 0.0)
    depth = reach / max(np.sin(0.5 * (np.pi - turn)), 0.2) + 2.0 * max(off_a, off_b)
    share = float(solid((met + depth * inward / size)[None, :], i)[0])
    return met if (1.0 - share if hollow else share) > 0.55 else None


def _side(points: Floats) -> tuple[Floats, Floats, float, float] | None:
    """Return the start of a side, its direction there, its bend and how far readings scatter from it."""
    start, end = points[:3].mean(axis=0), points[-3:].mean(axis=0)
    long = float(np.linalg.norm(end - start))
    if long <= 0.0:
        return None
    u = (end - start) / long
    across = np.array([-u[1], u[0]])
    x, y = (points - start) @ u, (points - start) @ across
    keep = np.ones(len(x), dtype=np.bool_)
    for _ in range(3):
        fit = np.polynomial.polynomial.polyfit(x[keep] / long, y[keep], 2)
        off = np.abs(y - np.polynomial.polynomial.polyval(x / long, fit))
        keep = off <= max(3.0 * float(np.median(off)), 1e-5)
        if keep.sum() < 5:
            return None
    scatter = 1.4826 * float(np.median(off))
    tangent = u + across * fit[1] / long
    size = float(np.linalg.norm(tangent))
    return start + across * fit[0], tangent / size, float(fit[2]) / long**2, scatter


def _on(start: Floats, way: Floats, bend: float, s: float) -> tuple[Floats, Floats]:
    across = np.array([-way[1], way[0]])
    return start + s * way + bend * s * s * across, way + 2.0 * bend * s * across
