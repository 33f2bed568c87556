"""Which markers are in a photo, and where their corners are."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from bagside.camera.marks import family
from bagside.camera.readers import Bytes, light
from bagside.camera.side_fit import fitted_corners

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LARGE = 1600  # [px] a picture longer than this is also looked at at half its size
LARGEST = 6000  # [px] a picture longer than this is halved before markers are looked for
SAME = 0.2  # of a side: the same marker read twice


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Seen:
    """Markers found in a photo.

    Parameters
    ----------
    ids
        Rising, each once, shape (n,).
    corners
        Top left, top right, bottom right, bottom left as each marker is read, shape (n, 4, 2) [px].
    side
        Mean length of each marker's sides, shape (n,) [px].
    width
        Standard deviation of the blur on each side, shape (n, 4) [px].
    read
        How many markers were read in all, with those whose sides could not be fitted.
    """

    ids: Ints
    corners: Floats
    side: Floats
    width: Floats
    read: int


def detected(grey: Bytes) -> tuple[Ints, Floats]:
    """Return the markers OpenCV reads, corners unrefined; an id read at two places is dropped.

    Parameters
    ----------
    grey
        Shape (h, w).

    Returns
    -------
    tuple
        Ids (n,), rising, and corners (n, 4, 2) [px].

    Notes
    -----
    A large picture is looked at a second time at half its size: there a blur is half as wide, and some markers are
    read that were not before. A very large one is halved first: its corners are found by their sides afterwards, in
    the whole picture. No wrong id was seen in 1 700 squares of clutter with this family.
    """
    scale = 1
    while max(grey.shape) > LARGEST:
        grey, scale = halved(grey), 2 * scale
    ids, corners = _read(grey)
    if max(grey.shape) > LARGE:
        smaller, at_half = _read(halved(grey))
        ids = np.concatenate([ids, smaller])
        corners = np.concatenate([corners, 2.0 * at_half + 0.5])
    corners = scale * corners + 0.5 * (scale - 1)
    out: dict[int, Floats] = {}
    twice = set()
    for identity, corner in zip(ids.tolist(), corners, strict=True):
        if identity not in out:
            out[identity] = corner
        elif np.hypot(*(corner - out[identity]).T).max() > SAME * np.hypot(*(corner[1] - corner[0])) + 2.0:
            twice.add(identity)
    kept = sorted(set(out) - twice)
    return np.array(kept, dtype=np.int64), np.array([out[k] for k in kept]).reshape(-1, 4, 2)


def halved(grey: Bytes) -> Bytes:
    """Return a picture at half its size; its pixel (0, 0) lies at (0.5, 0.5) of the first.

    Parameters
    ----------
    grey
        Shape (h, w).
    """
    even = grey[: grey.shape[0] // 2 * 2, : grey.shape[1] // 2 * 2]
    smaller = cv2.resize(np.ascontiguousarray(even), None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    return np.asarray(smaller, dtype=np.uint8)


def _read(grey: Bytes) -> tuple[Ints, Floats]:
    settings = cv2.aruco.DetectorParameters()
    settings.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_NONE
    settings.adaptiveThreshWinSizeMin = 13
    settings.adaptiveThreshWinSizeMax = 53
    settings.adaptiveThreshWinSizeStep = 20
    settings.minMarkerPerimeterRate = 0.02
    found, ids, _ = cv2.aruco.ArucoDetector(family(), settings).detectMarkers(np.ascontiguousarray(grey))
    if ids is None or not len(found):
        return np.zeros(0, dtype=np.int64), np.zeros((0, 4, 2))
    return np.asarray(ids).ravel().astype(np.int64), np.asarray(found, dtype=np.float64).reshape(-1, 4, 2)


def markers_in(grey: Bytes) -> Seen:
    """Return the markers of a photo with corners from fits of their sides.

    Parameters
    ----------
    grey
        As stored, shape (h, w).
    """
    ids, rough = detected(grey)
    fitted = fitted_corners(light(grey), rough)
    good = fitted.good
    corners = fitted.corners[good]
    side = np.hypot(*np.moveaxis(corners - np.roll(corners, -1, axis=1), 2, 0)).mean(axis=1)
    return Seen(ids=ids[good], corners=corners, side=side, width=fitted.width[good], read=len(ids))
