"""Down to the best fit of one view: pose, lens and, where asked, the bend of the sheet.

Levenberg and Marquardt's method with a robust loss, because a marker may be creased or half under a hand.

References
----------
Levenberg 1944, Marquardt 1963 (damped normal equations); Huber 1964 (loss).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside.camera.bend import Bend, likely
from bagside.camera.lens import Lens
from bagside.camera.plane_view import PARAMETERS, POSE, by_camera_point, by_parameters, turned

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

ROUNDS = 80
SMALLEST_SD = 0.02  # [px] of a corner: what is left is never believed to be less
HUBER = 2.5  # standard deviations up to which a corner counts fully


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
        Of the thirteen numbers of a view, then of the terms of the bend when it was free, shape (13, 13) or (25, 25).
    bend
        How the sheet is bent; None when it was taken as flat.
    """

    lens: Lens
    rotation: Floats
    translation: Floats
    left: Floats
    cost: float
    corner_sd: float
    covariance: Floats
    bend: Bend | None = None


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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _State:
    lens: Lens
    rotation: Floats
    translation: Floats
    bend: Bend | None

    def seen(self, places: Floats) -> Floats:
        """Return places of the sheet in the camera's axes."""
        up = np.zeros(len(places)) if self.bend is None else self.bend.height(places)
        return np.asarray(np.column_stack([places, up]) @ self.rotation.T + self.translation)

    def slope(self, places: Floats, seen: Floats) -> Floats:
        """Return the change of pixels with all numbers, shape (n, 2, 13 or 25)."""
        by_view = by_parameters(self.lens, seen, self.translation)
        if self.bend is None:
            return by_view
        by_height = by_camera_point(self.lens, seen) @ self.rotation[:, 2]
        return np.concatenate([by_view, by_height[:, :, None] * self.bend.terms(places)[:, None, :]], axis=2)

    def stepped(self, step: Floats) -> _State:
        bend = None if self.bend is None else replace(self.bend, heights=self.bend.heights + step[PARAMETERS:])
        return _State(
            lens=moved(self.lens, step[POSE:PARAMETERS]),
            rotation=turned(step[:3]) @ self.rotation,
            translation=self.translation + step[3:6],
            bend=bend,
        )

    def beside(self, believed: Lens) -> tuple[Floats, Floats]:
        """Return lens and bend minus what is believed of them, and the slopes of that.

        A focal length is believed in proportion: half of it is as far off as twice.
        """
        bend = np.zeros(0) if self.bend is None else self.bend.heights
        off = np.concatenate([numbers(self.lens) - numbers(believed), bend])
        slope = np.ones(len(off))
        off[0], slope[0] = believed.f * np.log(self.lens.f / believed.f), believed.f / self.lens.f
        return off, slope


def fitted(
    places: Floats,
    pixels: Floats,
    use: Mask,
    prior: Prior,
    rotation: Floats,
    translation: Floats,
    *,
    lens: Lens | None = None,
    bend: Bend | None = None,
) -> Fit:
    """Return the best fit from one start.

    Parameters
    ----------
    places
        Corners on the sheet, shape (n, 2) [m].
    pixels
        The same as measured, shape (n, 2) [px].
    use
        Which of them count, shape (n,).
    prior
        What is known of the lens.
    rotation, translation
        Where to start, shapes (3, 3) and (3,) [m].
    lens
        Where to start; the prior's when None.
    bend
        Where to start; None when the sheet is flat.

    Raises
    ------
    LinAlgError
        When the corners do not determine the view.
    """
    known = np.concatenate([prior.sd, np.zeros(0) if bend is None else likely()])
    free = np.concatenate([np.ones(POSE, bool), known > 0.0])
    information = np.zeros(POSE + len(known))
    information[POSE:][known > 0.0] = known[known > 0.0] ** -2.0
    state = _State(lens=lens or prior.lens, rotation=rotation, translation=translation, bend=bend)
    sd = 1.0

    def left_of(state: _State) -> tuple[Floats, Floats]:
        seen = state.seen(places)
        if not (seen[:, 2] > 1e-3).all() or not state.lens.f > 1.0:
            return np.full_like(pixels, 1e6), seen
        return pixels - state.lens.pixels(seen[:, :2] / seen[:, 2:]), seen

    def cost_of(left: Floats, state: _State) -> float:
        size = np.hypot(*left[use].T) / sd
        robust = np.where(size <= HUBER, 0.5 * size**2, HUBER * (size - 0.5 * HUBER)).sum()
        if not state.lens.f > 1.0:
            return np.inf
        return float(robust + 0.5 * (information[POSE:] * state.beside(prior.lens)[0] ** 2).sum())

    left, seen = left_of(state)
    for stage in range(3):  # the spread of the corners is not known beforehand: it is estimated twice
        cost, damping = cost_of(left, state), 1e-3
        for _ in range(ROUNDS):
            slope = state.slope(places, seen)
            size = np.hypot(*left.T) / sd
            weight = use * np.minimum(1.0, HUBER / np.maximum(size, 1e-12)) / sd**2
            normal = np.einsum("nia,nib->ab", slope * weight[:, None, None], slope)
            right = np.einsum("nia,n,ni->a", slope, weight, left)
            off, steep = state.beside(prior.lens)
            normal[np.diag_indices(len(normal))] += information * np.concatenate([np.ones(POSE), steep**2])
            right[POSE:] -= information[POSE:] * steep * off
            while damping < 1e12:
                damped = normal[np.ix_(free, free)] + damping * np.diag(np.diag(normal)[free])
                step = np.zeros(len(free))
                step[free] = np.linalg.solve(damped, right[free])
                new = state.stepped(step)
                new_left, new_seen = left_of(new)
                new_cost = cost_of(new_left, new)
                if new_cost <= cost:
                    break
                damping *= 10.0
            else:
                break
            gained = cost - new_cost
            state, left, seen, cost = new, new_left, new_seen, new_cost
            damping = max(damping * 0.1, 1e-12)
            if gained < 1e-6 * (1.0 + cost):
                break
        if stage < 2:
            sd = max(float(np.median(np.hypot(*left[use].T))) / 1.1774, SMALLEST_SD)
    inside = use & (np.hypot(*left.T) <= 2.0 * HUBER * sd)
    spare = max(2 * int(inside.sum()) - int(free.sum()), 1)
    sd = max(float(np.sqrt((left[inside] ** 2).sum() / spare)), SMALLEST_SD)
    slope = state.slope(places, seen)
    normal = np.einsum("nia,nib->ab", slope * (inside / sd**2)[:, None, None], slope)
    normal[np.diag_indices(len(normal))] += information * np.concatenate(
        [np.ones(POSE), state.beside(prior.lens)[1] ** 2]
    )
    covariance = np.zeros_like(normal)
    covariance[np.ix_(free, free)] = np.linalg.inv(normal[np.ix_(free, free)])
    return Fit(
        lens=state.lens,
        rotation=state.rotation,
        translation=state.translation,
        left=left,
        cost=cost,
        corner_sd=sd,
        covariance=covariance,
        bend=state.bend,
    )
