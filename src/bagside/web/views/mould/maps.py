"""The maps of a mould: how it leans against its pull, how tightly it bends inward and outward, where it locks."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from bagside.geometry import Surface
from bagside.mould import Corner, draft_angles, facing
from bagside.mould.bending import Bending
from bagside.mould.draft import LEAST_DRAFT, Piece
from bagside.mould.radius import VISIBLE_RADIUS, needed_radius
from bagside.mould.undercut import LEANS_OVER
from bagside.sheets.colour import Bands
from bagside.web.scene import Field

Floats = NDArray[np.float64]

FLAT = 1.0  # [m] a bend wider than this counts as flat
RADII = Bands(
    name="radius, mm",
    edges=(0.0, 1.0, 2.0, 3.0, 5.0, 8.0, 12.0, 20.0, 50.0),
    colours=("#172c5c", "#19437b", "#1c5d96", "#2778ac", "#3d93bf", "#5eaecf", "#86c7db", "#b4dee7", "#e7f3f4"),
    per_si=1000.0,
    magnitude=False,
)
"""The shades of shear, the tightest the darkest."""
DRAFT = Bands(
    name="draft, degrees",
    edges=(-90.0, -5.0, -1.0, 0.0, 1.0, 3.0, 5.0, 10.0, 30.0),
    colours=("#773f12", "#b06f2d", "#d8a76d", "#ebd3b4", "#3d93bf", "#5eaecf", "#86c7db", "#b4dee7", "#e7f3f4"),
    per_si=180.0 / np.pi,
    magnitude=False,
)
"""Brown where it leans over or scrapes, blue and ever lighter where it comes free."""
LEAN = Bands(
    name="leans over, degrees",
    edges=(0.0, 1.0, 2.0, 5.0, 10.0, 20.0),
    colours=("#f6e7d3", "#ebd3b4", "#d8a76d", "#b06f2d", "#773f12", "#4d2809"),
    per_si=180.0 / np.pi,
    magnitude=False,
)


def radius_maps(
    surface: Surface, bent: Bending, thickness: float, *, visible: bool, structural: bool
) -> dict[str, Field]:
    """Return the maps of inside and outside radii.

    Parameters
    ----------
    surface
        The mould.
    bent
        Curvature at each vertex.
    thickness
        Of the laminate that will lie there [m].
    visible, structural
        Whether the mould side is seen, and whether the part carries.
    """
    wanted = float(needed_radius(thickness, visible=visible, structural=structural))
    inward = _radius(surface, -bent.least)
    hollow = Field(inward, RADII, "Inside radius, mm", wanted, "millimetres", " mm", 1, "", below=True)
    raised = Field(_radius(surface, bent.most), RADII, "Outside radius, mm", None, "millimetres", " mm", 1)
    return {"hollow": hollow, "raised": raised}


def corner_map(surface: Surface, corners: Sequence[Corner]) -> Field:
    """Return the map of tight inside corners: the radius of each, painted along it as wide as the radius it wants.

    It says the same as the list of corners, whose radii are read from sections across them; the map of inside radii is
    read over a length, and tells a fillet smaller than that too large.

    Parameters
    ----------
    surface
        The mould.
    corners
        From `bagside.mould.corners_of`.
    """
    values = np.full(len(surface.vertices), np.nan)
    wanted = max((c.needed for c in corners), default=VISIBLE_RADIUS)
    for corner in sorted(corners, key=lambda c: -c.radius):  # the tightest is painted last
        off = cKDTree(corner.points).query(surface.vertices, distance_upper_bound=max(corner.needed, corner.radius))[0]
        values[np.isfinite(off)] = corner.radius
    return Field(values, RADII, "Radius of tight corners, mm", wanted, "millimetres", " mm", 1, "", below=True)


def draft_maps(surface: Surface, pieces: Sequence[Piece]) -> dict[str, Field]:
    """Return the maps of draft and of what leans over, each triangle against the pull of its own piece of the mould.

    Parameters
    ----------
    surface
        The mould.
    pieces
        See `bagside.mould.draft_of`; empty for a mould in one piece.
    """
    draft = drafts(surface, pieces)
    lean = np.where(draft < LEANS_OVER, -draft, np.nan)
    return {
        "draft": Field(draft, DRAFT, "Draft against the pull, degrees", LEAST_DRAFT, "degrees", "°", 1, "", below=True),
        "lean": Field(lean, LEAN, "Leans over the part, degrees", None, "degrees", "°", 1),
    }


def drafts(surface: Surface, pieces: Sequence[Piece]) -> Floats:
    """Return the draft of each triangle against the pull of its piece [rad]; not a number on the side of no piece.

    Parameters
    ----------
    surface
        The mould.
    pieces
        See `bagside.mould.draft_of`.
    """
    if not pieces:
        return draft_angles(surface, facing(surface))
    out = np.full(len(surface.triangles), np.nan)
    free = np.ones(len(out), dtype=np.bool_)
    for _, pull, point, normal in pieces:
        mine = free.copy()
        if point is not None and normal is not None:
            mine &= (surface.centroids - np.asarray(point)) @ np.asarray(normal) >= 0.0
        out[mine] = draft_angles(surface, -np.asarray(pull))[mine]
        free &= ~mine
    return out


def _radius(surface: Surface, curvature: Floats) -> Floats:
    """Return the radius at each vertex; where none could be read, that of the nearest vertex where one could."""
    known = np.isfinite(curvature)
    if not known.any():
        return np.full(len(curvature), np.nan)
    if not known.all():
        near = cKDTree(surface.vertices[known]).query(surface.vertices[~known])[1]
        curvature = curvature.copy()
        curvature[~known] = curvature[known][near]
    out: Floats = 1.0 / np.maximum(curvature, 1.0 / FLAT)
    return out
