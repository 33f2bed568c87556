"""From regions and plies to draped pieces and their flat patterns.

A ply whose region lies in several connected parts is cut as several pieces: ply 4 over two doublers gives 4A and 4B,
largest first. A piece that does not hold the start point starts at its own middle.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside import drape as draping
from bagside import geometry
from bagside.drape import Drape, Pattern
from bagside.errors import InputError, NotSolved
from bagside.findings import Finding
from bagside.geometry import Surface
from bagside.planning.stages import Stages
from bagside.spec.job import Job, Ply
from bagside.spec.library import Library
from bagside.spec.region import Hole

START_REACH = 0.005  # [m] a start point stated by hand may lie this far off a scanned surface
HOLE_REACH = 0.020  # [m]


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
    """

    label: str
    ply: int
    drape: Drape
    pattern: Pattern
    holes: tuple[tuple[str, tuple[float, float]], ...]

    @property
    def surface(self) -> Surface:
        """The surface it covers."""
        return self.drape.surface


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
) -> tuple[Drape, Pattern, tuple[tuple[str, tuple[float, float]], ...]]:
    """Return how a piece drapes, what is cut for it, and where hole centres fall in it.

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
    """
    law = draping.law_of(draping.ClothKind(kind), locking_angle, len(surface.triangles))
    lain = draping.drape(surface, start=np.array(start), direction=np.array(direction), law=law)
    return lain, draping.pattern_of(lain), _holes(lain, holes)


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


def pieces_of(
    job: Job, library: Library, regions: Mapping[str, Surface], stages: Stages, where: str
) -> tuple[Piece, ...]:
    """Return every piece of every ply, draped.

    Raises
    ------
    InputError
        When a start point is off the surface.
    NotSolved
        When a piece cannot be draped; names it.
    """
    pieces: list[Piece] = []
    for k, ply in enumerate(job.plies):
        parts = stages.run(
            f"Meshing {ply.region}", evenly_meshed, regions[ply.region], job.mould.size, job.mould.tolerance
        )
        prepreg = library.prepreg[ply.material]
        for n, part in enumerate(parts):
            label = f"{k + 1}" if len(parts) == 1 else f"{k + 1}{_letters(n)}"
            start = _start(part, ply, job, len(parts), f"{where}, ply {k + 1}, start")
            direction = warp_direction(part, start, job.laying.direction, ply.angle)
            try:
                lain, pattern, holes = stages.run(
                    f"Draping piece {label}",
                    draped_piece,
                    part,
                    _triple(start),
                    _triple(direction),
                    prepreg.kind.value,
                    prepreg.locking_angle,
                    job.holes,
                )
            except NotSolved as error:
                raise NotSolved(f"ply {k + 1}, piece {label}: {error}") from error
            pieces.append(Piece(label=label, ply=k, drape=lain, pattern=pattern, holes=holes))
    return tuple(pieces)


def _letters(n: int) -> str:
    text = ""
    n += 1
    while n:
        n, rest = divmod(n - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


def _triple(point: NDArray[np.float64]) -> tuple[float, float, float]:
    return (float(point[0]), float(point[1]), float(point[2]))


def _start(part: Surface, ply: Ply, job: Job, parts: int, place: str) -> NDArray[np.float64]:
    """Return where laying of this piece starts, on its surface."""
    stated = np.array(ply.start or job.laying.start)
    distance, _, closest = geometry.nearest(part, stated[None, :])
    if distance[0] <= START_REACH:
        found: NDArray[np.float64] = closest[0]
        return found
    if parts == 1 and (ply.start is not None or ply.region == job.part):
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
        law = draping.law_of(draping.ClothKind(prepreg.kind.value), prepreg.locking_angle, len(first.surface.triangles))
        labels = [p.label for p in group]
        place = f"piece {labels[0]}" if len(labels) == 1 else f"pieces {', '.join(labels[:-1])} and {labels[-1]}"
        kinds: dict[str, list[Finding]] = {}
        for finding in draping.findings(first.drape, law, place):
            kinds.setdefault(finding.why, []).append(finding)
        for same in kinds.values():
            more = f" {len(same) - 1} more place{'s' if len(same) > 2 else ''} like it." if len(same) > 1 else ""
            found.append(replace(same[0], what=same[0].what + more))
    return tuple(found)
