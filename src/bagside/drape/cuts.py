"""Where a ply is cut: the cuts, the pieces they leave, and the join lines along which the pieces meet again.

A cut that leads from rim to rim, or that closes, parts the ply; one that ends inside is a dart. Each piece knows the
place of its join lines in its own triangles, because the two lips of a dart lie at one place in space.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bagside import geometry
from bagside.drape.band import Rim, overlapped
from bagside.errors import InputError, NotSolved
from bagside.geometry import Surface
from bagside.geometry.lines import straight_through
from bagside.geometry.polyline import length_of, resampled
from bagside.geometry.slit import divided_along, embedded, relinked, slit
from bagside.geometry.strip import Net
from bagside.geometry.surface import Floats, Ints
from bagside.geometry.topology import parts
from bagside.spec.lines import Join

OFF = 0.02  # [m] a point of a line may lie this far off the surface
CARRIED = 0.005  # [m] an end this close to the rim or to another cut is carried there
ON = 1e-6  # [m]
SAG = 2e-5  # [m] an overlap strays from its true width by at most this on account of the points it is measured from
CRUMB = 0.5  # of the square of the size: parts smaller than this are crumbs of cutting
SHORT = 0.1  # of the size: meetings of two pieces along less than this are no joins


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cut:
    """A cut of a ply along a line over the surface.

    Parameters
    ----------
    name
        Of the line, for messages.
    line
        Points on the surface or near it, in order, shape (k, 3) [m].
    join
        How its two sides lie.
    overlap
        Width by which the piece laid later is extended over the other [m]; a butt has none.
    closed
        Whether the line returns to its first point.
    """

    name: str
    line: Floats
    join: Join
    overlap: float
    closed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeamSide:
    """One side of a join, on the piece it belongs to.

    Parameters
    ----------
    seam
        Of the join: ``A``; both sides have the same.
    cut
        Name of the cut.
    join
        How both sides lie.
    overlap
        Width of the overlap [m]; zero for a butt.
    over
        Whether this side is extended past the join line.
    other
        Index of the piece on the other side; its own for a dart.
    left
        Whether this piece lies left of the line, seen from the laminate side.
    line
        The join line, the same points for both sides, shape (k, 3) [m].
    triangles
        Triangle of this piece's surface in which each point lies, shape (k,).
    shares
        Barycentric weights there, shape (k, 3).
    """

    seam: str
    cut: str
    join: Join
    overlap: float
    over: bool
    other: int
    left: bool
    line: Floats
    triangles: Ints
    shares: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CutPiece:
    """One piece of a ply.

    Parameters
    ----------
    surface
        What is draped and cut from the roll: its own part and the overlaps, in even triangles.
    net
        Its own part alone, without overlaps.
    seams
        Its sides of the joins.
    """

    surface: Surface
    net: Surface
    seams: tuple[SeamSide, ...]

    @property
    def darts(self) -> tuple[SeamSide, ...]:
        """The sides of joins of this piece with itself."""
        names = [s.seam for s in self.seams]
        return tuple(s for s in self.seams if names.count(s.seam) == 2)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Run:
    """A stretch of a cut between the same two pieces."""

    seam: str
    cut: Cut
    way: Ints
    left: int
    right: int

    @property
    def wide(self) -> float:
        return 0.0 if self.cut.join is Join.BUTT else self.cut.overlap

    def over(self, piece: int, *, left: bool) -> bool:
        if self.wide <= 0:
            return False
        return left if self.left == self.right else piece == max(self.left, self.right)


def cut_pieces(surface: Surface, cuts: Sequence[Cut], *, size: float, tolerance: float) -> tuple[CutPiece, ...]:
    """Return the pieces that cuts leave of a ply, largest first.

    Parameters
    ----------
    surface
        What the ply covers, one connected sheet.
    cuts
        The cuts; they may meet and cross.
    size
        Edge length of the pieces' triangles [m].
    tolerance
        How far the new triangles may stray from the old ones [m].

    Returns
    -------
    tuple of CutPiece
        In the order of laying, larger ones first. Where two pieces overlap the later one is extended over the earlier
        one.

    Raises
    ------
    InputError
        When a line lies off the surface, has no length, crosses itself, runs along the rim or has an overlap that is
        not a width; it names the cut.
    NotSolved
        When lines crowd so that the surface cannot be cut along them.

    Notes
    -----
    An end within 5 mm of the rim or of another cut is carried there. The edge of an overlap lies at the stated distance
    over the surface from the join line, to 0.02 mm before the triangles are made even and to the tolerance after it. A
    dart is not extended here: its flap is added in the flat (`with_overlaps`). At a crossing each overlap covers the
    piece across its own join only, not the one diagonally opposite. Parts smaller than half the square of the size are
    crumbs and dropped; pieces that meet along less than a tenth of the size do not join there.
    """
    if not cuts:
        return (CutPiece(surface=surface, net=surface, seams=()),)
    lines = _laid(surface, cuts)
    mesh, ways = embedded(surface, lines)
    for k, cut in enumerate(cuts):
        _refuse_knots(cut, ways[k])
        if cut.join is not Join.BUTT:
            mesh, ways[k] = divided_along(mesh, ways[k], float(np.sqrt(8 * cut.overlap * SAG)))
            mesh, ways = relinked(mesh, ways)
    opened, origin = slit(mesh, ways)
    count, label = parts(opened.triangles, len(opened.vertices))
    area = np.bincount(label, weights=opened.areas, minlength=count)
    order = [int(k) for k in np.argsort(-area, kind="stable") if area[k] > CRUMB * size**2]
    place = np.full(count, -1, dtype=np.int64)
    place[order] = np.arange(len(order))
    of = place[label]
    rim = Rim(mesh, opened, origin, of)
    runs = _runs(cuts, ways, rim, SHORT * size)
    return tuple(_piece(k, rim, runs, size, tolerance) for k in range(len(order)))


def _piece(k: int, rim: Rim, runs: list[_Run], size: float, tolerance: float) -> CutPiece:
    net = rim.part(k)
    mine = [r for r in runs if k in (r.left, r.right) and r.left != r.right and r.over(k, left=True)]
    stretches = [(r.way, r.right if k == r.left else r.left, r.wide) for r in mine]
    whole = overlapped(rim, k, stretches) if stretches else net
    try:
        even = geometry.remeshed(whole, size, tolerance)
        if len(even.loops) != len(whole.loops):
            even = whole
    except (NotSolved, ValueError):
        even = whole
    seams: list[SeamSide] = []
    for run in runs:
        line = resampled(rim.mesh.vertices[run.way], 0.5 * size)
        for left, piece, other in ((True, run.left, run.right), (False, run.right, run.left)):
            if piece != k:
                continue
            over = run.over(k, left=left)
            inside = over and other != k
            triangles, shares = _within(even, line) if inside else _on_lip(even, line, left=left)
            seams.append(
                SeamSide(
                    seam=run.seam,
                    cut=run.cut.name,
                    join=run.cut.join,
                    overlap=run.wide,
                    over=over,
                    other=other,
                    left=left,
                    line=line,
                    triangles=triangles,
                    shares=shares,
                )
            )
    return CutPiece(surface=even, net=net, seams=tuple(seams))


def _within(surface: Surface, line: Floats) -> tuple[Ints, Floats]:
    _, triangle, at = geometry.nearest(surface, line)
    return triangle, geometry.barycentric(surface, triangle, at)


def _on_lip(surface: Surface, line: Floats, *, left: bool) -> tuple[Ints, Floats]:
    """Return where points lie on the part of the rim that has its surface on one side of them."""
    t, v = surface.triangles, surface.vertices
    m = len(t)
    half = np.concatenate([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]])
    key = half.min(axis=1) * len(v) + half.max(axis=1)
    _, back, count = np.unique(key, return_inverse=True, return_counts=True)
    alone = np.flatnonzero(count[back.reshape(-1)] == 1)
    side, of = alone // m, alone % m
    a, b = v[half[alone, 0]], v[half[alone, 1]]
    step = b - a
    square = np.maximum((step * step).sum(axis=1), 1e-300)
    way = np.gradient(line, axis=0) if len(line) > 2 else np.broadcast_to(line[-1] - line[0], line.shape)
    triangles, shares = np.zeros(len(line), dtype=np.int64), np.zeros((len(line), 3))
    for i, p in enumerate(line):
        s = np.clip(((p - a) * step).sum(axis=1) / square, 0.0, 1.0)
        off = np.linalg.norm(p - a - s[:, None] * step, axis=1)
        along = step @ way[i] / np.sqrt(square) / max(float(np.linalg.norm(way[i])), 1e-300)
        wrong = along < 0.3 if left else along > -0.3
        k = int((off + np.where(wrong, 2 * surface.edge_length, 0.0)).argmin())
        triangles[i] = of[k]
        shares[i, side[k]], shares[i, (side[k] + 1) % 3] = 1 - s[k], s[k]
    return triangles, shares


def _runs(cuts: Sequence[Cut], ways: list[Ints], rim: Rim, short: float) -> list[_Run]:
    found: list[_Run] = []
    for cut, way in zip(cuts, ways, strict=True):
        left, right = rim.beside(way)
        closed = bool(way[0] == way[-1])
        if closed and len(left):  # begin where the neighbours change
            change = np.flatnonzero((left != np.roll(left, 1)) | (right != np.roll(right, 1)))
            turn = int(change[0]) if len(change) else 0
            left, right = np.roll(left, -turn), np.roll(right, -turn)
            way = np.concatenate([np.roll(way[:-1], -turn), [way[turn]]])
        edge = np.flatnonzero((np.diff(left) != 0) | (np.diff(right) != 0)) + 1
        bounds = [0, *edge.tolist(), len(left)]
        before = len(found)
        for a, b in itertools.pairwise(bounds):
            if b > a and left[a] >= 0 and right[a] >= 0:
                stretch = way[a : b + 1]
                if length_of(rim.mesh.vertices[stretch]) > short:
                    one, two = int(left[a]), int(right[a])
                    found.append(_Run(seam=letter(len(found)), cut=cut, way=stretch, left=one, right=two))
        if len(found) == before:
            raise InputError.one(
                f"cut {cut.name}",
                "a line along the rim",
                "a line that leads over the ply is wanted",
                "move its points away from the rim",
            )
    return found


def letter(index: int) -> str:
    """Return the letter of a join: A to Z, then AA, AB and so on.

    Parameters
    ----------
    index
        From zero.

    Examples
    --------
    >>> [letter(k) for k in (0, 25, 26, 52)]
    ['A', 'Z', 'AA', 'BA']
    """
    out = chr(ord("A") + index % 26)
    return out if index < 26 else letter(index // 26 - 1) + out


def _laid(surface: Surface, cuts: Sequence[Cut]) -> list[Floats]:
    """Return the lines straight over the surface, their ends carried to the rim or to other cuts near them."""
    net = Net(surface)
    border = _border(surface)
    lines: list[Floats] = []
    for cut in cuts:
        place = f"cut {cut.name}"
        points = np.asarray(cut.line, dtype=np.float64)
        if points.ndim != 2 or points.shape[1] != 3 or len(points) < 2 or not np.isfinite(points).all():
            raise InputError.one(place, f"points of shape {points.shape}", "two or more points with x, y, z are wanted")
        if cut.join is not Join.BUTT and not (np.isfinite(cut.overlap) and cut.overlap > 0):
            came = f"an overlap of {1000 * cut.overlap:.1f} mm"
            raise InputError.one(place, came, "a width above zero is wanted", "for no overlap state a butt")
        off, _, at = geometry.nearest(surface, points)
        if off.min() > OFF or np.median(off) > OFF:
            raise InputError.one(
                place,
                f"a line {1000 * float(off.min()):.0f} mm off the ply",
                "a line on the ply is wanted",
                "draw it on the surface this ply covers",
            )
        if cut.closed:
            at = np.concatenate([at, at[:1]]) if np.linalg.norm(at[0] - at[-1]) > ON else at
            at[-1] = at[0]
        else:
            at = _to_rim(at, border)
        keep = np.concatenate([[True], np.linalg.norm(np.diff(at, axis=0), axis=1) > ON])
        at = at[keep]
        if len(at) < (4 if cut.closed else 2):
            raise InputError.one(place, "a line without length on the ply", "a line that leads over the ply is wanted")
        lines.append(straight_through(net, at))
    if len(cuts) > 1:
        lines = [lines[k] if cut.closed else _to_others(k, lines, border) for k, cut in enumerate(cuts)]
    return lines


def _border(surface: Surface) -> tuple[Floats, Floats]:
    """Return both ends of every edge of the rim, each shape (b, 3) [m]."""
    pairs = [np.stack([loop, np.roll(loop, -1)], axis=1) for loop in surface.loops]
    edge = np.concatenate(pairs) if pairs else np.zeros((0, 2), dtype=np.int64)
    return surface.vertices[edge[:, 0]], surface.vertices[edge[:, 1]]


def _closest(p: Floats, segments: tuple[Floats, Floats]) -> tuple[float, Floats]:
    a, b = segments
    if len(a) == 0:
        return np.inf, p
    step = b - a
    square = np.maximum((step * step).sum(axis=1), 1e-300)
    s = np.clip(((p - a) * step).sum(axis=1) / square, 0.0, 1.0)
    foot = a + s[:, None] * step
    off = np.linalg.norm(p - foot, axis=1)
    k = int(off.argmin())
    return float(off[k]), foot[k]


def _to_rim(line: Floats, border: tuple[Floats, Floats]) -> Floats:
    for _ in range(2):
        beyond = _closest(line[0], border)[0] < ON
        while beyond and len(line) > 2 and _closest(line[1], border)[0] < ON:
            line = line[1:]  # drawn past the rim: what was taken to it from beyond
        off, foot = _closest(line[0], border)
        if ON < off < CARRIED:
            line = np.concatenate([foot[None], line])
        line = line[::-1]
    return line


def _to_others(k: int, lines: list[Floats], border: tuple[Floats, Floats]) -> Floats:
    line = lines[k]
    for end in (0, -1):
        if _closest(line[end], border)[0] < ON:
            continue
        found = [_closest(line[end], (o[:-1], o[1:])) for i, o in enumerate(lines) if i != k]
        off, foot = min(found, key=lambda f: f[0])
        if ON < off < CARRIED:
            line = np.concatenate([foot[None], line] if end == 0 else [line, foot[None]])
    return line


def _refuse_knots(cut: Cut, way: Ints) -> None:
    once = way[:-1] if way[0] == way[-1] else way
    if len(np.unique(once)) != len(once):
        raise InputError.one(
            f"cut {cut.name}",
            "a line that crosses or touches itself",
            "a line that passes each place once is wanted",
            "draw it as two cuts",
        )
