"""What the page of the mould shows, against shapes whose draft, radii and size are known."""

from __future__ import annotations

import json
import struct
from pathlib import Path

import numpy as np
import pytest
from tests.web.mouldfiles import as_stl, tray

from bagside.errors import InputError
from bagside.geometry import UNITS, Surface
from bagside.mould import bending
from bagside.web.pages.mould.bar import STEPS
from bagside.web.pages.mould.mesh import beside_job, size_words
from bagside.web.views.mould.drawn import piece_labels, splits
from bagside.web.views.mould.maps import DRAFT, LEAN, RADII, draft_maps, drafts, radius_maps
from bagside.web.views.mould.pull import best_pull
from bagside.web.views.mould.survey import MouldSeen, survey
from bagside.web.views.mould.unit import likely, mesh_read, sketch
from bagside.web.words.catalogue import catalogue
from bagside.web.words.tongue import Lengths, Tongue
from bagside.web.work.messages import StageNews


def bowl(radius: float, n: int = 61) -> Surface:
    """Return a part of a sphere, hollow upwards [m]."""
    side = np.linspace(-0.6 * radius, 0.6 * radius, n)
    x, y = np.meshgrid(side, side, indexing="ij")
    z = -np.sqrt(radius**2 - x**2 - y**2)
    i = np.arange(n * n).reshape(n, n)
    a, b, c, d = i[:-1, :-1].ravel(), i[1:, :-1].ravel(), i[1:, 1:].ravel(), i[:-1, 1:].ravel()
    return Surface(np.stack([x.ravel(), y.ravel(), z.ravel()], axis=1),
                   np.concatenate([np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)]))  # fmt: skip


def head_of(buffer: bytes) -> dict[str, object]:
    (length,) = struct.unpack("<I", buffer[4:8])
    return json.loads(buffer[8 : 8 + length])


@pytest.mark.parametrize("radius", [0.010, 0.030])
def test_the_map_of_inside_radii_reads_a_sphere(radius: float) -> None:
    surface = bowl(radius)
    maps = radius_maps(surface, bending(surface, 0.2 * radius), 0.001, visible=True, structural=False)
    inner = np.linalg.norm(surface.vertices[:, :2], axis=1) < 0.3 * radius
    np.testing.assert_allclose(maps["hollow"].values[inner], radius, rtol=0.03)
    assert (maps["raised"].values[inner] > 0.9).all(), "a hollow is not raised anywhere"
    assert maps["hollow"].limit == pytest.approx(0.006)  # where the mould side is seen: common practice, no source


def test_where_no_bend_can_be_read_the_nearest_stands_and_no_hole_is_left() -> None:
    surface = bowl(0.03)
    bent = bending(surface, 0.006)
    least = bent.least.copy()
    least[::7] = np.nan
    patched = type(bent)(**{k: getattr(bent, k) for k in bent.__dataclass_fields__} | {"least": least})
    values = radius_maps(surface, patched, 0.001, visible=True, structural=False)["hollow"].values
    assert np.isfinite(values).all()


@pytest.mark.parametrize("draft", [10.0, 3.0])
def test_the_map_of_draft_reads_the_walls_of_a_tray(draft: float) -> None:
    surface = tray(draft=draft)
    found = np.degrees(drafts(surface, ()))
    steep = surface.normals[:, 2] < np.sin(np.radians(45))
    beyond = np.abs(surface.corners[:, :, :2]).max(axis=1) > np.array([0.12, 0.08]) + 1e-6
    single = steep & (beyond.sum(axis=1) == 1)  # not in a corner of two walls
    assert single.sum() > 50
    np.testing.assert_allclose(found[single], draft, atol=0.05)
    assert np.isnan(draft_maps(surface, ())["lean"].values).all()


