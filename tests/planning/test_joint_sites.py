"""What a hole is drilled in is what stands round its rim, and the thinnest of that."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from bagside.geometry import Surface
from bagside.planning.joint_stage import sites_on
from bagside.spec.region import Hole


def plate(step: float = 0.002, half: float = 0.04) -> Surface:
    """Return a flat square sheet of small triangles about the origin."""
    x = np.arange(-half, half + step / 2, step)
    n = len(x)
    at = np.stack([*np.meshgrid(x, x, indexing="ij"), np.zeros((n, n))], axis=-1).reshape(-1, 3)
    i, j = (a.ravel() for a in np.meshgrid(np.arange(n - 1), np.arange(n - 1), indexing="ij"))
    a, b = i * n + j, (i + 1) * n + j
    return Surface(at, np.concatenate([np.stack([a, b, b + 1], 1), np.stack([a, b + 1, a + 1], 1)]))


def thickness_round(hole: Hole, part: Surface, ring: tuple[float, float], beside: float) -> float:
    """Return the thickness found where a ring of 2 mm lies between two radii, on cloth of 1 mm, beside x of 0.5 mm."""
    radius = np.linalg.norm(part.centroids[:, :2], axis=1)
    thin = part.centroids[:, 0] > beside
    thick = (radius > ring[0]) & (radius < ring[1]) & ~thin

    def zone(mask: np.ndarray, thickness: float) -> SimpleNamespace:
        laminate = SimpleNamespace(thickness=thickness, Ex=1.0, Ey=1.0)
        return SimpleNamespace(triangles=np.flatnonzero(mask), laminate=laminate)

    zones = [zone(~thick & ~thin, 0.001), zone(thick, 0.002), zone(thin, 0.0005)]
    found = SimpleNamespace(zones=zones, main=zones[0])
    _, (site,) = sites_on(found, part, (), (hole,))  # type: ignore[arg-type]
    return site.thickness


def test_an_open_ring_counts_though_the_middle_is_bare_of_it() -> None:
    hole = Hole(name="bolt", at=(0.0, 0.0, 0.0), diameter=0.012)
    assert thickness_round(hole, plate(), (0.006, 0.030), beside=1.0) == pytest.approx(0.002)


def test_the_thinnest_place_round_the_rim_decides() -> None:
    hole = Hole(name="bolt", at=(0.0, 0.0, 0.0), diameter=0.012)
    assert thickness_round(hole, plate(), (0.0, 0.030), beside=0.004) == pytest.approx(0.0005)
    assert thickness_round(hole, plate(), (0.0, 0.030), beside=0.012) == pytest.approx(0.002)
