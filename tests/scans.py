"""Dirty scans of surfaces known in closed form: what a phone or structured light gives, with the truth beside.

The shape is a tray: a profile of straight and round pieces, drawn out along y. Its area, the distance of any point from
it and the radius of every round are known exactly. Lengths in metres.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

import shapes
from bagside.geometry import Raw, Surface

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tray:
    """A tray drawn out along y: flange, convex round, wall, concave fillet, floor, and the same mirrored.

    Parameters
    ----------
    width, floor, wall, flange
        Along y; of the flat floor, the straight wall and the flange, along the profile.
    steep
        Angle of the walls above the floor.
    fillet, lip
        Radius of the concave fillet and of the convex round at the flange.
    """

    width: float = 0.3
    floor: float = 0.2
    wall: float = 0.05
    flange: float = 0.04
    steep: float = np.radians(70)
    fillet: float = 0.003
    lip: float = 0.008

    @property
    def pieces(self) -> tuple[tuple[float, float], ...]:
        """Length and curvature of each piece of the profile, from −x to +x; positive bends upwards."""
        arc_f, arc_l = self.fillet * self.steep, self.lip * self.steep
        half = [(self.flange, 0.0), (arc_l, -1 / self.lip), (self.wall, 0.0), (arc_f, 1 / self.fillet)]
        return (*half, (self.floor, 0.0), *reversed(half))

    @property
    def length(self) -> float:
        """Of the whole profile."""
        return sum(length for length, _ in self.pieces)

    @property
    def area(self) -> float:
        """Of the whole surface, exactly."""
        return self.length * self.width

    def nodes(self) -> tuple[Floats, Floats, Floats]:
        """Return where each piece starts along the profile, its position (x, z) and its heading there."""
        at, heading, s = np.zeros(2), 0.0, 0.0
        starts, places, headings = [], [], []
        for length, bend in self.pieces:
            starts.append(s)
            places.append(at)
            headings.append(heading)
            at = at + self._along(heading, bend, np.array([length]))[0]
            heading, s = heading + bend * length, s + length
        centre = 0.5 * at[0]
        return np.array(starts), np.array(places) - [centre, 0.0], np.array(headings)

    @staticmethod
    def _along(heading: float, bend: float, s: Floats) -> Floats:
        if bend == 0:
            return np.outer(s, [np.cos(heading), np.sin(heading)])
        end = heading + bend * s
        return np.stack([np.sin(end) - np.sin(heading), np.cos(heading) - np.cos(end)], axis=1) / bend

    def points(self, s: Floats, y: Floats) -> tuple[Floats, Floats]:
        """Return positions and unit normals at lengths along the profile and y."""
        starts, places, headings = self.nodes()
        of = np.clip(np.searchsorted(starts, s, side="right") - 1, 0, len(starts) - 1)
        flat, turn = np.zeros((len(s), 2)), np.zeros(len(s))
        for k, (_, bend) in enumerate(self.pieces):
            here = of == k
            flat[here] = places[k] + self._along(headings[k], bend, s[here] - starts[k])
            turn[here] = headings[k] + bend * (s[here] - starts[k])
        zero = np.zeros(len(s))
        return np.stack([flat[:, 0], y, flat[:, 1]], axis=1), np.stack([-np.sin(turn), zero, np.cos(turn)], axis=1)

    def off(self, points: Floats) -> Floats:
        """Return the distance of points from the profile drawn out without end along y."""
        p = points[:, [0, 2]]
        _, places, headings = self.nodes()
        best = np.full(len(p), np.inf)
        for place, heading, (length, bend) in zip(places, headings, self.pieces, strict=True):
            if bend == 0:
                way = np.array([np.cos(heading), np.sin(heading)])
                t = np.clip((p - place) @ way, 0, length)
                best = np.minimum(best, np.linalg.norm(p - place - t[:, None] * way, axis=1))
            else:
                centre = place + np.array([-np.sin(heading), np.cos(heading)]) / bend
                ray = p - centre
                angle = np.arctan2(ray[:, 1], ray[:, 0])
                first = np.arctan2(*(place - centre)[::-1])
                turn = np.mod(np.sign(bend) * (angle - first), 2 * np.pi)
                on = turn <= abs(bend) * length
                round_ = np.abs(np.linalg.norm(ray, axis=1) - 1 / abs(bend))
                best = np.where(on, np.minimum(best, round_), best)
        return best


@dataclass(frozen=True, slots=True, kw_only=True)
class Dirt:
    """What is wrong with a scan: noise [m], and how many of each fault."""

    noise: float = 0.0003
    holes: int = 6
    hole: float = 0.006
    islands: int = 5
    flipped: int = 5
    doubled: int = 200
    passes: int = 3
    apart: float = 0.0003
    fins: int = 4
    spikes: int = 30
    spike: float = 0.012


def lattice(tray: Tray, edge: float, rng: np.random.Generator) -> tuple[Floats, Floats, Ints]:
    """Return lengths along the profile, y, and triangles about an edge long, shaken within the surface."""
    nx, ny = max(int(tray.length / edge), 4), max(int(tray.width / edge), 4)
    p, t = shapes.grid(nx, ny)
    inner = (p > 1e-9).all(axis=1) & (p < 1 - 1e-9).all(axis=1)
    shake = rng.uniform(-0.25, 0.25, p.shape) / np.array([nx, ny]) * inner[:, None]
    p = p + shake
    return p[:, 0] * tray.length, (p[:, 1] - 0.5) * tray.width, t


def scanned(tray: Tray, triangles: int, seed: int, dirt: Dirt = Dirt()) -> Raw:
    """Return a dirty scan of a tray in about so many triangles, as a soup would be after reading."""
    rng = np.random.default_rng(seed)
    edge = float(np.sqrt(tray.area / triangles * 2))
    s, y, t = lattice(tray, edge, rng)
    clean, normal = tray.points(s, y)
    points = clean + rng.normal(0, dirt.noise, len(clean))[:, None] * normal
    middle = np.stack([s, y], axis=1)[t].mean(axis=1)

    def places(count: int, margin: float) -> Floats:
        return np.stack(
            [
                rng.uniform(margin, tray.length - margin, count),
                rng.uniform(margin - tray.width / 2, tray.width / 2 - margin, count),
            ],
            axis=1,
        )

    def within(at: Floats, radius: float) -> NDArray[np.bool_]:
        return np.linalg.norm(middle - at, axis=1) < radius

    keep = np.ones(len(t), dtype=np.bool_)
    holes = _apart(places(40 * max(dirt.holes, 1), 4 * dirt.hole), 4 * dirt.hole)[: dirt.holes]
    for at in holes:
        keep &= ~within(at, dirt.hole)
    turned = t.copy()
    for at in places(dirt.flipped, 0.02):
        patch = within(at, 0.008)
        turned[patch] = turned[patch][:, ::-1]
    sheets, parts = [points], [turned[keep]]
    parts.append(turned[rng.integers(0, len(t), dirt.doubled)][:, ::-1])
    parts[-1] = parts[-1][keep[_rows(turned, parts[-1])]]
    start = len(points)
    for at in places(dirt.passes, 0.05):
        patch = t[within(at, 0.03) & keep]
        used, local = np.unique(patch, return_inverse=True)
        again = clean[used] + (dirt.apart + rng.normal(0, dirt.noise, len(used)))[:, None] * normal[used]
        sheets.append(again)
        parts.append(local.reshape(-1, 3) + start)
        start += len(used)
    for k in range(dirt.islands):
        floating = shapes.plane(0.006, 0.006, 4, 4)
        sheets.append(floating.vertices + np.array([0.02 * k, 0.0, 0.1]))
        parts.append(floating.triangles + start)
        start += len(floating.vertices)
    for at in places(dirt.fins, 0.03):
        row = t[int(np.argmin(np.where(keep, np.linalg.norm(middle - at, axis=1), np.inf)))]
        sheets.append((points[row[0]] + 0.004 * normal[row[0]])[None, :])
        parts.append(np.array([[row[0], row[1], start]]))
        start += 1
    inner = rng.choice(np.flatnonzero(np.isin(np.arange(len(points)), t[keep])), dirt.spikes, replace=False)
    points[inner] += dirt.spike * rng.choice([-1.0, 1.0], dirt.spikes)[:, None] * normal[inner]
    return Raw(vertices=np.concatenate(sheets), triangles=np.concatenate(parts), name="scan.stl", unit="m")


def _rows(rows: Ints, wanted: Ints) -> Ints:
    base = int(rows.max()) + 1
    key = np.sort(rows, axis=1) @ np.array([base * base, base, 1])
    order = np.argsort(key)
    return order[np.searchsorted(key[order], np.sort(wanted, axis=1) @ np.array([base * base, base, 1]))]


def _apart(points: Floats, least: float) -> Floats:
    """Return those of the points that lie apart from the ones before them."""
    kept: list[Floats] = []
    for p in points:
        if all(np.linalg.norm(p - q) > least for q in kept):
            kept.append(p)
    return np.array(kept).reshape(-1, 2)


def on_table(raw: Raw, side: float = 1.0, height: float = 0.0, edge: float = 0.005) -> Raw:
    """Return a scan with a flat table beneath it in the same file, about a square side."""
    n = int(side / edge)
    table = shapes.plane(side, side, n, n)
    low = float(raw.vertices[:, 2].min()) - height
    return Raw(
        vertices=np.concatenate([raw.vertices, table.vertices + np.array([0, 0, low])]),
        triangles=np.concatenate([raw.triangles, table.triangles + len(raw.vertices)]),
        name=raw.name,
        unit=raw.unit,
    )


def write_stl(raw: Raw, path: Path, scale: float = 1000.0) -> None:
    """Write a binary STL in millimetres."""
    corners = (raw.vertices[raw.triangles] * scale).astype("<f4")
    record = np.zeros(len(corners), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("extra", "<u2")])
    record["corners"] = corners
    path.write_bytes(b"scan".ljust(80) + struct.pack("<I", len(corners)) + record.tobytes())


def plug_on_table(height: float = 0.06, radius: float = 0.12, side: float = 0.6, edge: float = 0.004) -> Surface:
    """Return a round mound that rises smoothly from the middle of a flat table, in one sheet."""
    n = int(side / edge)
    flat = shapes.plane(side, side, n, n)
    r = np.linalg.norm(flat.vertices[:, :2], axis=1) / radius
    z = height * np.where(r < 1, (1 - np.clip(r, 0, 1) ** 2) ** 2, 0.0)
    return Surface(np.column_stack([flat.vertices[:, :2], z]), flat.triangles)
