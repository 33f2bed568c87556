"""What can be measured from a mould's surface before anything is planned on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagside.geometry.operators import masses
from bagside.geometry.surface import Surface
from bagside.mould.bending import bending
from bagside.mould.draft import Piece, PieceDraft, draft_of
from bagside.mould.features import FeatureLine, feature_lines

Floats = NDArray[np.float64]

TIGHTEST = 0.01  # share of the area that bends more sharply than the radius stated for it


@dataclass(frozen=True, slots=True, kw_only=True)
class MouldMeasures:
    """What was measured from a mould.

    Parameters
    ----------
    area
        Of the surface [m²].
    size
        Of its bounding box along x, y, z [m].
    pieces
        Draft and undercuts of each piece of the mould against its own pull.
    scale
        Length over which curvature was read [m].
    hollow
        Radius that 99 % of the area exceeds where it is hollow, at that scale [m]; infinite when nothing is.
    raised
        The same where it is raised [m].
    curvature_error
        Standard deviation of curvature from the surface's scatter, median over the surface [1/m].
    scatter
        Of the surface about fitted quadrics of that scale, median [m].
    lines
        Valleys and ridges sharper than the radius asked for.
    """

    area: float
    size: tuple[float, float, float]
    pieces: tuple[PieceDraft, ...]
    scale: float
    hollow: float
    raised: float
    curvature_error: float
    scatter: float
    lines: tuple[FeatureLine, ...]


def mould_measures(
    surface: Surface,
    pieces: Sequence[Piece] = (),
    *,
    scale: float,
    sharper_than: float,
    noise: float = 0.0,
    scanned: Surface | None = None,
    scanned_noise: float = 0.0,
) -> MouldMeasures:
    """Return what can be measured from a mould's surface.

    Parameters
    ----------
    surface
        The mould's surface, normals towards the laminate.
    pieces
        Pieces of the mould as `draft_of` wants them; empty for one piece.
    scale
        Length over which curvature is read [m].
    sharper_than
        Radius below which a bend is a line [m].
    noise
        Roughness of the surface [m].
    scanned, scanned_noise
        The same surface before it was faired, and its roughness [m].

    Returns
    -------
    MouldMeasures

    Raises
    ------
    InputError
        As for `draft_of`, `bending` and `feature_lines`.
    """
    bent = bending(surface, scale)
    area = masses(surface)
    known = np.isfinite(bent.least)
    size = surface.size
    return MouldMeasures(
        area=surface.area,
        size=(float(size[0]), float(size[1]), float(size[2])),
        pieces=draft_of(surface, pieces),
        scale=scale,
        hollow=_tightest(-bent.least[known], area[known]),
        raised=_tightest(bent.most[known], area[known]),
        curvature_error=float(np.median(bent.error[known])) if known.any() else float("inf"),
        scatter=float(np.median(bent.scatter[known])) if known.any() else float("inf"),
        lines=feature_lines(
            surface, sharper_than, scale, noise=noise, scanned=scanned, scanned_noise=scanned_noise, bent=bent
        ),
    )


def _tightest(curvature: Floats, area: Floats) -> float:
    """Return the radius that all but a hundredth of the area exceeds; infinite when that is not curved so."""
    if len(curvature) == 0:
        return float("inf")
    order = np.argsort(-curvature, kind="stable")
    at = int(np.searchsorted(np.cumsum(area[order]), TIGHTEST * area.sum()))
    value = float(curvature[order][min(at, len(order) - 1)])
    return 1.0 / value if value > 1e-9 else float("inf")
