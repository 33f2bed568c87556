"""From the triangles of a file to one clean, oriented surface, and a report of what that took.

Joins points, drops doubled and collapsed triangles, parts sheets that only touch, winds every triangle the same way,
and keeps one sheet. Holes are reported, never closed: what lies under a hole in a scan is not known.
"""

from __future__ import annotations

from collections.abc import Sequence

import igl
import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from bagside.errors import InputError
from bagside.geometry.mend_report import MendReport
from bagside.geometry.numbering import compact, equal_rows, first_of
from bagside.geometry.passes import passes_over
from bagside.geometry.readers import Raw
from bagside.geometry.surface import Floats, Ints, Surface
from bagside.geometry.topology import parted, parts, sides, wound_alike

SECOND_SHEET = 0.2  # a second sheet of more than this share of the first one's area must be chosen by a person
KEEP_REACH = 0.02  # [m] a point that names a sheet may lie this far off it
WELD = 2e-7  # points closer than this share of the diagonal are one; single precision resolves 6e-8
FLAT_ENOUGH = 0.02  # least |mean normal| along the laminate side, as a share, that tells one side from the other


def mended(
    raw: Raw,
    *,
    facing: Sequence[float],
    keep: Sequence[float] | None = None,
    sliver: float = 1e-4,
    noise: float = 0.0,
) -> tuple[Surface, MendReport]:
    """Return the one clean surface in a mesh, and what it took.

    Parameters
    ----------
    raw
        The mesh as read.
    facing
        Direction towards the laminate side, shape (3,): where the mould opens.
    keep
        A point near the sheet that is the mould's surface, when there are several, shape (3,) [m].
    sliver
        Height over longest edge below which a triangle is a sliver.
    noise
        Of the scan, root mean square [m]: sheets no further apart than 0.5 mm and three times that are passes over the
        same surface, and the largest stands for them.

    Raises
    ------
    InputError
        When nothing is left, the file holds two sheets of like size and none was chosen, ``keep`` lies further than
        20 mm from every sheet, the surface is twisted like a band with one side only, or ``facing`` does not tell its
        sides apart.

    Notes
    -----
    A closed body has its laminate outside, wherever ``facing`` points. Holes stay open.
    """
    vertices, triangles, merged = _welded(raw)
    read = len(triangles)
    alive = (
        (triangles[:, 0] != triangles[:, 1])
        & (triangles[:, 1] != triangles[:, 2])
        & (triangles[:, 2] != triangles[:, 0])
    )
    triangles = triangles[alive]
    single, _ = equal_rows(np.sort(triangles, axis=1))
    duplicates = len(triangles) - len(single)
    triangles, slivers, flat = _without_slivers(vertices, triangles[single], sliver)
    degenerate = int((~alive).sum()) + flat
    if len(triangles) == 0:
        raise InputError.one(raw.name, "", "every triangle in the file is without area; export the surface again")
    vertices, triangles, crowded = _without_fins(vertices, triangles)
    count, of = parts(triangles, len(vertices))
    corner = [vertices[triangles[:, k]] for k in range(3)]
    area = 0.5 * _twice(corner[1] - corner[0], corner[2] - corner[0])
    del corner
    areas: Floats = np.asarray(np.bincount(of, weights=area, minlength=count), dtype=np.float64)
    order = np.argsort(-areas, kind="stable").astype(np.int64)
    chosen = _chosen(raw.name, vertices, triangles, of, areas, order, keep, noise)
    over = passes_over(vertices, triangles, of, areas, chosen, noise)
    before = triangles[of == chosen]
    if len(before) == 0 or areas[chosen] <= 0:
        raise InputError.one(raw.name, "", "every triangle in the file is without area; export the surface again")
    surface, flipped = _oriented(raw.name, vertices, before, np.asarray(facing, dtype=np.float64))
    loops = surface.loops
    lengths = [_length(surface.vertices[loop]) for loop in loops]
    centres = [surface.vertices[loop].mean(axis=0) for loop in loops]
    report = MendReport(
        name=raw.name,
        unit=raw.unit,
        triangles_read=read,
        triangles=len(surface.triangles),
        merged=merged,
        duplicates=duplicates,
        degenerate=degenerate,
        slivers=slivers,
        crowded=crowded,
        components=tuple(float(a) for a in areas[order]),
        kept=int(np.flatnonzero(order == chosen)[0]),
        flipped=flipped,
        rim=lengths[0] if lengths else 0.0,
        holes=tuple(
            (length, (float(c[0]), float(c[1]), float(c[2])))
            for length, c in zip(lengths[1:], centres[1:], strict=True)
        ),
        size=(float(surface.size[0]), float(surface.size[1]), float(surface.size[2])),
        area=surface.area,
        passes=len(over.within),
        passes_area=over.area,
        beyond=len(over.beyond),
    )
    return surface, report


