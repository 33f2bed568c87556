"""From regions and plies to draped pieces and their flat patterns.

A ply whose region lies in several connected parts is cut as several pieces: ply 4 over two doublers gives 4A and 4B,
largest first. A piece that does not hold the start point starts at its own middle.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagside import drape as draping
from bagside import geometry
from bagside.cutting import PieceSeam
from bagside.drape import Drape, Pattern
from bagside.drape.cuts import CutPiece
from bagside.drape.joins import SeamMark, refuse_crossed, seam_marks, with_overlaps
from bagside.drape.trial import piece_start
from bagside.errors import InputError, NotSolved
from bagside.findings import Finding
from bagside.geometry import Surface
from bagside.geometry.lines import joined
from bagside.mould import LaidCorner
from bagside.planning.cut_stage import Lay, PlyCuts, ply_cuts, spanned_by
from bagside.planning.seam_sides import piece_seams
from bagside.planning.stages import Failed, Stages
from bagside.spec.job import Job, Ply
from bagside.spec.library import Library
from bagside.spec.lines import Pieces
from bagside.spec.material import ClothKind, Prepreg
from bagside.spec.region import Hole

START_REACH = 0.005  # [m] a start point stated by hand may lie this far off a scanned surface
HOLE_REACH = 0.020  # [m]
WELL_INSIDE = 3.0  # edge lengths from the rim: a start nearer to a join holds no line of its own
APART = 4  # plies below within which joins are not to lie over each other
LINE_REACH = 0.020  # [m] points of a line further off are meant for another piece


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """One piece as it is worked out.

    Parameters
    ----------
    drape
        How it lies.
    pattern
        What is cut.
    holes
        Where hole centres fall in the flat piece: name and (u, v) [m].
    marks
        Its sides of joins.
    """

    drape: Drape
    pattern: Pattern
    holes: tuple[tuple[str, tuple[float, float]], ...]
    marks: tuple[SeamMark, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One cut piece of a ply.

    Parameters
    ----------
    label
        ``3`` or ``3A``.
    ply
        Index of its ply in the job.
    drape
        How it lies.
    pattern
        What is cut.
    holes
        Where hole centres fall in the flat piece: name and (u, v) [m].
    seams
        Its sides of the joins with other pieces of its ply, or of its own darts.
    """

    label: str
    ply: int
    drape: Drape
    pattern: Pattern
    holes: tuple[tuple[str, tuple[float, float]], ...]
    seams: tuple[PieceSeam, ...] = ()

    @property
    def surface(self) -> Surface:
        """The surface it covers."""
        return self.drape.surface


def locking_of(prepreg: Prepreg) -> float | None:
    """Return the shear at which a cloth locks [rad]: as its sheet states it, else usual for its weave.

    Parameters
    ----------
    prepreg
        The cloth.

    Returns
    -------
    float or None
        None where a cloth has no such angle: tapes and veils.
    """
    if prepreg.locking_angle is not None:
        return prepreg.locking_angle
    usual = draping.usual_locking(prepreg.kind, prepreg.weave)
    return None if usual is None else usual.angle


def evenly_meshed(surface: Surface, size: float, tolerance: float) -> tuple[Surface, ...]:
    """Return each connected part of a region, meshed evenly for draping, largest first."""
    return tuple(geometry.remeshed(part, size, tolerance) for part in geometry.components(surface))


def draped_piece(
    surface: Surface,
    start: tuple[float, float, float],
    direction: tuple[float, float, float],
    kind: str,
    locking_angle: float | None,
    holes: tuple[Hole, ...] = (),
    first: NDArray[np.float64] | None = None,
    cut: CutPiece | None = None,
    refine: bool = False,
) -> Laid:
    """Return how a piece drapes, what is cut for it, and where hole centres and joins fall in it.

    Parameters
    ----------
    surface
        The piece.
    start, direction
        Where laying starts [m], and where the warp points there.
    kind, locking_angle
        Of the cloth.
    holes
        Of the part.
    first
        Points of a line that is laid first, shape (k, 3) [m].
    cut
        The piece as it was cut out of its ply; nothing for a ply in one piece.
    refine
        Whether to solve to the last digits.
    """
    law = draping.law_of(draping.ClothKind(kind), locking_angle, len(surface.triangles))
    lain = draping.drape(
        surface, start=np.array(start), direction=np.array(direction), law=law, first=first, refine=refine
    )
    marks: tuple[SeamMark, ...] = ()
    if cut is not None:
        marks = seam_marks(lain, cut)
        refuse_crossed(marks)
    pattern = draping.pattern_of(lain)
    if cut is not None:
        pattern = with_overlaps(pattern, cut, marks)
    return Laid(drape=lain, pattern=pattern, holes=_holes(lain, holes), marks=marks)


