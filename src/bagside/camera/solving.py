"""The fit of one view: pose and lens from corners of known place in one plane.

Levenberg and Marquardt's method on thirteen numbers, with a robust loss, because a marker may be creased or half under
a hand. What one photo cannot determine, a weak prior holds: straight down, the focal length cannot be told from the
distance, and does not matter on the paper.

References
----------
Levenberg 1944, Marquardt 1963 (damped normal equations); Huber 1964 (loss).
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from bagside.camera.lens import Lens
from bagside.camera.plane_view import PARAMETERS, POSE, by_parameters, turned
from bagside.errors import NotSolved

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

ROUNDS = 80
GOOD = 0.3  # [px] a start that leaves less is the right one
SMALLEST_SD = 0.02  # [px] of a corner: what is left is never believed to be less
HUBER = 2.5  # standard deviations up to which a corner counts fully
FOCAL_STATED, FOCAL_GUESSED = 0.08, 0.35
"""Of the focal length: as the file states it for its lens, or guessed: common practice, no source."""
GUESSES = (0.78, 0.62, 1.0)
"""Focal length over the longer side of the picture."""
CENTRE = 0.015  # of the picture's longer side: how far the principal point lies from the middle
TERMS = (0.2, 0.4, 0.002, 0.002)  # k1, k2, p1, p2
REFOCUSED, STEADIED = 0.003, 0.002
"""Of a lens known from other photos: its focal length by focusing, its principal point (over the longer side) by the
stabiliser."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Prior:
    """What is known of a lens before the photo is looked at.

    Parameters
    ----------
    lens
        Its likely numbers.
    sd
        Standard deviations of f, cx, cy, k1, k2, p1, p2, shape (7,); zero where a number is fixed.
    """

    lens: Lens
    sd: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fit:
    """A solved view.

    Parameters
    ----------
    lens
        The lens.
    rotation
        Shape (3, 3).
    translation
        Shape (3,) [m].
    left
        Measured minus seen by the fit, shape (n, 2) [px].
    cost
        Of the robust loss with the priors.
    corner_sd
        Of one coordinate of a corner [px].
    covariance
        Shape (13, 13).
    """

    lens: Lens
    rotation: Floats
    translation: Floats
    left: Floats
    cost: float
    corner_sd: float
    covariance: Floats


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
    # each guess is a start of its own; all are drawn to the same belief, weakly
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
                fits.append(_fitted(places, pixels, use, prior, *poses[turn]))
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


def moved(lens: Lens, step: Floats) -> Lens:
    """Return a lens with its numbers changed.

    Parameters
    ----------
    lens
        The lens.
    step
        Added to f, cx, cy, k1, k2, p1, p2, shape (7,).
    """
    d = [float(v) for v in step]
    return replace(
        lens, f=lens.f + d[0], cx=lens.cx + d[1], cy=lens.cy + d[2], k1=lens.k1 + d[3], k2=lens.k2 + d[4],
        p1=lens.p1 + d[5], p2=lens.p2 + d[6],
    )  # fmt: skip


def numbers(lens: Lens) -> Floats:
    """Return f, cx, cy, k1, k2, p1, p2 of a lens, shape (7,).

    Parameters
    ----------
    lens
        The lens.
    """
    return np.array([lens.f, lens.cx, lens.cy, lens.k1, lens.k2, lens.p1, lens.p2])


def _fitted(places: Floats, pixels: Floats, use: Mask, prior: Prior, rotation: Floats, translation: Floats) -> Fit:
    flat = np.column_stack([places, np.zeros(len(places))])
    free = np.concatenate([np.ones(POSE, bool), prior.sd > 0.0])
    information = np.zeros(PARAMETERS)
    information[POSE:][prior.sd > 0.0] = prior.sd[prior.sd > 0.0] ** -2.0
    believed = numbers(prior.lens)
    lens = prior.lens
    sd = 1.0

    def left_of(lens: Lens, rotation: Floats, translation: Floats) -> tuple[Floats, Floats]:
        seen = flat @ rotation.T + translation
        if not (seen[:, 2] > 1e-3).all():
            return np.full_like(pixels, 1e6), seen
        return pixels - lens.pixels(seen[:, :2] / seen[:, 2:]), seen

    def cost_of(left: Floats, lens: Lens) -> float:
        size = np.hypot(*left[use].T) / sd
        robust = np.where(size <= HUBER, 0.5 * size**2, HUBER * (size - 0.5 * HUBER)).sum()
        return float(robust + 0.5 * (information[POSE:] * (numbers(lens) - believed) ** 2).sum())

    left, seen = left_of(lens, rotation, translation)
    damping = 1e-3
    for stage in range(3):  # the spread of the corners is not known beforehand: it is estimated twice
        cost = cost_of(left, lens)
        for _ in range(ROUNDS):
            slope = by_parameters(lens, seen, translation)
            size = np.hypot(*left.T) / sd
            weight = use * np.minimum(1.0, HUBER / np.maximum(size, 1e-12)) / sd**2
            normal = np.einsum("nia,n,nib->ab", slope, weight, slope)
            right = np.einsum("nia,n,ni->a", slope, weight, left)
            normal[np.diag_indices(PARAMETERS)] += information
            right[POSE:] -= information[POSE:] * (numbers(lens) - believed)
            accepted = False
            while damping < 1e12:
                damped = normal[np.ix_(free, free)] + damping * np.diag(np.diag(normal)[free])
                step = np.zeros(PARAMETERS)
                step[free] = np.linalg.solve(damped, right[free])
                new = (moved(lens, step[POSE:]), turned(step[:3]) @ rotation, translation + step[3:6])
                new_left, new_seen = left_of(*new)
                new_cost = cost_of(new_left, new[0])
                if new_cost <= cost:
                    accepted = True
                    break
                damping *= 10.0
            if not accepted:
                break
            gained = cost - new_cost
            (lens, rotation, translation), left, seen, cost = new, new_left, new_seen, new_cost
            damping = max(damping * 0.1, 1e-12)
            if gained < 1e-9 * (1.0 + cost):
                break
        damping = 1e-3
        if stage < 2:
            sd = max(float(np.median(np.hypot(*left[use].T))) / 1.1774, SMALLEST_SD)
    slope = by_parameters(lens, seen, translation)
    inside = use & (np.hypot(*left.T) <= 2.0 * HUBER * sd)
    spare = max(2 * int(inside.sum()) - int(free.sum()), 1)
    sd = max(float(np.sqrt((left[inside] ** 2).sum() / spare)), SMALLEST_SD)
    normal = np.einsum("nia,n,nib->ab", slope, inside / sd**2, slope)
    normal[np.diag_indices(PARAMETERS)] += information
    covariance = np.zeros((PARAMETERS, PARAMETERS))
    covariance[np.ix_(free, free)] = np.linalg.inv(normal[np.ix_(free, free)])
    return Fit(
        lens=lens, rotation=rotation, translation=translation, left=left, cost=cost, corner_sd=sd, covariance=covariance
    )
