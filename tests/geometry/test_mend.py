from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import shapes
from bagside.errors import InputError
from bagside.findings import Severity
from bagside.geometry import Raw, Surface, mended, mending_findings, read_mesh
from bagside.geometry.topology import consistent, parted

CAP = shapes.hemisphere(0.1, 1.2, 12)


def raw(surface: Surface, *more: Surface) -> Raw:
    vertices, triangles, start = [], [], 0
    for one in (surface, *more):
        vertices.append(one.vertices)
        triangles.append(one.triangles + start)
        start += len(one.vertices)
    return Raw(vertices=np.concatenate(vertices), triangles=np.concatenate(triangles), name="m.stl", unit="mm")


def moved(surface: Surface, *by: float) -> Surface:
    return Surface(surface.vertices + np.array(by), surface.triangles)


def test_a_clean_mesh_stays_as_it_is() -> None:
    surface, report = mended(raw(CAP), facing=(0, 0, 1))
    assert len(surface.triangles) == len(CAP.triangles)
    assert surface.area == pytest.approx(CAP.area, rel=1e-12)
    assert (report.merged, report.duplicates, report.degenerate, report.slivers, report.crowded, report.flipped) == (
        (0,) * 6
    )
    assert report.holes == ()
    assert report.rim == pytest.approx(2 * np.pi * 0.1 * np.sin(1.2), rel=1e-3)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 2**32 - 1), st.floats(0, 1))
def test_any_shuffled_double_sided_turned_over_soup_gives_the_same_surface(seed: int, share: float) -> None:
    rng = np.random.default_rng(seed)
    t = CAP.triangles.copy()
    turn = rng.random(len(t)) < share
    t[turn] = t[turn][:, ::-1]
    doubled = np.concatenate([t, t[rng.random(len(t)) < 0.5][:, ::-1]])
    rng.shuffle(doubled)
    soup = Raw(
        vertices=CAP.vertices[doubled].reshape(-1, 3),
        triangles=np.arange(3 * len(doubled)).reshape(-1, 3),
        name="soup.stl",
    )
    surface, report = mended(soup, facing=(0, 0, 1))
    assert report.duplicates == len(doubled) - len(t)
    assert surface.area == pytest.approx(CAP.area, rel=1e-9)
    assert consistent(surface.triangles)
    assert len(surface.loops) == 1
    assert (surface.normals * surface.centroids).sum(axis=1).min() > 0
    assert report.flipped <= len(t) // 2


def test_facing_chooses_the_laminate_side() -> None:
    up, _ = mended(raw(CAP), facing=(0, 0, 1))
    down, _ = mended(raw(CAP), facing=(0.2, 0, -1))
    assert (up.normals * up.centroids).sum(axis=1).min() > 0
    assert (down.normals * down.centroids).sum(axis=1).max() < 0
    with pytest.raises(InputError) as caught:
        mended(raw(CAP), facing=(1, 0, 0))
    assert str(caught.value) == (
        "m.stl: laminate side [1.0, 0.0, 0.0] – as much of the surface looks along this direction as against it; "
        "one is wanted that the mould opens to (most of it looks along [0.0, 0.0, 1.0] or the opposite)"
    )


def test_two_sheets_are_named_and_keep_chooses() -> None:
    both = raw(CAP, moved(CAP, 0, 0, 0.01))
    with pytest.raises(InputError) as caught:
        mended(both, facing=(0, 0, 1))
    area = f"{10_000 * CAP.area:.1f} cm²"
    assert str(caught.value) == (
        f"m.stl: a mesh of two sheets, {area} and {area} – one surface is wanted: the side that the laminate lies on "
        "(state `keep`, a point on that sheet, or delete the other one)"
    )
    lower, report = mended(both, facing=(0, 0, 1), keep=(0, 0, 0.1))
    upper, _ = mended(both, facing=(0, 0, 1), keep=(0, 0, 0.111))
    assert lower.vertices[:, 2].max() == pytest.approx(0.1)
    assert upper.vertices[:, 2].max() == pytest.approx(0.11)
    assert len(report.components) == 2
    with pytest.raises(InputError) as caught:
        mended(both, facing=(0, 0, 1), keep=(0, 0, 0.2))
    assert str(caught.value) == (
        "m.stl: keep 0.0 0.0 200.0 mm – a point on the sheet to keep is wanted, this one lies 90 mm off the nearest"
    )


def test_a_small_island_is_left_out_and_told() -> None:
    island = moved(shapes.plane(0.01, 0.01, 2, 2), 0.3, 0, 0)
    surface, report = mended(raw(island, CAP), facing=(0, 0, 1))
    assert surface.area == pytest.approx(CAP.area)
    assert report.components == pytest.approx((CAP.area, 1e-4))
    told = mending_findings(report)
    assert [f.severity for f in told] == [Severity.SEEN, Severity.SEEN]
    assert told[1].what == "1 loose parts with 1.0 cm² together were left out."


