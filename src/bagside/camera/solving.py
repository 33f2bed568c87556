"""The view of one photo: what is known of its lens beforehand, where to start, and the best of the fits.

What one photo cannot determine, a weak prior holds: straight down, the focal length cannot be told from the distance,
and does not matter on the paper.
"""

from __future__ import annotations

from contextlib import suppress

import cv2
import numpy as np
from numpy.typing import NDArray

from bagside.camera.bend import Bend
from bagside.camera.descent import Fit, Prior, fitted
from bagside.camera.lens import Lens
from bagside.camera.plane_view import turned
from bagside.errors import NotSolved

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

GOOD = 0.3  # [px] a start that leaves less is the right one
FOCAL_STATED, FOCAL_GUESSED = 0.08, 0.35
"""Of the focal length: as the file states it for its lens, or guessed: common practice, no source."""
GUESSES = (0.78, 0.62, 1.0)
"""Focal length over the longer side of the picture."""
CENTRE = 0.015  # of the picture's longer side: how far the principal point lies from the middle
TERMS = (0.2, 0.4, 0.002, 0.002)  # k1, k2, p1, p2
REFOCUSED, STEADIED = 0.003, 0.002
"""Of a lens known from other photos: its focal length by focusing, its principal point (over the longer side) by the
stabiliser."""


def unknown_lens(width: int, height: int, focal: float | None) -> tuple[Prior, ...]:
    """Return what is known of a lens nobody has calibrated: one prior for each guess of the focal length.

    Parameters
    ----------
    width, height
        Of the picture [px].
    focal
        As the file states it [px], or None.
    """
    longer = max(width, height)
    guesses = [focal] if focal is not None else [g * longer for g in GUESSES]
    share = FOCAL_STATED if focal is not None else FOCAL_GUESSED
    believed = focal if focal is not None else GUESSES[0] * longer
    sd = np.array([share * believed, CENTRE * longer, CENTRE * longer, *TERMS])
    centre = (0.5 * (width - 1), 0.5 * (height - 1))
    # each guess is a start and a belief of its own, weakly held
    return tuple(Prior(lens=Lens(width=width, height=height, f=g, cx=centre[0], cy=centre[1]), sd=sd) for g in guesses)


def known_lens(lens: Lens) -> Prior:
    """Return what is known of a lens from photos taken before: its terms stay, focus and stabiliser have moved.

    Parameters
    ----------
    lens
        For pictures of this size.
    """
    longer = max(lens.width, lens.height)
    return Prior(lens=lens, sd=np.array([REFOCUSED * lens.f, STEADIED * longer, STEADIED * longer, 0.0, 0.0, 0.0, 0.0]))


def solved(places: Floats, pixels: Floats, priors: tuple[Prior, ...], use: Mask | None = None) -> Fit:
    """Return the best fit over all starts.

    Parameters
    ----------
    places
        Corners in the plane, shape (n, 2) [m].
    pixels
        The same as measured, shape (n, 2) [px].
    priors
        One for each start.
    use
        Which corners count, shape (n,); all when None.

    Raises
    ------
    NotSolved
        When no start leads to a camera in front of the paper.
    """
    use = np.ones(len(places), bool) if use is None else use
    starts = [_starts(places[use], pixels[use], prior.lens) for prior in priors]
    fits: list[Fit] = []
    # the likelier of two poses from every guess first, then the others
    for turn in range(2):
        for prior, poses in zip(priors, starts, strict=True):
            if turn >= len(poses):
                continue
            with suppress(np.linalg.LinAlgError):
                fits.append(fitted(places, pixels, use, prior, *poses[turn]))
                if fits[-1].corner_sd < GOOD:
                    return fits[-1]
    if not fits:
        raise NotSolved("no place of the camera explains the markers of this photo")
    return min(fits, key=lambda f: f.cost + 2.0 * float(use.sum()) * np.log(f.corner_sd))


def _starts(places: Floats, pixels: Floats, lens: Lens) -> list[tuple[Floats, Floats]]:
    """Return the poses of a plane that a lens allows: two, mirror images of each other for far cameras."""
    middle = places.mean(axis=0)
    flat = np.column_stack([places - middle, np.zeros(len(places))])
    count, turns, shifts, _ = cv2.solvePnPGeneric(flat, pixels, lens.matrix, lens.terms, flags=cv2.SOLVEPNP_IPPE)
    out = []
    for k in range(int(count)):
        rotation = turned(np.asarray(turns[k], dtype=np.float64).ravel())
        translation = np.asarray(shifts[k], dtype=np.float64).ravel() - rotation[:, :2] @ middle
        if np.isfinite(rotation).all() and np.isfinite(translation).all():
            out.append((rotation, translation))
    return out


def bent(places: Floats, pixels: Floats, prior: Prior, start: Fit, use: Mask, bend: Bend) -> Fit:
    """Return the fit of a sheet that may be bent.

    Parameters
    ----------
    places
        Corners on the sheet, shape (n, 2) [m].
    pixels
        The same as measured, shape (n, 2) [px].
    prior
        What is known of the lens.
    start
        The fit of the flat sheet.
    use
        Which corners count, shape (n,).
    bend
        Where to start.

    Raises
    ------
    NotSolved
        When the corners do not determine it.
    """
    try:
        return fitted(places, pixels, use, prior, start.rotation, start.translation, lens=start.lens, bend=bend)
    except np.linalg.LinAlgError:
        raise NotSolved("the markers do not determine how the sheet is bent") from None
