"""What the page of plies shows, on a dome whose areas and shear are known, and how it follows the file."""

from __future__ import annotations

import json
import math
import pickle
import struct
import zlib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from bagside.planning.shaping import shaped_from
from bagside.planning.stages import Stages
from bagside.spec.library import workshop_library
from bagside.spec.material import ClothKind
from bagside.spec.opening import Opened, open_job
from bagside.web.pages.plies.numbers import numbers
from bagside.web.pages.plies.rows import angle_text, glyph, rows_of, stack_of
from bagside.web.scene.coded import places_read, values_read, wholes_read
from bagside.web.scene.named import FieldWords, named
from bagside.web.views import plies
from bagside.web.views.plies_shown import PliesView
from bagside.web.words.tongue import Lengths, Tongue
from domeshop import written_in

RADIUS, DISC = 0.100, 0.080
LINES = '[lines.middle]\npoints = ["-90 0 43 mm", "0 0 100 mm", "90 0 43 mm"]\n[laying]'
SPLIT = 'angle = "0°"\nregion = "disc"\ncuts = [{ line = "middle" }]\n[[plies]]'


def opened(root: Path) -> Opened:
    return open_job(written_in(root, ("[laying]", LINES), ('angle = "0°"\nregion = "disc"\n[[plies]]', SPLIT)))


@pytest.fixture(scope="module")
def seen(tmp_path_factory: pytest.TempPathFactory) -> tuple[PliesView, Opened, Stages]:
    job = opened(tmp_path_factory.mktemp("plies"))
    stages = Stages()
    return plies.early(shaped_from(job, stages, "job.toml"), job, stages), job, stages


def unpacked(buffer: bytes) -> tuple[dict[str, Any], bytes]:
    assert buffer[:4] == b"BGSM"
    (long,) = struct.unpack("<I", buffer[4:8])
    return json.loads(buffer[8 : 8 + long]), zlib.decompress(buffer[8 + long :])


def test_a_view_is_small_and_can_be_sent(seen: tuple[PliesView, Opened, Stages]) -> None:
    view = seen[0]
    assert pickle.loads(pickle.dumps(view)).plies == view.plies
    assert [p.count for p in view.plies] == [2, 1, 1, 1]
    assert [p.stated for p in view.plies] == [0, 1, 2, 3]
    assert len(view.meshes) == 4  # each is turned, cut or placed otherwise


def test_the_cap_has_the_area_it_must_have(seen: tuple[PliesView, Opened, Stages]) -> None:
    """The mesh of a whole ply is the cap of a sphere, 2π R² (1 − cos α), and bare mould where there is no value."""
    head, body = unpacked(seen[0].meshes[seen[0].plies[3].mesh or 0])
    at = places_read(body, head["positions"])
    corners = at[wholes_read(body, head["triangles"]).reshape(-1, 3)]
    areas = 0.5 * np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1)
    shear = values_read(body, next(f for f in head["fields"] if f["key"] == "shear")["values"])
    cloth = np.isfinite(shear)[wholes_read(body, head["triangles"]).reshape(-1, 3)].all(axis=1)
    cap = 2 * math.pi * RADIUS**2 * (1 - math.sqrt(1 - (DISC / RADIUS) ** 2))
    assert 1e-6 * areas[cloth].sum() == pytest.approx(cap, rel=3e-3)
    assert (~cloth).any()
    assert shear[np.isfinite(shear)].min() >= 0.0  # a map of its size: the sign is dropped before corners are averaged


def test_the_overlap_lies_over_its_neighbour(seen: tuple[PliesView, Opened, Stages]) -> None:
    head, body = unpacked(seen[0].meshes[seen[0].plies[0].mesh or 0])
    assert [part["name"] for part in head["parts"]] == ["1A", "1B"]
    at = places_read(body, head["positions"])
    triangles = wholes_read(body, head["triangles"]).reshape(-1, 3)

    def radii(part: dict[str, Any]) -> np.ndarray[Any, Any]:
        own = np.unique(triangles[part["first"] : part["first"] + part["count"]])
        return np.linalg.norm(at[own], axis=1)

    under, over = (radii(part) for part in head["parts"])
    assert np.abs(under - 100.0).max() < 0.15
    assert over.max() == pytest.approx(100.5, abs=0.15)
    assert any(line["look"] == "below" for line in head["lines"])


def test_start_and_zero_direction_are_those_of_the_job(seen: tuple[PliesView, Opened, Stages]) -> None:
    piece = seen[0].plies[3].pieces[0]
    assert piece.start == pytest.approx((0.0, 0.0, RADIUS), abs=2e-4)
    assert np.dot(piece.zero or (0, 0, 0), (1.0, 0.0, 0.0)) > 0.99
    assert np.dot(piece.across or (0, 0, 0), (0.0, 1.0, 0.0)) > 0.99


