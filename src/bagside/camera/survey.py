"""Where the marker pages round a table lie, from several photos of it, once.

One page after another is placed by the photos that show it together with pages already placed; then all photos, all
pages and the lens are fitted together. Size comes from the printed markers and the rules as measured.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.camera.bundle import Adjusted, Corners
from bagside.camera.finding import Seen, markers_in
from bagside.camera.lens import Lens
from bagside.camera.mark_pages import RULES, MarkPage, page_of, pages
from bagside.camera.marks import MOST_OFF, PRINTED_SD, RULER_SD, MarkFrame
from bagside.camera.page_places import ENOUGH, pages_placed
from bagside.camera.readers import Photo, as_sensed
from bagside.camera.table import table_frame
from bagside.errors import InputError, Problem
from bagside.quantity import shown

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

FEWEST_PHOTOS = 4
EACH = 2
"""Photos each page must be in."""
POOR = 0.00030  # [m] left over on the paper: more is not one flat table


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Survey:
    """A table with markers, and how well it is known.

    Parameters
    ----------
    frame
        The markers as they lie.
    lens
        Of the camera, from the same photos.
    photos
        In how many photos each page was seen, by its number.
    place_sd
        Standard deviation of each page's place relative to the first page, by its number [m].
    corner_sd
        Of one coordinate of a corner [px].
    left
        Root mean square of what is left, on the paper [m].
    dropped
        Markers left out as outliers, over all photos.
    """

    frame: MarkFrame
    lens: Lens
    photos: dict[int, int]
    place_sd: dict[int, float]
    corner_sd: float
    left: float
    dropped: int


def surveyed(
    photos: Sequence[Photo], *, along_x: float | None = None, along_y: float | None = None, name: str = "table"
) -> Survey:
    """Return the table that several photos show.

    Parameters
    ----------
    photos
        All from one camera at one zoom; at least four.
    along_x, along_y
        The printed rules as measured [m]; None where not measured.
    name
        Of the table.

    Raises
    ------
    InputError
        When photos differ in size, show too few pages or pages that are never seen together, or the pages do not lie
        flat.
    NotSolved
        When no place of the camera explains a photo.
    """
    factor, scale_sd = _scale(along_x, along_y)
    known = pages()
    seen = [markers_in(as_sensed(photo)) for photo in photos]
    _refuse(photos, seen)
    there = _pages_seen(seen, known)
    numbers = sorted(there)
    corners = tuple(_corners(s, known, numbers, factor) for s in seen)
    found, corners, dropped = pages_placed(corners, numbers, photos)
    left = np.concatenate(found.left)
    scale = _scale_of(found, corners)
    over = float(np.sqrt((left**2).sum(axis=1).mean())) / scale
    if over > POOR:
        raise InputError.one(
            name,
            f"{shown(over, 'mm', 2)} are left over",
            "the pages do not lie flat in one plane, or were moved between photos",
            "glue them down flat and take all photos again",
        )
    place_sd = {n: float(np.hypot(*found.page_sd[k, :2])) for k, n in enumerate(numbers)}
    frame = table_frame(
        name, [known[n - 1] for n in numbers], found.state.pages, factor, scale_sd, max(place_sd.values())
    )
    return Survey(
        frame=frame,
        lens=found.state.lens,
        photos=there,
        place_sd=place_sd,
        corner_sd=found.corner_sd,
        left=over,
        dropped=dropped,
    )


def _scale(along_x: float | None, along_y: float | None) -> tuple[Floats, tuple[float, float]]:
    factor, sd = np.ones(2), [PRINTED_SD, PRINTED_SD]
    for k, (axis, measured) in enumerate(zip("xy", (along_x, along_y), strict=True)):
        if measured is None:
            continue
        if not abs(measured / RULES[k] - 1.0) <= MOST_OFF:
            raise InputError.one(
                f"rule in {axis}",
                shown(measured, "mm"),
                f"the rule of the table pages is drawn {shown(RULES[k], 'mm')} long; more than 3 % off is refused",
                'measure from tick to tick again, or print at 100 %, without "fit to page"',
            )
        factor[k] = measured / RULES[k]
        sd[k] = RULER_SD / RULES[k]
    return factor, (sd[0], sd[1])


def _refuse(photos: Sequence[Photo], seen: Sequence[Seen]) -> None:
    if len(photos) < FEWEST_PHOTOS:
        raise InputError.one(
            "photos", f"{len(photos)}", f"at least {FEWEST_PHOTOS} are wanted, eight are better", "take more"
        )
    size = as_sensed(photos[0]).shape
    problems = []
    for photo, found in zip(photos, seen, strict=True):
        height, width = as_sensed(photo).shape
        if (height, width) != size:
            came = f"{width} × {height} pixels"
            wanted = f"all photos of one camera are wanted, {size[1]} × {size[0]} like {photos[0].name}"
            problems.append(Problem(place=photo.name, came=came, wanted=wanted))
        elif not len(found.ids):
            wanted = "no marker is readable in it"
            problems.append(Problem(place=photo.name, came="", wanted=wanted, hint="leave it out or take it again"))
        elif not any(page_of(int(i)) for i in found.ids):
            wanted = "markers of table pages are wanted"
            problems.append(Problem(place=photo.name, came="markers of another sheet", wanted=wanted))
    if problems:
        raise InputError(problems)


def _pages_seen(seen: Sequence[Seen], known: Sequence[MarkPage]) -> dict[int, int]:
    """Return in how many photos each page is, for pages that are in any."""
    count = {
        page.number: sum(int(np.isin(s.ids, [m.id for m in page.markers]).sum() >= ENOUGH) for s in seen)
        for page in known
    }
    there = {number: photos for number, photos in count.items() if photos}
    lone = [number for number, photos in there.items() if photos < EACH]
    if lone:
        raise InputError.one(
            "photos",
            "page " + ", ".join(str(n) for n in lone) + " in one photo only",
            f"each page in at least {EACH} photos is wanted",
            "take more photos that show it, from other sides",
        )
    if len(there) < 2:
        raise InputError.one("photos", f"{len(there)} page", "at least two pages round a table are wanted")
    return there


def _corners(seen: Seen, known: Sequence[MarkPage], numbers: Sequence[int], factor: Floats) -> Corners:
    local, page, pixels = [np.zeros((0, 2))], [np.zeros(0, dtype=np.int64)], [np.zeros((0, 2))]
    for k, number in enumerate(numbers):
        own = {m.id: m.corners * factor for m in known[number - 1].markers}
        mine = np.flatnonzero(np.isin(seen.ids, list(own)))
        for i in mine:
            local.append(own[int(seen.ids[i])])
            pixels.append(seen.corners[i])
            page.append(np.full(4, k, dtype=np.int64))
    return Corners(page=np.concatenate(page), local=np.concatenate(local), pixels=np.concatenate(pixels))


def _scale_of(found: Adjusted, corners: tuple[Corners, ...]) -> float:
    """Return pixels for a metre on the paper, the middle one of all markers."""
    out = []
    for c in corners:
        one = c.pixels.reshape(-1, 4, 2)
        real = c.local.reshape(-1, 4, 2)
        out.append(
            np.hypot(*np.moveaxis(one - np.roll(one, -1, axis=1), 2, 0)).mean(axis=1)
            / np.hypot(*np.moveaxis(real - np.roll(real, -1, axis=1), 2, 0)).mean(axis=1)
        )
    return float(np.median(np.concatenate(out)))
