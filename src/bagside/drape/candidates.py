"""Lines worth trying as the next cut of a piece: darts towards its deepest point, splits through its worst place."""

from __future__ import annotations

import numpy as np

from bagside.drape.trial import Sheet, depth
from bagside.errors import NotSolved
from bagside.geometry import Surface, curvature, trace
from bagside.geometry.lines import joined
from bagside.geometry.polyline import length_of, resampled, stations
from bagside.geometry.surface import Floats
from bagside.spec.lines import Follow

AROUND = 8  # points of the rim from which darts set out
SHARE = 0.75  # of the way to the deepest point: what did best in trials on caps and box corners
SHORTEST = 4.0  # edge lengths: shorter cuts do nothing on the trial's mesh
TURNS = (("along the warp", 0.0), ("on the bias", 45.0), ("along the weft", 90.0), ("on the other bias", 135.0))
SAME_PLACE = 3.0  # edge lengths: two places closer than this are one


def candidates(whole: Surface, sheet: Sheet) -> list[tuple[str, Floats]]:
    """Return lines worth trying on one piece, each with what it is, always in the same order.

    Parameters
    ----------
    whole
        The ply's mesh before it was cut.
    sheet
        The piece as laid.

    Notes
    -----
    Darts lead from eight points of the outer rim and from four of every other toward the point furthest from the rim
    and toward the worst place, 75 % of the way. Splits lead from rim to rim through both, along warp, weft and bias and
    along the ridge or hollow there. At most 40 lines.
    """
    surface = sheet.surface
    h = surface.edge_length
    deep = depth(surface)
    places = [("the deepest point", surface.vertices[int(deep.argmax())])]
    if sheet.drape is not None and sheet.over.any():
        k = int((sheet.over * np.sqrt(surface.areas)).argmax())
        worst = surface.centroids[k]
        corner = surface.triangles[k]
        if np.linalg.norm(worst - places[0][1]) > SAME_PLACE * h and deep[corner].max() > SAME_PLACE * h:
            places.append(("the worst place", worst))
        elif np.linalg.norm(worst - places[0][1]) > SAME_PLACE * h:
            places.append(("the worst place, at the rim", worst))
    out: list[tuple[str, Floats]] = []
    rim = _rim_points(surface)
    for name, place in places:
        if name.endswith("rim"):
            continue
        for i, p in enumerate(rim):
            line = _line(whole, p, place)
            if line is not None and length_of(line) * SHARE > SHORTEST * h:
                short = stations(line, np.array([SHARE * length_of(line)]))
                along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))])
                kept = line[along < SHARE * length_of(line)]
                out.append((f"dart from rim point {i + 1} towards {name}", np.concatenate([kept, short])))
    for name, place in places:
        for way, line in _splits(sheet, place):
            if length_of(line) > SHORTEST * h:
                out.append((f"split through {name} {way}", line))
    return out


def _rim_points(surface: Surface) -> list[Floats]:
    out: list[Floats] = []
    for k, loop in enumerate(surface.loops[:3]):
        ring = surface.vertices[np.append(loop, loop[0])]
        count = AROUND if k == 0 else AROUND // 2
        out += list(stations(ring, length_of(ring) * np.arange(count) / count))
    return out


def _line(whole: Surface, start: Floats, end: Floats) -> Floats | None:
    try:
        return joined(whole, np.stack([start, end]), follow=Follow.STRAIGHT)
    except (NotSolved, ValueError):
        return None


def _splits(sheet: Sheet, place: Floats) -> list[tuple[str, Floats]]:
    surface = sheet.surface
    k = int(np.linalg.norm(surface.centroids - place, axis=1).argmin())
    normal = surface.normals[k]
    ways: list[tuple[str, Floats]] = []
    if sheet.drape is not None:
        warp = sheet.drape.warp[k]
        weft = np.cross(normal, warp)
        for name, turn in TURNS:
            angle = np.radians(turn)
            ways.append((name, np.cos(angle) * warp + np.sin(angle) * weft))
    bend = curvature(surface)
    v = int(surface.triangles[k][0])
    if abs(bend.most[v] - bend.least[v]) * np.sqrt(surface.area) > 0.2:
        ways.append(("along its ridge", bend.least_direction[v]))
        ways.append(("along its hollow", bend.most_direction[v]))
    out: list[tuple[str, Floats]] = []
    reach = 4 * float(np.linalg.norm(surface.size))
    for name, way in ways:
        try:
            ahead, _, _ = trace(surface, surface.centroids[k], way, reach)
            back, _, _ = trace(surface, surface.centroids[k], -way, reach)
        except ValueError:
            continue
        if length_of(ahead) < reach * 0.999 and length_of(back) < reach * 0.999:
            out.append((name, resampled(np.concatenate([back[::-1], ahead[1:]]), 2 * surface.edge_length)))
    return out
