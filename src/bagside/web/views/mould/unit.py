"""Before its unit is stated: how large a mesh would be in each unit, and a picture that lets a person tell."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from pathlib import Path

import numpy as np
from scipy.spatial import ConvexHull, QhullError

from bagside.geometry import UNITS, read_mesh
from bagside.web.words.tongue import Tongue

WIDE, HIGH = 210.0, 96.0  # px of a picture
BESIDE = (("hand", 0.19), ("door", 2.0), ("coin", 0.023))
"""What is drawn beside a mould, and its length [m]: a hand from wrist to finger tip, a door's height, a coin."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshRead:
    """A mesh whose unit is not stated yet.

    Parameters
    ----------
    triangles
        In the file.
    size
        Of its box along x, y, z, in the numbers of the file; in metres when the file states its own unit.
    own_unit
        Whether it does.
    outline
        Around it, seen along the shortest side of its box, shape (k, 2), in the same numbers.
    middle
        Its point nearest to the middle of its box, in the same numbers.
    """

    triangles: int
    size: tuple[float, float, float]
    own_unit: bool
    outline: tuple[tuple[float, float], ...]
    middle: tuple[float, float, float]


def mesh_read(path: Path) -> MeshRead:
    """Return what a mesh file holds.

    Parameters
    ----------
    path
        The file.

    Raises
    ------
    InputError
        When it cannot be read as a mesh.
    """
    raw = read_mesh(path, "m")
    used = raw.vertices[np.unique(raw.triangles)]
    low, high = used.min(axis=0), used.max(axis=0)
    across = np.sort(np.argsort(high - low)[1:])
    flat = used[:, across]
    try:
        flat = flat[ConvexHull(flat).vertices]
    except QhullError:  # it lies in a line
        flat = flat[[int(np.argmin(flat[:, 0])), int(np.argmax(flat[:, 0]))]]
    size = high - low
    middle = used[int(np.argmin(np.linalg.norm(used - 0.5 * (low + high), axis=1)))]
    return MeshRead(
        triangles=len(raw.triangles),
        size=(float(size[0]), float(size[1]), float(size[2])),
        own_unit=raw.unit != "m",
        outline=tuple((float(x), float(y)) for x, y in flat),
        middle=(float(middle[0]), float(middle[1]), float(middle[2])),
    )


def likely(read: MeshRead) -> list[str]:
    """Return the units, the one that makes the most usual mould first: from 50 mm to 3 m along its longest side.

    Nothing is decided by this; it is the order in which a person is asked.

    Parameters
    ----------
    read
        The mesh.
    """
    longest = max(read.size)

    def odd(unit: str) -> float:
        metres = longest * UNITS[unit]
        return abs(float(np.log(metres / 0.4))) if metres > 0 else float("inf")

    return sorted(UNITS, key=lambda unit: (odd(unit), list(UNITS).index(unit)))


def sketch(read: MeshRead, unit: str, tongue: Tongue) -> str:
    """Return a picture of the mesh beside something of known size, as SVG for a page.

    Parameters
    ----------
    read
        The mesh.
    unit
        In which its numbers are taken.
    tongue
        Of the reader.
    """
    per = 1.0 if read.own_unit else UNITS[unit]
    points = per * np.array(read.outline)
    points = points - points.min(axis=0)
    long, tall = (max(float(x), 1e-9) for x in points.max(axis=0))
    name, known = min(BESIDE, key=lambda item: abs(np.log(item[1] / max(long, tall))))
    scale = min((WIDE - 20) / (long + known), (HIGH - 26) / tall, (WIDE - 20) / max(known, long))
    drawn = " ".join(f"{4 + scale * x:.1f},{4 + scale * (tall - y):.1f}" for x, y in points)
    begin = 14 + scale * long
    end = begin + scale * known
    base = HIGH - 22
    words = tongue.say(f"mould.beside_{name}", length=tongue.length(known))
    anchor = min(max(0.5 * (begin + end), 52.0), WIDE - 52.0)
    line = f"M{begin:.1f} {base - 5:.1f}v10M{begin:.1f} {base:.1f}H{end:.1f}M{end:.1f} {base - 5:.1f}v10"
    ink = 'stroke="var(--ink)" stroke-width="1.6"'
    return (
        f'<svg viewBox="0 0 {WIDE:.0f} {HIGH:.0f}" width="{WIDE:.0f}" height="{HIGH:.0f}" role="img" '
        f'aria-label="{escape(words)}"><polygon points="{drawn}" fill="var(--mould)" {ink}/>'
        f'<path d="{line}" fill="none" {ink}/><text x="{anchor:.1f}" y="{HIGH - 4:.0f}" text-anchor="middle" '
        f'font-size="11" fill="var(--ink)">{escape(words)}</text></svg>'
    )
