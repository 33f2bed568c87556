"""Many photos of one plane at once: a pose for each, one lens, and where pages lie that nobody has measured.

The lens's distortion is common to all photos. Focus and stabiliser move its focal length and principal point a little
from photo to photo; each photo has its own three small changes, held by priors, because one camera matrix for all would
put the change into the pages.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside.camera.descent import HUBER, SMALLEST_SD, moved, numbers
from bagside.camera.lens import Lens
from bagside.camera.plane_view import POSE, by_parameters, turned
from bagside.camera.solving import CENTRE, REFOCUSED, STEADIED, TERMS

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

ROUNDS = 60
LENS, OWN, PAGE = 7, 3, 3
"""Numbers of the lens, of a photo's own change of it, of a page's place."""
FOCAL = 0.5  # of the focal length before any photo was looked at
STIFF = 1e-8  # of a number that is held


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Corners:
    """Corners of one photo.

    Parameters
    ----------
    page
        On which page each is, shape (n,).
    local
        In that page's own axes, shape (n, 2) [m].
    pixels
        As measured, shape (n, 2) [px].
    """

    page: Ints
    local: Floats
    pixels: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class State:
    """All that is solved for.

    Parameters
    ----------
    lens
        Common to the photos.
    own
        Each photo's change of f, cx, cy, shape (m, 3) [px].
    rotations, translations
        Of each photo, shapes (m, 3, 3) and (m, 3) [m].
    pages
        x, y and angle of each page in the plane, shape (p, 3) [m, rad]; the first stays where it is.
    """

    lens: Lens
    own: Floats
    rotations: Floats
    translations: Floats
    pages: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Adjusted:
    """The state that explains all photos best.

    Parameters
    ----------
    state
        What was solved for.
    left
        Measured minus seen, for each photo shape (n, 2) [px].
    corner_sd
        Of one coordinate of a corner [px].
    lens_sd
        Of f, cx, cy, k1, k2, p1, p2, shape (7,).
    page_sd
        Of each page's x, y, angle, shape (p, 3) [m, rad].
    """

    state: State
    left: tuple[Floats, ...]
    corner_sd: float
    lens_sd: Floats
    page_sd: Floats


def adjusted(state: State, photos: tuple[Corners, ...]) -> Adjusted:
    """Return the state that explains all photos best, under a robust loss.

    Parameters
    ----------
    state
        Where to start.
    photos
        Corners of each photo; a photo without any is passed over.
    """
    information, believed = _beliefs(state)
    sd = max(float(np.median(np.hypot(*np.concatenate(_left(state, photos)).T))) / 1.1774, SMALLEST_SD)
    for stage in range(3):
        state = _descended(state, photos, information, believed, sd)
        if stage < 2:
            sd = max(float(np.median(np.hypot(*np.concatenate(_left(state, photos)).T))) / 1.1774, SMALLEST_SD)
    left = _left(state, photos)
    size = np.hypot(*np.concatenate(left).T)
    inside = size <= 2.0 * HUBER * sd
    spare = max(2 * int(inside.sum()) - _size(state), 1)
    sd = max(float(np.sqrt((size[inside] ** 2).sum() / spare)), SMALLEST_SD)
    normal, _ = _normal(state, photos, sd)
    normal[np.diag_indices(len(normal))] += information
    idle = np.diag(normal) <= 0.0  # a page not seen in these photos
    normal[idle, idle] = 1.0
    spread = np.sqrt(np.maximum(np.diag(np.linalg.inv(normal)), 0.0))
    at = LENS + len(photos) * (POSE + OWN)
    return Adjusted(state=state, left=left, corner_sd=sd, lens_sd=spread[:LENS], page_sd=spread[at:].reshape(-1, PAGE))


def placed(page: Floats, local: Floats) -> Floats:
    """Return points of a page in the plane.

    Parameters
    ----------
    page
        x, y, angle, shape (3,) or one for each point (n, 3) [m, rad].
    local
        Shape (n, 2) [m].
    """
    x, y, angle = np.atleast_2d(page).T
    c, s = np.cos(angle), np.sin(angle)
    return np.column_stack([x + c * local[:, 0] - s * local[:, 1], y + s * local[:, 0] + c * local[:, 1]])


def lens_of(state: State, photo: int) -> Lens:
    """Return the lens as it was in one photo.

    Parameters
    ----------
    state
        The state.
    photo
        Its number.
    """
    f, cx, cy = (float(v) for v in state.own[photo])
    return replace(state.lens, f=state.lens.f + f, cx=state.lens.cx + cx, cy=state.lens.cy + cy)


def _size(state: State) -> int:
    return LENS + len(state.own) * (POSE + OWN) + PAGE * len(state.pages)


def _beliefs(state: State) -> tuple[Floats, Floats]:
    """Return what is known beforehand as information on each number, and the lens it is known of."""
    longer = max(state.lens.width, state.lens.height)
    lens_sd = np.array([FOCAL * state.lens.f, CENTRE * longer, CENTRE * longer, *TERMS])
    middle = Lens(
        width=state.lens.width,
        height=state.lens.height,
        f=state.lens.f,
        cx=0.5 * (state.lens.width - 1),
        cy=0.5 * (state.lens.height - 1),
    )
    believed = numbers(middle)
    own_sd = np.array([REFOCUSED * state.lens.f, STEADIED * longer, STEADIED * longer])
    photo = np.concatenate([np.zeros(POSE), own_sd**-2.0])
    pages = np.zeros((len(state.pages), PAGE))
    pages[0] = STIFF**-2.0
    return np.concatenate([lens_sd**-2.0, np.tile(photo, len(state.own)), pages.ravel()]), believed


def _seen(state: State, photo: int, corners: Corners) -> tuple[Floats, Floats]:
    flat = placed(state.pages[corners.page], corners.local)
    at = np.column_stack([flat, np.zeros(len(flat))])
    return flat, at @ state.rotations[photo].T + state.translations[photo]


def _left(state: State, photos: tuple[Corners, ...]) -> tuple[Floats, ...]:
    out = []
    for k, corners in enumerate(photos):
        _, seen = _seen(state, k, corners)
        if len(seen) and not (seen[:, 2] > 1e-3).all():
            out.append(np.full_like(corners.pixels, 1e6))
        else:
            out.append(corners.pixels - lens_of(state, k).pixels(seen[:, :2] / seen[:, 2:]))
    return tuple(out)


def _prior_left(state: State, believed: Floats) -> Floats:
    """Return each number minus what is believed of it; zero where nothing is."""
    photo = np.column_stack([np.zeros((len(state.own), POSE)), state.own])
    return np.concatenate([numbers(state.lens) - believed, photo.ravel(), np.zeros(PAGE * len(state.pages))])


def _cost(state: State, photos: tuple[Corners, ...], information: Floats, believed: Floats, sd: float) -> float:
    size = np.hypot(*np.concatenate(_left(state, photos)).T) / sd
    robust = np.where(size <= HUBER, 0.5 * size**2, HUBER * (size - 0.5 * HUBER)).sum()
    return float(robust + 0.5 * (information * _prior_left(state, believed) ** 2).sum())


def _normal(state: State, photos: tuple[Corners, ...], sd: float) -> tuple[Floats, Floats]:
    """Return the normal equations of the corners alone."""
    n = _size(state)
    normal, right = np.zeros((n, n)), np.zeros(n)
    first_page = LENS + len(photos) * (POSE + OWN)
    left = _left(state, photos)
    for k, corners in enumerate(photos):
        if not len(corners.pixels):
            continue
        flat, seen = _seen(state, k, corners)
        slope = by_parameters(lens_of(state, k), seen, state.translations[k])
        by_plane = slope[:, :, 3:6] @ state.rotations[k][:, :2]
        arm = flat - state.pages[corners.page, :2]
        by_angle = np.einsum("nia,na->ni", by_plane, np.column_stack([-arm[:, 1], arm[:, 0]]))
        by_page = np.concatenate([by_plane, by_angle[..., None]], axis=2)
        pages = np.unique(corners.page)
        width = LENS + POSE + OWN
        whole = np.zeros((len(flat), 2, width + PAGE * len(pages)))
        whole[:, :, :LENS] = slope[:, :, POSE:]
        whole[:, :, LENS : LENS + POSE] = slope[:, :, :POSE]
        whole[:, :, LENS + POSE : width] = slope[:, :, POSE : POSE + OWN]
        for j, page in enumerate(pages):
            mine = corners.page == page
            whole[mine, :, width + PAGE * j : width + PAGE * (j + 1)] = by_page[mine]
        own = LENS + k * (POSE + OWN) + np.arange(POSE + OWN)
        index = np.concatenate(
            [np.arange(LENS), own, (first_page + PAGE * pages[:, None] + np.arange(PAGE)).ravel()]
        ).astype(np.int64)
        size = np.hypot(*left[k].T) / sd
        weight = np.repeat(np.minimum(1.0, HUBER / np.maximum(size, 1e-12)) / sd**2, 2)
        flat_slope = whole.reshape(-1, whole.shape[2])
        weighted = flat_slope * weight[:, None]
        # not a matrix product: on a busy machine its threads wait for each other longer than the sum takes
        normal[np.ix_(index, index)] += np.einsum("na,nb->ab", flat_slope, weighted)
        right[index] += weighted.T @ left[k].ravel()
    return normal, right


def _stepped(state: State, step: Floats) -> State:
    m = len(state.own)
    photo = step[LENS : LENS + m * (POSE + OWN)].reshape(m, POSE + OWN)
    return State(
        lens=moved(state.lens, step[:LENS]),
        own=state.own + photo[:, POSE:],
        rotations=np.stack([turned(p[:3]) @ r for p, r in zip(photo, state.rotations, strict=True)]),
        translations=state.translations + photo[:, 3:6],
        pages=state.pages + step[LENS + m * (POSE + OWN) :].reshape(-1, PAGE),
    )


def _descended(state: State, photos: tuple[Corners, ...], information: Floats, believed: Floats, sd: float) -> State:
    damping = 1e-3
    cost = _cost(state, photos, information, believed, sd)
    for _ in range(ROUNDS):
        normal, right = _normal(state, photos, sd)
        normal[np.diag_indices(len(normal))] += information
        right -= information * _prior_left(state, believed)
        scale = np.diag(normal).copy()
        scale[scale <= 0.0] = 1.0  # a photo or page without corners stays where it is
        while damping < 1e12:
            step = np.asarray(np.linalg.solve(normal + np.diag(damping * scale), right), dtype=np.float64)
            new = _stepped(state, step)
            new_cost = _cost(new, photos, information, believed, sd)
            if new_cost <= cost:
                break
            damping *= 10.0
        else:
            return state
        gained, state, cost = cost - new_cost, new, new_cost
        damping = max(0.1 * damping, 1e-12)
        if gained < 1e-8 * (1.0 + cost):
            return state
    return state
