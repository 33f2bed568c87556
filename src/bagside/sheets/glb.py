"""A surface with colours and lines as one GLB file, for any viewer of the open glTF 2.0 standard.

Colours are those of the sheets. The standard takes colours at corners as linear light, so they are converted; a viewer
then shows the printed ones, a little lighter or darker by its own lamp. Lengths stay in metres. The standard's axes
have y up and ours z, so x, y, z is written as x, z, −y, and the file says so.

References
----------
Khronos Group, glTF 2.0 Specification, version 2.0.1 (2021), also ISO/IEC 12113:2022: §3.6 accessors and alignment, §3.7
geometry, §4.4 the binary container.
"""

from __future__ import annotations

import itertools
import json
import struct
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagside.drape import Drape
from bagside.geometry import Surface
from bagside.sheets import colour
from bagside.sheets.colour import Bands
from bagside.sheets.maps import at_vertices
from bagside.sheets.yarns import isolines

Floats = NDArray[np.float64]
Bytes = NDArray[np.uint8]

FLOAT, SHORT, INT = 5126, 5123, 5125
CORNERS, INDICES = 34962, 34963
LINES, TRIANGLES = 1, 4
AXES = "x, y, z of the mould are written as x, z, -y, so that the mould's z points up"
LIFT = 2e-4  # of the surface's size: threads stand off it, so that it does not swallow them
AT_ONCE = 65_535  # vertices a short index reaches; the highest number is kept free by the standard


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LineSet:
    """Lines that are drawn alike.

    Parameters
    ----------
    name
        What they are.
    lines
        Each shape (k, 3) [m].
    colour
        ``#rrggbb``.
    """

    name: str
    lines: tuple[Floats, ...]
    colour: str


def linear(colours: Bytes) -> Floats:
    """Return colours as linear light, 0…1.

    Parameters
    ----------
    colours
        As they are printed and shown (sRGB), 0…255, any shape.

    References
    ----------
    IEC 61966-2-1:1999, the sRGB transfer function.
    """
    c = np.asarray(colours, dtype=np.float64) / 255.0
    out: Floats = np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)
    return out


def glb(
    surface: Surface,
    colours: Bytes,
    *,
    lines: Sequence[LineSet] = (),
    name: str = "surface",
    extras: Mapping[str, Any] | None = None,
) -> bytes:
    """Return a coloured surface with lines as a GLB file.

    Parameters
    ----------
    surface
        Triangles, in the mould's axes.
    colours
        0…255: one row for each vertex, shape (n, 3), or for each triangle, shape (m, 3). Colours of triangles make the
        file about three times as large, since no corner is shared. With as many triangles as vertices they are read as
        colours of vertices.
    lines
        On top, as further nodes; a set without a line is left out.
    name
        Of the surface's node.
    extras
        What the file says about itself besides unit and axes; what JSON can hold.

    Raises
    ------
    ValueError
        When the surface is empty, or colours do not belong to it.
    """
    n, m = len(surface.vertices), len(surface.triangles)
    c = np.asarray(colours)
    if m == 0:
        raise ValueError("a surface without a triangle cannot be shown")
    if c.dtype != np.uint8 or c.shape not in ((n, 3), (m, 3)):
        raise ValueError(f"colours of shape ({n}, 3) or ({m}, 3), 0…255 as uint8, are wanted, not {c.dtype} {c.shape}")
    vertices, normals, triangles = surface.vertices, surface.vertex_normals, surface.triangles
    if len(c) != n:
        corner = triangles.ravel()
        vertices, normals, c = vertices[corner], normals[corner], np.repeat(c, 3, axis=0)
        triangles = np.arange(3 * m).reshape(m, 3)
    out = _Container()
    attributes = {
        "POSITION": out.positions(vertices),
        "NORMAL": out.vectors(normals),
        "COLOR_0": out.colours(c),
    }
    paper = out.material("cloth", "#ffffff")
    mesh = {"attributes": attributes, "indices": out.indices(triangles), "material": paper, "mode": TRIANGLES}
    out.node(name, mesh)
    for item in lines:
        parts = [np.asarray(p, dtype=np.float64) for p in item.lines if len(p) > 1]
        if not parts:
            continue
        first = np.cumsum([0, *(len(p) for p in parts)])
        pairs = [np.stack([np.arange(a, b - 1), np.arange(a + 1, b)], axis=1) for a, b in itertools.pairwise(first)]
        drawn = {
            "attributes": {"POSITION": out.positions(np.concatenate(parts))},
            "indices": out.indices(np.concatenate(pairs)),
            "material": out.material(item.name, item.colour),
            "mode": LINES,
        }
        out.node(item.name, drawn)
    return out.written({"unit": "m", "axes": AXES, **(extras or {})})