def test_every_ply_is_drawn_flat_and_in_the_section(seen: tuple[PliesView, Opened, Stages]) -> None:
    view = seen[0]
    assert all(p.flats.startswith("<") and "svg" in p.flats for p in view.plies)
    assert len(view.sections) == len(view.plies)
    whole = [view.sections[0].ends[k] for k in (0, 2, 3)]
    assert all(end is not None and 0.0 < end[0] <= 1.0 and 0.0 < end[1] < 1.0 for end in whole)
    heights = [end[1] for end in whole if end is not None]
    assert heights == sorted(heights, reverse=True)  # the first ply lies lowest


def test_drawn_again_nothing_is_drawn_anew(seen: tuple[PliesView, Opened, Stages]) -> None:
    _, job, stages = seen
    del stages.log[:]
    plies.early(shaped_from(job, stages, "job.toml"), job, stages)
    assert len(stages.log) > 10
    assert all(done.kept for done in stages.log)


def test_the_words_of_a_map_change_and_its_numbers_do_not(seen: tuple[PliesView, Opened, Stages]) -> None:
    mesh = seen[0].meshes[0]
    said = named(mesh, {"shear": FieldWords(name="Scherung, Grad", spoken="Grad", limit_says="Falten ab 40°")})
    before, body = unpacked(mesh)
    head, same = unpacked(said)
    assert same == body
    assert next(f["name"] for f in head["fields"]) == "Scherung, Grad"
    assert head["fields"][0]["limitSays"] == "Falten ab 40°"
    assert {**head, "fields": 0} == {**before, "fields": 0}
    with pytest.raises(ValueError, match="no packed surface"):
        named(b"no", {})


# --- what the file says now beside what is known


def text_of(job: Opened) -> str:
    return (job.beside / "job.toml").read_text(encoding="utf-8")


def fresh(view: PliesView, text: str, job: Opened) -> list[bool]:
    return [laid.fresh for laid in stack_of(text, workshop_library(job.folder), view).plies]


def test_what_is_known_holds_as_long_as_the_ply_is_stated_so(seen: tuple[PliesView, Opened, Stages]) -> None:
    view, job, _ = seen
    text = text_of(job)
    assert fresh(view, text, job) == [True] * 4
    turned = text.replace('angle = "45°"\nregion = "disc"', 'angle = "30°"\nregion = "disc"')
    assert fresh(view, turned, job) == [True, True, False, True]
    assert fresh(view, text.replace("20 mm", "25 mm"), job) == [False] * 4  # a region's size: every ply may hang on it
    moved = text.replace('"0 0 100 mm", "90', '"0 9 99.5 mm", "90')
    assert fresh(view, moved, job) == [False, True, True, True]  # the line of the one that is cut along it


def test_a_ply_carried_elsewhere_keeps_its_numbers(seen: tuple[PliesView, Opened, Stages]) -> None:
    view, job, _ = seen
    text = text_of(job)
    blocks = text.split("[[plies]]")
    carried = "[[plies]]".join([blocks[0], blocks[2], blocks[1], *blocks[3:]])
    stack = stack_of(carried, workshop_library(job.folder), view)
    assert [laid.fresh for laid in stack.plies] == [True] * 4
    assert [laid.shown is view.plies[k] for laid, k in zip(stack.plies, (1, 0, 2, 3), strict=True)] == [True] * 4
    rows = rows_of(stack, workshop_library(job.folder), 1, Tongue())
    assert [row.number for row in rows] == ["1", "2", "3", "4"]
    assert "2A + 2B" in rows[1].where  # its pieces are named as it lies now


def test_a_file_that_cannot_be_read_shows_what_was_known(seen: tuple[PliesView, Opened, Stages]) -> None:
    view, job, _ = seen
    stack = stack_of("plies = [", workshop_library(job.folder), view)
    assert stack.job is None
    assert not any(row.movable for row in rows_of(stack, None, 0, Tongue()))


def test_rows_and_numbers_speak_the_readers_units(seen: tuple[PliesView, Opened, Stages]) -> None:
    view, job, _ = seen
    library = workshop_library(job.folder)
    stack = stack_of(text_of(job), library, view)
    metric, inch = (Tongue(), Tongue(lengths=Lengths.INCH, language="de"))
    cap = 2 * math.pi * RADIUS**2 * (1 - 0.6)
    assert float(rows_of(stack, library, 0, metric)[3].area) == pytest.approx(1e4 * cap, rel=0.03)
    assert float(rows_of(stack, library, 0, inch)[3].area.replace(",", ".")) == pytest.approx(cap / 0.0254**2, rel=0.03)
    words = numbers(stack.plies[3], 4, inch)
    assert all(word in words for word in ("in²", "Scherung"))
    assert 'class="stale"' not in words


def test_angles_are_said_as_people_say_them() -> None:
    assert angle_text(0.0, ClothKind.WOVEN) == "0/90"
    assert angle_text(math.radians(-45), ClothKind.WOVEN) == "±45"
    assert angle_text(math.radians(-30), ClothKind.WOVEN) == "\u221230°"
    assert angle_text(math.radians(45), ClothKind.UNIDIRECTIONAL) == "45°"
    assert "rotate(-45.0)" in glyph(math.radians(45), ClothKind.WOVEN)
    assert "dasharray" not in glyph(0.0, ClothKind.UNIDIRECTIONAL)
