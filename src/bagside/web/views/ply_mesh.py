"""One ply on the mould as a packed surface: the cloth with its maps and yarns, the bare mould round it.

Two surfaces that lie in one place fight for every dot of the screen. So the mould is let down a little under the cloth,
and where a piece lies over its neighbour it is lifted; what is read off and picked is wrong by no more than that.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside import geometry
from bagside.cutting import PieceSeam
from bagside.drape import Drape
from bagside.geometry import Surface
from bagside.sheets import colour
from bagside.sheets.colour import Bands
from bagside.sheets.joined import overlap_on
from bagside.sheets.maps import at_vertices
from bagside.sheets.picture import PointLook
from bagside.sheets.ply_pictures import SMALL, warp_arrow_beside
from bagside.sheets.view import view_of
from bagside.sheets.yarns import isolines
from bagside.web.scene import Field, Look, MeshData, MeshLine, MeshPart, MeshPoint, packed, threads
from bagside.web.scene.buffers import MM

Floats = NDArray[np.float64]
Triple = tuple[float, float, float]

MARGIN = 0.09
"""Of the root of what is laid up: mould shown beyond it."""
COARSE = 0.006
"""Triangles of the mould where it is bare [m]; it only has to be seen."""
LETS, LIFTS = 0.0005, 0.0005
"""By which the mould is let down, and a piece over its neighbour lifted [m]."""
UNDER = 0.0015
"""A point of the mould this near a piece lies under it [m]."""
YARNS = 0.012
"""Between the yarns that are sent [m]."""
LONGER = 50.0
"""Than any part [m]: of the lines that are multiples of it only the one at zero is found."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OnPly:
    """One piece as far as its picture on the mould wants it.

    Parameters
    ----------
    label
        Written on it; empty when it is the only piece of its ply.
    drape
        How it lies.
    outline
        Of the flat piece, shape (k, 2) [m].
    seams
        Its sides of joins.
    """

    label: str
    drape: Drape
    outline: Floats
    seams: tuple[PieceSeam, ...] = ()


def coarse_mould(work: Surface, laid: Surface) -> Surface:
    """Return the mould as it is shown: what is laid up and a margin round it, in triangles that are only to be seen.

    Parameters
    ----------
    work
        The mould.
    laid
        What is laid up.
    """
    distance, _, _ = geometry.nearest(laid, work.vertices)
    near = geometry.cut(work, distance, MARGIN * float(np.sqrt(laid.area)))
    near = max(geometry.components(near), key=lambda s: s.area)
    return geometry.remeshed(near, COARSE, 0.1 * COARSE)


def ply_mesh(
    mould: Surface,
    pieces: tuple[OnPly, ...],
    edges: tuple[Floats, ...],
    holes: tuple[Triple, ...],
    locking: float | None,
) -> bytes:
    """Return one ply on the mould, packed.

    Parameters
    ----------
    mould
        From `coarse_mould`.
    pieces
        Of the ply; at least one.
    edges
        The net edge of the part, each shape (k, 3) [m].
    holes
        Centres of its holes [m].
    locking
        Shear at which the cloth wrinkles [rad]; None when it has no such angle.
    """
    joined = _Joined()
    bare = _bare(mould, [p.drape.surface for p in pieces])
    lines: list[MeshLine] = [MeshLine(MM * edge, Look.NET_EDGE) for edge in edges]
    lines += [MeshLine(MM * mould.vertices[np.append(loop, loop[0])], Look.RIM) for loop in mould.loops]
    points: list[MeshPoint] = [MeshPoint(at=_mm(at), look=PointLook.HOLE) for at in holes]
    for piece in pieces:
        surface, past = _lifted(piece)
        joined.put(surface, piece.label, values_of(piece.drape))
        lines += threads(surface, piece.drape.uv, YARNS)
        lines += [MeshLine(MM * surface.vertices[np.append(loop, loop[0])], Look.CUT) for loop in surface.loops]
        if past is not None:
            lines += [MeshLine(MM * line, Look.BELOW) for line in _join_lines(surface, past)]
        points += _marks(piece)
    if bare is not None:
        joined.put(bare, "", {})
    fields = {
        "shear": Field(
            joined.field("shear"), colour.SHEAR, "shear of the cloth, degrees", limit=locking, spoken="degrees",
            sign="°", limit_says="" if locking is None else "wrinkles",
        ),
        **{
            key: Field(joined.field(key), bands_of(key), bands_of(key).name, spoken="per cent", sign=" %")
            for key in ("warp", "weft")
        },
    }  # fmt: skip
    return packed(
        MeshData.of(
            joined.surface,
            fields=fields,
            lines=tuple(lines),
            points=tuple(points),
            parts=tuple(joined.parts),
            view=view_of(mould),
            rim=False,
        )
    )


