"""What clicks write into the job: read back as a job states it, with everything a person wrote left as it was."""

from __future__ import annotations

import numpy as np
import pytest
import tomlkit

from bagside.errors import InputError
from bagside.geometry import Surface, regions_of
from bagside.spec.job import Mould
from bagside.spec.lines import Line
from bagside.spec.reading import stated_from
from bagside.spec.region import Hole, Region
from bagside.web.pages.mould import edge_edits, edits, piece_edits
from bagside.web.pages.mould.document import Change

JOB = """# a lid, as its maker wrote it
name = "lid"   # of the day hatch
part = "lid"

[mould]
mesh = "mould.stl"     # scanned in May
unit = "mm"
material = "glass-epoxy"
thickness = "7 mm"

[regions.lid]
beside = { point = "0 0 28 mm", normal = [0, 0, -1] }

[regions.pads]
near = { distance = "26 mm", holes = ["fore", "aft"] }

[[holes]]
name = "fore"
at = "85 0 -14.4 mm"
diameter = "8 mm"

[[holes]]
name = "aft"
at = "-85 0 -14.4 mm"
diameter = "8 mm"
"""


def changed(*changes: Change, text: str = JOB) -> tomlkit.TOMLDocument:
    document = tomlkit.parse(text)
    for change in changes:
        change(document)
    return tomlkit.parse(tomlkit.dumps(document))  # what is written must be read again


def written(*changes: Change, text: str = JOB) -> str:
    return tomlkit.dumps(changed(*changes, text=text))


def plate(n: int = 41) -> Surface:
    """Return a square of 400 mm with a bowl in it, open upwards."""
    x, y = np.meshgrid(np.linspace(-0.2, 0.2, n), np.linspace(-0.2, 0.2, n), indexing="ij")
    z = 0.5 * (x**2 + y**2)
    i = np.arange(n * n).reshape(n, n)
    a, b, c, d = i[:-1, :-1].ravel(), i[1:, :-1].ravel(), i[1:, 1:].ravel(), i[:-1, 1:].ravel()
    return Surface(np.stack([x.ravel(), y.ravel(), z.ravel()], axis=1),
                   np.concatenate([np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)]))  # fmt: skip


def test_what_a_person_wrote_stays_as_it_was() -> None:
    text = written(edits.hole_added("hole 1", (0.01, 0.02, 0.03), "6 mm"), edits.side_set((0, 0, 2.0)))
    for line in JOB.splitlines():
        assert line in text.splitlines()


def test_a_hole_is_added_renamed_where_it_is_used_and_taken_away() -> None:
    document = changed(edits.hole_added("drain", (0.0123, -0.00004, 0.5), "6 mm"))
    holes = stated_from(document.unwrap()["holes"], tuple[Hole, ...], "job.toml")
    assert holes[2] == Hole(name="drain", at=(0.0123, 0.0, 0.5), diameter=0.006)
    renamed = changed(edits.hole_set(0, "name", "front")).unwrap()
    assert [h["name"] for h in renamed["holes"]] == ["front", "aft"]
    assert renamed["regions"]["pads"]["near"]["holes"] == ["front", "aft"]
    assert [h["name"] for h in changed(edits.hole_removed(0)).unwrap()["holes"]] == ["aft"]
    assert "holes" not in changed(edits.hole_removed(0), edits.hole_removed(0))
    with pytest.raises(InputError, match="not there any more"):
        changed(edits.hole_removed(5))


def test_a_line_is_drawn_moved_and_taken_away() -> None:
    points = ((0.0, -0.19, 0.03), (0.0, 0.0, -0.03), (0.0, 0.19, 0.03))
    document = changed(edits.line_set("middle of it", points), edits.line_moved("middle of it", 1, (0.001, 0.0, -0.03)))
    line = stated_from(document.unwrap()["lines"]["middle of it"], Line, "job.toml")
    np.testing.assert_allclose(line.points, (points[0], (0.001, 0.0, -0.03), points[2]), atol=5e-5)
    assert not line.closed
    assert "lines" not in changed(edits.line_set("a", points[:2]), edits.line_removed("a"))
    with pytest.raises(InputError, match="gone"):
        changed(edits.line_moved("a", 0, (0, 0, 0)))


@pytest.mark.parametrize("along", [(0.0, 0.0, 1.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0), (0.3, -0.2, 0.8)])
def test_a_net_edge_that_is_clicked_bounds_what_lies_within_it(along: tuple[float, float, float]) -> None:
    # a flat square of 400 mm that faces `along`; the region must have the area of the clicked triangle, by hand
    w = np.array(along) / np.linalg.norm(along)
    u = np.cross(w, [0.1, 0.7, 0.6])
    u /= np.linalg.norm(u)
    v = np.cross(w, u)
    flat = plate()
    vertices = flat.vertices[:, :1] * u + flat.vertices[:, 1:2] * v
    surface = Surface(vertices, flat.triangles)
    corners = [tuple(0.1 * a * u + 0.1 * b * v) for a, b in ((-1, -1), (1, -1), (0, 1))]
    document = changed(edge_edits.net_edge_set(corners, along)).unwrap()
    region = stated_from(document["regions"]["lid"], Region, "job.toml")
    assert set(document["regions"]["lid"]) == {"inside"}, "the old edge is stated no more"
    found = regions_of(surface, {"lid": region}, {}, "job.toml")["lid"]
    assert found.area == pytest.approx(0.5 * 0.2 * 0.2, rel=2e-3)