def test_holes_are_measured_and_stay_open() -> None:
    holed = shapes.plane_with_hole(0.3, 0.05)
    surface, report = mended(raw(holed), facing=(0, 0, 1))
    assert len(surface.loops) == 2
    (length, centre), *others = report.holes
    assert not others
    assert length == pytest.approx(2 * np.pi * 0.05, rel=1e-3)
    assert centre == pytest.approx((0, 0, 0), abs=1e-9)
    assert report.rim == pytest.approx(1.2)
    hole = mending_findings(report)[-1]
    assert hole.severity is Severity.DECIDE
    assert hole.what == "There is a hole in the surface, 314 mm around."


def test_a_fin_is_parted_and_the_sheet_stays_whole() -> None:
    flat = shapes.plane(0.1, 0.1, 10, 10)
    edge = [60, 61, 62]  # a line of inner vertices along y
    fin = np.array([[edge[0], edge[1], 121], [edge[1], edge[2], 121]])
    with_fin = Raw(
        vertices=np.concatenate([flat.vertices, [[0, 0, 0.02]]]),
        triangles=np.concatenate([fin, flat.triangles]),
        name="fin.stl",
    )
    surface, report = mended(with_fin, facing=(0, 0, 1))
    assert report.crowded == 2
    assert surface.area == pytest.approx(0.01, rel=1e-12)
    assert len(surface.loops) == 1


def test_sheets_that_touch_at_a_point_get_defined_loops() -> None:
    flat = shapes.plane(0.1, 0.1, 10, 10)
    c = flat.centroids
    bow = flat.selected(c[:, 0] * c[:, 1] > 0)
    with pytest.raises(ValueError, match="touches itself"):
        _ = bow.loops
    vertices, triangles, crowded = parted(bow.vertices, bow.triangles)
    assert crowded == 0
    assert len(vertices) == len(bow.vertices) + 1
    assert len(Surface(vertices, triangles).loops) == 2


def test_slivers_are_mended_without_a_crack() -> None:
    flat = shapes.plane(0.1, 0.1, 4, 4)
    a, b, c = flat.triangles[5]
    middle = 0.5 * (flat.vertices[a] + flat.vertices[b])
    inward = flat.vertices[c] - middle
    n = len(flat.vertices)
    cap = np.array([[a, b, n], [b, c, n], [c, a, n]])
    keep = np.delete(flat.triangles, 5, axis=0)
    odd = Raw(
        vertices=np.concatenate([flat.vertices, [middle + 1e-6 * inward]]),
        triangles=np.concatenate([keep, cap]),
        name="cap.stl",
    )
    surface, report = mended(odd, facing=(0, 0, 1))
    assert report.slivers == 1
    assert surface.area == pytest.approx(0.01, rel=1e-6)
    assert len(surface.loops) == 1
    assert surface.loops[0].size == 16


def test_collapsed_triangles_are_dropped_and_nothing_left_is_named() -> None:
    spare = np.concatenate([CAP.triangles, [[0, 0, 1], [2, 3, 2]]])
    _, report = mended(Raw(vertices=CAP.vertices, triangles=spare, name="m.stl"), facing=(0, 0, 1))
    assert report.degenerate == 2
    with pytest.raises(InputError) as caught:
        mended(Raw(vertices=np.zeros((3, 3)), triangles=np.array([[0, 1, 2]]), name="m.stl"), facing=(0, 0, 1))
    assert str(caught.value) == "m.stl – every triangle in the file is without area; export the surface again"


def test_a_band_with_one_side_is_refused() -> None:
    n = 40
    turn = 2 * np.pi * np.arange(n) / n
    across = np.stack([np.cos(turn / 2) * np.cos(turn), np.cos(turn / 2) * np.sin(turn), np.sin(turn / 2)], axis=1)
    ring = np.stack([np.cos(turn), np.sin(turn), 0 * turn], axis=1)
    points = np.concatenate([ring - 0.3 * across, ring + 0.3 * across])
    triangles = []
    for k in range(n):
        a, b = k, n + k
        c, d = ((k + 1) % n, n + (k + 1) % n) if k < n - 1 else (n, 0)
        triangles += [(a, c, b), (b, c, d)]
    with pytest.raises(InputError) as caught:
        mended(Raw(vertices=points, triangles=np.array(triangles), name="band.stl"), facing=(0, 0, 1))
    assert str(caught.value) == (
        "band.stl – the surface is twisted like a band that has one side only; check it where sheets meet"
    )


def test_a_closed_body_has_its_laminate_outside() -> None:
    low = Surface(CAP.vertices * [1, 1, 0], CAP.triangles[:, ::-1])
    closed, report = mended(raw(CAP, moved(low, 0, 0, float(CAP.vertices[:, 2].min()))), facing=(0, 0, -1))
    assert closed.loops == ()
    assert report.rim == 0
    assert mending_findings(report)[1].what == (
        "The mesh is a closed body; the laminate is taken to lie on its outside, all round."
    )
    top = closed.centroids[:, 2] > 0.06
    assert (closed.normals[top, 2] > 0).all()


def test_open_scan_is_one_clean_sheet(open_data: object) -> None:
    path = open_data / "meshes" / "synthetic_dirty_scan_cowl.ply"  # type: ignore[operator]
    surface, report = mended(read_mesh(path, "mm"), facing=(0, 0, 1))
    assert report.duplicates == 60
    assert report.flipped == 80
    assert len(report.holes) == 11
    assert consistent(surface.triangles)
    assert report.size[0] == pytest.approx(0.4006, abs=1e-3)
