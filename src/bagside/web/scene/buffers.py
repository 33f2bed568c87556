"""A surface with its maps, lines and marks as one buffer, sent once and kept by the browser.

The buffer is little-endian: the letters ``BGSM``, the length of a head in JSON, the head, then one zlib stream of the
arrays it names (`bagside.web.scene.coded`). Lengths are millimetres there; values of maps are SI, as everywhere inside.
"""

from __future__ import annotations

import hashlib
import json
import struct
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagside.geometry import Surface
from bagside.sheets import marks, paper
from bagside.sheets.colour import Bands
from bagside.sheets.picture import PointLook
from bagside.sheets.typeface import NOTE
from bagside.sheets.view import View, view_of
from bagside.web.scene.coded import STEP, Blocks
from bagside.web.scene.looks import Look, stroke_of

MAGIC = b"BGSM"
MM = 1000.0
MOST_BANDS = 16
"""The shader's table has so many rows."""

Floats32 = NDArray[np.float32]
Indices = NDArray[np.uint32]


@dataclass(frozen=True, eq=False)
class Field:
    """A map over a surface.

    Parameters
    ----------
    values
        One a vertex or one a triangle, SI; not a number where there is none, and the mould shows.
    bands
        Its colours.
    name
        What is shown, as it stands over the scale: "Shear of the cloth, degrees".
    limit
        Where it becomes trouble, SI; places past it are hatched. None when nothing is.
    spoken
        Unit in words, for readers: "degrees".
    sign
        Unit as it stands after a figure, with its space: "°", " mm".
    digits
        After the decimal sign.
    limit_says
        Words at the tick of the limit: "wrinkles from 35".
    below
        Whether trouble lies under the limit and not over it.
    """

    values: NDArray[np.floating[Any]]
    bands: Bands
    name: str
    limit: float | None = None
    spoken: str = ""
    sign: str = ""
    digits: int = 1
    limit_says: str = ""
    below: bool = False


@dataclass(frozen=True, eq=False)
class MeshLine:
    """A line on the surface.

    Parameters
    ----------
    points
        Shape (k, 3) [mm].
    look
        What it is.
    name
        For whoever asks what it is; empty for none.
    level, spacing
        Number of a yarn and distance to the next [mm]: where they would stand too dense, every second is left out.
    """

    points: NDArray[np.floating[Any]]
    look: Look
    name: str = ""
    level: int = 0
    spacing: float = 0.0


@dataclass(frozen=True)
class MeshPoint:
    """A mark or a word at a point.

    Parameters
    ----------
    at
        Position [mm].
    look
        What it is.
    words
        Number in a ring, or a label.
    to
        Where the arrow of the warp points that begins here [mm]; None for any other mark.
    """

    at: tuple[float, float, float]
    look: PointLook
    words: str = ""
    to: tuple[float, float, float] | None = None


@dataclass(frozen=True)
class MeshPart:
    """A run of triangles with a name, which is read out where it is pointed at.

    Parameters
    ----------
    name
        "3A".
    first, count
        Its triangles.
    """

    name: str
    first: int
    count: int


@dataclass(frozen=True, eq=False)
class MeshData:
    """A surface with all that is drawn on it.

    Parameters
    ----------
    positions
        Of vertices, shape (n, 3) [mm].
    triangles
        Vertex indices, shape (m, 3); counter-clockwise seen from the laminate side.
    fields
        Maps by key.
    lines, points
        Drawn on it.
    parts
        Named runs of triangles.
    view
        From where it is first seen; chosen as in the printed pictures when None.
    rim
        Whether the edge of the surface is drawn, thin.

    Raises
    ------
    ValueError
        When arrays do not belong together.
    """

    positions: Floats32
    triangles: Indices
    fields: Mapping[str, Field] = field(default_factory=dict)
    lines: tuple[MeshLine, ...] = ()
    points: tuple[MeshPoint, ...] = ()
    parts: tuple[MeshPart, ...] = ()
    view: View | None = None
    rim: bool = True

    def __post_init__(self) -> None:
        """Refuse what does not belong together."""
        p = np.ascontiguousarray(self.positions, dtype="<f4")
        t = np.ascontiguousarray(self.triangles, dtype="<u4")
        if p.ndim != 2 or p.shape[1] != 3 or t.ndim != 2 or t.shape[1] != 3 or not len(t):
            raise ValueError(f"positions {p.shape} and triangles {t.shape} are wanted as (n, 3) and (m, 3)")
        if not np.isfinite(p).all() or int(t.max()) >= len(p):
            raise ValueError("a position is not a finite number, or a triangle names a vertex that does not exist")
        object.__setattr__(self, "positions", p)
        object.__setattr__(self, "triangles", t)
        for key, item in self.fields.items():
            if np.shape(item.values) not in ((len(p),), (len(t),)):
                raise ValueError(f"field {key}: one value a vertex or one a triangle is wanted")
            if len(item.bands.edges) > MOST_BANDS:
                raise ValueError(f"field {key}: at most {MOST_BANDS} bands can be shown")
            if item.limit is not None and not np.isfinite(item.limit):
                raise ValueError(f"field {key}: the limit is not a finite number")
        for line in self.lines:
            if line.points.ndim != 2 or line.points.shape[1] != 3 or not np.isfinite(line.points).all():
                raise ValueError(f"line {line.name}: finite points of shape (k, 3) are wanted")

    @classmethod
    def of(cls, surface: Surface, **more: Any) -> MeshData:
        """Return a surface of the inside, in metres, as it is sent.

        Parameters
        ----------
        surface
            The surface [m].
        **more
            Fields, lines, points, parts, view, rim.
        """
        return cls((MM * surface.vertices).astype("<f4"), surface.triangles.astype("<u4"), **more)


