"""Closing small holes of a scan with a patch that goes on as the surface around it does.

A hole is closed only when its way around is below a stated length; what lies under a large one is not known. The patch
is the triangulation of the rim with the least area, refined to the triangles around and then bent: it takes the
shape of least bending together with a strip of the surface, which itself stays where it is.
"""

from __future__ import annotations

from dataclasses import dataclass

import igl
import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csc_matrix, diags

from bagside.errors import NotSolved
from bagside.geometry.splitting import split_edges
from bagside.geometry.surface import Floats, Ints, Surface
from bagside.geometry.topology import consistent, sides

MOST = 400  # points around a hole; beyond that the best triangulation takes seconds
STRIP = 6  # rows of triangles around the patch that bend with it
ROWS = 3  # of them that may move when noise is smoothed: the rim of a hole is the noisiest part of a scan
SWOLLEN = 1.5  # a patch that grows more than this when it is bent stays as it was: its rim says nothing useful
FOLD = 100.0  # what area costs beside squared edges
LONG = 1.4  # edges of a patch longer than this share of the rim's are halved


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleSeen:
    """A boundary loop that is not the rim of the surface.

    Parameters
    ----------
    around
        Its length [m].
    centre
        Its middle [m].
    filled
        Whether it was closed.
    why
        Why it was left open, when it was: empty when closed.
    """

    around: float
    centre: tuple[float, float, float]
    filled: bool = False
    why: str = ""


def holes_of(surface: Surface) -> tuple[tuple[Ints, HoleSeen], ...]:
    """Return every boundary loop but the rim, with its vertices, longest first.

    Parameters
    ----------
    surface
        The surface; none of its vertices joins two fans.

    Notes
    -----
    The rim is the loop that reaches furthest, corner to corner of its box: a ragged hole may be longer around.
    """
    loops = surface.loops
    reach = [float(np.linalg.norm(np.ptp(surface.vertices[loop], axis=0))) for loop in loops]
    found = []
    for k, loop in enumerate(loops):
        if k == int(np.argmax(reach)):
            continue
        at = surface.vertices[loop]
        x, y, z = (float(c) for c in at.mean(axis=0))
        around = float(np.linalg.norm(at - np.roll(at, 1, axis=0), axis=1).sum())
        found.append((loop, HoleSeen(around=around, centre=(x, y, z))))
    return tuple(found)


def filled(surface: Surface, limit: float, length: float = 0.0) -> tuple[Surface, tuple[HoleSeen, ...]]:
    """Return the surface with small holes closed, and every hole it had.

    Parameters
    ----------
    surface
        The surface.
    limit
        Longest way around a hole that is closed [m]; zero closes none.
    length
        Noise of the strip around a hole is smoothed over this length before the patch follows it [m].

    Raises
    ------
    ValueError
        When limit or length is negative.

    Notes
    -----
    The boundary loop that reaches furthest is the rim and stays. A hole stays open, and says why, when it has more than
    400 points around or when no patch joins it cleanly.
    """
    if not (limit >= 0 and length >= 0):
        raise ValueError(f"a limit of {limit} m and a length of {length} m are not possible")
    seen: list[HoleSeen] = []
    for loop, hole in holes_of(surface):
        if hole.around > limit:
            why = "longer around than the limit" if limit > 0 else ""
            seen.append(HoleSeen(around=hole.around, centre=hole.centre, why=why))
            continue
        closed = _closed(surface, loop, length)
        if closed is None:
            seen.append(HoleSeen(around=hole.around, centre=hole.centre, why="no patch joins it cleanly"))
            continue
        surface = closed
        seen.append(HoleSeen(around=hole.around, centre=hole.centre, filled=True))
    return surface, tuple(seen)


def _closed(surface: Surface, loop: Ints, length: float) -> Surface | None:
    patch = _triangulated(surface, loop)
    if patch is None:
        return None
    at = surface.vertices[loop]
    edge = float(np.linalg.norm(at - np.roll(at, 1, axis=0), axis=1).mean())
    local = _refined(Surface(at, patch), edge)
    n, fresh = len(surface.vertices), len(local.vertices) - len(loop)
    number = np.concatenate([loop, n + np.arange(fresh)])
    triangles = np.concatenate([surface.triangles, number[local.triangles]])
    if not consistent(triangles):
        return None
    joined = Surface(np.concatenate([surface.vertices, local.vertices[len(loop) :]]), triangles)
    return _bent(joined, n, max(length, edge), ROWS if length > 0 else 0) if fresh else joined


def _triangulated(surface: Surface, loop: Ints) -> Ints | None:
    """Return the triangles of least area, then shortest edges, that close a loop, as places on it.

    Wound as the surface is. Least area because a triangulation that folds over itself has more.
    """
    count = len(loop)
    if not 3 <= count <= MOST:
        return None
    at = surface.vertices[loop]
    price = ((at[:, None, :] - at[None, :, :]) ** 2).sum(axis=2)
    place = np.full(len(surface.vertices), -1, dtype=np.int64)
    place[loop] = np.arange(count)
    chord = place[surface.edges]
    chord = chord[(chord >= 0).all(axis=1)]
    apart = np.abs(chord[:, 0] - chord[:, 1])
    chord = chord[(apart > 1) & (apart < count - 1)]
    price[chord[:, 0], chord[:, 1]] = price[chord[:, 1], chord[:, 0]] = np.inf  # the surface has that edge already
    best = np.full((count, count), np.inf)
    middle = np.zeros((count, count), dtype=np.int64)
    np.fill_diagonal(best[:, 1:], 0.0)
    for span in range(2, count):
        row = np.arange(count - span)
        between = row[:, None] + np.arange(1, span)[None, :]
        far = row + span
        total = best[row[:, None], between] + best[between, far[:, None]]
        total += FOLD * _areas(at[row][:, None], at[between], at[far][:, None])
        which = total.argmin(axis=1)
        own = np.where(span == count - 1, 0.0, price[row, far])
        best[row, far] = total[row, which] + own
        middle[row, far] = between[row, which]
    if not np.isfinite(best[0, count - 1]):
        return None
    made: list[tuple[int, int, int]] = []
    work = [(0, count - 1)]
    while work:
        i, j = work.pop()
        if j - i < 2:
            continue
        k = int(middle[i, j])
        made.append((i, k, j))
        work += [(i, k), (k, j)]
    patch = np.array(made, dtype=np.int64)
    half = np.concatenate([surface.triangles[:, [k, (k + 1) % 3]] for k in range(3)])
    runs = bool(((half[:, 0] == loop[0]) & (half[:, 1] == loop[1])).any())
    return patch[:, ::-1] if runs else patch


