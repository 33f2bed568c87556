"""From the strokes of a drawing to closed outlines with their holes.

Loose strokes are joined where their ends meet, and what was mended is said. What cannot be mended without guessing is
refused with its place: an outline that is open, one that branches, one whose crossing encloses more than a crumb.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely

from bagside.errors import InputError, did_you_mean
from bagside.geometry.flat import loop_area
from bagside.geometry.outline_chains import chained
from bagside.geometry.outline_mend import SAME, simple
from bagside.geometry.surface import Floats

WARP = "warp"
"""First word of the name of the layer, group or element that holds a line along the warp."""
CHORD = 1e-5  # [m] curves of a drawing are followed to this
TWICE = 1e-4  # [m] outlines that lie this close to each other are one drawn twice
SAME_WAY = math.radians(1.0)  # lines along the warp that differ by more are two


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stroke:
    """One line of a drawing.

    Parameters
    ----------
    points
        Shape (k, 2) [m].
    closed
        Whether it returns to its first point.
    layers
        The layer or groups it is drawn on, outermost first.
    name
        Its own, where the drawing names it.
    """

    points: Floats
    closed: bool
    layers: tuple[str, ...] = ()
    name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drawing:
    """What was read of a drawing.

    Parameters
    ----------
    strokes
        Its lines.
    left_out
        What else stands in it and was not used, in words.
    """

    strokes: tuple[Stroke, ...]
    left_out: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlatOutline:
    """One outline of a drawing, with its holes.

    Parameters
    ----------
    name
        The layer, group or element it was drawn on; may be empty.
    loops
        Outline first, counter-clockwise, then holes, clockwise, each shape (k, 2) [m].
    mended
        What was mended and what was left out, in words.
    warp
        Where the drawn line along the warp points, from x, more than −90° and at most 90° [rad]; None when there is
        none.
    """

    name: str
    loops: tuple[Floats, ...]
    mended: tuple[str, ...] = ()
    warp: float | None = None


@dataclass(slots=True)
class _Loop:
    points: Floats
    name: str
    mended: list[str] = field(default_factory=list)


def assembled(drawing: Drawing, layer: str, place: str) -> tuple[FlatOutline, ...]:
    """Return the outlines of a drawing, largest first.

    Parameters
    ----------
    drawing
        As read.
    layer
        Only what is drawn on this layer, in this group or under this name, in small or large letters; all of it when
        empty.
    place
        The file, for messages.

    Raises
    ------
    InputError
        When nothing is drawn there, an outline is open, branches, crosses itself or another one, or has no area.
    """
    named = sorted({n for s in drawing.strokes for n in (s.name, *s.layers) if n})
    warps = [s for s in drawing.strokes if _is_warp(s)]
    chosen = [s for s in drawing.strokes if not _is_warp(s) and (not layer or _is_on(s, layer))]
    if not chosen:
        if layer and drawing.strokes:
            raise InputError.one(
                place, f'layer "{layer}"', "nothing is drawn on this layer", did_you_mean(layer, named)
            )
        extra = "; there are only " + ", ".join(drawing.left_out) if drawing.left_out else ""
        raise InputError.one(place, "", f"no outline is drawn in it{extra}", "draw the outline as lines and arcs")
    groups: dict[tuple[str, ...], list[Stroke]] = {}
    for stroke in chosen:
        groups.setdefault(stroke.layers, []).append(stroke)
    found: list[_Loop] = []
    for layers, strokes in groups.items():
        found += _loops(strokes, layers[-1] if layers else "", place, layer or len(groups) < 2)
    outlines = _nested(_once(found), place)
    said = tuple(f"{words} left out" for words in drawing.left_out)
    others: dict[tuple[str, ...], list[Floats]] = {}
    for stroke in drawing.strokes:
        if layer and not _is_warp(stroke) and not _is_on(stroke, layer):
            others.setdefault(stroke.layers, []).append(stroke.points)
    elsewhere = [shapely.MultiPoint(np.concatenate(points)).convex_hull for points in others.values()]
    return tuple(_with_warp(o, outlines, warps, elsewhere, said, place) for o in outlines)


def _is_warp(stroke: Stroke) -> bool:
    return any(re.split(r"[\W_]", n.strip().casefold())[0] == WARP for n in (stroke.name, *stroke.layers))


def _is_on(stroke: Stroke, layer: str) -> bool:
    return layer.casefold() in (n.casefold() for n in (stroke.name, *stroke.layers))


def _loops(strokes: Sequence[Stroke], name: str, place: str, alone: object) -> list[_Loop]:
    """Return the loops of strokes on one layer."""
    at = f"{place}, layer {name}" if name else place
    found = [(s.points, s.name or name, "") for s in strokes if s.closed]
    own = {s.name for s in strokes if not s.closed and s.name}
    chain_name = own.pop() if len(own) == 1 else name
    hint = "" if alone else "; or state the layer that holds the outline alone"
    found += [(loop, chain_name, note) for loop, note in chained([s.points for s in strokes if not s.closed], at, hint)]
    out: list[_Loop] = []
    for points, called, note in found:
        tidy, mended = simple(points, at)
        out.append(_Loop(tidy, called, [w for w in (note, mended) if w]))
    return out


def _once(loops: list[_Loop]) -> list[_Loop]:
    """Return loops without those that were drawn twice, largest first."""
    loops = sorted(loops, key=lambda one: -abs(loop_area(one.points)))
    box = np.array([[*one.points.min(axis=0), *one.points.max(axis=0)] for one in loops])
    kept: list[int] = []
    for k, loop in enumerate(loops):
        near = np.abs(box[kept] - box[k]).max(axis=1) < TWICE if kept else np.zeros(0, dtype=np.bool_)
        ring = shapely.LinearRing(loop.points)
        for j in (kept[n] for n in np.flatnonzero(near)):
            if shapely.hausdorff_distance(ring, shapely.LinearRing(loops[j].points), densify=0.05) < TWICE:
                loops[j].mended.append("drawn twice, taken once")
                break
        else:
            kept.append(k)
    return [loops[k] for k in kept]


def _nested(loops: list[_Loop], place: str) -> list[FlatOutline]:
    """Return outlines with the holes in them; an outline within a hole is one again."""
    areas = [shapely.Polygon(loop.points) for loop in loops]
    tree = shapely.STRtree(areas)
    depth: list[int] = []
    parent: list[int] = []
    inner: dict[int, list[int]] = {}
    for k, area in enumerate(areas):
        around = []
        for j in sorted(int(n) for n in tree.query(area, predicate="intersects") if n < k):
            # Sorted by area, so that only earlier ones can lie around this one.
            if shapely.covers(areas[j], area):
                around.append(j)
                continue
            shared = shapely.intersection(areas[j], area).area
            if shared > (1 - 1e-6) * area.area:
                around.append(j)
            elif shared > max(TWICE**2, 1e-6 * area.area):
                raise _crossed(loops[j], loops[k], place)
        depth.append(len(around))
        parent.append(max(around) if around else -1)
        inner.setdefault(parent[k], []).append(k)
    out: list[FlatOutline] = []
    for k, loop in enumerate(loops):
        if depth[k] % 2:
            continue
        holes = [loops[j] for j in inner.get(k, [])]
        out.append(
            FlatOutline(
                name=loop.name,
                loops=(_wound(loop.points, 1.0), *(_wound(h.points, -1.0) for h in holes)),
                mended=tuple(loop.mended + [f"of a hole: {note}" for h in holes for note in h.mended]),
            )
        )
    return out


def _crossed(one: _Loop, other: _Loop, place: str) -> InputError:
    """Return what is said about two outlines that cross."""
    meet = shapely.intersection(shapely.LinearRing(one.points), shapely.LinearRing(other.points))
    x, y = (1000 * c for c in meet.centroid.coords[0])
    names = " and ".join(f'"{loop.name}"' if loop.name else "another" for loop in (one, other))
    return InputError.one(
        place,
        f"two outlines cross near {x:.1f} {y:.1f} mm ({names})",
        "an outline may lie beside another or within it",
        "state the layer of the one that is meant, or join the two in the drawing",
    )


def _with_warp(
    one: FlatOutline,
    all_of_them: list[FlatOutline],
    strokes: list[Stroke],
    elsewhere: list[shapely.Geometry],
    said: tuple[str, ...],
    place: str,
) -> FlatOutline:
    """Return an outline with the warp drawn in it, or beside all outlines and what is drawn on other layers."""
    segments = [np.stack([s.points[:-1], s.points[1:]], axis=1) for s in strokes if len(s.points) > 1]
    warp = None
    if segments:
        every = np.concatenate(segments)
        middle = every.mean(axis=1)
        own = shapely.contains_xy(shapely.Polygon(one.loops[0]), middle[:, 0], middle[:, 1])
        if not own.any():
            taken = [*(shapely.Polygon(o.loops[0]) for o in all_of_them), *elsewhere]
            own = ~np.any([shapely.contains_xy(area, middle[:, 0], middle[:, 1]) for area in taken], axis=0)
        warp = _direction(every[own], place)
    return FlatOutline(name=one.name, loops=one.loops, mended=one.mended + said, warp=warp)


def _direction(segments: Floats, place: str) -> float | None:
    """Return the direction of the longest of segments, shape (n, 2, 2); an arrow's head is shorter than its shaft."""
    step = segments[:, 1] - segments[:, 0]
    long = np.linalg.norm(step, axis=1)
    if not len(long) or not long.max() > SAME:
        return None
    way = np.arctan2(step[:, 1], step[:, 0])
    best = float(way[long.argmax()])
    off = np.abs((way - best + math.pi / 2) % math.pi - math.pi / 2)
    if (off[long > 0.7 * long.max()] > SAME_WAY).any():
        raise InputError.one(
            place, f'two directions on "{WARP}"', "one line along the warp is wanted", "leave one straight line there"
        )
    turned = math.remainder(best, math.pi)
    return math.pi / 2 if turned <= -math.pi / 2 + 1e-12 else turned


def _wound(points: Floats, sign: float) -> Floats:
    return points if loop_area(points) * sign > 0 else points[::-1]
