"""The demo's mould: the surface that a kayak's day-hatch lid is laid up in, as a scanner would give it.

    python demo/make_mould.py OUT.stl

The lid is invented. Millimetres; the mould lies open upwards (laminate side +z); x runs along the lid, y across. The
mould is in two pieces that part on the plane y = 0 and are pulled along +y and −y, because the skirt leans inward
along its sides. The recess is one as the laminate sees it; on the lid it stands out as a grip for the hand.

    outline of the lid      superellipse of exponent 2.8, 380 × 260, about the origin: (x/190)^2.8 + (y/130)^2.8 = 1
    crown                   lowest at the middle, z = −18, and 0 on the outline
    recess                  centre (0, 0), 110 × 70 at half depth, 12 deep; floor at z = −30 in the middle;
                            radius 3 at its floor (concave), 5 at its upper edge
    rim band                starts 30 inside the outline, rises 7 over 10; radius 5.5 at both ends
    skirt                   rises from the band (radius 6) to z = 33, leans inward by 2.5° along the sides and
                            outward by 2° at the ends, so that two halves come off sideways
    net edge of the part    on the skirt in the plane z = 28: the part is all surface with z ≤ 28
    flange                  80 wide beyond the skirt, rises outward by 1.5°
    start of laying         (0, 0, −30), middle of the recess's floor
    toggle holes            centres (−85, 0, −14.40) and (85, 0, −14.40)
    brackets                inside, near the rim: (0, −88, −9.75) and (0, 88, −9.75)
    scan noise              0.035 rms along the normal, always the same
"""

from __future__ import annotations

import math
import sys
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import Delaunay, cKDTree

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# The job file states these; all in millimetres and degrees.
EXPONENT = 2.8
HALF_LENGTH, HALF_WIDTH = 190.0, 130.0
CROWN = 18.0
RECESS_HALF_LENGTH, RECESS_HALF_WIDTH, RECESS_DEPTH = 55.0, 35.0, 12.0
RECESS_FLOOR_RADIUS, RECESS_EDGE_RADIUS, RECESS_WALL = 3.0, 5.0, 80.0
BAND_WIDTH, BAND_RISE, BAND_RADIUS, BAND_WALL = 30.0, 7.0, 5.5, 60.0
SKIRT_TOP, SKIRT_LEAN, SKIRT_FOOT_RADIUS, SKIRT_TOP_RADIUS = 33.0, 2.5, 6.0, 4.0
SKIRT_END_DRAFT = 2.0
FLANGE_WIDTH, FLANGE_SLOPE = 80.0, 1.5
NET_EDGE_HEIGHT = 28.0
START = (0.0, 0.0, -30.0)
TOGGLE_HOLES = ((-85.0, 0.0, -14.40), (85.0, 0.0, -14.40))
BRACKETS = ((0.0, -88.0, -9.75), (0.0, 88.0, -9.75))
NOISE, SEED = 0.035, 20

AROUND, AROUND_RECESS = 336, 150  # columns of triangles around the lid and around the recess
PLAIN, FINE = 2.9, 1.1  # spacing on plain faces and in fillets


def gauge(x: Floats, y: Floats, a: float, b: float) -> Floats:
    """Return 1 on a superellipse, less inside, in proportion to the distance from its centre."""
    out: Floats = (np.abs(x / a) ** EXPONENT + np.abs(y / b) ** EXPONENT) ** (1 / EXPONENT)
    return out


def crown(x: Floats, y: Floats) -> Floats:
    """Return the height of the crown: −18 in the middle, 0 on the lid's outline."""
    out: Floats = -CROWN * (1 - gauge(x, y, HALF_LENGTH, HALF_WIDTH) ** 2)
    return out


def loop(a: float, b: float, count: int) -> tuple[Floats, Floats]:
    """Return evenly spaced points on a superellipse, counter-clockwise, and their outward normals."""
    turn = np.linspace(0, 2 * np.pi, 40_001)
    reach = 1 / gauge(np.cos(turn), np.sin(turn), a, b)
    dense = reach[:, None] * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    along = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(dense, axis=0), axis=1))])
    at = along[-1] * (np.arange(count) + 0.5) / count
    angle = np.interp(at, along, turn)
    unit = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    points = unit / gauge(unit[:, 0], unit[:, 1], a, b)[:, None]
    slope = np.sign(points) * np.abs(points) ** (EXPONENT - 1) / np.array([a, b]) ** EXPONENT
    return points, slope / np.linalg.norm(slope, axis=1, keepdims=True)


def profile(start: tuple[float, float], pieces: list[tuple[float, float, float]]) -> Floats:
    """Return stations of a path in the plane (outward, up) made of straights and arcs.

    Each piece is (length, turn in degrees, spacing): a straight when the turn is zero, else an arc; a positive turn
    turns upward. The path sets out in the outward direction.
    """
    at, heading = np.array(start), 0.0
    stations = [at]
    for length, turn, spacing in pieces:
        steps = max(1, math.ceil(length / spacing))
        for _ in range(steps):
            middle = heading + math.radians(turn) / steps / 2
            chord = length / steps
            if turn:
                bend = math.radians(abs(turn)) / steps
                chord *= math.sin(bend / 2) / (bend / 2)
            at = at + chord * np.array([math.cos(middle), math.sin(middle)])
            heading += math.radians(turn) / steps
            stations.append(at)
    return np.array(stations)


