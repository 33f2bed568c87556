"""The marched net's quick look against the map of `drape` on the same meshes.

Time is the best of five, in seconds of the processor, and as a share of the map's. Shear is compared with the map's
where the net reaches, away from the rim: from the net's own straight threads, and from the map's two threads through
the start, from which both must say the same. Where the two columns differ the map has chosen threads that are not
straight. On creased meshes the net steps over what the map follows.
"""

from __future__ import annotations

import math
import time

import numpy as np
from numpy.typing import NDArray

from bagside.drape import ClothKind, Drape, Net, drape, law_of, net, preview
from bagside.drape.order import contours
from bagside.geometry import Surface, spread
from benchmarks.drape import meshes

Floats = NDArray[np.float64]


def thread_of(lain: Drape, coordinate: int) -> Floats:
    """Return the thread of a draped cloth through the start, along u (0) or v (1), in its sense."""
    lines = contours(lain.surface, lain.uv[:, 1 - coordinate], 1e-12, lain.uv)
    points, flat = min(lines, key=lambda line: float(np.linalg.norm(line[0] - lain.start, axis=1).min()))
    return points if flat[-1, coordinate] > flat[0, coordinate] else points[::-1]


def apart(lain: Drape, found: Net, inside: NDArray[np.bool_]) -> float:
    """Return the rms difference in shear [deg]."""
    shear = found.shear_at(lain.surface)
    seen = inside & ~np.isnan(shear)
    square = np.average((lain.shear - shear)[seen] ** 2, weights=lain.surface.areas[seen])
    return float(np.degrees(np.sqrt(square)))


def timed(surface: Surface, start: Floats, direction: Floats) -> tuple[float, Net]:
    best = math.inf
    for _ in range(5):
        fresh = Surface(surface.vertices, surface.triangles)  # nothing kept from the run before
        began = time.process_time()
        found = preview(fresh, start, direction)
        best = min(best, time.process_time() - began)
    return best, found


def run() -> None:
    """Print the table."""
    print(f"  {'mesh':28}{'triangles':>10}{'nodes':>7}{'s':>7}{'of map':>8}{'covered':>9}{'jams':>6}   shear off, rms")
    for name, surface, start, direction, _ in meshes():
        took, found = timed(surface, start, direction)
        law = law_of(ClothKind.WOVEN, None, len(surface.triangles))
        began = time.process_time()
        lain = drape(surface, start=start, direction=direction, law=law)
        map_took = time.process_time() - began
        rim = spread(surface, vertices=np.concatenate(surface.loops))
        inside = rim[surface.triangles].min(axis=1) > 0.05 * math.sqrt(surface.area)
        same = net(
            surface,
            start=lain.start,
            direction=direction,
            spacing=found.spacing,
            line=thread_of(lain, 0),
            across=thread_of(lain, 1),
            patience=300,
        )
        print(
            f"  {name:28}{len(surface.triangles):10d}{len(found.points):7d}{took:7.3f}{took / map_took:8.2f}"
            f"{found.coverage:9.2f}{len(found.jammed):6d}   straight threads {apart(lain, found, inside):.2f}°, "
            f"the map's {apart(lain, same, inside):.2f}°"
        )


if __name__ == "__main__":
    run()