def _length(loop: Floats) -> float:
    return float(np.linalg.norm(loop - np.roll(loop, 1, axis=0), axis=1).sum())


def _welded(raw: Raw) -> tuple[Floats, Ints, int]:
    """Return the mesh with points at the same place joined; points nothing uses are left out of the count."""
    used, renumbered = compact(raw.triangles, len(raw.vertices))
    first, same = equal_rows(raw.vertices[used])
    points, triangles = raw.vertices[used[first]], same[renumbered]
    pairs = _near_pairs(points, WELD * float(np.linalg.norm(points.max(axis=0) - points.min(axis=0))))
    if len(pairs):
        graph = coo_matrix((np.ones(len(pairs), dtype=np.int8), (pairs[:, 0], pairs[:, 1])), shape=2 * (len(points),))
        kinds, label = connected_components(graph, directed=False)
        points, triangles = points[first_of(label, kinds)], label[triangles].astype(np.int64)
    return points, triangles, len(used) - len(points)


def _near_pairs(points: Floats, near: float) -> Ints:
    """Return pairs of points closer than a distance; sorted along a slanting line, few have to be compared."""
    if not near > 0:
        return np.zeros((0, 2), dtype=np.int64)
    along = points @ np.array([0.5257311121, 0.6180339887, 0.5844102911])
    order = np.argsort(along, kind="stable")
    along, ordered = along[order], points[order]
    found = [np.zeros((0, 2), dtype=np.int64)]
    first = np.arange(len(points), dtype=np.int64)
    for step in range(1, 64):
        first = first[first + step < len(points)]
        first = first[along[first + step] - along[first] <= near]
        if len(first) == 0:
            return np.concatenate(found)
        apart = ordered[first + step] - ordered[first]
        close = first[np.einsum("ij,ij->i", apart, apart) <= near * near]
        found.append(np.stack([order[close], order[close + step]], axis=1))
    pairs: Ints = cKDTree(points).query_pairs(near, output_type="ndarray")
    return pairs


def _heights(vertices: Floats, triangles: Ints) -> tuple[Floats, Floats, Ints]:
    """Return height over longest edge, longest edge and which side that is, for each triangle."""
    corner = [vertices[triangles[:, k]] for k in range(3)]
    side = [corner[1] - corner[0], corner[2] - corner[1], corner[0] - corner[2]]
    square = np.stack([np.einsum("ij,ij->i", s, s) for s in side], axis=1)
    longest = np.asarray(square.argmax(axis=1), dtype=np.int64)
    most = square[np.arange(len(square)), longest]
    twice = _twice(side[0], side[2])
    flat = np.divide(twice, most, out=np.zeros_like(twice), where=most > 0)
    return flat, np.sqrt(most), longest


def _twice(u: Floats, v: Floats) -> Floats:
    """Return twice the area between vectors, shape (m,)."""
    x = u[:, 1] * v[:, 2] - u[:, 2] * v[:, 1]
    y = u[:, 2] * v[:, 0] - u[:, 0] * v[:, 2]
    z = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    out: Floats = np.sqrt(x * x + y * y + z * z)
    return out


def _without_slivers(vertices: Floats, triangles: Ints, sliver: float) -> tuple[Ints, int, int]:
    """Turn the longest edge of each sliver, so that no crack opens; drop one that has no neighbour there."""
    turned = dropped = 0
    flat, _, side = _heights(vertices, triangles)
    for _ in range(8):
        bad = np.flatnonzero(flat < sliver)
        if len(bad) == 0:
            break
        half, of, edges = sides(triangles)
        m, count = len(triangles), np.bincount(of, minlength=len(edges))
        total = np.bincount(of, weights=np.arange(3 * m, dtype=np.float64) % m, minlength=len(edges))
        fresh = triangles.copy()
        touched = np.zeros(m, dtype=np.bool_)
        gone = np.zeros(m, dtype=np.bool_)
        for t in bad[np.argsort(flat[bad], kind="stable")]:
            edge = of[side[t] * m + t]
            if count[edge] != 2:
                gone[t] = count[edge] == 1
                continue
            other = round(total[edge]) - int(t)
            if touched[t] or touched[other]:
                continue
            a, b = half[side[t] * m + t]
            apex = int(fresh[t, (side[t] + 2) % 3])
            far = next(int(v) for v in fresh[other] if v not in (a, b))
            if apex == far:
                gone[t] = True
                continue
            fresh[t], fresh[other] = [a, far, apex], [far, b, apex]
            touched[[t, other]] = True
            turned += 1
        dropped += int(gone.sum())
        triangles = fresh[~gone]
        flat, _, side = _heights(vertices, triangles)
        if not touched.any() and not gone.any():
            break
    none = flat < 1e-12
    return triangles[~none], turned + dropped, int(none.sum())


