"""From a scan of a million triangles to a clean surface, against the plain steps of two general libraries.

The scan is made here: a tray with 0.3 mm of noise, holes, islands, flipped patches, doubled triangles, second passes,
fins and spikes, in a binary STL. Ours reads, mends, smooths, thins with care for fillets of 3 mm and closes its holes.
The peers read the same file and do what their documentation offers: trimesh welds, drops doubles and degenerate
triangles, keeps the largest part and thins by quadrics when fast-simplification is installed; igl and mmgs weld,
orient, and mesh evenly. Neither takes noise off. Each runs in a process of its own, so that its peak memory is its own.
The error is the distance of the result's vertices from the true tray.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

TESTS = Path(__file__).resolve().parents[1] / "tests"
sys.path.insert(0, str(TESTS))

TRIANGLES, SEED, NOISE, EDGE = 1_000_000, 1, 0.0003, 0.0035
MOST_SECONDS, MOST_BYTES = 10.0, 2e9


def ours(path: Path) -> tuple[np.ndarray, np.ndarray]:
    from bagside import geometry

    wish = geometry.Wish(facing=(0, 0, 1), noise=NOISE, size=EDGE, smallest_fillet=0.003, fill_holes=0.06)
    made = geometry.opened(geometry.read_mesh(path, "mm"), wish)
    return made.work.vertices, made.work.triangles


def by_trimesh(path: Path) -> tuple[np.ndarray, np.ndarray]:
    import trimesh

    mesh = trimesh.load_mesh(path)
    mesh.merge_vertices()
    mesh.update_faces(mesh.unique_faces())
    mesh.update_faces(mesh.nondegenerate_faces())
    mesh = max(mesh.split(only_watertight=False), key=lambda part: part.area)
    mesh.fix_normals(multibody=False)
    try:
        mesh = mesh.simplify_quadric_decimation(face_count=50_000)
    except ImportError:
        print("  (trimesh: nothing installed that thins, left at full size)", file=sys.stderr)
    return mesh.vertices * 1e-3, mesh.faces


def by_igl_and_mmgs(path: Path) -> tuple[np.ndarray, np.ndarray]:
    import igl
    import mmgpy

    record = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("extra", "<u2")])
    corners = np.frombuffer(path.read_bytes(), record, offset=84)["corners"].reshape(-1, 3).astype(float)
    vertices, _, _, faces = igl.remove_duplicate_vertices(corners, np.arange(len(corners)).reshape(-1, 3), 1e-7)
    _, first = np.unique(np.sort(faces, axis=1), axis=0, return_index=True)
    faces, of = igl.bfs_orient(np.ascontiguousarray(faces[first]))
    faces = faces[of == np.bincount(of).argmax()]
    used, local = np.unique(faces, return_inverse=True)
    mesh = mmgpy.MmgMeshS(vertices[used], local.reshape(-1, 3).astype(np.int32))
    mesh.remesh(hsiz=1e3 * EDGE, hausd=0.2, hmin=0.25e3 * EDGE, ar=45.0, verbose=-1)
    return np.asarray(mesh.get_vertices()) * 1e-3, np.asarray(mesh.get_triangles())


WAYS: dict[str, Callable[[Path], tuple[np.ndarray, np.ndarray]]] = {
    "ours": ours,
    "trimesh": by_trimesh,
    "igl + mmgs": by_igl_and_mmgs,
}


def one(name: str, path: Path) -> None:
    """Run one way and print what it took, as JSON; meant for a process of its own."""
    import resource

    import scans

    began, used = time.perf_counter(), time.process_time()
    vertices, faces = WAYS[name](path)
    wall, cpu = time.perf_counter() - began, time.process_time() - used
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * (1 if sys.platform == "darwin" else 1024)
    tray = scans.Tray()
    off = tray.off(np.asarray(vertices))
    c = np.asarray(vertices)[np.asarray(faces)]
    area = 0.5 * np.linalg.norm(np.cross(c[:, 1] - c[:, 0], c[:, 2] - c[:, 0]), axis=1).sum()
    print(
        json.dumps(
            {
                "wall": wall,
                "cpu": cpu,
                "peak": peak,
                "triangles": len(c),
                "rms_mm": 1e3 * float(np.sqrt((off**2).mean())),
                "worst_mm": 1e3 * float(off.max()),
                "area_error": float(area / tray.area - 1),
            }
        )
    )


def run() -> None:
    """Print the table."""
    import scans

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "scan.stl"
        scans.write_stl(scans.scanned(scans.Tray(), TRIANGLES, SEED, scans.Dirt(noise=NOISE)), path)
        count = (path.stat().st_size - 84) // 50
        limits = f"{MOST_SECONDS:.0f} s and {MOST_BYTES / 1e9:.0f} GB"
        print(f"  {count} triangles, {1e3 * NOISE:.1f} mm noise; limits {limits}")
        heads = f"{'wall s':>8}{'cpu s':>7}{'GB':>6}{'rms mm':>8}{'worst':>8}{'area':>9}"
        print(f"  {'':12}{'triangles':>10}{heads}   ours / it")
        found = {}
        for name in WAYS:
            command = [sys.executable, "-m", "benchmarks.scan", name, str(path)]
            environment = os.environ | {"OMP_NUM_THREADS": "1", "PYTHONPATH": str(TESTS.parent)}
            ended = subprocess.run(
                command, cwd=TESTS.parent, env=environment, capture_output=True, text=True, check=False, timeout=900
            )
            if ended.returncode:
                print(f"  {name:12}gave up: {(ended.stderr.strip().splitlines() or ['no reason'])[-1][:90]}")
                continue
            r = found[name] = json.loads(ended.stdout.splitlines()[-1])
            ratio = f"{found['ours']['cpu'] / r['cpu']:.2f} cpu, {found['ours']['peak'] / r['peak']:.2f} memory"
            print(
                f"  {name:12}{r['triangles']:10d}{r['wall']:8.1f}{r['cpu']:7.1f}{r['peak'] / 1e9:6.2f}"
                f"{r['rms_mm']:8.3f}{r['worst_mm']:8.2f}{100 * r['area_error']:+8.2f}%   {ratio}"
            )
    if "ours" in found:
        mine = found["ours"]
        print(
            f"  against the limits: {mine['wall'] / MOST_SECONDS:.2f} of the time by the clock, "
            f"{mine['cpu'] / MOST_SECONDS:.2f} of it in processor time, {mine['peak'] / MOST_BYTES:.2f} of the memory"
        )


if __name__ == "__main__":
    if len(sys.argv) == 3:
        one(sys.argv[1], Path(sys.argv[2]))
    else:
        run()
