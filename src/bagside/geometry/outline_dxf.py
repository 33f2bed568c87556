"""The strokes of a DXF drawing [m]: lines, arcs, circles, ellipses, splines and polylines, in blocks too.

The file says its unit under $INSUNITS or must be told it. Only the model space is read, and of that what lies flat and
on layers that are shown. Other drawings that it names are not opened.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
from ezdxf.filemanagement import readfile
from ezdxf.lldxf.const import DXFError
from ezdxf.lldxf.validator import is_binary_dxf_file

from bagside.errors import InputError
from bagside.geometry.foreign import BROKEN, quiet, steps_of
from bagside.geometry.outline_loops import CHORD, Drawing, Stroke
from bagside.geometry.readers import UNITS
from bagside.geometry.surface import Floats

INSUNITS = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m"}
"""The codes of $INSUNITS that are known here (DXF Reference, HEADER section)."""
FLAT = 1e-4  # [m] by which a line may leave the plane
DEEPEST = 16  # blocks within blocks
MOST = 200_000  # entities of a drawing, those of its blocks each time they are placed
FRAME = 16  # flag of a vertex that is not on the curve of a smoothed polyline but of its control frame
FAR = 1e9  # chords of a curve's tolerance: a radius beyond that is a broken number or a wrong unit
LEAST = 16  # steps of an ellipse or of a spline between two knots before it is looked how far they stray


def dxf_drawing(path: Path, unit: str) -> Drawing:
    """Return what is drawn in a DXF file.

    Parameters
    ----------
    path
        The file.
    unit
        Of its numbers, when the file does not say it.

    Raises
    ------
    InputError
        When it is no DXF file or a broken one, its unit is not known or is not the stated one, or it is not flat.
    """
    try:
        _ends(path)
        with quiet("ezdxf"):
            whole = readfile(path)
            entities = list(_shown(whole))
    except (DXFError, *BROKEN) as error:
        raise InputError.one(
            path.name,
            "",
            f"this is not a whole DXF file ({_short(error)})",
            "export it again from the drawing program, as DXF of the year 2000 or later",
        ) from error
    scale = UNITS[_unit(whole, unit, path.name)]
    strokes: list[Stroke] = []
    left: Counter[str] = Counter()
    for entity, layer in entities:
        kind = entity.dxftype()
        try:
            with quiet("ezdxf"):
                found = _points(entity, CHORD / scale)
        except (DXFError, *BROKEN) as error:
            raise InputError.one(
                f"{path.name}, layer {layer}", f"a {kind} that cannot be drawn", _short(error), "draw it anew"
            ) from error
        if found is None:
            left[kind] += 1
            continue
        points, closed = found
        if len(points) == 0:
            continue
        at = scale * points
        if not np.isfinite(at).all():
            raise InputError.one(
                f"{path.name}, layer {layer}", f"a {kind} with a number that is not finite", "draw it anew"
            )
        if float(np.ptp(at[:, 2])) > FLAT:
            raise InputError.one(
                f"{path.name}, layer {layer}",
                f"a {kind} that rises by {1000 * float(np.ptp(at[:, 2])):.1f} mm",
                "a flat drawing in the plane of x and y is wanted",
                "export a view from above, or the flat pattern",
            )
        strokes.append(Stroke(points=at[:, :2], closed=closed, layers=(layer,)))
    return Drawing(strokes=tuple(strokes), left_out=tuple(f"{n} {kind}" for kind, n in sorted(left.items())))


def _ends(path: Path) -> None:
    """Refuse a file that was cut off: every DXF file ends with EOF."""
    if not is_binary_dxf_file(str(path)) and not path.read_bytes().rstrip().endswith(b"EOF"):
        raise ValueError("it does not end with EOF, so that it is cut off or of another kind")


def _unit(whole: Any, stated: str, file: str) -> str:
    code = whole.header.get("$INSUNITS", 0)
    own = INSUNITS.get(code, "")
    if code and not own:
        raise InputError.one(
            file,
            f"$INSUNITS is {code}",
            "this unit is not known here; one of " + ", ".join(INSUNITS.values()) + " is wanted",
            "export it in millimetres",
        )
    if own and stated and own != stated:
        raise InputError.one(
            file,
            f'the file says its unit is "{own}", "{stated}" is stated',
            "one of the two is wrong, and a template of a wrong size is cut for nothing",
            f"measure a known length in the drawing; leave unit out if {own} is right, else correct $INSUNITS",
        )
    if not (own or stated):
        raise InputError.one(
            file, "no unit", "the drawing does not say what its numbers are", 'state unit, as in unit = "mm"'
        )
    return own or stated


def _shown(whole: Any) -> Iterator[tuple[Any, str]]:
    """Yield what is drawn with its layer, blocks taken apart."""
    off = {layer.dxf.name.casefold() for layer in whole.layers if layer.is_off() or layer.is_frozen()}
    for count, (entity, layer) in enumerate(_exploded(whole.modelspace(), "", 0), 1):
        if count > MOST:
            raise ValueError(f"more than {MOST} entities")
        if layer.casefold() not in off and not entity.dxf.get("invisible", 0):
            yield entity, layer


def _exploded(entities: Iterable[Any], around: str, depth: int) -> Iterator[tuple[Any, str]]:
    """Yield entities with their layer; what lies on layer 0 of a block is on the block's."""
    if depth > DEEPEST:
        raise ValueError(f"more than {DEEPEST} blocks within blocks")
    for entity in entities:
        layer = str(entity.dxf.get("layer", "0"))
        if around and layer == "0":
            layer = around
        if entity.dxftype() == "INSERT":
            placed = entity.multi_insert() if entity.mcount > 1 else (entity,)
            for one in placed:
                yield from _exploded(one.virtual_entities(), layer, depth + 1)
        else:
            yield entity, layer