def _without_fins(vertices: Floats, triangles: Ints) -> tuple[Floats, Ints, int]:
    """Return the mesh in single fans; where noise hides which two sheets go on, what hangs loosest at the edge goes."""
    m = len(triangles)
    _, of, edges = sides(triangles)
    count = np.bincount(of, minlength=len(edges))
    crowded = int((count > 2).sum())
    if crowded:
        here = np.flatnonzero(count[of] > 2)
        loose = here[(count[of] == 1).reshape(3, m).sum(axis=0)[here % m] == 2]
        free = loose[count[of[loose]] - np.bincount(of[loose], minlength=len(edges))[of[loose]] >= 2]
        keep = np.ones(m, dtype=np.bool_)
        keep[free % m] = False
        triangles = triangles[keep]
        del here
    del of, edges, count
    vertices, triangles, left = parted(vertices, triangles)
    if not left:
        return vertices, triangles, crowded
    for _ in range(8):
        m = len(triangles)
        _, of, edges = sides(triangles)
        count = np.bincount(of, minlength=len(edges))
        here = np.flatnonzero(count[of] > 2)
        if len(here) == 0:
            break
        rims = (count[of] == 1).reshape(3, m).sum(axis=0)
        t = here % m
        order = np.lexsort((t, -rims[t], of[here]))
        first = np.concatenate([[True], of[here][order][1:] != of[here][order][:-1]])
        gone = np.zeros(m, dtype=np.bool_)
        gone[t[order[first]]] = True
        vertices, triangles, _ = parted(vertices, triangles[~gone])
    return vertices, triangles, crowded


def _chosen(
    name: str,
    vertices: Floats,
    triangles: Ints,
    of: Ints,
    areas: Floats,
    order: Ints,
    keep: Sequence[float] | None,
    noise: float,
) -> int:
    if keep is not None:
        squared, nearest, _ = igl.point_mesh_squared_distance(
            np.ascontiguousarray(np.asarray(keep, dtype=np.float64)[None, :]), vertices, triangles
        )
        off = float(np.sqrt(np.ravel(squared)[0]))
        if off > KEEP_REACH:
            came = " ".join(f"{1000 * c:.1f}" for c in keep)
            raise InputError.one(
                name,
                f"keep {came} mm",
                f"a point on the sheet to keep is wanted, this one lies {1000 * off:.0f} mm off the nearest",
            )
        return int(of[int(np.ravel(nearest)[0])])
    if len(order) > 1 and areas[order[1]] > SECOND_SHEET * areas[order[0]]:
        again = passes_over(vertices, triangles, of, areas, int(order[0]), noise).within
        large = [int(k) for k in order if areas[k] > SECOND_SHEET * areas[order[0]] and int(k) not in again]
        if len(large) == 1:
            return large[0]
        raise InputError.one(
            name,
            f"a mesh of {'two' if len(large) == 2 else len(large)} sheets, {10_000 * areas[large[0]]:.1f} cm² and "
            f"{10_000 * areas[large[1]]:.1f} cm²",
            "one surface is wanted: the side that the laminate lies on",
            "state `keep`, a point on that sheet, or delete the other one",
        )
    return int(order[0])


def _leaning(mean: Floats) -> str:
    """Return which way most of a surface looks, as a hint; nothing when it looks all round."""
    length = float(np.linalg.norm(mean))
    if not length > 0.0:
        return ""
    along = [round(float(c), 1) + 0.0 for c in mean / length]
    return f"most of it looks along {along} or the opposite"


def _oriented(name: str, vertices: Floats, before: Ints, facing: Floats) -> tuple[Surface, int]:
    wound = wound_alike(before)
    if wound is None:
        raise InputError.one(
            name, "", "the surface is twisted like a band that has one side only; check it where sheets meet"
        )
    used, renumbered = compact(wound, len(vertices))
    surface = Surface(vertices[used], renumbered)
    mean = (surface.areas[:, None] * surface.normals).sum(axis=0)
    towards = float(mean @ facing / max(float(np.linalg.norm(facing)), 1e-300)) / surface.area
    if not surface.loops:
        c = surface.corners - surface.vertices.mean(axis=0)
        towards = float(np.einsum("ij,ij->i", c[:, 0], np.cross(c[:, 1], c[:, 2])).sum())
    elif abs(towards) < FLAT_ENOUGH:
        raise InputError.one(
            name,
            f"laminate side {[round(float(c), 3) for c in facing]}",
            "as much of the surface looks along this direction as against it; one is wanted that the mould opens to",
            _leaning(mean),
        )
    if towards < 0:
        surface = surface.flipped()
    kept = (before == wound).all(axis=1)
    turned = int((~kept).sum()) if towards >= 0 else int(kept.sum())
    return surface, min(turned, len(before) - turned)