def warp_direction(
    surface: Surface, start: NDArray[np.float64], direction: tuple[float, float, float], angle: float
) -> NDArray[np.float64]:
    """Return the wanted warp direction at a point: the part's zero direction turned by the ply's angle.

    Parameters
    ----------
    surface
        The piece.
    start
        Point on it [m].
    direction
        The part's zero direction.
    angle
        Counter-clockwise seen from the laminate side [rad].

    Raises
    ------
    InputError
        When the zero direction stands straight up from the surface there.
    """
    _, triangle, _ = geometry.nearest(surface, start[None, :])
    normal = surface.normals[triangle[0]]
    along = np.array(direction) - np.dot(direction, normal) * normal
    length = float(np.linalg.norm(along))
    if length < 0.05:
        raise InputError.one(
            "job.toml, laying, direction",
            str(list(direction)),
            "this direction stands straight up from the surface at the start point; one that lies along it is wanted",
        )
    along = along / length
    turned: NDArray[np.float64] = math.cos(angle) * along + math.sin(angle) * np.cross(normal, along)
    return turned


@dataclass(frozen=True, slots=True, kw_only=True)
class _Place:
    """One piece before it is draped."""

    label: str
    ply: int
    cut: CutPiece | None
    surface: Surface
    neighbours: tuple[str, ...]


def pieces_of(
    job: Job,
    library: Library,
    regions: Mapping[str, Surface],
    stages: Stages,
    where: str,
    corners: tuple[LaidCorner, ...] = (),
) -> tuple[tuple[Piece, ...], tuple[PlyCuts, ...]]:
    """Return every piece of every ply, draped, and where plies are cut.

    Parameters
    ----------
    job, library
        As stated.
    regions
        Each named region as a surface.
    stages
        Runs and keeps the work.
    where
        File the job is stated in.
    corners
        Tight corners with the plies that run through them; needed for plies whose cuts are found.

    Raises
    ------
    InputError
        When a start point is off the surface, or a cut cannot be made.
    NotSolved
        When a piece cannot be draped; names it.
    """
    places: list[_Place] = []
    cuts: list[PlyCuts] = []
    tasks: list[tuple[str, tuple[Any, ...]]] = []
    for k, ply in enumerate(job.plies):
        parts = stages.run(
            f"Meshing {ply.region}", evenly_meshed, regions[ply.region], job.mould.size, job.mould.tolerance
        )
        prepreg = library.prepreg[ply.material]
        below = tuple(cut.line for c in cuts if c.ply >= k - APART for cut in c.cuts)
        made = [_cut_up(part, k, job, library, len(parts), stages, where, corners, below) for part in parts]
        _all_used(job, k, made, where)
        cuts += [m for m in made if m.cuts or m.proposals]
        own = _named(k, parts, made)
        for place in own:
            if place.cut is None:
                start = _start(place.surface, ply, job, len(own) == 1, f"{where}, ply {k + 1}, start")
            else:
                start = _inside_start(place.surface, np.array(ply.start or job.laying.start), job.laying.direction)
            direction = warp_direction(place.surface, start, job.laying.direction, ply.angle)
            args = (
                place.surface,
                _triple(start),
                _triple(direction),
                prepreg.kind.value,
                locking_of(prepreg),
                job.holes,
                _first(place.surface, ply, job, f"{where}, ply {k + 1}, laid_first"),
                place.cut,
                job.laying.refine,
            )
            tasks.append((f"Draping piece {place.label}", args))
        places += own
    pieces = []
    for place, laid in zip(places, stages.run_many(draped_piece, tasks), strict=True):
        if isinstance(laid, Failed):
            if isinstance(laid.error, NotSolved):
                raise NotSolved(f"ply {place.ply + 1}, piece {place.label}: {laid.error}") from laid.error
            raise laid.error
        seams = piece_seams(laid.marks, place.neighbours.index(place.label), place.neighbours)
        pieces.append(
            Piece(
                label=place.label, ply=place.ply, drape=laid.drape, pattern=laid.pattern, holes=laid.holes, seams=seams
            )
        )
    return tuple(pieces), tuple(cuts)


