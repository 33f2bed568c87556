"""Draping against rigid-as-possible flattening and symmetric-Dirichlet flattening by libigl on the same meshes.

The peers start conformal and take 10, 30 or 100 rounds of local rotation and global fit (ARAP), or 10 of reweighted
least squares (SLIM), and are turned so that the same warp line runs along +u. They answer another question (least
change of length in every direction, no shear for free), and ARAP is the quicker at 10 and often at 30 rounds; what is
bought with the time is thread strain. The peers' columns are ratios to ours: seconds below 1 are quicker than ours,
strain above 1 is worse. On sphere caps the shear is compared with the pin-jointed net, rms within 60° of the pole. Each
time is the median of three runs on a surface without anything worked out beforehand; memory is the highest a fresh
process reached, imports and mesh with it.
"""

from __future__ import annotations

import multiprocessing
import os
import statistics
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import igl
import numpy as np
from numpy.typing import NDArray

from bagside import geometry
from bagside.drape import ClothKind, drape, law_of, percentile
from bagside.drape.frames import frames_of, gradients
from bagside.drape.line import traced, turned
from bagside.drape.refuse import direction_on
from bagside.geometry import Surface

TESTS = Path(__file__).resolve().parents[1] / "tests"
sys.path.insert(0, str(TESTS))

import shapes  # noqa: E402
import sphere_net  # noqa: E402

Floats = NDArray[np.float64]
RADIUS = 0.1
PANELS = ("c172_wing_skin_upper.stl", "x8_centre_top.stl", "iris_canopy_top.stl", "anymal_bottom_shell_full.stl")


@dataclass(frozen=True, slots=True, kw_only=True)
class Peer:
    """One peer on one mesh: seconds and strain as ratios to ours, shear error [deg], flipped triangles."""

    name: str
    seconds: float
    strain: float
    error: float
    flips: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One mesh: ours in seconds, percent, degrees and megabytes, and the peers."""

    mesh: str
    triangles: int
    seconds: float
    strain: float
    error: float
    memory: tuple[float, float]
    flips: int
    scheme: str
    peers: tuple[Peer, ...]


def fresh(surface: Surface) -> Surface:
    return Surface(surface.vertices.copy(), surface.triangles.copy())


def median_of(work: Callable[[], Floats], times: int = 3) -> tuple[float, Floats]:
    taken = []
    for _ in range(times):
        began = time.perf_counter()
        result = work()
        taken.append(time.perf_counter() - began)
    return statistics.median(taken), result


def conformal(surface: Surface) -> Floats:
    rim = surface.loops[0]
    far = int(np.argmax(np.linalg.norm(surface.vertices[rim] - surface.vertices[rim[0]], axis=1)))
    apart = float(np.linalg.norm(surface.vertices[rim[far]] - surface.vertices[rim[0]]))
    pins = np.array([rim[0], rim[far]], dtype=np.int64)
    uv, _ = igl.lscm(surface.vertices, surface.triangles, pins, np.array([[0.0, 0.0], [apart, 0.0]]))
    return np.ascontiguousarray(uv)


def rigid_as_possible(surface: Surface, rounds: int) -> Floats:
    uv = conformal(surface)
    data = igl.ARAPData()
    data.max_iter = rounds
    igl.arap_precomputation(surface.vertices, surface.triangles, 2, np.array([0], dtype=np.int32), data)
    return np.asarray(igl.arap_solve(uv[[0]].copy(), data, uv))


def reweighted(surface: Surface, rounds: int) -> Floats:
    """Return symmetric Dirichlet's map, from one rigid round where the conformal map has flips: it cannot take them."""
    f = np.asfortranarray
    uv = conformal(surface)
    if judged(surface, uv, ball=False)[2]:
        uv = rigid_as_possible(surface, 1)
    held = igl.slim_precompute(
        f(surface.vertices),
        f(surface.triangles.astype(np.int32)),
        f(uv),
        igl.SYMMETRIC_DIRICHLET,
        np.zeros(0, np.int32),
        f(np.zeros((0, 2))),
        0.0,
    )
    return np.ascontiguousarray(igl.slim_solve(held, rounds))


PEERS: tuple[tuple[str, Callable[[Surface, int], Floats], int], ...] = (
    ("ARAP 10", rigid_as_possible, 10),
    ("ARAP 30", rigid_as_possible, 30),
    ("ARAP 100", rigid_as_possible, 100),
    ("SLIM 10", reweighted, 10),
)


def peak(work: str, vertices: Floats, triangles: Floats, start: Floats, direction: Floats) -> float:
    """Return the highest memory this process reached for one flattening [MB]."""
    surface = Surface(vertices, triangles)
    if work == "ours":
        drape(surface, start=start, direction=direction, law=law_of(ClothKind.WOVEN, None, len(triangles)))
    else:
        rigid_as_possible(surface, 30)
    # what getrusage calls the highest is handed down from the process that started this one
    status = Path("/proc/self/status")
    if not status.is_file():
        return np.nan
    return next(int(line.split()[1]) for line in status.read_text().splitlines() if line.startswith("VmHWM")) / 1024


def memory_of(surface: Surface, start: Floats, direction: Floats) -> tuple[float, float]:
    """Return what ours and 30 rounds of ARAP reach in a process of their own [MB]."""
    found = []
    for work in ("ours", "peer"):
        with multiprocessing.get_context("spawn").Pool(1) as pool:
            found.append(pool.apply(peak, (work, surface.vertices, surface.triangles, start, direction)))
    return found[0], found[1]