class _Container:
    """What the file is put together from, in the order of writing."""

    def __init__(self) -> None:
        self.data = bytearray()
        self.views: list[dict[str, Any]] = []
        self.accessors: list[dict[str, Any]] = []
        self.materials: list[dict[str, Any]] = []
        self.meshes: list[dict[str, Any]] = []
        self.nodes: list[dict[str, Any]] = []

    def positions(self, points: Floats) -> int:
        """Put in positions, with the box the standard wants."""
        p = _turned(points).astype("<f4")
        box = {"min": p.min(axis=0).tolist(), "max": p.max(axis=0).tolist()}
        return self._put(p, FLOAT, "VEC3", CORNERS, **box)

    def vectors(self, vectors: Floats) -> int:
        """Put in unit vectors; one without a length points up."""
        v = _turned(vectors)
        v[np.linalg.norm(v, axis=1) < 0.5] = (0.0, 1.0, 0.0)
        return self._put(v.astype("<f4"), FLOAT, "VEC3", CORNERS)

    def colours(self, colours: Bytes) -> int:
        """Put in colours as linear light; four shorts, so that each stands on a multiple of four bytes."""
        light = np.column_stack([linear(colours), np.ones(len(colours))])
        return self._put(np.round(65_535 * light).astype("<u2"), SHORT, "VEC4", CORNERS, normalized=True)

    def indices(self, indices: NDArray[np.int64]) -> int:
        """Put in indices, as short as they may be."""
        small = int(indices.max()) < AT_ONCE
        kind, code = ("<u2", SHORT) if small else ("<u4", INT)
        return self._put(indices.ravel().astype(kind), code, "SCALAR", INDICES)

    def material(self, name: str, shade: str) -> int:
        """Put in a matt material that is seen from both sides."""
        light = [*linear(np.array(colour.rgb(shade), dtype=np.uint8)).tolist(), 1.0]
        matt = {"baseColorFactor": light, "metallicFactor": 0.0, "roughnessFactor": 1.0}
        self.materials.append({"name": name, "doubleSided": True, "pbrMetallicRoughness": matt})
        return len(self.materials) - 1

    def node(self, name: str, primitive: dict[str, Any]) -> None:
        """Put in a node with one mesh of one primitive."""
        self.nodes.append({"name": name, "mesh": len(self.meshes)})
        self.meshes.append({"name": name, "primitives": [primitive]})

    def _put(self, array: NDArray[Any], kind: int, shape: str, target: int, **more: Any) -> int:
        raw = np.ascontiguousarray(array).tobytes()
        view = {"buffer": 0, "byteOffset": len(self.data), "byteLength": len(raw), "target": target}
        self.views.append(view)
        self.data += raw + bytes(-len(raw) % 4)
        view_of = {"bufferView": len(self.views) - 1, "componentType": kind, "count": len(array), "type": shape}
        self.accessors.append({**view_of, **more})
        return len(self.accessors) - 1

    def written(self, extras: Mapping[str, Any]) -> bytes:
        """Return header, JSON and data, each chunk on a multiple of four bytes."""
        document = {
            "asset": {"version": "2.0", "generator": "bagside", "extras": dict(extras)},
            "scene": 0,
            "scenes": [{"nodes": list(range(len(self.nodes)))}],
            "nodes": self.nodes,
            "meshes": self.meshes,
            "materials": self.materials,
            "accessors": self.accessors,
            "bufferViews": self.views,
            "buffers": [{"byteLength": len(self.data)}],
        }
        text = json.dumps(document, separators=(",", ":"), ensure_ascii=False, allow_nan=False).encode("utf-8")
        text += b" " * (-len(text) % 4)
        chunks = struct.pack("<II", len(text), 0x4E4F534A) + text
        chunks += struct.pack("<II", len(self.data), 0x004E4942) + bytes(self.data)
        return struct.pack("<4sII", b"glTF", 2, 12 + len(chunks)) + chunks


def _turned(points: Floats) -> Floats:
    p = np.asarray(points, dtype=np.float64)
    out: Floats = np.stack([p[:, 0], p[:, 2], -p[:, 1]], axis=1)
    return out


def piece_glb(drape: Drape, *, label: str, bands: Bands, values: Floats, spacing: float = 0.012) -> bytes:
    """Return a draped piece as GLB: its map in colours, its threads as lines.

    Parameters
    ----------
    drape
        How the cloth lies.
    label
        Name of the piece.
    bands
        Colours of the map.
    values
        What is coloured, one a triangle, SI, shape (m,); shown at vertices, averaged by area.
    spacing
        Between the threads drawn; the cloth's own are finer [m].

    Raises
    ------
    ValueError
        When values do not belong to the piece.
    """
    surface = drape.surface
    if values.shape != (len(surface.triangles),):
        raise ValueError(f"piece {label}: one value for each triangle is wanted")
    shown = np.abs(values) if bands.magnitude else values
    palette = np.array([colour.rgb(c) for c in bands.colours], dtype=np.uint8)
    colours = palette[bands.band(at_vertices(surface, shown))]
    reach = float(np.linalg.norm(np.ptp(surface.vertices, axis=0)))
    lifted = Surface(surface.vertices + LIFT * reach * surface.vertex_normals, surface.triangles)
    threads = [
        LineSet(name=name, lines=tuple(isolines(lifted, drape.uv[:, axis], spacing)), colour=ink)
        for name, axis, ink in (("warp", 1, colour.INK), ("weft", 0, colour.EDGE))
    ]
    lock = drape.law.locking_angle
    says: dict[str, Any] = {
        "piece": label,
        "map": bands.name,
        "bands": [{"from": edge, "colour": c} for edge, c in zip(bands.edges, bands.colours, strict=True)],
        "locking_angle_deg": None if lock is None else round(float(np.degrees(lock)), 3),
        "thread_spacing_mm": 1e3 * spacing,
        "threads_stand_off_mm": round(1e3 * LIFT * reach, 4),
    }
    return glb(surface, colours, lines=threads, name=f"piece {label}", extras=says)
