"""Corners of markers from their sides: the step from black to white is found across each side, and the sides meet.

A corner found from the pixels round it lies inwards of the true one, because blur rounds it off. The sides of a marker
are straight and long, and the step across them is symmetric in light; where two of them meet is the corner, without
that bias.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.camera.marks import CELLS

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

PROFILES = 24
"""Across each side."""
MIDDLE = 0.76
"""Share of a side that is looked at; its ends are rounded off by blur."""
REACH = 0.8
"""Farthest from a side that is looked at, over one cell: beyond it the code begins."""
STEP = 0.5  # [px] between samples of a profile
ROUNDS = 4  # of centring the window on the step
NARROWEST, WIDEST = 2.5, 14.0  # [px] half a window
POOR = 0.5  # [px] left of a side's fit; beyond it the marker is dropped
WORSE, WORSE_LEAST = 5.0, 0.1  # times the middle marker's, and [px]: something lies over the side
BEND = 0.05  # [px] by which a lens bends a side of 100 px from its chord, as a standard deviation
READABLE = 0.35  # of the sheet's middle step from black to white: less is a reflection or a shadow's edge


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fitted:
    """Markers whose sides were fitted.

    Parameters
    ----------
    corners
        Shape (n, 4, 2) [px].
    good
        Which of them are to be trusted, shape (n,).
    left
        Root mean square of what is left of the worst side's fit, shape (n,) [px].
    width
        Standard deviation of the step's blur on each side, shape (n, 4) [px].
    """

    corners: Floats
    good: Mask
    left: Floats
    width: Floats


def fitted_corners(light: NDArray[np.float32], corners: Floats) -> Fitted:
    """Return the corners of markers from fits of their sides.

    Parameters
    ----------
    light
        The picture in light, not in stored values, shape (h, w).
    corners
        As detected, to two or three pixels; top left, top right, bottom right, bottom left as the marker is read,
        shape (n, 4, 2) [px].

    Notes
    -----
    On each side 24 profiles run across the middle 76 %. The centroid of the gradient under a window that is moved onto
    it gives a point; a line, which may bend as much as a lens bends it, is fitted robustly to the points, and
    neighbouring lines are intersected.
    """
    start = np.asarray(corners, dtype=np.float64).reshape(-1, 4, 2)
    n = len(start)
    if not n:
        return Fitted(corners=start, good=np.zeros(0, bool), left=np.zeros(0), width=np.zeros((0, 4)))
    low = start.reshape(-1, 2)
    high = np.roll(start, -1, axis=1).reshape(-1, 2)
    length = np.maximum(np.hypot(*(high - low).T), 1.0)
    along = (high - low) / length[:, None]
    out = np.column_stack([along[:, 1], -along[:, 0]])
    half = 0.5 * length
    s = np.linspace(-MIDDLE, MIDDLE, PROFILES)
    base = (0.5 * (low + high))[:, None] + (half[:, None] * s)[..., None] * along[:, None]  # (sides, profiles, 2)
    diagonal = start[:, 2:] - start[:, :2]
    area = 0.5 * np.abs(diagonal[:, 0, 0] * diagonal[:, 1, 1] - diagonal[:, 0, 1] * diagonal[:, 1, 0])
    across = np.repeat(area, 4) / length  # a marker seen aslant is narrower across its long sides
    reach = np.clip(REACH * across / CELLS, NARROWEST, WIDEST)

    offset = np.zeros((len(low), PROFILES))
    rise = np.ones_like(offset)
    width = np.full(len(low), 1.0)
    coefficient = np.zeros((len(low), 3))
    left = np.zeros(len(low))
    for k in range(ROUNDS):
        window = reach if k == 0 else np.clip(3.0 * width + 1.0, NARROWEST, reach)
        centre = line_offsets(coefficient, s) if k else offset
        offset, rise, width = _steps(light, base, out, centre, window, reach)
        clear = rise > READABLE * np.median(rise)
        coefficient, left = _line(s, offset, clear, length)
    enough = clear.sum(axis=1) >= PROFILES // 2
    corner = _meeting(0.5 * (low + high), along, out, half, coefficient)
    most = min(max(WORSE * float(np.median(left)), WORSE_LEAST), POOR)
    good = (enough & (left < most)).reshape(n, 4).all(axis=1)
    shift = np.hypot(*(corner - start).reshape(-1, 2).T).reshape(n, 4)
    good &= np.isfinite(corner).all(axis=(1, 2)) & (shift < np.maximum(3.0, 0.12 * length.reshape(n, 4))).all(axis=1)
    return Fitted(corners=corner, good=good, left=left.reshape(n, 4).max(axis=1), width=width.reshape(n, 4))


def line_offsets(coefficient: Floats, s: Floats) -> Floats:
    """Return the fitted offsets of sides at places along them.

    Parameters
    ----------
    coefficient
        Shape (sides, 3).
    s
        −1 at a side's beginning, 1 at its end, shape (k,).

    Returns
    -------
    ndarray
        Shape (sides, k) [px].
    """
    return np.asarray(coefficient @ np.stack([np.ones_like(s), s, s * s]))


def _steps(
    light: NDArray[np.float32], base: Floats, out: Floats, centre: Floats, window: Floats, reach: Floats
) -> tuple[Floats, Floats, Floats]:
    """Return the place of the step on each profile [px], its height, and each side's blur [px]."""
    count = 2 * int(np.ceil(reach.max() / STEP)) + 1
    x = np.linspace(-1.0, 1.0, count)[None, :] * reach[:, None]  # (sides, samples)
    step = x[:, 1] - x[:, 0]
    at = base[:, :, None] + (centre[:, :, None] + x[:, None])[..., None] * out[:, None, None]
    values = sampled(light, at)
    slope = np.diff(values, axis=2)
    middle = 0.5 * (x[:, 1:] + x[:, :-1])
    share = np.clip(middle / window[:, None], -1.0, 1.0)
    weight = np.cos(0.5 * np.pi * share) ** 2
    mass = np.einsum("skm,sm->sk", slope, weight)
    moment = np.einsum("skm,sm->sk", slope, weight * middle)
    with np.errstate(divide="ignore", invalid="ignore"):
        moved = np.where(mass > 0.0, moment / mass, 0.0)
    # under a window that is not yet centred the centroid lags: it is moved by rounds, not at once
    offset = centre + np.clip(moved, -window[:, None], window[:, None])
    rise = values[:, :, -1] - values[:, :, 0]
    mean = slope.mean(axis=1)
    steepest = np.maximum(mean.max(axis=1), 1e-9) / step
    width = np.maximum(rise.mean(axis=1), 0.0) / (np.sqrt(2.0 * np.pi) * steepest)
    return offset, np.where(mass > 0.0, rise, 0.0), width