def arc(radius: float, turn: float) -> tuple[float, float, float]:
    """Return a fillet as a piece of a profile."""
    return radius * math.radians(abs(turn)), turn, FINE if radius > 4 else 0.9 * FINE


def lid_profile() -> Floats:
    """Return the rim from the crown outward: step, band, skirt, flange; (offset from the outline, height)."""
    c, s = math.cos(math.radians(BAND_WALL)), math.sin(math.radians(BAND_WALL))
    wall = (BAND_RISE - 2 * BAND_RADIUS * (1 - c)) / s
    step = [arc(BAND_RADIUS, BAND_WALL), (wall, 0.0, FINE), arc(BAND_RADIUS, -BAND_WALL)]
    run = profile((0.0, 0.0), step)[-1, 0]
    up = 90 + SKIRT_LEAN
    tilt = math.radians(SKIRT_LEAN)
    foot = SKIRT_FOOT_RADIUS * math.cos(tilt)  # how far out the foot fillet reaches
    flat = BAND_WIDTH - run - foot
    rise = SKIRT_TOP - BAND_RISE - SKIRT_FOOT_RADIUS * (1 + math.sin(tilt))
    down = up - FLANGE_SLOPE
    slope = math.radians(FLANGE_SLOPE)
    rise -= SKIRT_TOP_RADIUS * (math.cos(slope) + math.sin(tilt))
    return profile(
        (-BAND_WIDTH, 0.0),
        [
            *step,
            (flat, 0.0, PLAIN),
            arc(SKIRT_FOOT_RADIUS, up),
            (rise / math.cos(tilt), 0.0, 2.6),
            arc(SKIRT_TOP_RADIUS, -down),
            (20.0, 0.0, PLAIN),
            (FLANGE_WIDTH - 20.0, 0.0, 4.6),
        ],
    )


def recess_profile() -> Floats:
    """Return the recess from its floor outward and up to the crown; (offset from half depth, height)."""
    c, s = math.cos(math.radians(RECESS_WALL)), math.sin(math.radians(RECESS_WALL))
    wall = (RECESS_DEPTH - (RECESS_FLOOR_RADIUS + RECESS_EDGE_RADIUS) * (1 - c)) / s
    path = profile(
        (0.0, -RECESS_DEPTH),
        [arc(RECESS_FLOOR_RADIUS, RECESS_WALL), (wall, 0.0, 1.5), arc(RECESS_EDGE_RADIUS, -RECESS_WALL)],
    )
    half = np.interp(-RECESS_DEPTH / 2, path[:, 1], path[:, 0])
    out: Floats = path - np.array([half, 0.0])
    return out


def swept(base: Floats, normal: Floats, path: Floats, first: int) -> tuple[Floats, Ints]:
    """Return rows of points, one loop for each station, and the triangles between them."""
    flat = base[None] + path[:, 0, None, None] * normal[None]
    below = flat * np.minimum(1, 1 / gauge(flat[..., 0], flat[..., 1], HALF_LENGTH, HALF_WIDTH))[..., None]
    height = path[:, 1, None] + crown(below[..., 0], below[..., 1])
    points = np.concatenate([flat, height[..., None]], axis=2)
    rows, around = height.shape
    i, j = np.meshgrid(np.arange(around), np.arange(rows - 1), indexing="xy")
    a, b = j * around + i, (j + 1) * around + i
    c, d = (j + 1) * around + (i + 1) % around, j * around + (i + 1) % around
    even = ((i + j) % 2 == 0)[..., None]
    one = np.where(even, np.stack([a, b, c], -1), np.stack([a, b, d], -1)).reshape(-1, 3)
    two = np.where(even, np.stack([a, c, d], -1), np.stack([b, c, d], -1)).reshape(-1, 3)
    return points.reshape(-1, 3), np.concatenate([one, two]) + first


def filled(rings: list[tuple[Floats, Ints]], spacing: float, drop: float, first: int) -> tuple[Floats, Ints]:
    """Return points and triangles that fill the crown between an outer ring and, when given, an inner one."""
    ring = np.concatenate([points[:, :2] for points, _ in rings])
    number = np.concatenate([index for _, index in rings])
    reach = np.abs(ring).max(axis=0)
    rows = np.arange(-math.ceil(reach[1] / spacing), math.ceil(reach[1] / spacing) + 1)
    columns = np.arange(-math.ceil(reach[0] / spacing) - 1, math.ceil(reach[0] / spacing) + 2)
    x, y = np.meshgrid(columns * spacing, rows * spacing * math.sqrt(3) / 2)
    lattice = np.stack([(x + (rows[:, None] % 2) * spacing / 2).ravel(), y.ravel()], axis=1)
    near, _ = cKDTree(ring).query(lattice)
    inside = between([points[:, :2] for points, _ in rings], lattice) & (near > 0.7 * spacing)
    free = lattice[inside]
    flat = np.concatenate([ring, free])
    triangles = Delaunay(flat).simplices
    triangles = triangles[between([points[:, :2] for points, _ in rings], flat[triangles].mean(axis=1))]
    u, v = flat[triangles[:, 1]] - flat[triangles[:, 0]], flat[triangles[:, 2]] - flat[triangles[:, 0]]
    clockwise = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0] < 0
    triangles[clockwise] = triangles[clockwise][:, ::-1]
    points = np.column_stack([free, crown(free[:, 0], free[:, 1]) - drop])
    return points, np.concatenate([number, first + np.arange(len(free))])[triangles]