def test_a_net_edge_at_a_height_keeps_the_side_of_the_part() -> None:
    surface = plate()
    low = changed(edge_edits.net_edge_at((0.1, 0.0, 0.005), (0.0, 0.0, 0.0), (0, 0, 1))).unwrap()["regions"]["lid"]
    region = stated_from(low, Region, "job.toml")
    found = regions_of(surface, {"lid": region}, {}, "job.toml")["lid"]
    assert found.vertices[:, 2].max() == pytest.approx(0.005, abs=1e-6)
    assert found.vertices[:, 2].min() == pytest.approx(0.0, abs=1e-9)
    with pytest.raises(InputError, match="clearly higher or lower"):
        edge_edits.net_edge_at((0.1, 0, 0.005), (0.0, 0, 0.0051), (0, 0, 1))


def test_a_part_without_a_region_gets_one() -> None:
    text = 'name = "plate"\n\n[mould]\nmesh = "m.stl"\n'
    document = changed(edge_edits.net_edge_at((0.1, 0, 0.005), (0, 0, 0), (0, 0, 1)), text=text).unwrap()
    assert document["part"] == "part"
    assert document["regions"]["part"]["beside"]["normal"] == [0, 0, -1]


def test_three_corners_round_nothing_are_refused() -> None:
    with pytest.raises(InputError, match="three corners"):
        edge_edits.net_edge_set([(0, 0, 0), (0.1, 0, 0), (0.2, 0, 0)], (0, 0, 1))
    with pytest.raises(InputError, match="three corners"):
        edge_edits.net_edge_set([(0, 0, 0), (0.1, 0, 0)], (0, 0, 1))


def test_a_split_makes_two_pieces_that_go_apart() -> None:
    document = changed(piece_edits.split_set((-0.2, 0, 0.01), (0.2, 0, 0.01), (0, 0, 1), ("left", "right")))
    mould = stated_from(document.unwrap()["mould"], Mould, "job.toml")
    one, other = mould.pieces
    assert (one.name, other.name) == ("left", "right")
    np.testing.assert_allclose(one.pull, -np.array(other.pull))
    assert one.side is not None
    assert abs(one.pull[1]) == pytest.approx(1)
    np.testing.assert_allclose(one.side.normal, one.pull)
    again = changed(
        piece_edits.split_set((-0.2, 0, 0.01), (0.2, 0, 0.01), (0, 0, 1), ("left", "right")),
        piece_edits.pull_set(1, (0.0, -2.0, -0.3)),
    ).unwrap()
    assert again["mould"]["pieces"][1]["pull"] == [0, -0.989, -0.148]
    whole = changed(
        piece_edits.split_set((-0.2, 0, 0.01), (0.2, 0, 0.01), (0, 0, 1), ("left", "right")), piece_edits.one_piece()
    ).unwrap()
    assert "pieces" not in whole["mould"]
    with pytest.raises(InputError, match="stand apart"):
        piece_edits.split_set((0, 0, 0), (0, 0, 0.2), (0, 0, 1), ("left", "right"))


def test_a_scan_is_cut_off_and_made_whole_again() -> None:
    points = ((0.1, 0, 0), (0, 0.1, 0), (-0.1, 0, 0), (0, -0.1, 0))
    mould = changed(edge_edits.cut_off_set(points, (0, 0, 0))).unwrap()["mould"]
    assert len(mould["net_edge"]) == 4
    assert mould["inside"] == "0 0 0 mm"
    assert not {"net_edge", "inside"} & set(
        changed(edge_edits.cut_off_set(points, (0, 0, 0)), edge_edits.cut_off_set((), None)).unwrap()["mould"]
    )


def test_a_mesh_brings_a_start_and_a_side_only_where_none_is_stated() -> None:
    document = changed(edits.mesh_set("new.stl", "in", (0.01, 0, 0.02))).unwrap()
    assert document["mould"]["mesh"] == "new.stl"
    assert document["mould"]["unit"] == "in"
    assert document["mould"]["laminate_side"] == [0, 0, 1]
    assert document["laying"]["start"] == "10 0 20 mm"
    plies = 'part = "plate"\n\n[[plies]]\nregion = "pad"\n\n[[plies]]\nregion = "everything"\n'
    regions = changed(edits.mesh_set("a.stl", "mm", (0, 0, 0)), text=plies).unwrap()["regions"]
    assert regions == {"plate": {"of": "everything"}, "pad": {"of": "everything"}}
    assert "regions" not in changed(edits.mesh_set("a.stl", "mm", (0, 0, 0)), text='part = "everything"\n').unwrap()
    stated = JOB + '\n[laying]\nstart = "1 2 3 mm"\n'
    assert changed(edits.mesh_set("a.stl", "mm", (0, 0, 0)), text=stated).unwrap()["laying"]["start"] == "1 2 3 mm"


def test_an_inline_list_of_holes_is_refused_in_words() -> None:
    with pytest.raises(InputError, match=r"\[\[holes\]\] tables are wanted"):
        changed(edits.hole_added("a", (0, 0, 0), "8 mm"), text='holes = [{ name = "x", at = "0 0 0 mm" }]\n')
