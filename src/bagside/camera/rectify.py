"""The window of a sheet as a metric picture, seen straight from above at the height of the object's top.

The picture serves to tell object from ground and to show a person what was read. Edges are never measured in it: it
is resampled, and the photo is not.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from bagside.camera.readers import Photo
from bagside.camera.view import View
from bagside.errors import InputError

Floats = NDArray[np.float64]

FINEST, COARSEST, MOST = 8e3, 1e3, 12e6  # [px/m], [px/m], pixels of a picture
GRID = 16  # [px] the projection is computed in the middle of blocks of this size and is straight between


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rectified:
    """A metric picture; row 0 is at its top, the largest y.

    Parameters
    ----------
    colour
        Red, green, blue, shape (h, w, 3), uint8.
    inside
        Which pixels show the window and lie in the photo, shape (h, w).
    scale
        Pixels for each metre.
    corner
        The middle of the pixel at the top left in the sheet's axes [m].
    height
        Of the plane it shows over the sheet [m].
    """

    colour: NDArray[np.uint8]
    inside: NDArray[np.bool_]
    scale: float
    corner: tuple[float, float]
    height: float

    def to_plane(self, pixels: Floats) -> Floats:
        """Return positions in the sheet's axes, shape (n, 2) [m].

        Parameters
        ----------
        pixels
            Column and row, shape (n, 2).
        """
        p = np.asarray(pixels, dtype=np.float64)
        out: Floats = np.stack([self.corner[0] + p[:, 0] / self.scale, self.corner[1] - p[:, 1] / self.scale], axis=1)
        return out

    def to_pixels(self, points: Floats) -> Floats:
        """Return column and row in this picture, shape (n, 2).

        Parameters
        ----------
        points
            In the sheet's axes, shape (n, 2) [m].
        """
        p = np.asarray(points, dtype=np.float64)
        out: Floats = np.stack(
            [(p[:, 0] - self.corner[0]) * self.scale, (self.corner[1] - p[:, 1]) * self.scale], axis=1
        )
        return out


def lifted(points: Floats, height: float) -> Floats:
    """Return points of the plane at a height over the sheet, shape (n, 3) [m].

    Parameters
    ----------
    points
        Shape (n, 2) [m].
    height
        [m].
    """
    p = np.asarray(points, dtype=np.float64)
    out: Floats = np.column_stack([p, np.full(len(p), height)])
    return out


def photo_scale(view: View, points: Floats, height: float) -> Floats:
    """Return how many pixels of the photo a metre takes at each point, the mean of its directions, shape (n,) [px/m].

    Parameters
    ----------
    view
        Of the camera.
    points
        Shape (n, 2) [m].
    height
        Of their plane over the sheet [m].
    """
    step = 1e-4
    p = np.asarray(points, dtype=np.float64)
    moved = np.concatenate([p, p + np.array([step, 0.0]), p + np.array([0.0, step])])
    here, right, up = np.split(view.to_pixels(lifted(moved, height)), 3)
    u, v = (right - here) / step, (up - here) / step
    out: Floats = np.sqrt(np.abs(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]))
    return out


def rectified(photo: Photo, view: View, window: Floats, height: float) -> Rectified:
    """Return the window as a metric picture.

    Parameters
    ----------
    photo
        As read.
    view
        Its camera over the sheet.
    window
        Corners of the free area on the sheet, shape (k, 2) [m].
    height
        Of the object's top over the sheet [m].

    Returns
    -------
    Rectified
        As fine as the photo is in the middle of the window, between 1 and 8 pixels for each millimetre and with at
        most 12 million pixels.

    Raises
    ------
    InputError
        When less than half of the window lies in the photo.
    """
    seen = view.to_plane(view.to_pixels(lifted(window, 0.0)), height)
    low, high = seen.min(axis=0), seen.max(axis=0)
    wide, tall = high - low
    fine = float(np.median(photo_scale(view, np.vstack([seen, seen.mean(axis=0, keepdims=True)]), height)))
    scale = max(min(fine, FINEST, float(np.sqrt(MOST / (wide * tall)))), COARSEST)
    columns, rows = int(np.ceil(wide * scale)) + 1, int(np.ceil(tall * scale)) + 1
    at_x, at_y = _map(view, (float(low[0]), float(high[1])), scale, (rows, columns), height)
    colour = cv2.remap(photo.colour, at_x, at_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    window_seen = np.zeros((rows, columns), dtype=np.uint8)
    corners = (seen - [low[0], high[1]]) * [scale, -scale]
    cv2.fillPoly(window_seen, [np.round(corners).astype(np.int32)], 1)
    h, w = photo.grey.shape
    there = (at_x >= 0.0) & (at_y >= 0.0) & (at_x <= w - 1.0) & (at_y <= h - 1.0)
    inside = (window_seen > 0) & there
    if inside.sum() < 0.5 * window_seen.sum():
        raise InputError.one(photo.name, "less than half of the window is in the photo", "photograph the whole sheet")
    return Rectified(
        colour=np.asarray(colour, dtype=np.uint8),
        inside=inside,
        scale=scale,
        corner=(float(low[0]), float(high[1])),
        height=height,
    )


def _map(
    view: View, corner: tuple[float, float], scale: float, size: tuple[int, int], height: float
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Return where in the photo each pixel of the picture lies."""
    rows, columns = size
    blocks = [np.arange(-1, (n + GRID - 1) // GRID + 1) for n in (columns, rows)]
    across, down = (GRID * k + 0.5 * (GRID - 1) for k in blocks)
    x, y = np.meshgrid(corner[0] + across / scale, corner[1] - down / scale)
    coarse = view.to_pixels(lifted(np.stack([x.ravel(), y.ravel()], axis=1), height)).reshape(*x.shape, 2)
    whole = (GRID * len(blocks[0]), GRID * len(blocks[1]))
    fine = cv2.resize(coarse.astype(np.float32), whole, interpolation=cv2.INTER_LINEAR)
    found = np.asarray(fine[GRID : GRID + rows, GRID : GRID + columns], dtype=np.float32)
    return np.ascontiguousarray(found[:, :, 0]), np.ascontiguousarray(found[:, :, 1])
