"""Why a photo cannot be measured on: one reason and one cure each."""

from __future__ import annotations

from collections import Counter

import cv2
import numpy as np

from bagside.camera.finding import detected, halved
from bagside.camera.mark_pages import page_of
from bagside.camera.marks import SHEETS, MarkFrame, frame
from bagside.camera.readers import Bytes, Photo
from bagside.errors import InputError
from bagside.quantity import shown


def nothing_read(photo: Photo, sheet: MarkFrame) -> InputError:
    """Return why no marker was read: too small, blurred, or none there.

    Parameters
    ----------
    photo
        The picture.
    sheet
        What should be in it.
    """
    quarter = halved(halved(photo.grey))
    if min(quarter.shape) > 100 and len(detected(quarter)[0]):
        return blurred(photo, None)
    if max(photo.grey.shape) <= 2500 and len(detected(_doubled(photo.grey))[0]):
        return small(photo, None, 0.0)
    return InputError.one(
        photo.name,
        "",
        f"no marker of sheet {sheet.name} is readable in the photo",
        "the whole ring of markers must be in the picture, sharp, evenly lit and without glare",
    )


def _doubled(grey: Bytes) -> Bytes:
    return np.asarray(cv2.resize(grey, None, fx=2.0, fy=2.0, interpolation=cv2.INTER_CUBIC), dtype=np.uint8)


def blurred(photo: Photo, blur: float | None) -> InputError:
    """Return that the picture is blurred.

    Parameters
    ----------
    photo
        The picture.
    blur
        Standard deviation on the paper [m], when it could be measured.
    """
    return InputError.one(
        photo.name,
        "",
        "the photo is blurred" + (f", by {shown(blur, 'mm', 2)} on the paper" if blur is not None else ""),
        "take it again with more light, hold the camera still or lean it on something, and tap the sheet to focus",
    )


def small(photo: Photo, side: float | None, least: float) -> InputError:
    """Return that the sheet is too small in the picture.

    Parameters
    ----------
    photo
        The picture.
    side
        Of a marker [px], when it was read.
    least
        That is wanted [px].
    """
    height, width = photo.grey.shape
    told = f"; a marker is {side:.0f} pixels wide, {least:.0f} are wanted" if side is not None else ""
    return InputError.one(
        photo.name,
        f"{width} × {height} pixels",
        "the sheet is too small in the photo" + told,
        "go nearer until the ring of markers fills the picture, or send the original instead of a reduced copy",
    )


def other_sheet(photo: Photo, sheet: MarkFrame, ids: list[int]) -> InputError:
    """Return that another sheet is in the picture.

    Parameters
    ----------
    photo
        The picture.
    sheet
        What should be in it.
    ids
        What was read and does not belong to it.
    """
    known = {name: frame(name).ids for name in SHEETS}
    names = Counter(next((n for n, its in known.items() if i in its), "") or page_of(i) for i in ids)
    other = names.most_common(1)[0][0]
    seen = f"markers of {other}" if other.startswith("page") else f"markers of sheet {other}" if other else "others"
    return InputError.one(
        photo.name,
        seen,
        f"markers of sheet {sheet.name} are wanted",
        "name the sheet that is in the photo, or take the photo on the sheet that was named",
    )


def few(photo: Photo, sheet: MarkFrame, count: int, least: int) -> InputError:
    """Return that too few markers are readable.

    Parameters
    ----------
    photo
        The picture.
    sheet
        What should be in it.
    count
        Readable.
    least
        Wanted.
    """
    return InputError.one(
        photo.name,
        f"{count} of {len(sheet.markers)} markers of sheet {sheet.name}",
        f"at least {least} all round the window must be readable",
        "clear the ring of markers, get rid of glare, and have all of it in the picture",
    )


def open_side(photo: Photo, sheet: MarkFrame, side: str) -> InputError:
    """Return that markers do not surround the window.

    Parameters
    ----------
    photo
        The picture.
    sheet
        What should be in it.
    side
        Where they are missing: left, right, top or bottom of the sheet.
    """
    return InputError.one(
        photo.name,
        "",
        f"the markers at the {side} of sheet {sheet.name}, its words upright, are not readable; all sides are wanted",
        "clear that side, keep glare and shadow off it, and have all of it in the picture",
    )


def steep(photo: Photo, tilt: float) -> InputError:
    """Return that the camera was held too far over.

    Parameters
    ----------
    photo
        The picture.
    tilt
        [rad].
    """
    return InputError.one(
        photo.name,
        f"taken {shown(tilt, '°', 0)} off straight down",
        "up to 45° are measured on",
        "hold the camera more from above; 10° to 25° off is best for cloth, straight down for thick card",
    )


def poor(photo: Photo, sheet: MarkFrame, left: float | None) -> InputError:
    """Return that the markers do not fit one flat sheet.

    Parameters
    ----------
    photo
        The picture.
    sheet
        What should be in it.
    left
        Root mean square of what is left [m], when there is a fit at all.
    """
    told = f"{shown(left, 'mm', 2)} are left over" if left is not None else ""
    return InputError.one(
        photo.name,
        told,
        f"the markers do not lie as on a flat sheet {sheet.name}",
        "weigh the sheet down flat or glue it to a board, state both printed rules as measured, and take it again",
    )
