"""The demo's mould is what its first lines say it is, and goes through the room from file to region."""

from __future__ import annotations

from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from bagside.demo_shop import lid_mould
from bagside.geometry import Surface, components, curvature, faired, mended, nearest, read_mesh, regions_of, section
from bagside.spec.region import Plane, Region


@pytest.fixture(scope="module")
def maker() -> ModuleType:
    return lid_mould


@pytest.fixture(scope="module")
def perfect(maker: ModuleType) -> Surface:
    vertices, triangles = maker.perfect()
    return Surface(vertices / 1000, triangles)


@pytest.fixture(scope="module")
def scan(maker: ModuleType, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("demo") / "mould.stl"
    assert maker.main([str(path)]) == 0
    return path


def test_it_is_the_same_file_every_time(maker: ModuleType, scan: Path, tmp_path: Path) -> None:
    maker.main([str(tmp_path / "again.stl")])
    assert (tmp_path / "again.stl").read_bytes() == scan.read_bytes()
    assert maker.main([]) == 2


def test_it_reads_clean_and_faces_up(scan: Path, perfect: Surface, maker: ModuleType) -> None:
    surface, report = mended(read_mesh(scan, "mm"), facing=(0, 0, 1))
    assert 55_000 <= report.triangles <= 65_000
    assert (report.duplicates, report.degenerate, report.slivers, report.crowded, report.flipped) == (0, 0, 0, 0, 0)
    assert report.holes == ()
    assert len(components(surface)) == 1
    off = nearest(perfect, surface.vertices)[0]
    assert 0.00002 < np.sqrt((off**2).mean()) < 0.00005
    fair = faired(surface, 0.001)
    assert fair.area == pytest.approx(perfect.area, rel=1e-3)


def test_stated_points_lie_on_it(maker: ModuleType, perfect: Surface) -> None:
    stated = np.array([maker.START, *maker.TOGGLE_HOLES, *maker.BRACKETS]) / 1000
    assert nearest(perfect, stated)[0].max() < 0.00003


def test_the_skirt_leans_inward_and_the_part_ends_on_it(maker: ModuleType, perfect: Surface) -> None:
    x, y, z = 1000 * perfect.centroids.T
    edge = maker.gauge(x, y, maker.HALF_LENGTH, maker.HALF_WIDTH)
    wall = (z > 15) & (z < 27) & (edge > 0.97) & (edge < 1.02)
    lean = np.degrees(np.arcsin(-perfect.normals[wall, 2]))
    side, end = np.abs(x[wall]) < 20, np.abs(y[wall]) < 10
    assert lean[side] == pytest.approx(2.5, abs=0.3)
    assert lean[end] == pytest.approx(-2.0, abs=0.5)
    part = regions_of(
        perfect,
        {"part": Region(beside=Plane(point=(0, 0, maker.NET_EDGE_HEIGHT / 1000), normal=(0, 0, -1)))},
        {},
        "job.toml",
    )["part"]
    assert len(components(part)) == 1
    assert len(part.loops) == 1
    rim = 1000 * part.vertices[part.loops[0]]
    assert rim[:, 2] == pytest.approx(28, abs=0.01)
    assert part.size[:2] == pytest.approx([0.381, 0.26], abs=0.001)


def test_no_face_holds_the_part_when_the_halves_are_pulled_apart(perfect: Surface) -> None:
    half = perfect.centroids[:, 1] > 0.002
    assert perfect.normals[half, 1].max() < 0.02


def test_its_heights_are_those_stated(maker: ModuleType, perfect: Surface) -> None:
    (line,) = section(perfect, (0, 0.0001, 0), (0, 1, 0))
    along, height = 1000 * line[:, 0], 1000 * line[:, 2]
    assert height.min() == pytest.approx(-30, abs=0.02)
    assert np.interp(60, *_rising(along, height)) == pytest.approx(-18 * (1 - (60 / 190) ** 2), abs=0.05)
    assert np.ptp(along) == pytest.approx(550, abs=3)


def _rising(along: np.ndarray, height: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    keep = (along > 55) & (along < 150)
    order = np.argsort(along[keep])
    return along[keep][order], height[keep][order]


def test_the_recess_has_a_tight_concave_corner(maker: ModuleType, perfect: Surface) -> None:
    x, y, z = 1000 * perfect.vertices.T
    depth = maker.crown(x, y) - z
    foot = (np.abs(maker.gauge(x, y, 55, 35) - 1) < 0.12) & (depth > 10.2) & (depth < 11.8)
    tight = -curvature(perfect, 2).least[foot]
    assert 1 / np.percentile(tight, 75) == pytest.approx(0.003, rel=0.1)
