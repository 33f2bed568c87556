"""Where pages lie in one plane: placed one after another, then all fitted together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from bagside.camera.bundle import Adjusted, Corners, State, adjusted, placed
from bagside.camera.descent import Fit
from bagside.camera.growth import growth, without_growth
from bagside.camera.lens import Lens
from bagside.camera.marks import MarkFrame
from bagside.camera.plane_view import view_from
from bagside.camera.readers import Photo, as_sensed
from bagside.camera.solving import solved, unknown_lens
from bagside.errors import InputError, NotSolved

Floats = NDArray[np.float64]

ENOUGH = 4
"""Markers of a page in a photo for the page to be placed by it."""
OUTLIER, OUTLIER_LEAST = 6.0, 1.0  # standard deviations and [px] from which a marker in a photo is left out


def _only(corners: Corners, keep: NDArray[np.bool_]) -> Corners:
    return Corners(page=corners.page[keep], local=corners.local[keep], pixels=corners.pixels[keep])


def pages_placed(
    corners: tuple[Corners, ...], numbers: Sequence[int], photos: Sequence[Photo]
) -> tuple[Adjusted, tuple[Corners, ...], int]:
    """Return all pages placed and all photos fitted, the corners without outliers, and how many markers those were.

    Parameters
    ----------
    corners
        Of each photo.
    numbers
        Of the pages, in the order in which corners name them; the first stays where it is.
    photos
        For names and focal lengths.

    Raises
    ------
    InputError
        When pages are never seen together, or a photo fits no place of the camera.
    """
    height, width = as_sensed(photos[0]).shape
    hints = [p.focal_hint for p in photos if p.focal_hint is not None]
    focal = float(np.median(hints)) if hints else None
    at = np.zeros((len(numbers), 3))
    done = [0]
    found: Adjusted | None = None
    while True:
        use = tuple(_only(c, np.isin(c.page, done)) for c in corners)
        lens = found.state.lens if found is not None else None
        fits = [_posed(c, at, lens, width, height, focal) for c in use]
        live = [k for k, f in enumerate(fits) if f is not None]
        if not live:
            raise InputError.one(
                "photos", f"page {numbers[0]}", "no photo shows enough of it", "take photos from nearer"
            )
        state = _start([f for f in fits if f is not None], at, lens)
        found = adjusted(state, tuple(use[k] for k in live))
        at = found.state.pages.copy()
        new = _next(corners, done, live, found, at)
        if not new:
            break
        done += new
    if len(done) < len(numbers):
        apart = ", ".join(str(numbers[k]) for k in range(len(numbers)) if k not in done)
        raise InputError.one(
            "photos",
            f"page {apart}",
            "it is never seen together with the others",
            "take photos that show it and its neighbours at once",
        )
    dark = [photos[k].name for k in range(len(photos)) if k not in live]
    if dark:
        raise InputError.one(dark[0], "", "the markers in it fit no place of the camera", "leave it out")
    corners = tuple(_as_drawn(c, rest) for c, rest in zip(corners, found.left, strict=True))
    found = adjusted(found.state, corners)
    kept, dropped = [], 0
    for c, rest in zip(corners, found.left, strict=True):
        size = np.hypot(*rest.T).reshape(-1, 4).max(axis=1)
        good = size <= max(OUTLIER * found.corner_sd, OUTLIER_LEAST)
        dropped += int((~good).sum())
        kept.append(_only(c, np.repeat(good, 4)))
    if dropped:
        found = adjusted(found.state, tuple(kept))
    return found, tuple(kept), dropped


def _as_drawn(corners: Corners, left: Floats) -> Corners:
    """Return a photo's corners as if black ended at its drawn edge."""
    quads = corners.pixels.reshape(-1, 4, 2)
    pixels = without_growth(quads, growth(quads, left.reshape(-1, 4, 2))).reshape(-1, 2)
    return Corners(page=corners.page, local=corners.local, pixels=pixels)


def _posed(corners: Corners, at: Floats, lens: Lens | None, width: int, height: int, focal: float | None) -> Fit | None:
    """Return where a photo was taken from, by the pages placed so far."""
    if len(corners.page) < 4 * ENOUGH:
        return None
    places = placed(at[corners.page], corners.local)
    priors = unknown_lens(width, height, focal if lens is None else lens.f)
    if lens is not None:
        priors = (replace(priors[0], lens=lens, sd=np.array([0.02 * lens.f, 20.0, 20.0, 0.0, 0.0, 0.0, 0.0])),)
    try:
        return solved(places, corners.pixels, priors)
    except NotSolved:
        return None


def _start(fits: Sequence[Fit], at: Floats, lens: Lens | None) -> State:
    """Return a state from single photos; a lens is taken from the best of them when there is none yet."""
    if lens is None:
        sizes = [float(np.sqrt(f.covariance[6, 6])) / f.lens.f for f in fits]
        lens = fits[int(np.argmin(sizes))].lens
    return State(
        lens=lens,
        own=np.zeros((len(fits), 3)),
        rotations=np.stack([f.rotation for f in fits]),
        translations=np.stack([f.translation for f in fits]),
        pages=at,
    )


def _next(
    corners: tuple[Corners, ...], done: Sequence[int], live: Sequence[int], found: Adjusted, at: Floats
) -> list[int]:
    """Place the pages that are seen with placed ones, each by the photo that shows most, and return which."""
    best: dict[int, tuple[int, Floats]] = {}
    for place, k in enumerate(live):
        c = corners[k]
        view = view_from(found.state.lens, found.state.rotations[place], found.state.translations[place], _NOWHERE)
        held = int(np.isin(c.page, done).sum())
        for page in set(c.page.tolist()) - set(done):
            mine = c.page == page
            flat = view.to_plane(c.pixels[mine])
            if mine.sum() < 4 * ENOUGH or not np.isfinite(flat).all():
                continue
            score = min(held, int(mine.sum()))
            if page not in best or score > best[page][0]:
                best[page] = (score, _rigid(c.local[mine], flat))
    for page, (_, place_of) in best.items():
        at[page] = place_of
    return sorted(best)


_NOWHERE = MarkFrame(name="", markers=(), window=np.zeros((1, 2)), paper=(0.0, 0.0), rules=(0.0, 0.0))


def _rigid(local: Floats, flat: Floats) -> Floats:
    """Return x, y and angle that bring a page onto places in the plane with least squares."""
    a, b = local - local.mean(axis=0), flat - flat.mean(axis=0)
    angle = float(np.arctan2((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum(), (a * b).sum()))
    c, s = np.cos(angle), np.sin(angle)
    middle = local.mean(axis=0)
    shift = flat.mean(axis=0) - np.array([c * middle[0] - s * middle[1], s * middle[0] + c * middle[1]])
    return np.array([shift[0], shift[1], angle])
