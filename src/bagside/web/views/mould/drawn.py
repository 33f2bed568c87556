"""What is drawn on a mould: net edge, lines, tight corners, where it comes apart, the names of its pieces."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from bagside.errors import BagsideError, InputError, Problem
from bagside.geometry import Surface, joined, section
from bagside.mould import Corner
from bagside.mould.draft import Piece
from bagside.planning import mould_stage
from bagside.planning.stages import Stages
from bagside.sheets.picture import PointLook
from bagside.spec.region import EVERYTHING
from bagside.web.scene import Look, MeshLine, MeshPoint
from bagside.web.scene.buffers import MM
from bagside.web.views.mould.stated import Stated

T = TypeVar("T")


def lines_of(stated: Stated, work: Surface, stages: Stages) -> tuple[tuple[MeshLine, ...], tuple[Problem, ...]]:
    """Return the net edge, seams and lines on a mould, and what of them does not fit it.

    Parameters
    ----------
    stated
        So far.
    work
        The mould.
    stages
        Keep what is worked out.
    """
    out: list[MeshLine] = []
    problems: list[Problem] = []

    def tried(make: Callable[[], T], place: str) -> T | None:
        try:
            return make()
        except InputError as error:
            problems.extend(error.problems)
        except (BagsideError, ValueError) as error:
            problems.append(Problem(place=f"job.toml, {place}", came="", wanted=str(error)))
        return None

    for name, line in stated.lines.items():
        if len(line.points) < 2:
            continue
        way = partial(joined, work, np.array(line.points), closed=line.closed, follow=line.follow)
        laid = tried(way, f"line {name}")
        if laid is not None:
            out.append(MeshLine(MM * laid, Look.SEAM, name))
    regions = tried(
        lambda: stages.run(
            "Finding the regions", mould_stage.regions_on, work, dict(stated.regions), stated.holes, "job.toml",
            dict(stated.lines),
        ),
        "regions",
    )  # fmt: skip
    for name, region in (regions or {}).items():
        if name == EVERYTHING and stated.part != EVERYTHING:
            continue
        look = Look.NET_EDGE if name == stated.part else Look.FEATURE
        out += [MeshLine(MM * region.vertices[np.append(loop, loop[0])], look, name) for loop in region.loops]
    return tuple(out), tuple(problems)


def splits(pieces: Sequence[Piece], work: Surface) -> tuple[NDArray[np.float64], ...]:
    """Return the lines along which a mould comes apart, each once [m].

    Parameters
    ----------
    pieces
        Of the mould.
    work
        Its surface.
    """
    planes: dict[tuple[float, ...], tuple[Sequence[float], Sequence[float]]] = {}
    for _, _, point, normal in pieces:
        if point is None or normal is None:
            continue
        way = np.asarray(normal) / np.linalg.norm(normal)
        way = way * (1.0 if way[int(np.argmax(np.abs(way)))] > 0 else -1.0)
        planes.setdefault(tuple(np.round([*way, np.asarray(point) @ way], 4)), (point, normal))
    return tuple(line for point, normal in planes.values() for line in section(work, point, normal))


def piece_labels(pieces: Sequence[Piece], work: Surface) -> tuple[MeshPoint, ...]:
    """Return the names of a mould's pieces, each where most of its surface lies.

    Parameters
    ----------
    pieces
        Of the mould.
    work
        Its surface.
    """
    out = []
    for name, _, point, normal in pieces:
        if point is None or normal is None:
            continue
        mine = np.flatnonzero((work.centroids - np.asarray(point)) @ np.asarray(normal) >= 0.0)
        if len(mine):
            middle = np.average(work.centroids[mine], axis=0, weights=work.areas[mine])
            x, y, z = MM * work.centroids[mine[np.argmin(np.linalg.norm(work.centroids[mine] - middle, axis=1))]]
            out.append(MeshPoint((float(x), float(y), float(z)), PointLook.LETTER, name))
    return tuple(out)


def along(corner: Corner) -> NDArray[np.float64]:
    """Return the points along a corner, the first again at the end of a closed one, shape (k, 3) [m].

    Parameters
    ----------
    corner
        The corner.
    """
    points = np.asarray(corner.points, dtype=np.float64)
    return np.concatenate([points, points[:1]]) if corner.closed else points
