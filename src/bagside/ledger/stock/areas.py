"""How large outlined cloth is, and whether its outline can be one."""

from __future__ import annotations

import shapely

from bagside.ledger.bodies import Loop


def area_of(outline: Loop, holes: tuple[Loop, ...] = ()) -> float:
    """Return the area inside an outline without its holes, by the sum over its edges; 0 for fewer than 3 points [m²].

    Parameters
    ----------
    outline
        Points around it [m].
    holes
        Inside it [m].

    Examples
    --------
    >>> area_of(((0, 0), (2, 0), (2, 1), (0, 1)), (((0.5, 0.5), (1, 0.5), (1, 0.9), (0.5, 0.9)),))
    1.8
    """
    return _inside(outline) - sum(_inside(hole) for hole in holes)


def _inside(loop: Loop) -> float:
    if len(loop) < 3:
        return 0.0
    x0, y0 = loop[0]
    shifted = [(x - x0, y - y0) for x, y in loop]
    return 0.5 * abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(shifted, shifted[1:] + shifted[:1], strict=True)))


def extent_of(outline: Loop) -> tuple[float, float]:
    """Return how long an outline is along the warp and across it [m].

    Parameters
    ----------
    outline
        Points around it, x along the warp [m].
    """
    if not outline:
        return 0.0, 0.0
    xs, ys = [p[0] for p in outline], [p[1] for p in outline]
    return max(xs) - min(xs), max(ys) - min(ys)


def wrong_outline(outline: Loop, holes: tuple[Loop, ...] = (), flaws: tuple[Loop, ...] = ()) -> str:
    """Return what is wrong with an outline, in words; empty when nothing is.

    Parameters
    ----------
    outline
        Points around it [m].
    holes
        Inside it [m].
    flaws
        Bad places; they may reach over the edge [m].
    """
    if len(outline) < 3:
        return "it has fewer than three corners"
    for what, loops in (("a hole", holes), ("a flaw", flaws)):
        if any(len(loop) < 3 for loop in loops):
            return f"{what} has fewer than three corners"
    face = shapely.Polygon(outline)
    if not face.convex_hull.area > 0.0:
        return "it has no area"
    if not face.is_valid:
        return "its edges cross each other"
    cut = shapely.Polygon(outline, holes)
    if holes and not (cut.is_valid and cut.area > 0.0):
        return "a hole crosses its edge or another hole"
    if any(not shapely.Polygon(flaw).is_valid for flaw in flaws):
        return "the edges of a flaw cross each other"
    return ""
