"""From where a part is looked at: an orthographic view from the laminate side.

Orthographic, so that parallel yarns stay parallel and a length along the picture can be compared with another. The tilt
is stated on the sheet by whoever prints it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.geometry import Surface

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class View:
    """Axes of a picture in the mould's own axes.

    Parameters
    ----------
    right, up, towards
        Unit vectors, shape (3,): to the right and up in the picture, and towards the eye.
    tilt
        Angle between the surface's mean normal and the direction to the eye [rad].
    """

    right: Floats
    up: Floats
    towards: Floats
    tilt: float

    def seen(self, points: Floats) -> Floats:
        """Return points in the picture's axes: right, up, towards the eye.

        Parameters
        ----------
        points
            Shape (k, 3) [m].

        Returns
        -------
        NDArray
            Shape (k, 3) [m].
        """
        out: Floats = np.asarray(points, dtype=np.float64) @ np.stack([self.right, self.up, self.towards], axis=1)
        return out


def view_of(surface: Surface, *, tilt: float = np.radians(25.0), turn: float = np.radians(-12.0)) -> View:
    """Return a view from the laminate side, the longest way across the picture.

    Parameters
    ----------
    surface
        What is looked at.
    tilt
        How far the eye is lowered from the mean normal towards the near long side [rad].
    turn
        How far the part is turned in its plane, counter-clockwise; a small turn shows the ends too [rad].

    Raises
    ------
    ValueError
        When the surface has no area, or the tilt is not between 0 and 80°.

    Notes
    -----
    A closed surface has no mean normal; it is looked at from above, along z.
    """
    if surface.area <= 0:
        raise ValueError("a surface without area cannot be looked at")
    if not 0 <= tilt <= np.radians(80):
        raise ValueError(f"a tilt between 0 and 80° is wanted, not {np.degrees(tilt):.0f}°")
    mean = (surface.areas[:, None] * surface.normals).sum(axis=0)
    length = float(np.linalg.norm(mean))
    out = mean / length if length > 0.02 * surface.area else np.array([0.0, 0.0, 1.0])
    offset = surface.centroids - np.average(surface.centroids, axis=0, weights=surface.areas)
    flat = offset - (offset @ out)[:, None] * out
    spread = (flat * surface.areas[:, None]).T @ flat
    values, vectors = np.linalg.eigh(spread)
    if values[2] > 1.02 * values[1]:
        long = vectors[:, 2]
    else:
        axis = np.eye(3)[int(np.argmin(np.abs(out)))]
        long = axis - (axis @ out) * out
    long = long / np.linalg.norm(long)
    long = long if long[int(np.argmax(np.abs(long)))] > 0 else -long
    across = np.cross(out, long)
    right = np.cos(turn) * long - np.sin(turn) * across
    back = np.cross(out, right)
    towards = np.cos(tilt) * out - np.sin(tilt) * back
    up = np.cos(tilt) * back + np.sin(tilt) * out
    return View(right=right, up=up, towards=towards, tilt=tilt)