def judged(surface: Surface, uv: Floats, ball: bool) -> tuple[float, float, int]:
    """Return thread strain p99 [%], rms shear error on a ball [deg] (nan elsewhere) and the number of flips."""
    a, b, c, e = gradients(frames_of(surface), uv)
    d = a * e - b * c
    good = d > 0
    safe = np.where(good, d, 1.0)
    warp, weft = np.hypot(c, e) / safe - 1, np.hypot(a, b) / safe - 1
    strain = np.where(good, np.maximum(np.abs(warp), np.abs(weft)), np.inf)
    error = np.nan
    if ball:
        shear = np.arctan(-(a * c + b * e) / safe)
        at = uv[surface.triangles].mean(axis=1)
        wanted = sphere_net.shear_at(np.clip(at[:, 0] * at[:, 1] / RADIUS**2, -1.6, 1.6))
        inside = surface.centroids[:, 2] > RADIUS * np.cos(np.radians(60))
        square = np.average((shear - wanted)[inside] ** 2, weights=surface.areas[inside])
        error = float(np.degrees(np.sqrt(square)))
    return 100 * percentile(strain, surface.areas, 0.99), error, int((~good).sum())


def compared(name: str, surface: Surface, start: Floats, direction: Floats, *, ball: bool = False) -> Row:
    law = law_of(ClothKind.WOVEN, None, len(surface.triangles))
    scheme = drape(surface, start=start, direction=direction, law=law).scheme
    seconds, uv = median_of(lambda: drape(fresh(surface), start=start, direction=direction, law=law).uv)
    strain, error, flips = judged(surface, uv, ball)
    _, triangle, closest = geometry.nearest(surface, start[None, :])
    share = geometry.barycentric(surface, triangle, closest)[0]
    along = direction_on(surface, int(triangle[0]), direction)
    line = traced(surface, closest[0], along, 0.25 * surface.area**0.5)
    frames = frames_of(surface)
    peers = []
    for title, work, rounds in PEERS:
        try:
            took, flat = median_of(lambda f=work, n=rounds: f(fresh(surface), n))  # type: ignore[misc]
        except (RuntimeError, ValueError):
            peers.append(Peer(name=title, seconds=np.nan, strain=np.nan, error=np.nan, flips=-1))
            continue
        flat = turned(frames, line, flat)
        flat = flat - share @ flat[surface.triangles[triangle[0]]]
        theirs, off, over = judged(surface, flat, ball)
        worse = theirs / strain if strain > 0 else np.nan
        peers.append(Peer(name=title, seconds=took / seconds, strain=worse, error=off, flips=over))
    return Row(
        mesh=name,
        triangles=len(surface.triangles),
        seconds=seconds,
        strain=strain,
        error=error,
        memory=memory_of(surface, start, direction),
        flips=flips,
        scheme=scheme,
        peers=tuple(peers),
    )


def meshes() -> Iterator[tuple[str, Surface, Floats, Floats, bool]]:
    pole, way = np.array([0, 0, RADIUS]), np.array([1.0, 0.3, 0])
    for rings in (41, 82, 129):
        yield "sphere cap 78°", shapes.hemisphere(RADIUS, np.radians(78), rings), pole, way, True
    yield "box corner, fillet 4 mm", shapes.box_corner(rings=82), np.array([0, 0, 0.004]), way, False
    yield "saddle", shapes.saddle(n=141), np.zeros(3), way, False
    folder = os.environ.get("BAGSIDE_OPEN_DATA")
    data = Path(folder) if folder else TESTS.parents[1] / "shared" / "data"
    for name in PANELS:
        path = data / "meshes" / name
        if not path.is_file():
            print(f"  {name}: not there, left out (set BAGSIDE_OPEN_DATA)")
            continue
        raw = geometry.read_mesh(path, "mm")
        flattest = np.linalg.svd((raw.vertices - raw.vertices.mean(axis=0))[::7], full_matrices=False)[2][2]
        panel, _ = geometry.mended(raw, facing=flattest.tolist())
        size = float(np.sqrt(4 / np.sqrt(3) * panel.area / 40_000))
        even = max(geometry.components(geometry.remeshed(panel, size, 0.1 * size)), key=lambda s: s.area)
        c = even.centroids - even.centroids.mean(axis=0)
        start = even.centroids[np.argmin(np.linalg.norm(c, axis=1))]
        yield name.split(".")[0], even, start, np.linalg.svd(c[::7], full_matrices=False)[2][0], False


def run() -> None:
    """Print the table."""
    print("  peer: seconds and thread strain p99 as ratios to ours; shear error in degrees; flipped triangles")
    print(f"  {'mesh':28}{'triangles':>10}{'s':>7}{'p99 %':>7}{'err°':>6}{'flips':>6}{'MB':>6}{'ARAP':>6}")
    for name, surface, start, direction, ball in meshes():
        row = compared(name, surface, start, direction, ball=ball)
        error = f"{row.error:6.2f}" if ball else "     –"
        ours, theirs = row.memory
        print(
            f"  {name:28}{row.triangles:10d}{row.seconds:7.2f}{row.strain:7.2f}{error}{row.flips:6d}"
            f"{ours:6.0f}{theirs:6.0f}   [{row.scheme}]"
        )
        for peer in row.peers:
            off = f", {peer.error:.1f}°" if ball else ""
            ratios = f"{peer.seconds:6.2f} of our time, {peer.strain:5.1f} of our p99"
            print(f"      {peer.name:9} {ratios}{off}, {peer.flips} flips", flush=True)


if __name__ == "__main__":
    run()
