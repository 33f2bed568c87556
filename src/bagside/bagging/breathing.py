"""Where strips of glass go at the edge of the lay-up, so that every place of it can breathe."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import Point, Polygon, contains_xy

from bagside.bagging.air import AIR_LEFT, PERMEABILITY, farthest_path
from bagside.errors import InputError

Floats = NDArray[np.float64]

ON_PLY = 0.025  # [m] of a strip that lies on the ply's edge
INTO_BREATHER = 0.050  # [m] of a strip that lies in the breather
EDGE_SPACING = 0.200  # [m] between strips of edge breathing, 150 to 300
SAMPLES = 60  # places along the longer side at which distances are taken


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BreathingPlan:
    """Strips of edge breathing, and how far air has to go.

    Parameters
    ----------
    strips
        Where each begins on the net edge, shape (k, 2) [m].
    outward
        Unit direction of each away from the part, shape (k, 2).
    length
        Of one, from the ply into the breather [m].
    spacing
        Between two along the edge [m].
    longest
        Longest way from any place of the part to a strip [m].
    farthest
        That place [m].
    reach
        Longest way from which enough air leaves in the time there is, middle of the band [m].
    reach_band
        The same at the least and the most permeable cloth [m].
    beyond
        Share of the part's area that lies farther than `reach`.
    enclosed
        Number of holes in the part whose edges got strips.
    """

    strips: Floats
    outward: Floats
    length: float
    spacing: float
    longest: float
    farthest: tuple[float, float]
    reach: float
    reach_band: tuple[float, float]
    beyond: float
    enclosed: int


def reach_in(time: float, ambient: float, vacuum: float) -> tuple[float, float, float]:
    """Return from how far enough air leaves in a time: least, middle and most permeable cloth [m].

    Parameters
    ----------
    time
        Under vacuum before the resin moves: debulks and hold [s].
    ambient, vacuum
        Absolute pressures outside and in the bag [Pa].

    Raises
    ------
    InputError
        When time or pressures make no sense.
    """
    if not (time > 0.0 and 0.0 <= vacuum < ambient):
        raise InputError.one(
            "edge breathing",
            f"{time} s at {vacuum} Pa in the bag, {ambient} Pa outside",
            "a time and a vacuum are wanted",
        )
    low, middle, high = (farthest_path(time, AIR_LEFT, vacuum / ambient, k, ambient) for k in PERMEABILITY)
    return low, middle, high


def breathing_plan(
    outline: Floats,
    holes: tuple[Floats, ...] = (),
    *,
    time: float,
    ambient: float,
    vacuum: float,
    to_breather: float = 0.0,
    spacing: float = EDGE_SPACING,
    breathing_holes: bool = False,
) -> BreathingPlan:
    """Return where strips of edge breathing go.

    Parameters
    ----------
    outline
        Net edge seen from above, in order, shape (n, 2) [m].
    holes
        Edges of holes in the part, each of shape (m, 2) [m].
    time
        Under vacuum before the resin moves [s].
    ambient, vacuum
        Absolute pressures outside and in the bag [Pa].
    to_breather
        From the net edge to where the breather begins [m].
    spacing
        Between two strips at most [m]: 150 to 300 mm, or less for a continuous edge.
    breathing_holes
        Whether the edges of holes breathe too; else the air of what lies around them has to go to the outer edge.

    Returns
    -------
    BreathingPlan

    Raises
    ------
    InputError
        When an outline has no area or crosses itself, or a number makes no sense.

    Notes
    -----
    Ways run within the part; round holes and notches over a lattice of 60 places along its longer side: up to 3 % too
    long, never too short by more than a step of it. On a curved part use `breathing_on`.
    """
    part = _checked_outline(outline, holes)
    if not (spacing > 0.0 and to_breather >= 0.0):
        raise InputError.one("edge breathing", f"spacing {spacing} m", "a spacing above zero is wanted")
    low, reach, high = reach_in(time, ambient, vacuum)
    rings = [part.exterior, *(part.interiors if breathing_holes else ())]
    starts, ways = [], []
    for ring in rings:
        count = max(2, math.ceil(ring.length / spacing - 1e-9))
        for k in range(count):
            at = (k + 0.5) * ring.length / count
            here = np.array(ring.interpolate(at).coords[0])
            behind, ahead = (np.array(ring.interpolate((at + d) % ring.length).coords[0]) for d in (-1e-4, 1e-4))
            along = (ahead - behind) / np.linalg.norm(ahead - behind)
            out = np.array([along[1], -along[0]])
            if part.contains(Point(*(here + 1e-4 * out))):
                out = -out
            starts.append(here)
            ways.append(out)
    strips = np.array(starts)
    places = _inside(part)
    far = _ways(part, places, strips)
    k = int(np.argmax(far))
    return BreathingPlan(
        strips=strips,
        outward=np.array(ways),
        length=ON_PLY + to_breather + INTO_BREATHER,
        spacing=max(float(r.length) / max(2, math.ceil(r.length / spacing - 1e-9)) for r in rings),
        longest=float(far[k]),
        farthest=(float(places[k, 0]), float(places[k, 1])),
        reach=reach,
        reach_band=(low, high),
        beyond=float((far > reach).mean()),
        enclosed=len(part.interiors) if breathing_holes else 0,
    )


def _checked_outline(outline: Floats, holes: tuple[Floats, ...]) -> Polygon:
    ring = np.asarray(outline, dtype=np.float64)
    if ring.ndim != 2 or ring.shape[1:] != (2,) or len(ring) < 3 or not np.isfinite(ring).all():
        raise InputError.one("edge breathing, outline", f"shape {ring.shape}", "three points or more are wanted")
    part = Polygon(ring, [np.asarray(h, dtype=np.float64) for h in holes])
    if not part.is_valid or not part.area > 0.0:
        raise InputError.one("edge breathing, outline", "", "it crosses itself or has no area")
    return part


def _inside(part: Polygon) -> Floats:
    x0, y0, x1, y1 = part.bounds
    step = max(x1 - x0, y1 - y0) / SAMPLES
    while True:
        gx = np.arange(x0 + 0.5 * step, x1, step)
        gy = np.arange(y0 + 0.5 * step, y1, step)
        at = np.stack(np.meshgrid(gx, gy, indexing="ij"), axis=-1).reshape(-1, 2)
        found: Floats = at[contains_xy(part, at[:, 0], at[:, 1])]
        if len(found) >= 100:
            return found
        step *= 0.5


def _ways(part: Polygon, places: Floats, strips: Floats) -> Floats:
    """Return the shortest way within the part from each place to a strip, shape (n,) [m]."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import dijkstra
    from scipy.spatial import cKDTree

    if part.convex_hull.area - part.area < 1e-9 * part.area:
        straight, _ = cKDTree(strips).query(places)
        return np.asarray(straight, dtype=np.float64)
    n = len(places)
    near, _ = cKDTree(places).query(places, k=2)
    step = float(near[:, 1].min())
    pairs = cKDTree(places).query_pairs(2.3 * step, output_type="ndarray")
    middle = 0.5 * (places[pairs[:, 0]] + places[pairs[:, 1]])
    pairs = pairs[contains_xy(part, middle[:, 0], middle[:, 1])]
    reach, at = cKDTree(places).query(strips, k=4)
    rows = np.concatenate([pairs[:, 0], n + np.repeat(np.arange(len(strips)), 4)])
    columns = np.concatenate([pairs[:, 1], at.ravel()])
    run = np.concatenate([np.linalg.norm(places[pairs[:, 0]] - places[pairs[:, 1]], axis=1), reach.ravel()])
    whole = n + len(strips)
    graph = coo_matrix((run, (rows, columns)), shape=(whole, whole)).tocsr()
    found = dijkstra(graph, directed=False, indices=np.arange(n, whole), min_only=True)
    out: Floats = np.asarray(found[:n], dtype=np.float64)
    return out