def _points(entity: Any, chord: float) -> tuple[Floats, bool] | None:
    """Return the points of an entity in the drawing's unit, shape (k, 3), and whether it is closed; None if no line."""
    kind = entity.dxftype()
    if kind in ("CIRCLE", "ARC") and not abs(entity.dxf.radius) < FAR * chord:
        raise ValueError("a radius larger than any cloth")
    if kind == "LINE":
        return _array([entity.dxf.start, entity.dxf.end]), False
    if kind == "CIRCLE":
        return _array(entity.flattening(chord))[:-1], True
    if kind == "ARC":
        return _array(entity.flattening(chord)), False
    if kind == "ELLIPSE":
        points = _array(entity.flattening(chord, LEAST))
        span = abs(entity.dxf.end_param - entity.dxf.start_param)
        full = math.isclose(span % math.tau, 0.0, abs_tol=1e-9) or math.isclose(span, math.tau)
        return (points[:-1], True) if full else (points, False)
    if kind == "SPLINE":
        points = _array(entity.flattening(chord, LEAST))
        closed = bool(entity.closed) and len(points) > 3
        meets = closed and float(np.linalg.norm(points[0] - points[-1])) < 1e-9 * max(1.0, float(np.abs(points).max()))
        return (points[:-1] if meets else points), closed
    if kind == "LWPOLYLINE":
        flat = [(x, y, bulge) for x, y, bulge in entity.get_points("xyb")]
        points = _bulged(flat, entity.closed, chord)
        level = np.full((len(points), 1), float(entity.dxf.elevation))
        return _in_world(entity, np.hstack([points, level])), bool(entity.closed)
    if kind == "POLYLINE" and entity.is_2d_polyline:
        kept = [v.dxf for v in entity.vertices if not v.dxf.flags & FRAME]
        flat = [(v.location.x, v.location.y, v.get("bulge", 0.0)) for v in kept]
        points = _bulged(flat, entity.is_closed, chord)
        level = np.full((len(points), 1), float(kept[0].location.z) if kept else 0.0)
        return _in_world(entity, np.hstack([points, level])), bool(entity.is_closed)
    if kind == "POLYLINE" and entity.is_3d_polyline:
        kept = [v.dxf for v in entity.vertices if not v.dxf.flags & FRAME]
        return _array(v.location for v in kept), bool(entity.is_closed)
    return None


def _bulged(corners: list[tuple[float, float, float]], closed: bool, chord: float) -> Floats:
    """Return the points of a polyline whose sides may be arcs, shape (k, 2).

    Parameters
    ----------
    corners
        x, y, and the bulge of the side that begins there: the tangent of a quarter of the arc's angle, positive when it
        turns to the left (DXF Reference, LWPOLYLINE, group code 42).
    closed
        Whether the last corner's side leads to the first.
    chord
        How far chords may stray from their arc, in the drawing's unit.
    """
    out: list[Floats] = []
    count = len(corners)
    for k, (x, y, bulge) in enumerate(corners):
        here = np.array([x, y])
        out.append(here[None, :])
        if abs(bulge) < 1e-12 or (k == count - 1 and not closed):
            continue
        to = np.array(corners[(k + 1) % count][:2])
        side = to - here
        long = float(np.linalg.norm(side))
        if long == 0.0:
            continue
        turn = 4 * math.atan(bulge)
        radius = long / (2 * abs(math.sin(turn / 2)))
        left = np.array([-side[1], side[0]]) / long
        middle = 0.5 * (here + to) + left * (0.5 * long / math.tan(turn / 2))
        fine = 2 * math.acos(1 - min(chord / radius, 0.5))
        steps = 1 + steps_of(abs(turn) / fine)
        start = math.atan2(*(here - middle)[::-1])
        angle = start + turn * np.arange(1, steps) / steps
        out.append(middle + radius * np.stack([np.cos(angle), np.sin(angle)], axis=1))
    return np.concatenate(out) if out else np.zeros((0, 2))


def _in_world(entity: Any, points: Floats) -> Floats:
    """Return points given in the entity's own axes in those of the drawing."""
    axes = entity.ocs()
    return _array(axes.points_to_wcs([tuple(p) for p in points.tolist()])) if axes.transform else points


def _array(points: Iterable[Any]) -> Floats:
    return np.array([(p[0], p[1], p[2]) for p in points], dtype=np.float64).reshape(-1, 3)


def _short(error: Exception) -> str:
    text = " ".join(str(error).split())
    return (text[:1].lower() + text[1:])[:120] or type(error).__name__
