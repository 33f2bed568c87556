"""From one photo of a sheet with markers to the view that measures on it, or to the one reason why not."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.camera import refusals
from bagside.camera.bend import flat_over
from bagside.camera.descent import Fit, Prior
from bagside.camera.finding import Seen, markers_in
from bagside.camera.growth import growth, without_growth
from bagside.camera.lens import Lens
from bagside.camera.marks import CELLS, MarkFrame
from bagside.camera.plane_view import View, view_from
from bagside.camera.readers import Photo
from bagside.camera.solving import bent, known_lens, solved, unknown_lens
from bagside.errors import NotSolved

__all__ = ["View", "view_of"]

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

FEWEST = 10
"""Markers that hold a view."""
OPEN = 0.08
"""Share of the window that may lie outside the markers."""
STEEPEST = np.radians(45.0)
SMALLEST = 22.0  # [px] side of a marker
BLURRED, HALF_READ, BLURRED_HALF = 0.30, 0.6, 0.17
"""Blur over a marker's cell that is too much; share of markers read below which a smaller blur is the reason."""
SHARP = 1.7  # [px] of blur: the lens and its pixels can do no better
LEFT_OVER = 0.00025  # [m] between printed and seen markers: more is no flat sheet
LEFT_SURELY = 0.3  # [px]: less is never called poor
BENT, BENT_FEWEST = 0.05, 24  # [px] in common at neighbours, and markers, from which a sheet may be bent
BETTER = 0.6  # of what the flat sheet leaves: a bent one must leave less,
LITTLE_BETTER, ALIKE_BETTER = 0.85, 0.15  # or, in a noisy photo, this of it and this of what neighbours share
BEND_TRUE = 0.15  # of what the flat sheet leaves in common stays uncertain when the bend is taken away
MOST_BENT = 0.006  # [m] a sheet that lifts more than this is none to measure on
OUTLIER, OUTLIER_LEAST = 6.0, 0.7  # standard deviations and [px] from which a marker is left out
MOST_OUT = 0.3  # share of markers that may be left out


def view_of(photo: Photo, frame: MarkFrame, lens: Lens | None = None) -> View:
    """Return the view of one photo.

    Parameters
    ----------
    photo
        The picture.
    frame
        The sheet in it, as printed (`bagside.camera.marks.scaled`).
    lens
        Of this camera from photos taken before: its distortion is taken as it is, its focal length and principal point
        are found anew within narrow bounds. None when there is none: all are found from this photo.

    Raises
    ------
    InputError
        With one reason and its cure: no marker, another sheet, blur, too small, markers missing on a side, taken too
        far from the side, or a sheet that is not flat.
    """
    return held(photo, frame, lens)[0]


def held(photo: Photo, frame: MarkFrame, lens: Lens | None = None) -> tuple[View, Floats, Floats]:
    """Return the view of one photo and the corners that hold it.

    Parameters
    ----------
    photo, frame, lens
        As for `view_of`.

    Returns
    -------
    tuple
        The view; where the corners are on the sheet, shape (n, 2) [m]; where they were seen if black ended at its
        drawn edge, shape (n, 2) [px].

    Raises
    ------
    InputError
        As `view_of`.
    """
    height, width = photo.grey.shape
    priors = _priors(photo, width, height, lens)
    seen = markers_in(photo.grey)
    if not seen.read:
        raise refusals.nothing_read(photo, frame)
    mine = np.isin(seen.ids, list(frame.ids))
    others = [int(i) for i in seen.ids[~mine]]
    if len(others) > int(mine.sum()):
        raise refusals.other_sheet(photo, frame, others)
    if refused := _unreadable(seen, mine, photo, frame):
        raise refused
    known = {m.id: m.corners for m in frame.markers}
    ids = seen.ids[mine]
    places = np.array([known[int(i)] for i in ids])
    corners = seen.corners[mine]
    if refused := _not_round(places, photo, frame):
        raise refused
    try:
        fit, used = _without_outliers(places, corners, priors)
        beyond = growth(corners[used], fit.left.reshape(-1, 4, 2)[used])
        corners = without_growth(corners, beyond)
        fit, used = _without_outliers(places, corners, priors)
        flat = _common(fit, used, places)
        if flat > BENT and len(places) >= BENT_FEWEST:
            fit, used = _bent(places, corners, priors[0], fit, used)
    except NotSolved:
        raise refusals.poor(photo, frame, None) from None
    if refused := _not_round(places[used], photo, frame):
        raise refused
    view = _view(fit, used, places, frame, beyond, flat)
    if view.tilt > STEEPEST:
        raise refusals.steep(photo, view.tilt)
    scale = float(np.median(seen.side[mine])) / _side(places)
    if view.lift > MOST_BENT:
        raise refusals.poor(photo, frame, None)
    if view.rms > LEFT_SURELY and view.rms / scale > LEFT_OVER:
        raise refusals.poor(photo, frame, view.rms / scale)
    return view, places[used].reshape(-1, 2), corners[used].reshape(-1, 2)


def _priors(photo: Photo, width: int, height: int, lens: Lens | None) -> tuple[Prior, ...]:
    if lens is None:
        return unknown_lens(width, height, photo.focal_hint)
    return (known_lens(lens.seen_as(width, height, photo.turns, photo.name)),)


def _side(places: Floats) -> float:
    return float(np.hypot(*np.moveaxis(places - np.roll(places, -1, axis=1), 2, 0)).mean())


