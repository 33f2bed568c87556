"""The stated regions as surfaces whose boundaries follow the true curves.

Triangles are cut: along a plane exactly, along an outline seen along its sight corner by corner, along a distance over
the surface at the level of the exact distance. Nothing is left out for the way it looks: an outline takes all surface
in its prism, layers that lie behind each other included.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from bagside.errors import InputError, NotSolved, did_you_mean
from bagside.geometry.geodesic import distance
from bagside.geometry.locate import barycentric, nearest
from bagside.geometry.near_lines import lines_on, on_surface, with_lines
from bagside.geometry.prism import in_prism
from bagside.geometry.splitting import Split, inserted, split_edges, split_level, uncut
from bagside.geometry.surface import Floats, Surface
from bagside.geometry.topology import parted, parts, sides
from bagside.spec.lines import Line
from bagside.spec.region import EVERYTHING, Hole, Near, Region

Bools = NDArray[np.bool_]

CHORD = 3e-5  # [m] a circle over the surface is followed to this
HALVINGS = 12
CRUMB = 1e-7  # [m²] parts smaller than this, beside larger ones, are crumbs of cutting


def cut(surface: Surface, values: Floats, level: float = 0.0) -> Surface:
    """Return the part of a surface where values at its vertices are at or below a level.

    Parameters
    ----------
    surface
        The surface.
    values
        A value at each vertex, shape (n,).
    level
        The level whose line is the new boundary.

    Raises
    ------
    ValueError
        When there is not one value for each vertex.

    Notes
    -----
    Values run linearly along edges. Where the line passes a vertex closer than a thousandth of the edge it goes through
    the vertex.
    """
    if np.shape(values) != (len(surface.vertices),):
        raise ValueError(f"{np.shape(values)} values came for {len(surface.vertices)} vertices")
    split, at = split_level(surface, values, level)
    return _tidy(split.surface, _below(split.surface, at, level))


def components(surface: Surface) -> tuple[Surface, ...]:
    """Return the connected parts of a surface, largest area first.

    Parameters
    ----------
    surface
        The surface.
    """
    count, of = parts(surface.triangles, len(surface.vertices))
    area = np.bincount(of, weights=surface.areas, minlength=count)
    return tuple(surface.selected(of == k) for k in np.argsort(-area, kind="stable"))


def regions_of(
    surface: Surface,
    regions: Mapping[str, Region],
    holes: Mapping[str, Hole],
    where: str,
    lines: Mapping[str, Line] | None = None,
) -> dict[str, Surface]:
    """Return every stated region, and ``"everything"``, as a surface of its own.

    Parameters
    ----------
    surface
        The whole mould surface.
    regions
        What is stated, by name.
    holes
        Holes of the finished part, by name.
    where
        File they are stated in, for messages.
    lines
        Lines over the surface, by name.

    Raises
    ------
    InputError
        When a region is made from itself or from one that is not there, is empty, a point or hole lies further than
        20 mm from the surface, or a line cannot be laid on it.

    Notes
    -----
    ``near`` and ``away`` measure over the region this one is made from. A distance from a hole is measured from its
    rim, the circle of its diameter over the surface; the hole itself is nearer than the rim. Circles about points and
    holes are followed to 0.03 mm; a distance from an edge or a region runs straight within each triangle, so that a
    turn of radius R is cut off by h² / (8 R) at edge length h. A line is laid over the whole surface; what of it lies
    on the region this one is made from is what is measured from, and its end is rounded. Parts below 0.1 mm² beside
    larger ones are crumbs of cutting and dropped.
    """
    for name, hole in holes.items():
        on_surface(surface, np.array([hole.at]), f"{where}, hole {name}, at")
    laid = lines_on(surface, regions, lines or {}, where)
    made = {EVERYTHING: surface}
    for name in _order(regions, where):
        made[name] = _made(made[regions[name].of], regions[name], made, holes, laid, f"{where}, region {name}")
    return made


def _order(regions: Mapping[str, Region], where: str) -> list[str]:
    done: list[str] = []
    known = [EVERYTHING, *regions]

    def visit(name: str, trail: tuple[str, ...]) -> None:
        if name in done or name == EVERYTHING:
            return
        region = regions[name]
        needs = [("of", region.of)]
        for key, near in (("near", region.near), ("away", region.away)):
            if near is not None and near.region:
                needs.append((f"{key}, region", near.region))
        for key, need in needs:
            place = f"{where}, region {name}, {key}"
            if need not in known:
                raise InputError.one(place, f'"{need}"', "a region stated here is wanted", did_you_mean(need, known))
            if need == name or need in trail:
                chain = " → ".join([*trail[trail.index(need) if need in trail else len(trail) :], name, need])
                raise InputError.one(place, f'"{need}"', f"a region cannot be made from itself ({chain})")
            visit(need, (*trail, name))
        done.append(name)

    for name in regions:
        visit(name, ())
    return done


def _made(
    start: Surface,
    region: Region,
    made: Mapping[str, Surface],
    holes: Mapping[str, Hole],
    laid: Mapping[str, Floats],
    place: str,
) -> Surface:
    split = uncut(start)
    keep = np.ones(len(start.triangles), dtype=np.bool_)
    for outline, wanted in ((region.inside, True), (region.outside, False)):
        if outline is not None:
            step, within = in_prism(split.surface, outline, f"{place}, {'inside' if wanted else 'outside'}")
            split, keep = split.then(step), keep[step.parent] & (within == wanted)
    if region.beside is not None:
        height = (split.surface.vertices - np.array(region.beside.point)) @ np.array(region.beside.normal)
        step, value = split_level(split.surface, -height, 0.0)
        split, keep = split.then(step), keep[step.parent] & _below(step.surface, value, 0.0)
    for key, near in (("near", region.near), ("away", region.away)):
        if near is not None:
            step, within = _near(split.surface, near, made, holes, laid, f"{place}, {key}")
            split, keep = split.then(step), keep[step.parent] & (within == (key == "near"))
    if not keep.any():
        raise InputError.one(place, "", "no part of the surface lies in it")
    return _tidy(split.surface, keep)


def _below(surface: Surface, values: Floats, level: float) -> Bools:
    """Return which triangles lie below a level, after cutting along it."""
    corner = values[surface.triangles] - level
    low, high = corner.min(axis=1), corner.max(axis=1)
    out: Bools = np.where(np.isfinite(high), low + high <= 0, False)
    return out


def _tidy(surface: Surface, keep: Bools) -> Surface:
    chosen = surface.selected(keep)
    if len(chosen.triangles) == 0:
        return chosen
    vertices, triangles, _ = parted(chosen.vertices, chosen.triangles)
    chosen = Surface(vertices, triangles)
    count, of = parts(triangles, len(vertices))
    area = np.bincount(of, weights=chosen.areas, minlength=count)
    if count > 1 and area.max() > CRUMB and (area <= CRUMB).any():
        chosen = chosen.selected(area[of] > CRUMB)
    return chosen


def _near(
    surface: Surface,
    near: Near,
    made: Mapping[str, Surface],
    holes: Mapping[str, Hole],
    laid: Mapping[str, Floats],
    place: str,
) -> tuple[Split, Bools]:
    """Return the surface cut at a distance from the stated things, and which triangles lie within it."""
    split = uncut(surface)
    rounds: list[tuple[Floats, float]] = []
    if near.points:
        rounds.append((on_surface(surface, np.array(near.points), f"{place}, points"), near.distance))
    for name in near.holes:
        if name not in holes:
            raise InputError.one(
                f"{place}, holes", f'"{name}"', "a hole stated here is wanted", did_you_mean(name, holes)
            )
        hole = holes[name]
        rounds.append((on_surface(surface, np.array([hole.at]), f"{place}, holes"), near.distance + hole.diameter / 2))
    for points, level in rounds:
        split = split.then(_fine_round(split.surface, points, level))
    along = np.zeros(0, dtype=np.int64)
    if near.lines:
        step, along = with_lines(split.surface, [laid[n] for n in near.lines], near.distance, f"{place}, lines")
        split = split.then(step)
    surface = split.surface
    within = np.zeros(len(surface.triangles), dtype=np.bool_)
    tasks: list[tuple[Floats, float, bool]] = []
    for points, level in rounds:
        tasks.append((distance(surface, points=points, reach=level), level, True))
    if near.edge:
        tasks.append((distance(surface, rim=True, reach=near.distance), near.distance, False))
    if near.region:
        field = distance(surface, region=made[near.region], reach=near.distance)
        tasks.append((field, near.distance, False))
    if near.lines:
        tasks.append((distance(surface, vertices=along, reach=near.distance), near.distance, False))
    if not tasks:
        raise InputError.one(place, "", "something to be near to is wanted: edge, holes, points, region or lines")
    fields = np.stack([values for values, _, _ in tasks], axis=1)
    for k, (_, level, is_round) in enumerate(tasks):
        before = split.surface
        step, value = split_level(before, fields[:, k], level, round_points=is_round)
        fields = _carried(before, step.surface, fields)
        fields[:, k] = value
        within = within[step.parent] | _below(step.surface, value, level)
        split = split.then(step)
    return split, within


def _fine_round(surface: Surface, points: Floats, level: float) -> Split:
    """Return the surface with edges so short where a circle runs that chords of it stray less than `CHORD`."""
    split, _ = inserted(surface, points)
    longest = float(np.sqrt(8 * level * CHORD))
    for _ in range(HALVINGS):
        now = split.surface
        value = distance(now, points=points, reach=level)[now.triangles] - level
        crossed = now.triangles[(value.min(axis=1) < 0) & (value.max(axis=1) > 0)]
        _, _, edges = sides(crossed)
        length = np.linalg.norm(now.vertices[edges[:, 0]] - now.vertices[edges[:, 1]], axis=1)
        edges = edges[length > longest]
        if len(edges) == 0:
            return split
        split = split.then(split_edges(now, edges, np.full(len(edges), 0.5)))
    raise NotSolved(f"a circle of {1000 * level:.3f} mm over the surface cannot be followed with its triangles")


def _carried(before: Surface, after: Surface, fields: Floats) -> Floats:
    """Return vertex values with those of new vertices interpolated along the edges they divide."""
    fresh = after.vertices[len(before.vertices) :]
    if len(fresh) == 0:
        return fields.copy()
    _, triangle, closest = nearest(before, fresh)
    weight = barycentric(before, triangle, closest)
    counts = np.broadcast_to((weight > 1e-6)[:, :, None], (len(fresh), 3, fields.shape[1]))  # on an edge two count
    part = np.multiply(weight[:, :, None], fields[before.triangles[triangle]], out=np.zeros(counts.shape), where=counts)
    value = part.sum(axis=1)
    return np.concatenate([fields, value])
