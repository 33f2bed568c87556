"""From one photo of a sheet with markers to true outlines of the flat things on it.

Wrong answers are worse than none: an outline that is cut, blurred, lost in a shadow or too much like its ground is
refused with one reason and its cure.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from bagside.camera.arrow import Arrow, arrow_in
from bagside.camera.confidence import Confidence, confidence_of
from bagside.camera.contour import Edge, edge_of
from bagside.camera.drawn import drawn_wide
from bagside.camera.lens import Lens
from bagside.camera.marks import MarkFrame
from bagside.camera.plane_view import View
from bagside.camera.readers import Photo, light
from bagside.camera.rectify import Rectified, rectified
from bagside.camera.segment import OPENING, SPECK, Segmented, segmented
from bagside.camera.smooth import Outline, outline_of
from bagside.camera.trace_notes import trace_findings
from bagside.camera.view import view_of
from bagside.errors import InputError
from bagside.findings import Finding
from bagside.geometry.flat import loop_area, loop_length
from bagside.quantity import shown

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]

TOLERANCE = 0.0002  # [m]
THICKNESS = 0.0003  # [m] of one ply of prepreg
FINEST, READINGS = 0.0002, 5000  # [m] between readings along an edge, and about how many at most
BLUR_PIXELS, BLUR = 3.0, 0.0007  # [px] and [m] of blur that is too much at an outline
SHADOW = 2.6  # an edge so many times as wide as the sharpest in the photo is a shadow's
LEAST_READ = 0.75  # share of an edge that must be read
LEAST_HOLE = 0.5  # and of a hole's, to be one
LEAST_STEP = 0.03  # of white


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TracedOutline:
    """One flat thing as it was read.

    Parameters
    ----------
    loops
        Its outline, counter-clockwise, then its holes, clockwise, each shape (k, 2) in the sheet's axes [m].
    area
        Without its holes [m²].
    size
        Of the box round it along the sheet's axes [m].
    warp
        Direction of its warp from the sheet's x axis [rad]; None when nothing says it.
    arrow
        What was drawn on it; None when there is nothing, or the warp was stated.
    confidence
        95 of 100 of its points lie within this of the true edge [m].
    area_confidence
        The area is within this of the truth, in 95 of 100 photos [m²].
    parts
        What the confidence is made of.
    corners
        True corners in it.
    read
        Share of its outer edge that was read; smoothing closes the rest.
    unread
        Places along the outer edge that were not read, shape (m, 2) [m].
    """

    loops: tuple[Floats, ...]
    area: float
    size: tuple[float, float]
    warp: float | None
    arrow: Arrow | None
    confidence: float
    area_confidence: float
    parts: Confidence
    corners: int
    read: float
    unread: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Traced:
    """What one photo shows.

    Parameters
    ----------
    outlines
        By falling area.
    view
        Of the camera.
    thickness
        Of the things as stated [m].
    tolerance
        By which an outline may stray from what was read [m].
    dropped
        Specks left out.
    filled
        Patches inside outlines taken for glare or lines.
    rectified
        The window as a metric picture.
    findings
        What a person should know.
    """

    outlines: tuple[TracedOutline, ...]
    view: View
    thickness: float
    tolerance: float
    dropped: int
    filled: int
    rectified: Rectified
    findings: tuple[Finding, ...]


def trace(
    photo: Photo,
    frame: MarkFrame,
    *,
    thickness: float = THICKNESS,
    tolerance: float = TOLERANCE,
    lens: Lens | None = None,
    warp: float | None = None,
) -> Traced:
    """Return the true outlines of the flat things in the window of a sheet.

    Parameters
    ----------
    photo
        One photo of the whole sheet.
    frame
        The sheet as printed (`bagside.camera.marks.scaled`), or a surveyed table.
    thickness
        Of the things: their top is this high over the sheet [m].
    tolerance
        An outline strays from what was read by at most about this: it smooths a frayed cut and saves points [m].
    lens
        Of this camera from photos taken before.
    warp
        Direction of the warp from the sheet's x axis [rad], for all things; drawn arrows are not looked for then.

    Raises
    ------
    InputError
        With one reason and its cure, when the photo or what lies on the sheet cannot be measured.
    """
    if not 0.0 <= thickness < 0.05:
        raise InputError.one("thickness", shown(thickness, "mm"), "0 to 50 mm is wanted: flat things are traced")
    if not 1e-5 <= tolerance <= 0.01:
        raise InputError.one("tolerance", shown(tolerance, "mm", 2), "0.01 to 10 mm is wanted")
    view = view_of(photo, frame, lens)
    return traced_in(photo, view, frame.window, thickness=thickness, tolerance=tolerance, warp=warp)


def traced_in(
    photo: Photo, view: View, window: Floats, *, thickness: float, tolerance: float, warp: float | None = None
) -> Traced:
    """Return the outlines in a window whose view is known.

    Parameters
    ----------
    photo
        The photo.
    view
        Of its camera.
    window
        Corners of the free area on the sheet, shape (k, 2) [m].
    thickness, tolerance, warp
        As for `trace`.

    Raises
    ------
    InputError
        As `trace`.
    """
    picture = rectified(photo, view, window, thickness)
    found = segmented(picture, photo.name)
    bright = light(photo.grey)
    read = [_edges(found, k, picture, view, bright, thickness) for k in range(1, found.count + 1)]
    sharpest = min(float(np.median(edges[0].blur)) for edges, _ in read)
    wide = drawn_wide(bright, view)
    outlines: list[TracedOutline] = []
    clashes: list[int] = []
    shadows = 0
    for k, (edges, spacing) in enumerate(read, 1):
        if len(read) > 1 and float(np.median(edges[0].blur)) > SHADOW * sharpest:
            shadows += 1
            continue
        number = len(outlines) + 1
        _refused(photo.name, number, edges[0])
        edges = (edges[0], *(e for e in edges[1:] if e.kept.mean() >= LEAST_HOLE))
        smooth: tuple[Outline, ...] = tuple(_outline(e, bright, view, thickness, tolerance) for e in edges)
        whole = [0, *(j for j in range(1, len(edges)) if loop_area(smooth[j].points) < -0.7 * OPENING)]
        edges, smooth = tuple(edges[j] for j in whole), tuple(smooth[j] for j in whole)
        arrow, clash = (None, False) if warp is not None else arrow_in(picture, _body(found, k))
        if clash:
            clashes.append(number)
        outlines.append(_made(view, edges, smooth, thickness, spacing, warp, arrow, wide))
    if not outlines:
        raise InputError.one(photo.name, "only shadows lie in the window", "an object with a sharp edge")
    return Traced(
        outlines=tuple(outlines),
        view=view,
        thickness=thickness,
        tolerance=tolerance,
        dropped=found.dropped,
        filled=found.filled,
        rectified=picture,
        findings=trace_findings(
            view,
            window,
            thickness,
            [(o.confidence, o.parts, o.read, o.loops) for o in outlines],
            clashes,
            dropped=found.dropped,
            filled=found.filled,
            shadows=shadows,
            wide=wide,
        ),
    )


def _edges(
    found: Segmented, k: int, picture: Rectified, view: View, bright: Singles, height: float
) -> tuple[tuple[Edge, ...], float]:
    """Return the edges of one thing, its outer one first, and how far apart the readings are."""
    mask = (found.labels == k).astype(np.uint8)
    lines, tree = cv2.findContours(mask, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
    loops: list[Floats] = []
    for line, (_, _, _, parent) in zip(lines, tree[0], strict=True):
        loop = picture.to_plane(line.reshape(-1, 2).astype(np.float64))
        area = loop_area(loop) if len(loop) >= 3 else 0.0
        if abs(area) < (SPECK / 4.0 if parent < 0 else OPENING):
            continue
        outer = parent < 0
        loops.append(loop if (area > 0.0) == outer else loop[::-1])
    loops.sort(key=lambda loop: -abs(loop_area(loop)))
    spacing = max(FINEST, sum(loop_length(loop) for loop in loops) / READINGS)
    return tuple(edge_of(bright, view, loop, height, spacing) for loop in loops), spacing


def _body(found: Segmented, k: int) -> NDArray[np.bool_]:
    body: NDArray[np.bool_] = found.labels == k
    return body


def _refused(name: str, number: int, edge: Edge) -> None:
    """Raise when an outer edge cannot be measured, with the reason that matters most."""
    place = f"{name}, outline {number}"
    blur = float(np.median(edge.blur))
    wide = blur * float(np.median(edge.pixel))
    step = float(np.median(np.abs(edge.step)))
    if step < LEAST_STEP:
        raise InputError.one(
            place,
            f"it differs from the ground by {100 * step:.0f} % of white",
            "more contrast is needed",
            "lay it on paper of another tone",
        )
    if blur > BLUR_PIXELS or wide > BLUR:
        raise InputError.one(
            place,
            f"its edge is blurred over {shown(2.0 * wide, 'mm')}",
            "a sharp edge is wanted",
            "hold still, let the camera focus on the object, and give it more light",
        )
    share = float(edge.kept.mean())
    if share < LEAST_READ:
        raise InputError.one(
            place,
            f"only {100 * share:.0f} % of its edge can be read",
            "a clear edge all round is wanted",
            "light it from all sides so that no shadow lies along it, and press it flat",
        )


def _outline(edge: Edge, bright: Singles, view: View, height: float, tolerance: float) -> Outline:
    x, y, z = view.camera
    side = height * float(np.linalg.norm(edge.points - [x, y], axis=1).max()) / z
    blur = float(np.median(edge.blur * edge.pixel))
    return outline_of(edge.points, edge.kept, blur, tolerance, edge.solid(bright, view, height), side)


def _made(
    view: View,
    edges: tuple[Edge, ...],
    smooth: tuple[Outline, ...],
    height: float,
    spacing: float,
    warp: float | None,
    arrow: Arrow | None,
    wide: float,
) -> TracedOutline:
    loops = tuple(o.points for o in smooth)
    known = confidence_of(view, edges, smooth, height, spacing, wide)
    box = np.ptp(loops[0], axis=0)
    seen = edges[0].kept | smooth[0].corners.blind
    return TracedOutline(
        loops=loops,
        area=sum(loop_area(loop) for loop in loops),
        size=(float(box[0]), float(box[1])),
        warp=warp if warp is not None else (None if arrow is None else arrow.angle),
        arrow=arrow,
        confidence=known.outline,
        area_confidence=known.area,
        parts=known,
        corners=sum(len(o.corners.index) for o in smooth),
        read=float(seen.mean()),
        unread=smooth[0].dense[~seen],
    )
