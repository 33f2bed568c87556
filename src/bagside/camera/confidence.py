"""How well an outline is known, in millimetres.

What is stated of an outline: in 95 of 100 photos at least 95 of 100 of its points lie within this distance of the true
edge. It adds, as variances, what is known of the view (markers, lens, size of the printed sheet), of the edge (readings
along it, and that a lens and a camera's curve may draw every edge to one side), of the height of the object's top, and
of the smoothing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from bagside.camera.contour import Edge
from bagside.camera.plane_view import View
from bagside.camera.smooth import Outline
from bagside.geometry.flat import loop_area, loop_length

Floats = NDArray[np.float64]

DRAWN = 0.20
"""Of a pixel by which the whole edge may lie to one side, standard deviation: the camera's curve, sharpening, a wall
beside the top; common practice, no source."""
THICKNESS_SD = 0.15
"""Of the thickness stated, relative, standard deviation: common practice, no source."""
LEAST_THICKNESS_SD = 5e-5  # [m]
FLAT_SD = 1e-4  # [m] a sheet and an object pressed flat lie flat to about this: common practice, no source
BRIDGED = 0.05
"""Of the distance to the nearest place that was read, where an edge was bridged; common practice, no source."""
ALONG = 0.002  # [m] readings closer than this err together
SURE = 2.0
"""Standard deviations that hold 95 of 100."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Confidence:
    """How well an outline and its area are known.

    Parameters
    ----------
    outline
        95 of 100 points of the outline lie within this of the true edge, in 95 of 100 photos [m].
    area
        The area is within this of the truth, in 95 of 100 photos [m²].
    view, edge, height, smoothing
        What each adds to `outline` on its own [m].
    """

    outline: float
    area: float
    view: float
    edge: float
    height: float
    smoothing: float


def confidence_of(
    view: View,
    edges: tuple[Edge, ...],
    outlines: tuple[Outline, ...],
    height: float,
    spacing: float,
    wide: float = 0.0,
) -> Confidence:
    """Return how well an outline with its holes is known.

    Parameters
    ----------
    view
        Of the camera.
    edges, outlines
        Of the outer edge and of each hole.
    height
        Of the object's top over the sheet [m].
    spacing
        Of readings along an edge [m].
    wide
        By how much the photo draws its markers too wide [px], as `bagside.camera.drawn.drawn_wide` returns it.
    """
    together = max(1.0, ALONG / spacing)
    by_view, by_edge, by_height, by_smoothing, by_rules = [], [], [], [], []
    area = drawn = reading = 0.0
    x, y, z = view.camera
    for edge, outline in zip(edges, outlines, strict=True):
        at = outline.dense
        by_view.append(view.plane_sd(at, height))
        by_rules.append((((at - view.frame.middle) * np.array(view.frame.scale_sd)) ** 2).max(axis=1))
        lean = np.linalg.norm(at - [x, y], axis=1) / z
        one_side = float(np.hypot(DRAWN, wide)) * edge.pixel
        # a wave of a few millimetres is followed, so noise goes down by the readings in it only
        noise = np.maximum(outline.scatter, edge.sd) / np.sqrt(together)
        unread = BRIDGED * _from_read(edge.kept | outline.corners.blind) * spacing
        by_edge.append(np.sqrt(one_side**2 + noise**2 + unread**2))
        thickness = max(THICKNESS_SD * height, LEAST_THICKNESS_SD)
        by_height.append(np.hypot(thickness, FLAT_SD) * lean)
        by_smoothing.append(np.full(len(at), 0.35 * outline.strays))
        area += loop_area(outline.points)
        length = loop_length(outline.points)
        drawn += length * float(one_side.mean())
        reading += length * spacing * float((noise**2).mean()) * together
    parts = [np.concatenate(p) for p in (by_view, by_edge, by_height, by_smoothing)]
    whole = np.sqrt(sum(p**2 for p in parts))
    outer = outlines[0].points
    arm = float(np.sqrt(((outer - outer.mean(axis=0)) ** 2).sum(axis=1).mean()))
    # the rules are off by themselves; what else is off swells the whole in both directions at once
    rest = float(np.maximum(parts[0] ** 2 + parts[2] ** 2 - np.concatenate(by_rules), 0.0).mean())
    swell = 2.0 * float(np.sqrt(rest)) / max(arm, 1e-6)
    size = abs(area) * float(np.hypot(swell, np.hypot(*view.frame.scale_sd)))
    own = [SURE * float(np.percentile(p, 90)) for p in parts]
    return Confidence(
        outline=SURE * float(np.percentile(whole, 90)),
        area=SURE * float(np.sqrt(drawn**2 + reading + size**2)),
        view=own[0],
        edge=own[1],
        height=own[2],
        smoothing=own[3],
    )


def _from_read(seen: NDArray[np.bool_]) -> Floats:
    """Return how many readings away the nearest one that counts is, around the ring, shape (n,)."""
    n = len(seen)
    away = ndimage.distance_transform_edt(np.tile(~seen, 3)) if seen.any() else np.full(3 * n, float(n))
    out: Floats = np.asarray(away[n : 2 * n], dtype=np.float64)
    return out
