"""Draping many shapes from many starts in many directions: what fails, what had to be mended, what it took.

Sixteen synthetic shapes, two starts and four directions each, and real panels where the open data lies. No result with
a flipped triangle counts as one; a refusal is shown with its words. Times are processor seconds of this process.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from bagside import geometry
from bagside.drape import ClothKind, Drape, drape, law_of, percentile
from bagside.errors import BagsideError
from bagside.geometry import Surface

TESTS = Path(__file__).resolve().parents[1] / "tests"
sys.path.insert(0, str(TESTS))

import shapes  # noqa: E402

Floats = NDArray[np.float64]

TURNS = np.radians([0, 30, 60, 90])
KINDS = (ClothKind.WOVEN, ClothKind.UNIDIRECTIONAL, ClothKind.NON_CRIMP)


def synthetic(scale: float = 1.0) -> dict[str, Surface]:
    """Return the shapes; ``scale`` one gives about ten thousand triangles each, and their number goes with it."""
    k = float(np.sqrt(scale))
    rings, n = round(41 * k), round(71 * k)
    return {
        "hole": shapes.holed_cap(rings=rings),
        "slot": shapes.slotted_cap(rings=rings),
        "L": shapes.l_shape(n=n),
        "thin neck": shapes.necked_cap(rings=rings),
        "torn, six rims": shapes.torn(rings),
        "0.3 mm noise, faired": geometry.faired(shapes.noisy(shapes.hemisphere(0.1, 1.2, rings)), 0.004),
        "0.3 mm noise on 2 mm": shapes.rough(n, 0.2 * k),
        "torus outside": shapes.torus(n=n),
        "torus inside": shapes.torus(n=n, inside=True),
        "box corner R2": shapes.box_corner(fillet=0.002, rings=rings),
        "box corner R4": shapes.box_corner(fillet=0.004, rings=rings),
        "box corner R4, inside": shapes.box_corner(fillet=0.004, rings=rings, inside=True),
        "cone tip": shapes.cone_tip(rings=rings),
        "hemisphere 89°": shapes.hemisphere(0.1, np.radians(89), rings),
        "saddle": shapes.saddle(n=n),
        "plane": shapes.plane(0.3, 0.3, n, n),
    }


def panels(folder: Path, triangles: int = 20_000) -> Iterator[tuple[str, Surface]]:
    """Yield the real panels that are there, as one even mesh each; the scan is mended and faired first."""
    for path in sorted(folder.glob("*")):
        if path.suffix not in (".stl", ".ply", ".step"):
            continue
        try:
            raw = geometry.read_mesh(path, "mm")
            rank = np.linalg.svd((raw.vertices - raw.vertices.mean(axis=0))[::7], full_matrices=False)[2]
            panel, _ = geometry.mended(raw, facing=rank[2].tolist())
            panel = max(geometry.components(panel), key=lambda s: s.area)
            if not panel.loops:  # a closed body: its half that looks along the thinnest way is what a mould would be
                half = panel.selected(panel.normals @ rank[2] > 0.1)
                panel = max(geometry.components(half), key=lambda s: s.area)
            size = float(np.sqrt(4 / np.sqrt(3) * panel.area / triangles))
            if path.suffix == ".ply":
                panel = geometry.faired(panel, 0.004)
            even = max(geometry.components(geometry.remeshed(panel, size, 0.1 * size)), key=lambda s: s.area)
        except (BagsideError, ValueError) as error:
            print(f"  {path.name}: left out, {str(error).splitlines()[0][:90]}")
            continue
        yield path.stem, even


def starts(surface: Surface) -> tuple[Floats, Floats]:
    """Return a start in the middle and one in a triangle two fifths of the way from the rim to it."""
    c = surface.centroids
    middle = c[int(np.argmin(np.linalg.norm(c - c.mean(axis=0), axis=1)))]
    rim = surface.vertices[surface.loops[0]]
    far = rim[int(np.argmax(np.linalg.norm(rim - middle, axis=1)))]
    aside = c[int(np.argmin(np.linalg.norm(c - (0.6 * far + 0.4 * middle), axis=1)))]
    return middle, aside


def ways(surface: Surface) -> list[Floats]:
    """Return four directions in the plane the surface lies in most."""
    c = surface.centroids
    rank = np.linalg.svd((c - c.mean(axis=0))[::7], full_matrices=False)[2]
    return [np.cos(turn) * rank[0] + np.sin(turn) * rank[1] for turn in TURNS]


def flips(lain: Drape) -> int:
    """Return how many triangles are turned over in the cloth."""
    c = lain.uv[lain.surface.triangles]
    s, t = c[:, 1] - c[:, 0], c[:, 2] - c[:, 0]
    return int((~(s[:, 0] * t[:, 1] - s[:, 1] * t[:, 0] > 0)).sum())


def tried(name: str, surface: Surface, kind: ClothKind) -> tuple[int, int, int]:
    """Print one line for a shape; return how many were laid, refused, flipped."""
    law = law_of(kind, None, len(surface.triangles))
    taken, schemes, words, strains, over = [], [], [], [], 0
    for start in starts(surface):
        for way in ways(surface):
            began = time.process_time()
            try:
                lain = drape(surface, start=start, direction=way, law=law)
            except BagsideError as error:
                words.append(str(error))
                continue
            taken.append(time.process_time() - began)
            schemes.append(lain.scheme)
            over += flips(lain)
            strain = np.maximum(np.abs(lain.stretch_warp), np.abs(lain.stretch_weft))
            strains.append(100 * percentile(strain, surface.areas, 0.99))
    plain = sum(s in ("one level", "two levels") for s in schemes)
    laid = len(schemes)
    figures = f"{np.median(taken):6.2f}{max(taken):7.2f}{max(strains):7.2f}" if taken else " " * 20
    print(f"  {name:26}{len(surface.triangles):7d}  {laid:2d} laid, {plain:2d} plain {figures}", flush=True)
    for word in words:
        print(f"      {word[:150]}")
    return laid, len(words), over


def run() -> None:
    """Print the table."""
    folder = os.environ.get("BAGSIDE_OPEN_DATA")
    data = (Path(folder) if folder else TESTS.parents[1] / "shared" / "data") / "meshes"
    every = [(name, surface, kind) for kind in KINDS for name, surface in synthetic().items()]
    if data.is_dir():
        every += [(name, surface, ClothKind.WOVEN) for name, surface in panels(data)]
    else:
        print("  real panels: not there, left out (set BAGSIDE_OPEN_DATA)")
    print(f"  {'shape':26}{'triangles':>9}{'':22}{'s':>5}{'worst':>7}{'p99 %':>7}")
    total = np.zeros(3, dtype=int)
    last = None
    for name, surface, kind in every:
        if kind is not last:
            print(f" {kind.value}")
            last = kind
        total += tried(name, surface, kind)
    print(f"  {total[0]} laid, {total[1]} refused, {total[2]} triangles flipped")


if __name__ == "__main__":
    run()