def _unreadable(seen: Seen, mine: Mask, photo: Photo, frame: MarkFrame) -> Exception | None:
    """Return what makes the picture unreadable as a whole, if anything."""
    if not mine.any():
        return refusals.blurred(photo, None)
    side = float(np.median(seen.side[mine]))
    cell = seen.side[mine][:, None] / CELLS
    blur = float(np.median(seen.width[mine] / cell))
    share = int(mine.sum()) / len(frame.markers)
    pixels = float(np.median(seen.width[mine]))
    most = BLURRED_HALF if share < HALF_READ else BLURRED
    if side < SMALLEST or (blur > most and pixels < SHARP):
        return refusals.small(photo, side, max(SMALLEST, CELLS * pixels / most))
    if blur > most:
        return refusals.blurred(photo, blur * _side(np.array([m.corners for m in frame.markers])) / CELLS)
    return None


def _not_round(places: Floats, photo: Photo, frame: MarkFrame) -> Exception | None:
    """Return why the markers do not surround the window, if they do not."""
    if len(places) < FEWEST:
        return refusals.few(photo, frame, len(places), FEWEST)
    window = shapely.Polygon(frame.window)
    bare = window.difference(shapely.MultiPoint(places.reshape(-1, 2)).convex_hull)
    if bare.area <= OPEN * window.area:
        return None
    way = (np.array(bare.centroid.coords[0]) - frame.middle) / np.ptp(frame.window, axis=0)
    across, up = float(way[0]), float(way[1])
    side = ("right" if across > 0 else "left") if abs(across) > abs(up) else ("top" if up > 0 else "bottom")
    return refusals.open_side(photo, frame, side)


def _without_outliers(places: Floats, corners: Floats, priors: tuple[Prior, ...]) -> tuple[Fit, Mask]:
    """Return the fit without markers that lie where they should not, and which markers hold it."""
    flat, pixels = places.reshape(-1, 2), corners.reshape(-1, 2)
    used = np.ones(len(places), bool)
    fit = solved(flat, pixels, priors)
    for _ in range(3):
        good = _near(fit, used)
        if good.sum() < (1.0 - MOST_OUT) * len(good) or (good == used).all():
            break
        used = good
        fit = solved(flat, pixels, priors, np.repeat(used, 4))
    return fit, used


def _bent(places: Floats, corners: Floats, prior: Prior, start: Fit, held_by: Mask) -> tuple[Fit, Mask]:
    """Return the fit of the sheet as bent, where that explains most of what the flat one leaves; else the flat one."""
    flat, pixels = places.reshape(-1, 2), corners.reshape(-1, 2)
    used = np.ones(len(places), bool)  # a lifted edge looked like outliers
    fit = bent(flat, pixels, prior, start, np.repeat(used, 4), flat_over(flat))
    for _ in range(3):
        good = _near(fit, used)
        if good.sum() < (1.0 - MOST_OUT) * len(good) or (good == used).all():
            break
        used = good
        fit = bent(flat, pixels, prior, fit, np.repeat(used, 4), fit.bend or flat_over(flat))
    rest, before = (
        (float(np.sqrt((f.left.reshape(-1, 4, 2)[u] ** 2).mean())), _common(f, u, places))
        for f, u in ((fit, used), (start, held_by))
    )
    all_less, alike_less = rest[0] / before[0], rest[1] / before[1]
    better = all_less < BETTER or (all_less < LITTLE_BETTER and alike_less < ALIKE_BETTER)
    return (fit, used) if better and used.sum() >= 0.9 * held_by.sum() else (start, held_by)


def _near(fit: Fit, used: Mask) -> Mask:
    """Return the markers that lie where the fit sees them."""
    size = np.hypot(*fit.left.T).reshape(-1, 4)
    return np.asarray((size <= _farthest(size, used)).all(axis=1))


def _farthest(size: Floats, used: Mask) -> float:
    return max(OUTLIER * float(np.median(size[used])) / 1.1774, OUTLIER_LEAST)


def _common(fit: Fit, used: Mask, places: Floats) -> float:
    """Return what neighbouring markers have in common of what is left, outliers at the limit they went over [px]."""
    left = fit.left.reshape(-1, 4, 2)
    most = _farthest(np.hypot(*fit.left.T).reshape(-1, 4), used)
    mean = left.mean(axis=1)
    size = np.maximum(np.hypot(*mean.T), 1e-12)
    return _alike(mean * np.minimum(1.0, most / size)[:, None], places.mean(axis=1))


def _view(fit: Fit, used: Mask, places: Floats, frame: MarkFrame, beyond: float, flat: float) -> View:
    left = fit.left.reshape(-1, 4, 2)[used]
    return view_from(
        fit.lens,
        fit.rotation,
        fit.translation,
        frame,
        rms=float(np.sqrt((left**2).sum(axis=2).mean())),
        corner_sd=fit.corner_sd,
        markers_used=int(used.sum()),
        covariance=fit.covariance,
        growth=beyond,
        unexplained=float(np.hypot(_common(fit, used, places), 0.0 if fit.bend is None else BEND_TRUE * flat)),
        bend=fit.bend,
    )


def _alike(left: Floats, places: Floats) -> float:
    """Return the standard deviation of what neighbouring markers have in common, in one coordinate [px]."""
    gap = np.hypot(*np.moveaxis(places[:, None] - places[None], 2, 0))
    np.fill_diagonal(gap, np.inf)
    common = (left * left[gap.argmin(axis=1)]).sum(axis=1).mean() / 2.0
    return float(np.sqrt(max(common, 0.0)))
