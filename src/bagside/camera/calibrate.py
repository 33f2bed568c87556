"""A lens from several photos of one sheet: once for a camera, kept in a file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside.camera.bundle import Corners, State, adjusted
from bagside.camera.lens import Lens
from bagside.camera.marks import MarkFrame
from bagside.camera.readers import Photo, as_sensed
from bagside.camera.view import View, held
from bagside.errors import InputError, Problem
from bagside.quantity import shown

Floats = NDArray[np.float64]

FEWEST = 4
TILTED = np.radians(10.0)
"""A photo taken more steeply tells focal length from distance."""
TILTED_FEWEST = 3
MORE = "take more, held over to different sides by 20° to 40°"
FLAT = 0.0005
"""Lift of the sheet that a calibration bears [m]."""
LOOSE = 0.004  # of the focal length: a standard deviation beyond it is no calibration


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Calibration:
    """A lens and how well it is known.

    Parameters
    ----------
    lens
        The lens, for the picture as the sensor sees it.
    focal_sd
        Standard deviation of its focal length [px].
    corner_sd
        Of one coordinate of a corner [px].
    tilts
        Of each photo, in their order [rad].
    """

    lens: Lens
    focal_sd: float
    corner_sd: float
    tilts: tuple[float, ...]


def calibrated(photos: Sequence[Photo], frame: MarkFrame) -> Calibration:
    """Return the lens that took several photos of one sheet.

    Parameters
    ----------
    photos
        At least four, from one camera at one zoom, three of them held over by more than 10°.
    frame
        The sheet.

    Raises
    ------
    InputError
        When there are too few, they differ in size or are all taken straight down; or for one of the reasons of
        `bagside.camera.view.view_of`, naming the photo.
    """
    if len(photos) < FEWEST:
        wanted = f"at least {FEWEST} photos of the sheet are wanted, eight are better"
        raise InputError.one(
            "photos", f"{len(photos)}", wanted, "take more, held over to different sides by 20° to 40°"
        )
    sensed = [replace(p, grey=as_sensed(p), turns=0) for p in photos]
    height, width = sensed[0].grey.shape
    other = [
        Problem(
            place=p.name,
            came=f"{p.grey.shape[1]} × {p.grey.shape[0]} pixels",
            wanted=f"all photos of one camera are wanted, {width} × {height} like {photos[0].name}",
        )
        for p in sensed
        if p.grey.shape != (height, width)
    ]
    if other:
        raise InputError(other)
    views: list[View] = []
    corners: list[Corners] = []
    for photo in sensed:
        view, places, pixels = held(photo, frame)
        views.append(view)
        corners.append(Corners(page=np.zeros(len(places), dtype=np.int64), local=places, pixels=pixels))
    lifts = [v.lift for v in views]
    if max(lifts) > FLAT:
        name = photos[int(np.argmax(lifts))].name
        wanted = "a flat sheet is wanted, or the lens takes up its bend"
        cure = "glue the sheet to a board or a sheet of glass and take all photos again"
        raise InputError.one(name, f"the sheet lifts by {shown(max(lifts), 'mm')}", wanted, cure)
    tilts = tuple(v.tilt for v in views)
    if sum(t > TILTED for t in tilts) < TILTED_FEWEST:
        raise InputError.one(
            "photos",
            ", ".join(shown(t, "°", 0) for t in tilts) + " off straight down",
            f"at least {TILTED_FEWEST} held over by more than 10° are wanted, or focal length and distance are one",
            MORE,
        )
    best = min(views, key=lambda v: float(v.covariance[6, 6]))
    found = adjusted(
        State(
            lens=best.lens,
            own=np.zeros((len(views), 3)),
            rotations=np.stack([v.rotation for v in views]),
            translations=np.stack([v.translation for v in views]),
            pages=np.zeros((1, 3)),
        ),
        tuple(corners),
    )
    if found.lens_sd[0] > LOOSE * found.state.lens.f:
        raise InputError.one(
            "photos",
            f"focal length {found.state.lens.f:.0f} ± {found.lens_sd[0]:.0f} pixels",
            "the photos do not determine the lens",
            "take more, held over to different sides by 20° to 40°, with the sheet filling the picture",
        )
    return Calibration(lens=found.state.lens, focal_sd=float(found.lens_sd[0]), corner_sd=found.corner_sd, tilts=tilts)