def test_walls_that_lean_over_are_shown_and_each_piece_is_read_against_its_own_pull() -> None:
    surface = tray(draft=10.0)
    over = Surface(surface.vertices * [1, 1, -1], surface.triangles)  # the same tray as a plug
    pieces = [("a", (0.0, -1.0, 0.0), (0, 0, 0), (0, -1, 0)), ("b", (0.0, 1.0, 0.0), (0, 0, 0), (0, 1, 0))]
    found = draft_maps(over, pieces)
    left = over.centroids[:, 1] < 0
    assert np.isfinite(found["draft"].values).all()
    (line,) = splits([*pieces, ("c", (0, 0, -1), (0.03, 0, 0.1), (0, -1, 0))], over)
    assert np.abs(line[:, 1]).max() < 1e-9, "two pieces and a third on the same plane come apart along one line"
    assert np.ptp(line[:, 0]) == pytest.approx(np.ptp(over.vertices[:, 0]))
    names = {p.words: p.at[1] for p in piece_labels(pieces, over)}
    assert names["a"] < 0 < names["b"]
    for mine, way in ((left, 1.0), (~left, -1.0)):
        np.testing.assert_allclose(
            found["draft"].values[mine], np.arcsin(np.clip(way * over.normals[mine, 1], -1, 1)), atol=1e-9
        )
    lean = found["lean"].values
    assert np.isfinite(lean).any()
    assert (lean[np.isfinite(lean)] > 0).all()


def test_bands_are_in_order_and_say_which_side_is_trouble() -> None:
    for bands in (RADII, DRAFT, LEAN):
        assert list(bands.edges) == sorted(bands.edges)
        assert len(bands.edges) <= 16
    assert DRAFT.band(np.radians([-0.5]))[0] < DRAFT.band(np.radians([1.5]))[0]


def test_a_mould_is_looked_at_before_anything_else_is_stated(tmp_path: Path) -> None:
    as_stl(tray(), tmp_path / "tray.stl")
    job = tmp_path / "job.toml"
    job.write_text('name = "tray"\n[mould]\nmesh = "tray.stl"\nunit = "mm"\n'
                   '[lines.middle]\npoints = ["0 -70 -30 mm", "0 70 -30 mm"]\n', encoding="utf-8")  # fmt: skip
    told: list[object] = []
    seen = survey(told.append, job)
    assert seen is not None
    assert [t.whole for t in told if isinstance(t, MouldSeen)] == [False], "the shape is there before it is measured"
    begun = [t.stage for t in told if isinstance(t, StageNews)]
    assert [stage for stage in begun if stage in STEPS] == list(STEPS), "the steps that the page shows"
    assert seen.whole
    np.testing.assert_allclose(seen.report.size, tray().size, atol=1e-6)
    (piece,) = seen.pieces
    assert np.degrees(piece.smallest) == pytest.approx(10.0, abs=0.6)
    assert piece.hook == 0.0
    head = head_of(seen.mesh)
    assert [f["key"] for f in head["fields"]] == ["hollow", "raised", "draft", "lean", "corner"]
    assert {line["look"] for line in head["lines"]} >= {"seam", "net edge"}
    assert seen.still.startswith("<svg")
    assert seen.problems == ()


def test_what_does_not_fit_is_told_and_the_mould_is_shown_all_the_same(tmp_path: Path) -> None:
    as_stl(tray(), tmp_path / "tray.stl")
    job = tmp_path / "job.toml"
    job.write_text('[mould]\nmesh = "tray.stl"\nunit = "mm"\n[[holes]]\nname = "far"\nat = "0 0 500 mm"\n'
                   'diameter = "8 mm"\n', encoding="utf-8")  # fmt: skip
    seen = survey(lambda _: None, job)
    assert seen is not None
    assert [p.place for p in seen.problems] == ["job.toml, hole far, at"]
    job.write_text('[mould]\nmesh = "gone.stl"\nunit = "mm"\n', encoding="utf-8")
    with pytest.raises(InputError, match="no such file"):
        survey(lambda _: None, job)
    job.write_text('name = "by tape"\n', encoding="utf-8")
    assert survey(lambda _: None, job) is None