def _areas(a: Floats, b: Floats, c: Floats) -> Floats:
    u, v = b - a, c - a
    uu, vv, uv = (np.einsum("...j,...j->...", p, q) for p, q in ((u, u), (v, v), (u, v)))
    out: Floats = 0.5 * np.sqrt(np.maximum(uu * vv - uv * uv, 0.0))
    return out


def _refined(patch: Surface, edge: float) -> Surface:
    """Return a patch with its inner edges no longer than those around it, and round triangles."""
    patch = _flipped(patch)
    for _ in range(12):
        _, of, edges = sides(patch.triangles)
        inner = edges[np.bincount(of, minlength=len(edges)) == 2]
        size = np.linalg.norm(patch.vertices[inner[:, 0]] - patch.vertices[inner[:, 1]], axis=1)
        long = inner[size > LONG * edge]
        if len(long) == 0:
            break
        patch = _flipped(split_edges(patch, long, np.full(len(long), 0.5)).surface)
    return patch


def _flipped(patch: Surface) -> Surface:
    """Return a patch with edges turned until opposite angles add up to less than half a turn."""
    v, t = patch.vertices, patch.triangles.copy()
    for _ in range(24):
        m = len(t)
        half, of, edges = sides(t)
        count = np.bincount(of, minlength=len(edges))
        order = np.argsort(of, kind="stable")
        first = np.concatenate([[0], np.cumsum(count)])[:-1][count == 2]
        one, other = order[first], order[first + 1]
        apex, far = t[one % m, (one // m + 2) % 3], t[other % m, (other // m + 2) % 3]
        a, b = half[one, 0], half[one, 1]
        sum_ = _angle(v, apex, a, b) + _angle(v, far, a, b)
        known = {tuple(e) for e in edges.tolist()}
        touched = np.zeros(m, dtype=np.bool_)
        turned = False
        for k in np.argsort(-sum_, kind="stable"):
            if sum_[k] <= np.pi + 1e-9:
                break
            p, q = int(one[k] % m), int(other[k] % m)
            pair = (int(min(apex[k], far[k])), int(max(apex[k], far[k])))
            if touched[p] or touched[q] or pair in known:
                continue
            t[p], t[q] = [a[k], far[k], apex[k]], [far[k], b[k], apex[k]]
            touched[[p, q]] = True
            known.add(pair)
            turned = True
        if not turned:
            break
    return Surface(v, t)


def _angle(v: Floats, at: Ints, a: Ints, b: Ints) -> Floats:
    p, q = v[a] - v[at], v[b] - v[at]
    sine = np.linalg.norm(np.cross(p, q), axis=1)
    out: Floats = np.arctan2(sine, np.einsum("ij,ij->i", p, q))
    return out


def _bent(surface: Surface, old: int, length: float, rows: int) -> Surface:
    """Return the surface with its vertices from ``old`` on, and some rows around, moved to where the strip bends least.

    Vertices from ``old`` on are free; the strip around them holds to where it is, the more the longer the waves.
    """
    t = surface.triangles
    inside = np.arange(len(surface.vertices)) >= old
    moving = inside.copy()
    for k in range(STRIP):
        inside[t[inside[t].any(axis=1)]] = True
        if k < rows:
            moving = inside.copy()
    chosen: NDArray[np.bool_] = np.asarray(inside[t].all(axis=1), dtype=np.bool_)
    strip = surface.selected(chosen)
    used = np.unique(t[chosen])
    free = used >= old
    centre, scale = strip.vertices.mean(axis=0), strip.edge_length
    local = np.ascontiguousarray((strip.vertices - centre) / scale)
    flat = Surface(local, strip.triangles)
    mass = np.bincount(flat.triangles.ravel(), weights=np.repeat(flat.areas / 3, 3), minlength=len(local))
    mass = np.where(free, 0.0, np.maximum(mass, 1e-12))
    matrix = csc_matrix(diags(mass) + (length / scale) ** 4 * igl.curved_hessian_energy(flat.vertices, flat.triangles))
    none = np.zeros(0, dtype=np.int64)
    try:
        found = igl.min_quad_with_fixed(matrix, -mass[:, None] * local, none, np.zeros((0, 3)))
    except RuntimeError as error:
        raise NotSolved(f"a patch over a hole cannot be bent ({error})") from error
    moved = np.asarray(found[0] if isinstance(found, tuple) else found, dtype=np.float64).reshape(local.shape)
    at = surface.vertices.copy()
    at[used[moving[used]]] = moved[moving[used]] * scale + centre
    patch = t[(t >= old).any(axis=1)]
    if not np.isfinite(at).all() or Surface(at, patch).area > SWOLLEN * Surface(surface.vertices, patch).area:
        return surface
    return Surface(at, t)
