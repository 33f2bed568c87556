"""By how much this photo draws dark things too wide: read from its own markers, whose edges are known.

A camera bends light into stored values by a curve of its own and sharpens; ink spreads. Both move an edge between dark
and light to one side. The camera does the same to the object's edge, ink does not: what is seen on the markers is not
taken off, it widens what is stated of the object.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagside.camera.contour import light_across
from bagside.camera.plane_view import View
from bagside.camera.step import fitted_steps

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]

MARKERS, PER_SIDE = 24, 9  # how many are read, and places along each side
REACH = 5.0  # [px]
CLEAR = 12.0  # [px] from the photo's edge
LEAST_STEP = 0.15  # of white


def drawn_wide(light: Singles, view: View) -> float:
    """Return how far edges of markers are seen outside their true place, the median of many sides [px].

    Parameters
    ----------
    light
        The photo's light, shape (h, w).
    view
        Of the camera.

    Returns
    -------
    float
        More than zero when dark things are drawn too wide; zero when too few markers can be read.
    """
    h, w = light.shape
    seen = []
    for marker in view.frame.markers:
        pixels = view.to_pixels(marker.corners)
        if (pixels.min(axis=0) > CLEAR).all() and (pixels.max(axis=0) < np.array([w, h]) - CLEAR).all():
            seen.append(marker.corners)
    if len(seen) < 4:
        return 0.0
    corners = np.array(seen[:: max(1, len(seen) // MARKERS)])
    share = np.linspace(0.2, 0.8, PER_SIDE)[None, None, :, None]
    after = np.roll(corners, -1, axis=1)
    places = ((1.0 - share) * corners[:, :, None] + share * after[:, :, None]).reshape(-1, 2)
    way = (after - corners) / np.linalg.norm(after - corners, axis=2, keepdims=True)
    out = np.stack([-way[:, :, 1], way[:, :, 0]], axis=2)  # corners run clockwise
    across = np.repeat(out[:, :, None], PER_SIDE, axis=2).reshape(-1, 2)
    t, values, _ = light_across(light, view, places, across, 0.0, REACH)
    fit = fitted_steps(values, t, np.zeros(len(places)), np.zeros(len(places)))
    good = (fit.step > LEAST_STEP) & (np.abs(fit.place) < 1.5) & ~fit.soft
    if good.sum() < 4 * PER_SIDE:
        return 0.0
    # the two sides of a marker that face each other share what its own place is off
    off = np.where(good, fit.place, np.nan).reshape(len(corners), -1)
    full = good.reshape(len(corners), -1).mean(axis=1) > 0.6
    return float(np.median(np.nanmean(off[full], axis=1))) if full.sum() >= 4 else 0.0