def test_the_best_pull_of_a_leaning_half_leaves_nothing_hooked(tmp_path: Path) -> None:
    plug = tray(draft=10.0)
    lip = plug.vertices.copy()
    lip[:, 1] *= 1.0 - 1.2 * np.clip((lip[:, 2] + 0.03) / 0.03, 0, 1) * 0.2  # its long walls lean inward at the top
    as_stl(Surface(lip, plug.triangles), tmp_path / "tray.stl")
    job = tmp_path / "job.toml"
    job.write_text(
        '[mould]\nmesh = "tray.stl"\nunit = "mm"\n'
        '[[mould.pieces]]\nname = "a"\npull = [0, 0, -1]\nside = { point = "0 0 0 mm", normal = [0, -1, 0] }\n'
        '[[mould.pieces]]\nname = "b"\npull = [0, 0, -1]\nside = { point = "0 0 0 mm", normal = [0, 1, 0] }\n',
        encoding="utf-8",
    )
    before = survey(lambda _: None, job)
    assert before is not None
    assert before.pieces[0].hook > 0.001, "straight off it is locked"
    x, y, z = best_pull(lambda _: None, job, 0)
    assert y < -0.3
    text = job.read_text(encoding="utf-8").replace("pull = [0, 0, -1]", f"pull = [{x}, {y}, {z}]", 1)
    job.write_text(text, encoding="utf-8")
    after = survey(lambda _: None, job)
    assert after is not None
    assert after.pieces[0].hook < before.pieces[0].hook / 5


def test_size_is_told_in_every_unit_and_none_is_chosen(tmp_path: Path) -> None:
    surface = tray()
    path = as_stl(surface, tmp_path / "tray.stl", per_metre=1000.0)
    read = mesh_read(path)
    np.testing.assert_allclose(read.size, 1000 * surface.size, rtol=1e-5)
    assert not read.own_unit
    assert sorted(likely(read)) == sorted(UNITS)
    assert likely(read)[0] == "mm"
    assert likely(mesh_read(as_stl(surface, tmp_path / "inch.stl", per_metre=1 / 0.0254)))[0] in ("in", "cm")
    for unit in UNITS:
        drawn = sketch(read, unit, Tongue())
        assert drawn.startswith("<svg")
        assert "NaN" not in drawn
    assert size_words((0.412, 0.268, 0.0612), Tongue()) == "412 × 268 × 61.2 mm"
    assert size_words((5.5, 4.2, 0.65), Tongue(language="de")) == "5,50 × 4,20 × 0,65 m"
    assert size_words((0.254, 0.0254, 0.0127), Tongue(lengths=Lengths.INCH)) == "10.00 × 1.00 × 0.50 in"


def test_a_file_of_the_same_name_is_not_written_over(tmp_path: Path) -> None:
    first, second = tmp_path / "a.stl", tmp_path / "b.stl"
    first.write_bytes(b"one")
    second.write_bytes(b"two")
    folder = tmp_path / "job"
    folder.mkdir()
    assert beside_job(first, folder, "../../Deck mould.stl") == "Deck mould.stl"
    assert beside_job(first, folder, "Deck mould.stl") == "Deck mould.stl"
    assert beside_job(second, folder, "Deck mould.stl") == "Deck mould-2.stl"
    assert sorted(p.name for p in folder.iterdir()) == ["Deck mould-2.stl", "Deck mould.stl"]
    assert (folder / "Deck mould.stl").read_bytes() == b"one"


def test_both_languages_have_the_same_texts_with_the_same_places() -> None:
    english, german = catalogue("en"), catalogue("de")
    for file in ("mould.", "scene."):
        keys = {k for k in english if k.startswith(file)}
        assert keys == {k for k in german if k.startswith(file)}
        for key in keys:
            places = {p.split("}")[0] for p in english[key].split("{")[1:]}
            assert places == {p.split("}")[0] for p in german[key].split("{")[1:]}, key
