"""Dirty scans of a known tray, whole: mended, smoothed, thinned, filled, against the truth."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import scans
import shapes
from bagside.errors import InputError
from bagside.findings import Severity
from bagside.geometry import Raw, Wish, mending_findings, opened, read_mesh, section
from bagside.geometry.topology import consistent
from bagside.spec.region import Plane, Region

TRAY = scans.Tray()
UP = (0.0, 0.0, 1.0)


def told(report: object) -> dict[str, Severity]:
    return {f.what: f.severity for f in mending_findings(report)}  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("seed", "triangles", "noise"),
    [(1, 200_000, 0.0001), (2, 200_000, 0.0003), (3, 60_000, 0.00012), (4, 200_000, 0.0005)],
)
def test_a_dirty_scan_becomes_the_tray(seed: int, triangles: int, noise: float) -> None:
    raw = scans.scanned(TRAY, triangles, seed, scans.Dirt(noise=noise))
    made = opened(raw, Wish(facing=UP, noise=noise, fill_holes=0.08, smallest_fillet=0.004))
    surface, report = made.work, made.report
    assert surface.area == pytest.approx(TRAY.area, rel=0.005)
    off = TRAY.off(surface.vertices)
    assert np.sqrt((off**2).mean()) < max(0.00008, 0.4 * noise)
    assert np.quantile(off, 0.99) < 0.0003 + noise
    assert off.max() < 0.0012 + noise
    assert len(surface.loops) == 1
    assert consistent(surface.triangles)
    assert (surface.areas * surface.normals[:, 2]).sum() > 0.5 * surface.area
    assert (surface.areas[surface.normals[:, 2] < 0]).sum() < 1e-5 * surface.area
    assert len(report.filled) == 6
    assert report.holes == ()
    assert len(report.spikes) >= 28
    assert (report.passes, report.beyond) == (3, 0)
    assert report.roughness == pytest.approx(noise, rel=0.1)
    assert report.crowded >= 4
    assert len(surface.triangles) < 100_000


def test_a_fillet_of_3_mm_survives_thinning_of_a_dense_scan() -> None:
    raw = scans.scanned(TRAY, 400_000, 7, scans.Dirt(noise=0.0001))
    made = opened(raw, Wish(facing=UP, noise=0.0001, size=0.004, smallest_fillet=0.003))
    assert len(made.work.triangles) < 60_000
    centre = TRAY.nodes()[1][3] + 0.003 * np.array([np.sin(TRAY.steep), np.cos(TRAY.steep)])
    radii = []
    for y in np.linspace(-0.12, 0.12, 9):
        for x, sign in ((centre[0], 1), (-centre[0], -1)):
            line = np.concatenate(section(made.work, np.array([x, y, 0.0]), np.array([0.0, 1.0, 0.0])))
            at = line[:, [0, 2]] - np.array([x, centre[1]])
            angle = np.arctan2(-at[:, 1], -sign * at[:, 0])
            near = (np.linalg.norm(at, axis=1) < 0.0045) & (angle > np.radians(35)) & (angle < np.radians(75))
            p = at[near]
            a = np.column_stack([2 * p, np.ones(len(p))])
            cx, cy, c = np.linalg.lstsq(a, (p**2).sum(axis=1), rcond=None)[0]
            radii.append(np.sqrt(c + cx * cx + cy * cy))
    assert np.median(radii) == pytest.approx(0.003, rel=0.15)
    assert made.report.deviation is not None
    assert made.report.deviation.rms < 0.00005
    assert made.report.deviation.largest < 0.0004


def test_even_meshing_without_a_stated_fillet_stays_as_it_was(open_data: Path) -> None:
    from bagside.geometry import faired, mended, remeshed

    raw = read_mesh(open_data / "meshes" / "synthetic_dirty_scan_cowl.ply", "mm")
    made = opened(raw, Wish(facing=UP))
    whole, report = mended(raw, facing=UP)
    work = remeshed(whole, 0.003, 0.0002)
    assert np.array_equal(made.work.vertices, work.vertices)
    assert np.array_equal(made.fine.vertices, whole.vertices)
    assert made.report.holes == report.holes
    assert faired(whole, 0) is whole


def test_the_open_dirty_scan_comes_out_whole(open_data: Path) -> None:
    raw = read_mesh(open_data / "meshes" / "synthetic_dirty_scan_cowl.ply", "mm")
    made = opened(raw, Wish(facing=UP, noise=0.00012, fill_holes=0.4))
    assert len(made.work.loops) == 1
    assert len(made.report.filled) == 11
    assert made.report.roughness == pytest.approx(0.00012, rel=0.15)  # as its maker states
    assert made.report.roughness > 0
    assert (made.work.areas[made.work.normals[:, 2] < 0]).sum() < 1e-4 * made.work.area


def test_unstated_noise_is_measured_and_told() -> None:
    raw = scans.scanned(TRAY, 40_000, 5, scans.Dirt(noise=0.0003, spikes=0, fins=0))
    report = opened(raw, Wish(facing=UP, tolerance=0.001)).report
    (what,) = [w for w in told(report) if "rough" in w]
    assert what in {f"The surface is rough by 0.{n} mm, 0.00 mm are stated." for n in (28, 29, 30, 31, 32)}
    assert told(report)[what] is Severity.DECIDE


def test_a_pass_that_reaches_beyond_is_told() -> None:
    one, two = shapes.plane(0.2, 0.2, 60, 60), shapes.plane(0.1, 0.1, 31, 31)
    raw = Raw(
        vertices=np.concatenate([one.vertices, two.vertices + np.array([0.08, 0.0, 0.0003])]),
        triangles=np.concatenate([one.triangles, two.triangles + len(one.vertices)]),
        name="two.stl",
        unit="mm",
    )
    report = opened(raw, Wish(facing=UP, keep=(-0.05, 0, 0))).report
    assert (report.passes, report.beyond) == (0, 1)
    assert told(report)[
        "1 sheets lie on the surface in part and reach beyond it; they were left out whole."
    ] is Severity.DECIDE


def test_a_second_full_pass_needs_no_choice_and_a_thick_shell_does() -> None:
    one = shapes.hemisphere(0.1, 1.2, 40)

    def both(apart: float) -> Raw:
        other = one.vertices * (1 + apart / 0.1)
        return Raw(
            vertices=np.concatenate([one.vertices, other]),
            triangles=np.concatenate([one.triangles, one.triangles[:, ::-1] + len(other)]),
            name="two.stl",
            unit="mm",
        )

    made = opened(both(0.0003), Wish(facing=UP))
    assert made.report.passes == 1
    assert made.work.area == pytest.approx(one.area, rel=0.01)
    with pytest.raises(InputError, match="a mesh of two sheets"):
        opened(both(0.003), Wish(facing=UP))


def test_a_mould_on_a_table_is_named_and_cut_off() -> None:
    plug = scans.plug_on_table()
    raw = Raw(vertices=plug.vertices, triangles=plug.triangles, name="plug.stl", unit="mm")
    report = opened(raw, Wish(facing=UP)).report
    assert report.table is not None
    assert report.table.normal == pytest.approx((0, 0, 1), abs=1e-6)
    assert report.table.point[2] == pytest.approx(0, abs=2e-4)
    assert report.table.area == pytest.approx(0.36 - np.pi * 0.12**2, rel=0.03)
    (what,) = [w for w in told(report) if w.startswith("A flat part")]
    assert told(report)[what] is Severity.DECIDE
    made = opened(raw, Wish(facing=UP, off_table=0.002))
    # z = H (1 − (r/R)²)² meets 2 mm at r = R √(1 − √(2/60))
    radius = 0.12 * np.sqrt(1 - np.sqrt(2 / 60))
    assert made.work.size[:2] == pytest.approx(2 * radius, rel=0.01)
    assert len(made.work.loops) == 1
    with pytest.raises(InputError, match="there is no table in the mesh"):
        opened(scans.scanned(TRAY, 20_000, 1, scans.Dirt(noise=0)), Wish(facing=UP, off_table=0.002))


def test_a_flat_panel_and_a_bowl_have_no_table() -> None:
    for shape in (shapes.plane(), shapes.hemisphere(0.1, 1.2, 30), shapes.cylinder()):
        raw = Raw(vertices=shape.vertices, triangles=shape.triangles, name="x.stl", unit="mm")
        assert opened(raw, Wish(facing=UP)).report.table is None


def test_net_edge_and_region_cut_the_scan_down() -> None:
    raw = scans.scanned(TRAY, 60_000, 2, scans.Dirt(noise=0.0001, holes=0))
    edge = [(-0.08, -0.1, -0.055), (0.08, -0.1, -0.055), (0.08, 0.1, -0.055), (-0.08, 0.1, -0.055)]
    made = opened(raw, Wish(facing=UP, noise=0.0001, net_edge=edge, inside=(0, 0, -0.055)))
    assert made.work.area == pytest.approx(0.16 * 0.2, rel=0.005)
    assert made.report.cropped is not None
    assert made.report.cropped.edge == pytest.approx(0.72, rel=0.003)
    half = opened(raw, Wish(facing=UP, noise=0.0001, region=Region(beside=Plane(point=(0, 0, 0), normal=(0, 1, 0)))))
    assert half.work.area == pytest.approx(TRAY.area / 2, rel=0.005)
    with pytest.raises(InputError, match="says nothing without a net_edge"):
        opened(raw, Wish(facing=UP, inside=(0, 0, -0.055)))


@pytest.mark.parametrize(
    ("factor", "unit", "others"),
    [(1000.0, "m", "in mm 335 × 300 × 54 mm"), (0.001, "mm", "in m 335 × 300 × 54 mm")],
)
def test_a_size_no_mould_has_is_refused_with_the_other_units(factor: float, unit: str, others: str) -> None:
    raw = scans.scanned(TRAY, 5_000, 1, scans.Dirt(noise=0, islands=0, spikes=0))
    wrong = Raw(vertices=raw.vertices * factor, triangles=raw.triangles, name="tray.stl", unit=unit)
    with pytest.raises(InputError) as caught:
        opened(wrong, Wish(facing=UP))
    assert others in str(caught.value)
    assert f"read in {unit}" in str(caught.value)


def test_an_unusual_size_is_a_question() -> None:
    raw = scans.scanned(TRAY, 5_000, 1, scans.Dirt(noise=0, islands=0, spikes=0))
    large = Raw(vertices=raw.vertices * 39.37, triangles=raw.triangles, name="tray.stl", unit="in")
    found = mending_findings(opened(large, Wish(facing=UP, size=0.1, tolerance=0.01)).report)
    (asked,) = [f for f in found if "unusually" in f.what]
    assert asked.severity is Severity.DECIDE
    assert "in cm 5191 × 4650 × 840 mm" in asked.do
    assert "in ft" in asked.do


def test_the_same_scan_gives_the_same_surface() -> None:
    raw = scans.scanned(TRAY, 160_000, 9)
    wish = Wish(facing=UP, noise=0.0003, fill_holes=0.08, smallest_fillet=0.004)
    one, two = opened(raw, wish), opened(raw, wish)
    assert np.array_equal(one.work.vertices, two.work.vertices)
    assert np.array_equal(one.work.triangles, two.work.triangles)
    assert one.report == two.report