def packed(mesh: MeshData) -> bytes:
    """Return the buffer of a mesh.

    Parameters
    ----------
    mesh
        What is sent.
    """
    blocks = Blocks()
    view = mesh.view or view_of(Surface(mesh.positions.astype(np.float64) / MM, mesh.triangles.astype(np.int64)))
    head = {
        "step": STEP,
        "positions": blocks.put_places(mesh.positions),
        "triangles": blocks.put_wholes(mesh.triangles.ravel()),
        "fields": [_field_head(key, item, mesh, blocks) for key, item in mesh.fields.items()],
        "lines": [_line_head(look, mesh, blocks) for look in Look if any(line.look is look for line in mesh.lines)],
        "points": [point_head(point) for point in mesh.points],
        "parts": [{"name": part.name, "first": part.first, "count": part.count} for part in mesh.parts],
        "view": {
            "out": [float(x) for x in np.cos(view.tilt) * view.towards + np.sin(view.tilt) * view.up],
            "right": [float(x) for x in view.right],
            "tilt": float(view.tilt),
        },
        "rim": _stroke_head(Look.RIM) if mesh.rim else None,
    }
    text = json.dumps(head, ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode("utf-8")
    text += b" " * (-len(text) % 4)
    return MAGIC + struct.pack("<I", len(text)) + text + blocks.packed()


def digest_of_mesh(mesh: MeshData) -> str:
    """Return a name for a mesh by its content, 32 characters.

    Parameters
    ----------
    mesh
        What is sent.
    """
    return hashlib.sha256(packed(mesh)).hexdigest()[:32]


def point_head(point: MeshPoint) -> dict[str, Any]:
    """Return a mark as the page draws it: where, and its drawing in millimetres about that place.

    Parameters
    ----------
    point
        The mark.
    """
    return {
        "at": [float(x) for x in point.at],
        "to": None if point.to is None else [float(x) for x in point.to],
        "words": point.words,
        "drawn": "" if point.to is not None else _drawn(point),
        "always": point.look in (PointLook.LABEL, PointLook.RING),
    }


def _drawn(point: MeshPoint) -> str:
    match point.look:
        case PointLook.START:
            return marks.start_cross(0.0, 0.0)
        case PointLook.HOLE | PointLook.PILOT:
            return marks.hole_ring(0.0, 0.0, pilot=point.look is PointLook.PILOT)
        case PointLook.RING:
            return marks.number_ring(0.0, 0.0, point.words)
        case PointLook.DOT:
            return marks.place_dot(0.0, 0.0)
        case PointLook.LABEL:
            return paper.text(0.0, 1.8, point.words, size=5.0, bold=True, anchor="middle", halo=True)
    return paper.text(0.0, 0.34 * NOTE, point.words, size=NOTE, bold=True, anchor="middle", halo=True)


def _field_head(key: str, item: Field, mesh: MeshData, blocks: Blocks) -> dict[str, Any]:
    return {
        "key": key,
        "values": blocks.put_values(np.asarray(item.values), 0.1 * 10.0**-item.digits / item.bands.per_si),
        "on": "vertex" if len(item.values) == len(mesh.positions) else "triangle",
        "name": item.name,
        "edges": list(item.bands.edges),
        "colours": list(item.bands.colours),
        "perSi": item.bands.per_si,
        "magnitude": item.bands.magnitude,
        "limit": None if item.limit is None else item.limit * item.bands.per_si,
        "limitSays": item.limit_says,
        "below": item.below,
        "spoken": item.spoken,
        "sign": item.sign,
        "digits": item.digits,
    }


def _line_head(look: Look, mesh: MeshData, blocks: Blocks) -> dict[str, Any]:
    chosen = [line for line in mesh.lines if line.look is look and len(line.points) > 1]
    joined = np.concatenate([np.zeros((0, 3)), *(line.points for line in chosen)])
    return {
        **_stroke_head(look),
        "points": blocks.put_places(joined),
        "counts": blocks.put_wholes(np.array([len(line.points) for line in chosen], dtype=np.int64)),
        "levels": blocks.put_wholes(np.array([abs(line.level) for line in chosen], dtype=np.int64)),
        "spacing": max((line.spacing for line in chosen), default=0.0),
    }


def _stroke_head(look: Look) -> dict[str, Any]:
    stroke = stroke_of(look)
    return {
        "look": look.value,
        "weight": stroke.weight,
        "dashes": list(stroke.dashes),
        "ink": stroke.ink,
        "halo": stroke.halo,
    }
