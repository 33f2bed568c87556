"""What a person should know of a traced photo: sentences, each with what to do."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from bagside.camera.confidence import Confidence
from bagside.camera.marks import PRINTED_SD
from bagside.camera.plane_view import View
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown

Floats = NDArray[np.float64]

SIDE = 0.0005  # [m] of an object's side seen beside its top that is worth a word
POOR = 0.001  # [m] of confidence that is worth a word
WIDE = 0.35  # [px] a marker may be drawn too wide without a word
UNREAD = 0.08  # share of an edge
STRIP, SLENDER = (
    0.030,
    4.0,
)  # [m] wide at most and so many times as long: a slot, or a strip of tape as light as the ground


def trace_findings(
    view: View,
    window: Floats,
    thickness: float,
    outlines: Sequence[tuple[float, Confidence, float, tuple[Floats, ...]]],
    clashes: Sequence[int],
    *,
    dropped: int,
    filled: int,
    shadows: int,
    wide: float,
) -> tuple[Finding, ...]:
    """Return what was noticed in one photo.

    Parameters
    ----------
    view
        Of the camera.
    window
        Corners of the free area, shape (k, 2) [m].
    thickness
        Of the objects [m].
    outlines
        Confidence [m], what it is made of, share of the edge that was read, and the loops of each.
    clashes
        Numbers of outlines on which several lines contradict each other.
    dropped, filled, shadows
        Specks left out, patches filled, shadows left out.
    wide
        By how much the photo draws its markers too wide [px].
    """
    out: list[Finding] = []
    x, y, z = view.camera
    if max(view.frame.scale_sd) >= 0.75 * PRINTED_SD:
        long = float(np.ptp(window, axis=0).max())
        out.append(
            _finding(
                Severity.WATCH,
                "sheet",
                f"its printed rules were not measured: sizes are known to {shown(2 * PRINTED_SD, '%')}, "
                f"{shown(2 * PRINTED_SD * long, 'mm')} over its length",
                "printers and copiers change the size of a page by some tenths of a percent",
                "measure both rules with a steel ruler and state them with --rule-x and --rule-y",
                Basis.COMMON,
            )
        )
    for k, (confidence, parts, read, loops) in enumerate(outlines, 1):
        out += [_strip(k, hole) for hole in loops[1:] if _is_strip(hole)]
        side = thickness * float(np.linalg.norm(loops[0] - [x, y], axis=1).max()) / z
        if side > SIDE:
            out.append(
                _finding(
                    Severity.WATCH,
                    f"outline {k}",
                    f"{shown(side, 'mm')} of its side shows beside its top",
                    "where side and top look alike the edge of the top is inferred, not seen",
                    "shoot straight down from further away, with a lens made before (--lens); a tilted photo alone "
                    "cannot do better",
                    Basis.MEASURED,
                )
            )
        if confidence > POOR:
            worst = max(("view", "edge", "height", "smoothing"), key=lambda n: float(getattr(parts, n)))
            out.append(_poor(k, confidence, worst))
        if 1.0 - read > UNREAD:
            out.append(
                _finding(
                    Severity.DECIDE if read < 0.8 else Severity.WATCH,
                    f"outline {k}",
                    f"{100 * (1.0 - read):.0f} % of its edge could not be read and was bridged",
                    "a shadow, glare or loose threads lie along it",
                    "look at the overlay; light it from all sides and photograph it again if the outline is off there",
                    Basis.MEASURED,
                )
            )
    out += [
        _finding(
            Severity.DECIDE,
            f"outline {k}",
            "several lines drawn on it run in different directions",
            "which of them is the warp cannot be told",
            "state it with --warp, or leave one line only",
            Basis.MEASURED,
        )
        for k in clashes
    ]
    if abs(wide) > WIDE:
        out.append(
            _finding(
                Severity.WATCH,
                "photo",
                f"markers are drawn {abs(wide):.1f} pixels too {'wide' if wide > 0 else 'narrow'} on each side",
                "the camera's curve or a filter moves edges, or ink spread; the object's edge may be off as much",
                "switch sharpening, filters and HDR off, expose so that the paper is not quite white, print on "
                "plain paper that does not soak",
                Basis.MEASURED,
            )
        )
    specks, dark = f"{dropped} specks under 1 cm²", f"{shadows} shadows"
    words = f"{specks} and {dark}" if dropped and shadows else specks if dropped else dark
    if dropped or shadows:
        out.append(
            _finding(
                Severity.SEEN,
                "window",
                f"{words} left out",
                "they are no pieces",
                "look at the overlay",
                Basis.MEASURED,
            )
        )
    if filled:
        out.append(
            _finding(
                Severity.SEEN,
                "outlines",
                f"{filled} patches inside were taken for glare or drawn lines, not for openings",
                "they do not look like the ground",
                "look at the overlay; a slot narrower than 8 mm is taken for a line",
                Basis.MEASURED,
            )
        )
    return tuple(out)


def _is_strip(hole: Floats) -> bool:
    box = shapely.minimum_rotated_rectangle(shapely.Polygon(hole))
    sides = np.linalg.norm(np.diff(np.asarray(box.exterior.coords)[:3], axis=0), axis=1)
    return float(sides.min()) < STRIP and float(sides.max()) > SLENDER * float(sides.min())


def _strip(k: int, hole: Floats) -> Finding:
    wide, long = np.sort(np.ptp(hole @ _axes(hole), axis=0))
    return _finding(
        Severity.WATCH,
        f"outline {k}",
        f"a strip of {shown(float(wide), 'mm', 0)} × {shown(float(long), 'mm', 0)} as light as the ground was taken "
        "for an opening",
        "a photo cannot tell it from a strip of tape of the ground's own tone",
        "if it is tape, mark the warp with a line up to 8 mm wide or tape of another tone, or state it with --warp",
        Basis.MEASURED,
    )


def _axes(hole: Floats) -> Floats:
    axes: Floats = np.linalg.svd(hole - hole.mean(axis=0), full_matrices=False)[2].T
    return axes


_CURE = {
    "view": "tilt the camera by about 20°, get the whole sheet into the picture, lay it flat, measure its rules",
    "edge": "go nearer, use the camera's full size and more light",
    "height": "state the thickness with --thick, shoot straight down",
    "smoothing": "state a smaller --tolerance",
}


def _poor(k: int, confidence: float, worst: str) -> Finding:
    return _finding(
        Severity.WATCH,
        f"outline {k}",
        f"it is known to ±{shown(confidence, 'mm')} only",
        f"most of that comes from the {worst}",
        _CURE[worst],
        Basis.MEASURED,
    )


def _finding(severity: Severity, place: str, what: str, why: str, do: str, basis: Basis) -> Finding:
    return Finding(severity=severity, stage="camera", place=place, what=what, why=why, do=do, basis=basis)
