"""Stated lines and points taken to a surface, and lines made edges of it, so that a distance from them is exact."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from bagside.errors import InputError, NotSolved, did_you_mean
from bagside.geometry.geodesic import distance
from bagside.geometry.lines import joined
from bagside.geometry.locate import nearest
from bagside.geometry.polyline import stations
from bagside.geometry.slit import divided_along, relinked
from bagside.geometry.splitting import Split, inserted, split_edges
from bagside.geometry.surface import Floats, Ints, Surface
from bagside.geometry.topology import sides
from bagside.spec.lines import Line
from bagside.spec.region import Region

REACH = 0.02  # [m] a stated point or hole may lie this far off a scanned surface
SAG = 5e-6  # [m] by which points along a line may make the distance from it too long
CHORD = 3e-5  # [m] the round end beside a line's end is followed to this
ON = 1e-6  # [m] a point of a line this near a region lies on it
SHARE = 0.2  # of an edge: steps in which it is looked which part of a line lies on a region
HALVINGS = 12


def on_surface(surface: Surface, points: Floats, place: str) -> Floats:
    """Return stated points taken to the nearest places on a surface, shape (k, 3) [m].

    Parameters
    ----------
    surface
        The surface.
    points
        Shape (k, 3) [m].
    place
        Where they are stated, for messages.

    Raises
    ------
    InputError
        When one lies further than 20 mm off it.
    """
    off, _, closest = nearest(surface, points)
    if off.max() > REACH:
        k = int(off.argmax())
        came = " ".join(f"{1000 * c:.1f}" for c in points[k])
        near = " ".join(f"{1000 * c:.1f}" for c in closest[k])
        raise InputError.one(
            place,
            f"{came} mm",
            f"a point on the surface is wanted, this one lies {1000 * off[k]:.0f} mm off it",
            f"the nearest place on it is {near} mm",
        )
    return closest


def lines_on(
    surface: Surface, regions: Mapping[str, Region], lines: Mapping[str, Line], where: str
) -> dict[str, Floats]:
    """Return the lines that regions are near to or away from, laid on a surface, each shape (k, 3) [m].

    Parameters
    ----------
    surface
        The whole surface.
    regions
        As stated.
    lines
        As stated.
    where
        File they are stated in, for messages.

    Raises
    ------
    InputError
        When there is no line of a name, or one cannot be laid on the surface.
    """
    laid: dict[str, Floats] = {}
    for region, stated in regions.items():
        for key, near in (("near", stated.near), ("away", stated.away)):
            for name in () if near is None else near.lines:
                if name not in lines:
                    place = f"{where}, region {region}, {key}, lines"
                    raise InputError.one(place, f'"{name}"', "a line stated here is wanted", did_you_mean(name, lines))
                if name not in laid:
                    laid[name] = _laid(surface, lines[name], f"{where}, line {name}")
    return laid


def _laid(surface: Surface, line: Line, place: str) -> Floats:
    points = on_surface(surface, np.array(line.points, dtype=np.float64).reshape(-1, 3), f"{place}, points")
    try:
        return joined(surface, points, closed=line.closed, follow=line.follow)
    except (NotSolved, ValueError) as error:
        raise InputError.one(place, "", f"it cannot be laid on the surface: {error}") from error


def with_lines(surface: Surface, lines: Sequence[Floats], level: float, place: str) -> tuple[Split, Ints]:
    """Return a surface with lines as edges, fine where it lies at a distance from them, and the vertices along them.

    Parameters
    ----------
    surface
        A region of the surface that the lines were laid on.
    lines
        Points of each, shape (k, 3) [m]; what does not lie on the region is left out.
    level
        The distance [m].
    place
        Where the lines are named, for messages.

    Raises
    ------
    InputError
        When none of the lines runs over the surface.
    NotSolved
        When lines crowd too closely, or halving edges does not get there.
    """
    runs = [run for line in lines for run in _runs(surface, line)]
    if not runs:
        wanted = "none of these lines runs over the region this one is made from"
        raise InputError.one(place, "", wanted, "check the line's points, and of")
    fine, vertex = inserted(surface, np.concatenate(runs))
    ways = np.split(vertex, np.cumsum([len(run) for run in runs])[:-1])
    mesh, ways = relinked(fine.surface, [way[np.diff(way, prepend=-1) != 0] for way in ways])
    for k in range(len(ways)):
        mesh, ways[k] = divided_along(mesh, ways[k], float(np.sqrt(8 * level * SAG)))
    along = np.unique(np.concatenate(ways))
    split = Split(surface=mesh, parent=nearest(surface, mesh.centroids)[1])
    longest = min(level / 2, float(np.sqrt(8 * level * CHORD)))
    for _ in range(HALVINGS):
        now = split.surface
        value = distance(now, vertices=along, reach=level)[now.triangles] - level
        crossed = now.triangles[(value.min(axis=1) < 0) & (value.max(axis=1) > 0)]
        _, _, edges = sides(crossed)
        length = np.linalg.norm(now.vertices[edges[:, 0]] - now.vertices[edges[:, 1]], axis=1)
        edges = edges[length > longest]
        if len(edges) == 0:
            return split, along
        split = split.then(split_edges(now, edges, np.full(len(edges), 0.5)))
    raise NotSolved(f"a line {1000 * level:.3f} mm beside another over the surface cannot be followed")


def _runs(surface: Surface, line: Floats) -> list[Floats]:
    """Return the stretches of a line that lie on a region of the surface it was laid on."""
    if (nearest(surface, line)[0] <= ON).all():
        return [line]
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))])
    at = np.union1d(along, np.arange(0.0, along[-1], SHARE * surface.edge_length))
    points = stations(line, at)
    on = nearest(surface, points)[0] <= ON
    ends = np.flatnonzero(np.diff(np.concatenate([[False], on, [False]]).astype(np.int8)))
    kept = np.isin(at, along)
    kept[ends[::2]] = kept[ends[1::2] - 1] = True  # of the points looked at, only the first and last of a stretch
    return [points[a:b][kept[a:b]] for a, b in zip(ends[::2], ends[1::2], strict=True) if b - a > 1]