def bands_of(which: str) -> Bands:
    """Return the colours of a map.

    Parameters
    ----------
    which
        One of `FIELDS`.
    """
    return colour.SHEAR if which == "shear" else replace(colour.STRETCH, name=f"stretch along the {which}, per cent")


def place_mesh(mould: Surface, place: Surface, edges: tuple[Floats, ...], holes: tuple[Triple, ...]) -> bytes:
    """Return the place of a ply that is cut from cards; how its cloth lies there is not known.

    Parameters
    ----------
    mould, edges, holes
        See `ply_mesh`.
    place
        What it covers.
    """
    lines = [MeshLine(MM * edge, Look.NET_EDGE) for edge in edges]
    lines += [MeshLine(MM * place.vertices[np.append(loop, loop[0])], Look.CUT) for loop in place.loops]
    return packed(
        MeshData.of(
            mould,
            lines=tuple(lines),
            points=tuple(MeshPoint(at=_mm(at), look=PointLook.HOLE) for at in holes),
            view=view_of(mould),
        )
    )


class _Joined:
    """Surfaces one after the other as one, with their maps and names."""

    def __init__(self) -> None:
        self._vertices: list[Floats] = []
        self._triangles: list[NDArray[np.int64]] = []
        self._values: list[dict[str, Floats]] = []
        self.parts: list[MeshPart] = []

    def put(self, surface: Surface, name: str, values: dict[str, Floats]) -> None:
        first = sum(len(t) for t in self._triangles)
        self._triangles.append(surface.triangles + sum(len(v) for v in self._vertices))
        self._vertices.append(surface.vertices)
        self._values.append(values)
        if name:
            self.parts.append(MeshPart(name, first, len(surface.triangles)))

    @property
    def surface(self) -> Surface:
        return Surface(np.concatenate(self._vertices), np.concatenate(self._triangles))

    def field(self, key: str) -> Floats:
        nothing = [np.full(len(v), np.nan) for v in self._vertices]
        return np.concatenate([own.get(key, none) for own, none in zip(self._values, nothing, strict=True)])


def values_of(drape: Drape) -> dict[str, Floats]:
    """Return the maps of a piece at its vertices, each shape (n,), SI.

    Parameters
    ----------
    drape
        How it lies.
    """
    return {
        "shear": at_vertices(drape.surface, np.abs(drape.shear)),
        "warp": at_vertices(drape.surface, drape.stretch_warp),
        "weft": at_vertices(drape.surface, drape.stretch_weft),
    }


def _lifted(piece: OnPly) -> tuple[Surface, Floats | None]:
    """Return a piece, lifted where it lies over its neighbour, and how far it lies past the join there."""
    surface = piece.drape.surface
    if not piece.seams:
        return surface, None
    past, _ = overlap_on(surface, piece.drape.uv, piece.outline, piece.seams)
    if past.max() <= 0.0:
        return surface, None
    over = np.where(past > -2.0 * surface.edge_length, LIFTS, 0.0)
    return Surface(surface.vertices + over[:, None] * surface.vertex_normals, surface.triangles), past


def _join_lines(surface: Surface, past: Floats) -> list[Floats]:
    """Return where the edge of the piece below runs under this one."""
    return isolines(surface, past, LONGER)


def _bare(mould: Surface, pieces: Sequence[Surface]) -> Surface | None:
    """Return what is seen of the mould beside the pieces, let down a little; None when nothing is."""
    off = np.min([geometry.nearest(p, mould.vertices)[0] for p in pieces], axis=0)
    seen = (off > UNDER)[mould.triangles].any(axis=1)
    if not seen.any():
        return None
    low = Surface(mould.vertices - LETS * mould.vertex_normals, mould.triangles)
    return low.selected(seen)


def _marks(piece: OnPly) -> list[MeshPoint]:
    """Return start, arrow of the warp and name of a piece."""
    drape = piece.drape
    foot, tip = warp_arrow_beside(drape)
    out = [MeshPoint(at=_mm(foot), look=PointLook.START, to=_mm(tip))]
    if drape.surface.area >= SMALL**2:
        out.append(MeshPoint(at=_mm(drape.start), look=PointLook.START))
    if piece.label:
        centre = np.average(drape.surface.centroids, axis=0, weights=drape.surface.areas)
        _, _, at = geometry.nearest(drape.surface, (0.55 * centre + 0.45 * _far(drape, centre))[None, :])
        out.append(MeshPoint(at=_mm(at[0]), look=PointLook.LABEL, words=piece.label))
    return out


def _far(drape: Drape, centre: Floats) -> Floats:
    """Return the vertex that lies farthest from the start, on the side of the piece's middle: room for its name."""
    away = centre - drape.start
    along = (drape.surface.vertices - drape.start) @ away
    out: Floats = drape.surface.vertices[int(np.argmax(along))]
    return out


def _mm(at: Sequence[float] | Floats) -> Triple:
    x, y, z = (MM * float(c) for c in at)
    return x, y, z
