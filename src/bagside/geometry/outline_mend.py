"""One outline brought into a form that can be cut: closed, simple, round some area; or refused with its place."""

from __future__ import annotations

import numpy as np
import shapely

from bagside.errors import InputError
from bagside.geometry.flat import cleaned, loop_area, loop_length, loops_of
from bagside.geometry.surface import Floats

SAME = 1e-6  # [m] corners closer than this are one
LOST = 0.005  # share of its area that mending a crossing may take
THIN = 5e-5  # [m] an outline narrower than this on the whole has no area
WIDEST = 100.0  # [m] no cloth is as large as this: the unit is wrong


def simple(loop: Floats, place: str) -> tuple[Floats, str]:
    """Return a loop that does not cross itself, and what was mended in words, empty when nothing was.

    Parameters
    ----------
    loop
        Corners, shape (k, 2) [m].
    place
        For messages.

    Raises
    ------
    InputError
        When it has no area, a number is not finite, or mending its crossings would take more than 0.5 % of its area.
    """
    if not np.isfinite(loop).all():
        raise InputError.one(place, "a number that is not finite", "a closed outline is wanted")
    if len(loop) and float(np.ptp(loop, axis=0).max()) > WIDEST:
        came = f"{float(np.ptp(loop, axis=0).max()):.0f} m across"
        raise InputError.one(place, came, "no cloth is as large as that", "check the unit")
    try:
        clean = cleaned(loop, SAME)
    except ValueError:
        raise _no_area(loop, place) from None
    made = shapely.Polygon(clean)
    if made.is_valid:
        if 2 * abs(loop_area(clean)) < THIN * loop_length(clean):
            raise _no_area(clean, place)
        return clean, ""
    where = _crossing(made)
    parts = [p for p in shapely.get_parts(shapely.make_valid(made)) if isinstance(p, shapely.Polygon)]
    if not parts:
        raise _no_area(clean, place)
    largest = max(parts, key=lambda p: shapely.Polygon(p.exterior).area)
    kept = shapely.Polygon(largest.exterior)
    total = shapely.union_all([shapely.Polygon(p.exterior) for p in parts]).area
    lost = total - kept.area + sum(shapely.Polygon(r).area for r in largest.interiors)
    if 2 * kept.area < THIN * kept.length:
        raise _no_area(clean, place)
    if lost > LOST * total:
        raise InputError.one(
            place,
            f"it crosses itself at {where}",
            f"leaving out the smaller side would take {100 * lost / total:.1f} % of its area, more than a slip",
            "draw the outline anew there, so that it runs round once",
        )
    return loops_of(kept)[0], f"crossed itself at {where}: {1e6 * lost:.2f} mm² beside the rest left out"


def _crossing(made: shapely.Polygon) -> str:
    words = str(shapely.is_valid_reason(made))
    numbers = words[words.rfind("[") + 1 : words.rfind("]")].split()
    return " ".join(f"{1000 * float(n):.1f}" for n in numbers[:2]) + " mm"


def _no_area(loop: Floats, place: str) -> InputError:
    x, y = (1000 * float(c) for c in loop[0]) if len(loop) else (0.0, 0.0)
    return InputError.one(
        place,
        f"an outline without area at {x:.1f} {y:.1f} mm",
        "a closed outline round some area is wanted",
        "take the doubled line out of the drawing, and check the unit",
    )
