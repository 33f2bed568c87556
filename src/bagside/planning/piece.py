"""One cut piece of a ply: how it drapes, what is cut for it, and where holes and joins fall in it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside import drape as draping
from bagside import geometry
from bagside.cutting import PieceSeam
from bagside.drape import Drape, Pattern
from bagside.drape.cuts import CutPiece
from bagside.drape.joins import SeamMark, refuse_crossed, seam_marks, with_overlaps
from bagside.geometry import Surface
from bagside.spec.material import Prepreg
from bagside.spec.region import Hole

Floats = NDArray[np.float64]

HOLE_REACH = 0.020  # [m]


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


def draped_piece(
    surface: Surface,
    start: tuple[float, float, float],
    direction: tuple[float, float, float],
    kind: str,
    locking_angle: float | None,
    holes: tuple[Hole, ...] = (),
    first: Floats | None = None,
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