def _cut_up(
    part: Surface,
    k: int,
    job: Job,
    library: Library,
    parts: int,
    stages: Stages,
    where: str,
    corners: tuple[LaidCorner, ...],
    below: tuple[NDArray[np.float64], ...],
) -> PlyCuts:
    """Return where one part of a ply's region is cut."""
    ply = job.plies[k]
    found = ply.pieces is Pieces.AUTO
    if not (ply.cuts or found):
        return PlyCuts(ply=k, cuts=(), proposals=(), pieces=())
    lay = None
    if found:
        prepreg = library.prepreg[ply.material]
        start = _start(part, ply, job, parts == 1, f"{where}, ply {k + 1}, start")
        lay = Lay(
            start=_triple(start),
            direction=_triple(warp_direction(part, start, job.laying.direction, ply.angle)),
            kind=prepreg.kind.value,
            locking_angle=locking_of(prepreg),
            corners=spanned_by(k, corners),
        )
    return stages.run(
        f"{'Looking for cuts of' if found else 'Cutting'} ply {k + 1}",
        ply_cuts,
        part,
        job.plies,
        k,
        job.lines,
        job.laying.overlap,
        job.laying.stagger,
        (job.mould.size, job.mould.tolerance),
        lay,
        below,
        where,
    )


def _all_used(job: Job, k: int, made: Sequence[PlyCuts], where: str) -> None:
    """Refuse a cut whose line passes none of the ply's parts."""
    used = {cut.name for m in made for cut in m.cuts}
    for n, cut in enumerate(job.plies[k].cuts, 1):
        if cut.line not in used:
            raise InputError.one(
                f"{where}, ply {k + 1}, cut {n}, line",
                f'"{cut.line}"',
                f"this line lies nowhere near region {job.plies[k].region}",
                "move its points onto the region, or leave the cut out",
            )


def _named(k: int, parts: Sequence[Surface], made: Sequence[PlyCuts]) -> list[_Place]:
    """Return the pieces of a ply with their labels: 4 when it is one piece, else 4A, 4B."""
    count = sum(len(m.pieces) or 1 for m in made)
    labels = [f"{k + 1}" if count == 1 else f"{k + 1}{_letters(n)}" for n in range(count)]
    out: list[_Place] = []
    for part, m in zip(parts, made, strict=True):
        own = tuple(labels[len(out) : len(out) + (len(m.pieces) or 1)])
        if not m.pieces:
            out.append(_Place(label=own[0], ply=k, cut=None, surface=part, neighbours=own))
        out += [
            _Place(label=label, ply=k, cut=cut, surface=cut.surface, neighbours=own)
            for label, cut in zip(own, m.pieces, strict=False)
        ]
    return out


def _first(part: Surface, ply: Ply, job: Job, place: str) -> NDArray[np.float64] | None:
    """Return the points of the line that a piece is laid along first; nothing when it passes the piece by."""
    if not ply.laid_first:
        return None
    line = job.lines[ply.laid_first]
    points = np.array(line.points)
    off, _, _ = geometry.nearest(part, points)
    near = points[off <= LINE_REACH]
    if len(near) < 2:
        return None
    try:
        way: NDArray[np.float64] = joined(part, near, closed=line.closed and len(near) == len(points))
    except (NotSolved, ValueError) as error:
        raise InputError.one(place, f'"{ply.laid_first}"', f"the line cannot be laid there: {error}") from error
    return way


