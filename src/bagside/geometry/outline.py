"""The polygon of a stated outline in its own plane, and the axes of that plane."""

from __future__ import annotations

import math

import numpy as np

from bagside.geometry.surface import Floats
from bagside.spec.region import Outline, Shape

CHORD = 2e-5  # [m] a polygon strays from its curve by at most this
LEAST = 72  # corners of a full turn: even a 1 mm hole looks round

SHARP = 1e-6  # [m] a corner radius below this is a sharp corner


def axes(outline: Outline) -> Floats:
    """Return the outline's x axis, y axis and the direction towards the viewer as rows, shape (3, 3).

    Parameters
    ----------
    outline
        The outline. Its x axis is the mould's x axis as seen along the sight (the mould's y axis when the sight is
        within 1° of x); its y axis is to its left for someone who looks against the sight.

    Examples
    --------
    >>> from bagside.spec.region import Outline, Shape
    >>> axes(Outline(shape=Shape.CIRCLE, size=(0.1, 0.1))).tolist()
    [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]
    """
    sight = np.array(outline.along, dtype=np.float64)
    sight = sight / np.linalg.norm(sight)
    start = np.array([1.0, 0.0, 0.0])
    if abs(sight[0]) > math.cos(math.radians(1)):
        start = np.array([0.0, 1.0, 0.0])
    x = start - (start @ sight) * sight
    x = x / np.linalg.norm(x)
    return np.stack([x, np.cross(sight, x), sight]) + 0.0


def outline_polygon(outline: Outline) -> Floats:
    """Return the outline as a polygon in its plane, counter-clockwise, shape (k, 2) [m].

    Parameters
    ----------
    outline
        The outline.

    Returns
    -------
    array
        Corners; curves are followed to 0.02 mm, a circle or ellipse with its exact area.

    Raises
    ------
    ValueError
        When a shape lacks its size or corners, or the corner radius does not fit.
    """
    local = np.array(outline.points, dtype=np.float64).reshape(-1, 2)
    if outline.shape is Shape.POLYGON:
        if len(local) < 3:
            raise ValueError("a polygon needs three corners")
        x, y = local.T
        if float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) < 0:
            local = local[::-1]
    else:
        if outline.size is None:
            raise ValueError(f"{outline.shape.value} needs its size")
        a, b = outline.size[0] / 2, outline.size[1] / 2
        if outline.shape is Shape.ROUNDED_RECTANGLE:
            local = _rounded(a, b, outline.corner)
        else:
            count = max(LEAST, math.ceil(math.pi / math.acos(1 - CHORD / max(a, b, CHORD)) / 4) * 4)
            step = 2 * math.pi / count
            reach = math.sqrt(step / math.sin(step))  # equal area: strays half out, half in
            turn = step * np.arange(count)
            local = reach * np.stack([a * np.cos(turn), b * np.sin(turn)], axis=1)
    c, s = math.cos(outline.turn), math.sin(outline.turn)
    turned: Floats = local @ np.array([[c, s], [-s, c]]) + np.array(outline.centre)
    return turned


def _rounded(a: float, b: float, radius: float) -> Floats:
    if radius > min(a, b) * (1 + 1e-9):
        raise ValueError("the corner radius is more than half the smaller side")
    if radius < SHARP:
        return np.array([[a, -b], [a, b], [-a, b], [-a, -b]])
    count = max(LEAST // 4, math.ceil(math.pi / 4 / math.acos(1 - min(CHORD / 2 / radius, 0.5))))
    turn = np.linspace(0, math.pi / 2, count + 1)
    corners = []
    for k, (sx, sy) in enumerate([(1, 1), (-1, 1), (-1, -1), (1, -1)]):
        middle = np.array([sx * (a - radius), sy * (b - radius)])
        at = turn + k * math.pi / 2
        corners.append(middle + radius * np.stack([np.cos(at), np.sin(at)], axis=1))
    points = np.concatenate(corners)
    apart = np.linalg.norm(points - np.roll(points, 1, axis=0), axis=1) > 1e-9
    out: Floats = points[apart]
    return out