def sampled(values: NDArray[np.float32], at: Floats) -> Floats:
    """Return a picture between its pixels, linearly.

    Parameters
    ----------
    values
        Shape (h, w).
    at
        x, y of places, shape (..., 2) [px]; outside the picture its edge goes on.
    """
    h, w = values.shape
    x, y = np.clip(at[..., 0], 0.0, w - 1.001), np.clip(at[..., 1], 0.0, h - 1.001)
    column, row = x.astype(np.int64), y.astype(np.int64)
    fx, fy = x - column, y - row
    flat = values.ravel()
    first = row * w + column
    top = flat[first] * (1.0 - fx) + flat[first + 1] * fx
    low = flat[first + w] * (1.0 - fx) + flat[first + w + 1] * fx
    return np.asarray(top * (1.0 - fy) + low * fy)


def _line(s: Floats, offset: Floats, clear: Mask, length: Floats) -> tuple[Floats, Floats]:
    """Return three coefficients of each side's line, and what is left [px]."""
    basis = np.stack([np.ones_like(s), s, s * s], axis=1)
    weight: Floats = clear.astype(np.float64)
    coefficient = np.zeros((len(offset), 3))
    spread = np.full(len(offset), 0.2)
    for _ in range(6):
        normal = np.einsum("sk,ka,kb->sab", weight, basis, basis)
        # a bend is known beforehand to be small: as if it had been measured as zero
        normal[:, 2, 2] += (spread / (BEND * (length / 100.0) ** 2)) ** 2
        normal += 1e-9 * np.eye(3)
        right = np.einsum("sk,ka->sa", weight * offset, basis)
        coefficient = np.linalg.solve(normal, right[..., None])[..., 0]
        rest = np.abs(offset - coefficient @ basis.T)
        spread = np.maximum(1.4826 * np.median(rest, axis=1), 0.01)
        weight = np.where(clear, np.minimum(1.0, 1.5 * spread[:, None] / np.maximum(rest, 1e-9)), 0.0)
    rest = offset - coefficient @ basis.T
    left = np.sqrt((weight * rest**2).sum(axis=1) / np.maximum(weight.sum(axis=1), 1.0))
    return coefficient, left


def _meeting(middle: Floats, along: Floats, out: Floats, half: Floats, coefficient: Floats) -> Floats:
    """Return where each side meets the one before it, shape (n, 4, 2) [px]."""

    def point(s: Floats) -> tuple[Floats, Floats]:
        a, b, c = coefficient.T
        place = middle + (half * s)[:, None] * along + (a + b * s + c * s * s)[:, None] * out
        slope = half[:, None] * along + (b + 2.0 * c * s)[:, None] * out
        return place, slope

    def before(values: Floats) -> Floats:
        return np.roll(values.reshape(-1, 4, *values.shape[1:]), 1, axis=1).reshape(values.shape)

    own, other = np.full(len(middle), -1.0), np.full(len(middle), 1.0)  # other: of the side that ends here
    for _ in range(5):
        p, dp = point(own)
        after = np.roll(other.reshape(-1, 4), -1, axis=1).ravel()  # as the side's own end
        q, dq = (before(v) for v in point(after))
        gap = q - p
        det = dp[:, 0] * -dq[:, 1] + dp[:, 1] * dq[:, 0]
        det = np.where(np.abs(det) < 1e-12, np.nan, det)
        own = own + (gap[:, 0] * -dq[:, 1] + gap[:, 1] * dq[:, 0]) / det
        other = other + (dp[:, 0] * gap[:, 1] - dp[:, 1] * gap[:, 0]) / det
    return np.asarray(point(own)[0]).reshape(-1, 4, 2)