def _letters(n: int) -> str:
    text = ""
    n += 1
    while n:
        n, rest = divmod(n - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


def _triple(point: NDArray[np.float64]) -> tuple[float, float, float]:
    return (float(point[0]), float(point[1]), float(point[2]))


def _start(part: Surface, ply: Ply, job: Job, whole: bool, place: str) -> NDArray[np.float64]:
    """Return where laying of this piece starts, on its surface."""
    stated = np.array(ply.start or job.laying.start)
    distance, _, closest = geometry.nearest(part, stated[None, :])
    if distance[0] <= START_REACH:
        found: NDArray[np.float64] = closest[0]
        return found
    if whole and (ply.start is not None or ply.region == job.part):
        near = " ".join(f"{1000 * c:.1f}" for c in closest[0])
        came = " ".join(f"{1000 * c:.1f}" for c in stated)
        raise InputError.one(
            place if ply.start is not None else place.rsplit(", ply", 1)[0] + ", laying, start",
            f'"{came} mm"',
            f"this point is {1000 * distance[0]:.1f} mm off the surface of region {ply.region}",
            f'the nearest point on it is "{near} mm"',
        )
    middle = np.average(part.centroids, axis=0, weights=part.areas)
    _, _, closest = geometry.nearest(part, middle[None, :])
    own: NDArray[np.float64] = closest[0]
    return own


def _inside_start(
    piece: Surface, stated: NDArray[np.float64], direction: tuple[float, float, float]
) -> NDArray[np.float64]:
    """Return where laying of a piece of a cut ply starts: where stated, when that is well inside, else deep in it."""
    off, _, closest = geometry.nearest(piece, stated[None, :])
    rim = piece.vertices[np.concatenate(piece.loops)] if piece.loops else np.zeros((0, 3))
    inside = len(rim) == 0 or float(np.linalg.norm(rim - closest[0], axis=1).min()) > WELL_INSIDE * piece.edge_length
    if off[0] <= START_REACH and inside:
        found: NDArray[np.float64] = closest[0]
        return found
    return piece_start(piece, stated, np.array(direction), reach=-1.0)[0]


def _holes(lain: Drape, holes: tuple[Hole, ...]) -> tuple[tuple[str, tuple[float, float]], ...]:
    if not holes:
        return ()
    centres = np.array([hole.at for hole in holes])
    distance, _, _ = geometry.nearest(lain.surface, centres)
    found = draping.locate(lain, centres)
    return tuple(
        (hole.name, (float(uv[0]), float(uv[1])))
        for hole, uv, d in zip(holes, found, distance, strict=True)
        if d < HOLE_REACH and _inside(lain, hole, d)
    )


def _inside(lain: Drape, hole: Hole, distance: float) -> bool:
    """Whether a hole's centre lies over the piece rather than beside it."""
    _, _, closest = geometry.nearest(lain.surface, np.array(hole.at)[None, :])
    rim = lain.surface.vertices[np.concatenate(lain.surface.loops)] if lain.surface.loops else np.zeros((0, 3))
    if len(rim) == 0:
        return True
    to_rim = float(np.linalg.norm(rim - closest[0], axis=1).min())
    return to_rim > 0.5 * lain.surface.edge_length or distance < 1e-3


def drape_findings(pieces: tuple[Piece, ...], job: Job, library: Library) -> tuple[Finding, ...]:
    """Return what draping noticed; what several pieces or places share is said once, at the worst of them."""
    alike: dict[int, list[Piece]] = {}
    for piece in pieces:
        alike.setdefault(id(piece.drape), []).append(piece)
    found: list[Finding] = []
    for group in alike.values():
        first = group[0]
        prepreg = library.prepreg[job.plies[first.ply].material]
        law = draping.law_of(draping.ClothKind(prepreg.kind.value), locking_of(prepreg), len(first.surface.triangles))
        labels = [p.label for p in group]
        place = f"piece {labels[0]}" if len(labels) == 1 else f"pieces {', '.join(labels[:-1])} and {labels[-1]}"
        kinds: dict[str, list[Finding]] = {}
        for finding in draping.findings(first.drape, law, place):
            kinds.setdefault(finding.why, []).append(finding)
        for same in kinds.values():
            more = f" {len(same) - 1} more place{'s' if len(same) > 2 else ''} like it." if len(same) > 1 else ""
            found.append(replace(same[0], what=same[0].what + more))
        if job.structural:  # of every other part the book says how much of each angle is left, and leaves it there
            found += _angles(first, job, place, weft=prepreg.kind is not ClothKind.UNIDIRECTIONAL)
    return tuple(found)


def _angles(piece: Piece, job: Job, place: str, *, weft: bool) -> tuple[Finding, ...]:
    """Return what should be known of the angles that a ply of a structural part keeps."""
    axis, angle = np.array(job.laying.direction), job.plies[piece.ply].angle
    survived = draping.angles_that_survive(piece.drape, axis, angle, job.laying.rosette)
    return draping.angle_findings(piece.drape, survived, place, structural=True, weft=weft)
