"""The edge of an object to a small part of a pixel, read across it in the photo itself.

Along the rough outline the photo's light is read on short lines across the edge, and the step in it is fitted to each
line. A shadow gives a wide step and is left out; where the edge cannot be read the outline has a gap that smoothing
closes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from bagside.camera.rectify import lifted
from bagside.camera.step import fitted_steps
from bagside.camera.view import View

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Mask = NDArray[np.bool_]

STEP = 0.5  # [px] between readings on a line
FAR, NEAR = 9.0, 6.0  # [px] a line reaches to either side, at first and when fitted
PASSES = (
    (0.0004, 0.0012, 0.0007),
    (0.0003, 0.0008, 0.0005),
    (0.00025, 0.0008, 0.0004),
)  # [m] smoothing, reach and slack while coming nearer
LAST = 0.0002  # [m] smoothing of the outline that is read along
ROWS = 20_000  # lines read at once


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Edge:
    """A closed edge as read, evenly along the outline, the object to the left.

    Parameters
    ----------
    points
        Where it was found, shape (n, 2) [m]; the rough outline where it was not read.
    normal
        Unit vectors away from the object, shape (n, 2).
    kept
        Where it was read, shape (n,).
    sd
        Scatter of a reading across the edge, from what the fit leaves, shape (n,) [m].
    blur
        Width of the step as a standard deviation, shape (n,) [px].
    inner
        Light inside, shape (n,), white being 1.
    step
        Light outside less light inside, shape (n,).
    pixel
        Size of a pixel across the edge, shape (n,) [m].
    soft
        Where the step is too wide for an edge: a shadow, shape (n,).
    """

    points: Floats
    normal: Floats
    kept: Mask
    sd: Floats
    blur: Floats
    inner: Floats
    step: Floats
    pixel: Floats
    soft: Mask

    def solid(self, light: Singles, view: View, height: float) -> Callable[[Floats, int], Floats]:
        """Return how far places near a reading look like the object: 1, or like what is beside it: 0.

        Parameters
        ----------
        light
            The photo's light, shape (h, w).
        view
            Of the camera.
        height
            Of the object's top over the sheet [m].
        """
        n = len(self.step)
        around = np.arange(-15, 16)

        def share(points: Floats, at: int) -> Floats:
            near = (at + around) % n
            near = near[self.kept[near]] if self.kept[near].any() else near
            inner, step = float(np.median(self.inner[near])), float(np.median(self.step[near]))
            seen = view.to_pixels(lifted(points, height))
            value = ndimage.map_coordinates(light, [seen[:, 1], seen[:, 0]], order=1, mode="nearest")
            out: Floats = 1.0 - (value - inner) / (step if abs(step) > 1e-6 else 1e-6)
            return out

        return share


def edge_of(light: Singles, view: View, rough: Floats, height: float, spacing: float) -> Edge:
    """Return the edge of an object near a rough outline.

    Parameters
    ----------
    light
        The photo's light, 0 to 1, shape (h, w).
    view
        Of the camera.
    rough
        Closed outline to about a millimetre, the object to the left, shape (k, 2) [m].
    height
        Of the object's top over the sheet [m].
    spacing
        Between readings along the outline [m].
    """
    loop = evened(rough, spacing)
    for smooth, reach, slack in PASSES:
        loop = evened(_round(loop, smooth / spacing), spacing)
        across = outward(loop, 1.5 * smooth / spacing)
        at, way, pixel = _lines(view, loop, across, height)
        far = max(FAR, reach / float(np.median(pixel)))
        found, strength = _steepest(_read(light, at, way, far), far)
        found = _consistent(found, strength, max(2, round(0.0015 / spacing)), slack / float(np.median(pixel)))
        loop = loop + (found * pixel)[:, None] * across
    loop = evened(_round(loop, LAST / spacing), spacing)
    across = outward(loop, 2.0 * LAST / spacing)
    at, way, pixel = _lines(view, loop, across, height)
    wall = _wall(view, loop, across, height) / pixel
    reach = NEAR + float(wall.max()) + 3.0
    values = _read(light, at, way, reach)
    begin, strength = _steepest(values, reach)
    begin = _consistent(begin, strength, max(2, round(0.001 / spacing)), 1.5)
    fit = fitted_steps(values, np.arange(-reach, reach + 0.5 * STEP, STEP), begin, wall)
    good = np.isfinite(fit.place) & np.isfinite(fit.sd) & (np.abs(fit.place - begin) < 2.0 + wall)
    usual = float(np.median(fit.step[good])) if good.any() else 0.0
    good &= fit.step * usual > 0.2 * usual**2
    kept = good & ~fit.soft & (fit.sd < 0.7)
    place = np.where(good, fit.place, begin - wall)
    return Edge(
        points=loop + (place * pixel)[:, None] * across,
        normal=across,
        kept=kept,
        sd=np.where(good, fit.sd, 1.0) * pixel,
        blur=fit.blur,
        inner=fit.inner,
        step=fit.step,
        pixel=pixel,
        soft=good & fit.soft,
    )


def light_across(
    light: Singles, view: View, points: Floats, across: Floats, height: float, reach: float
) -> tuple[Floats, Floats, Floats]:
    """Return the light on short lines through points.

    Parameters
    ----------
    light
        The photo's light, shape (h, w).
    view
        Of the camera.
    points
        Middles of the lines, shape (n, 2) [m].
    across
        Unit vectors along them, shape (n, 2).
    height
        Of their plane over the sheet [m].
    reach
        To either side [px].

    Returns
    -------
    tuple of ndarray
        Places on a line, shape (m,) [px]; light, shape (n, m); size of a pixel along each line, shape (n,) [m].
    """
    at, way, pixel = _lines(view, points, across, height)
    return np.arange(-reach, reach + 0.5 * STEP, STEP), _read(light, at, way, reach), pixel


def _wall(view: View, loop: Floats, across: Floats, height: float) -> Floats:
    """Return how wide the side of the object is seen beside its top, in the plane of the top [m]; none where hidden."""
    x, y, z = view.camera
    shift = ((np.array([x, y]) - loop) * across).sum(axis=1) * height / z
    out: Floats = np.maximum(shift, 0.0)
    return out


def evened(loop: Floats, spacing: float) -> Floats:
    """Return points evenly spaced along a closed outline, shape (n, 2) [m].

    Parameters
    ----------
    loop
        Corners, shape (k, 2) [m].
    spacing
        About the distance between them [m]; at least 16 points are given.
    """
    closed = np.concatenate([loop, loop[:1]])
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(closed, axis=0), axis=1))])
    count = max(16, round(along[-1] / spacing))
    at = along[-1] * np.arange(count) / count
    out: Floats = np.stack([np.interp(at, along, closed[:, k]) for k in (0, 1)], axis=1)
    return out


def outward(loop: Floats, sigma: float) -> Floats:
    """Return unit vectors away from what lies to the left of a closed outline, shape (n, 2).

    Parameters
    ----------
    loop
        Evenly spaced points, shape (n, 2) [m].
    sigma
        Length over which the direction is smoothed, in points.
    """
    along = np.stack([_turned(loop[:, k], sigma, 1) for k in (0, 1)], axis=1)
    size = np.linalg.norm(along, axis=1, keepdims=True)
    along = along / np.where(size > 0.0, size, 1.0)
    out: Floats = np.stack([along[:, 1], -along[:, 0]], axis=1)
    return out


def _round(loop: Floats, sigma: float) -> Floats:
    return np.stack([_turned(loop[:, k], sigma, 0) for k in (0, 1)], axis=1)


def _turned(values: Floats, sigma: float, order: int) -> Floats:
    """Return values on a ring smoothed by a normal curve, or their slope."""
    out: Floats = ndimage.gaussian_filter1d(values, max(sigma, 0.5), order=order, mode="wrap")
    return out


def _lines(view: View, loop: Floats, across: Floats, height: float) -> tuple[Floats, Floats, Floats]:
    """Return where each line begins, its direction in the photo [px] and the size of a pixel along it [m]."""
    small = 1e-4
    ends = view.to_pixels(lifted(np.concatenate([loop, loop + small * across, loop - small * across]), height))
    at, out, back = np.split(ends, 3)
    way = (out - back) / (2.0 * small)
    size = np.linalg.norm(way, axis=1)
    return at, way / size[:, None], 1.0 / size


def _read(light: Singles, at: Floats, way: Floats, reach: float) -> Floats:
    """Return the light along each line, from inside to outside, shape (n, m)."""
    t = np.arange(-reach, reach + 0.5 * STEP, STEP)
    # a window of the photo, so that table coordinates stay small
    low = np.maximum(np.floor(at.min(axis=0) - reach - 3.0), 0.0).astype(np.int64)
    high = np.ceil(at.max(axis=0) + reach + 4.0).astype(np.int64)
    part = np.ascontiguousarray(light[low[1] : high[1], low[0] : high[0]])
    out = np.empty((len(at), len(t)), dtype=np.float64)
    for start in range(0, len(at), ROWS):
        rows = slice(start, start + ROWS)
        x = (at[rows, 0, None] - low[0] + way[rows, 0, None] * t).astype(np.float32)
        y = (at[rows, 1, None] - low[1] + way[rows, 1, None] * t).astype(np.float32)
        out[rows] = cv2.remap(part, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return out


def _steepest(values: Floats, reach: float) -> tuple[Floats, Floats]:
    """Return where each line is steepest [px] and how steep, in the direction that most of the lines have."""
    slope = ndimage.gaussian_filter1d(values, 0.9 / STEP, axis=1, order=1, mode="nearest") / STEP
    count = slope.shape[1]
    third = count // 3
    sign = np.sign(np.median(values[:, -third:].mean(axis=1) - values[:, :third].mean(axis=1))) or 1.0
    slope = sign * slope
    k = slope[:, 2:-2].argmax(axis=1) + 2
    rows = np.arange(len(slope))
    before, here, after = slope[rows, k - 1], slope[rows, k], slope[rows, k + 1]
    bend = before - 2.0 * here + after
    shift = np.where(bend < 0.0, 0.5 * (before - after) / np.where(bend < 0.0, bend, 1.0), 0.0)
    return (k + np.clip(shift, -0.5, 0.5)) * STEP - reach, sign * here


def _consistent(found: Floats, strength: Floats, half: int, slack: float) -> Floats:
    """Return places with those replaced that stand off from their neighbours by more than the neighbours' scatter."""
    size = min(2 * half + 1, (len(found) - 1) | 1)
    middle = ndimage.median_filter(found, size=size, mode="wrap")
    off = np.abs(found - middle)
    scatter = 1.4826 * ndimage.median_filter(off, size=size, mode="wrap")
    weak = np.abs(strength) < 0.2 * np.median(np.abs(strength))
    return np.where((off > np.maximum(3.0 * scatter, slack)) | weak, middle, found)
