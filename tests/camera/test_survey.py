"""A table of marker pages from photos: exact photos of pages laid by hand are the truth."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely

from bagside.camera.mark_pages import pages
from bagside.camera.marks import Marker
from bagside.camera.survey import surveyed
from bagside.camera.table import frame_named, read_table, table_text
from bagside.camera.view import view_of
from bagside.errors import InputError
from camera.photos import laid_table, off_rigidly, phone_lens, pictured, places_in

SIZE = (1600, 1200)
TABLE, CUTS = laid_table()


@cache
def shots(count: int = 5):
    """Return photos whose focus and stabiliser moved a little from one to the next."""
    rng = np.random.default_rng(0)
    lens = phone_lens(SIZE)
    out = []
    for k in range(count):
        own = replace(lens, f=lens.f * (1 + rng.normal(0, 0.002)), cx=lens.cx + rng.normal(0, 2.0))
        options = {"lens": own, "size": SIZE, "tilt": (0.45, 0.6)[k % 2], "azimuth": 1.3 * k, "sheets": CUTS, "seed": k}
        out.append(replace(pictured(TABLE, roll=0.5 * np.pi if k == 2 else None, **options)[0], name=f"{k}.jpg"))
    return out


@cache
def survey():
    return surveyed(shots())


def corners_of(frame):
    return np.concatenate([m.corners for m in frame.markers])


def test_pages_are_found_where_they_lie() -> None:
    found = survey()
    assert [m.id for m in found.frame.markers] == [m.id for m in TABLE.markers]
    error = off_rigidly(corners_of(found.frame), corners_of(TABLE))
    assert np.sqrt((error**2).mean()) < 5e-5  # [m] over 900 × 600 mm
    assert error.max() < 1.5e-4
    assert max(found.place_sd.values()) < 1e-4
    assert found.dropped == 0
    assert found.lens.f == pytest.approx(phone_lens(SIZE).f, rel=4e-3)


def test_its_axes_run_along_the_table_and_its_window_is_free() -> None:
    found = survey().frame
    every = corners_of(found)
    assert (every > 0).all()
    assert (every < np.array(found.paper)).all()
    assert found.paper == pytest.approx((0.9, 0.6), abs=0.02)
    window = shapely.Polygon(found.window)
    assert window.is_valid
    assert min(window.distance(shapely.Polygon(m.corners)) for m in found.markers) > 0.004
    assert shapely.MultiPoint(every).convex_hull.buffer(0.01).contains(window)
    assert window.area > 0.75 * found.paper[0] * found.paper[1]


def test_a_thing_is_measured_on_it(tmp_path) -> None:
    path = tmp_path / "table.toml"
    path.write_text(table_text(survey().frame), encoding="utf-8")
    table = frame_named(str(path))
    assert corners_of(table) == pytest.approx(corners_of(survey().frame), abs=1e-7)
    assert table.window == pytest.approx(survey().frame.window, abs=1e-7)
    shot, true = pictured(TABLE, size=SIZE, tilt=0.2, azimuth=1.0, sheets=CUTS, seed=9)
    view = view_of(shot, table)
    inside = places_in(TABLE.window)
    error = off_rigidly(view.to_plane(true.to_pixels(inside)), inside)
    assert np.sqrt((error**2).mean()) < 5e-5


def test_size_comes_from_the_rules() -> None:
    found = surveyed(shots(), along_x=0.1503, along_y=0.2505).frame
    ratio = np.ptp(corners_of(found), axis=0) / np.ptp(corners_of(survey().frame), axis=0)
    assert ratio == pytest.approx([1.002, 1.002], abs=2e-4)
    assert found.scale_sd[1] < survey().frame.scale_sd[1]
    with pytest.raises(InputError, match=r"the rule of the table pages is drawn 250\.0 mm long; more than 3 % off"):
        surveyed(shots(), along_y=0.2)


def test_what_is_asked_of_the_photos() -> None:
    with pytest.raises(InputError, match="photos: 3 – at least 4 are wanted, eight are better"):
        surveyed(shots()[:3])
    bare = replace(shots()[0], grey=np.full_like(shots()[0].grey, 120), name="bare.jpg")
    cut = replace(shots()[0], grey=shots()[0].grey[:-8], name="cut.jpg")
    with pytest.raises(InputError) as refused:
        surveyed([*shots()[:3], bare, cut])
    assert [(p.place, p.wanted) for p in refused.value.problems] == [
        ("bare.jpg", "no marker is readable in it"),
        ("cut.jpg", "all photos of one camera are wanted, 1600 × 1200 like 0.jpg"),
    ]


def test_a_page_never_seen_with_the_others_is_named() -> None:
    second = {m.id for m in pages()[1].markers}
    rest = tuple({m.id for m in TABLE.markers} - second)
    options = {"size": SIZE, "tilt": 0.4, "sheets": CUTS}
    apart = [pictured(TABLE, azimuth=k, missing=tuple(second), **options)[0] for k in range(2)]
    apart += [pictured(TABLE, azimuth=k, missing=rest, **options)[0] for k in range(2)]
    with pytest.raises(InputError, match="photos: page 2 – it is never seen together with the others"):
        surveyed(apart)
    with pytest.raises(InputError, match="page 2 in one photo only – each page in at least 2 photos is wanted"):
        surveyed([*apart[:2], apart[0], apart[2]])


def test_a_page_that_was_moved_between_photos_is_noticed() -> None:
    third = {m.id for m in pages()[2].markers}
    markers = tuple(Marker(id=m.id, corners=m.corners + (0.003 if m.id in third else 0.0)) for m in TABLE.markers)
    options = {"size": SIZE, "tilt": 0.5, "sheets": CUTS}
    moved = [pictured(replace(TABLE, markers=markers), azimuth=1.3 * k, **options)[0] for k in (0, 2)]
    with pytest.raises(InputError, match="the pages do not lie flat in one plane, or were moved between photos"):
        surveyed([*shots()[:3], *moved])


def test_files_that_are_no_tables(tmp_path) -> None:
    path = tmp_path / "table.toml"
    text = table_text(survey().frame)
    path.write_text(text.replace("width_mm", "wide", 1).replace("id = 111", "id = 110"), encoding="utf-8")
    with pytest.raises(InputError) as refused:
        read_table(path)
    assert [p.place for p in refused.value.problems] == ["table.toml, table, width_mm", "table.toml, marker 2, id"]
    path.write_text("[lens]\nf_px = 3", encoding="utf-8")
    with pytest.raises(InputError, match=r"a table \[table\] and markers \[\[marker\]\] are wanted"):
        read_table(path)
    with pytest.raises(InputError, match="cannot be opened"):
        frame_named(str(tmp_path / "none.toml"))
    assert frame_named("a4").name == "A4"