def between(rings: list[Floats], points: Floats) -> NDArray[np.bool_]:
    """Return which points lie inside the first ring and outside the others."""
    out = np.ones(len(points), dtype=np.bool_)
    for k, ring in enumerate(rings):
        a, b = ring, np.roll(ring, -1, axis=0)
        inside = np.zeros(len(points), dtype=np.bool_)
        for (ax, ay), (bx, by) in zip(a, b, strict=True):
            if ay != by:
                spans = (ay > points[:, 1]) != (by > points[:, 1])
                inside ^= spans & (points[:, 0] < (bx - ax) * (points[:, 1] - ay) / (by - ay) + ax)
        out &= inside if k == 0 else ~inside
    return out


def leaning(vertices: Floats) -> Floats:
    """Return vertices with the skirt's ends leant outward: stretched along x above the band, smoothly from its foot."""
    rise = vertices[:, 2] - BAND_RISE - 2.0
    smooth = (np.sqrt(rise**2 + 4.0) + rise) / 2
    out = vertices.copy()
    turn = math.tan(math.radians(SKIRT_LEAN)) + math.tan(math.radians(SKIRT_END_DRAFT))
    outside = gauge(vertices[:, 0], vertices[:, 1], HALF_LENGTH - BAND_WIDTH, HALF_WIDTH - BAND_WIDTH) > 1
    out[:, 0] *= 1 + np.where(outside, turn * smooth / HALF_LENGTH, 0.0)
    return out


def perfect() -> tuple[Floats, Ints]:
    """Return the mould's surface without noise, vertices [mm] and triangles."""
    rim, rim_triangles = swept(*loop(HALF_LENGTH, HALF_WIDTH, AROUND), lid_profile(), 0)
    n = len(rim)
    recess, recess_triangles = swept(*loop(RECESS_HALF_LENGTH, RECESS_HALF_WIDTH, AROUND_RECESS), recess_profile(), n)
    m = n + len(recess)
    inner_rim = (rim[:AROUND], np.arange(AROUND))
    floor = (recess[:AROUND_RECESS], n + np.arange(AROUND_RECESS))
    edge = (recess[-AROUND_RECESS:], m - AROUND_RECESS + np.arange(AROUND_RECESS))
    plain, plain_triangles = filled([inner_rim, edge], PLAIN, 0.0, m)
    bottom, bottom_triangles = filled([floor], 2.4, RECESS_DEPTH, m + len(plain))
    vertices = leaning(np.concatenate([rim, recess, plain, bottom]))
    return vertices, np.concatenate([rim_triangles, recess_triangles, plain_triangles, bottom_triangles])


def scanned(vertices: Floats, triangles: Ints) -> Floats:
    """Return vertices moved along their normals by the noise of a scan."""
    c = vertices[triangles]
    face = np.cross(c[:, 1] - c[:, 0], c[:, 2] - c[:, 0])
    normal = np.zeros_like(vertices)
    for k in range(3):
        np.add.at(normal, triangles[:, k], face)
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    noise = np.random.default_rng(SEED).normal(0, NOISE, len(vertices))
    out: Floats = vertices + noise[:, None] * normal
    return out


def write_stl(path: Path, vertices: Floats, triangles: Ints) -> None:
    """Write a binary STL in millimetres."""
    record = np.zeros(len(triangles), np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("extra", "<u2")]))
    corners = vertices.astype(np.float32)[triangles]
    record["corners"] = corners
    face = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    record["normal"] = face / np.linalg.norm(face, axis=1, keepdims=True)
    header = b"mould surface of an invented day-hatch lid, millimetres".ljust(80)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(header + np.uint32(len(triangles)).tobytes() + record.tobytes())


def written(path: Path) -> None:
    """Write the mould as binary STL.

    Parameters
    ----------
    path
        Of the file.
    """
    vertices, triangles = perfect()
    write_stl(path, scanned(vertices, triangles), triangles)


def main(arguments: list[str]) -> int:
    """Write the mould to the file named on the command line."""
    if len(arguments) != 1:
        print("usage: python demo/make_mould.py OUT.stl", file=sys.stderr)
        return 2
    vertices, triangles = perfect()
    write_stl(Path(arguments[0]), scanned(vertices, triangles), triangles)
    size = " × ".join(f"{s:.0f}" for s in np.ptp(vertices, axis=0))
    print(f"{arguments[0]}: {len(triangles)} triangles, {size} mm")
    return 0
