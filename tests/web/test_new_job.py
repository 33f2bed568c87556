"""A job put together from cards or a mesh is a job file that opens, and says of each guess that it is one."""

from __future__ import annotations

import math
import tomllib
from pathlib import Path

import numpy as np
import pytest

from bagside import demo_shop
from bagside.errors import InputError
from bagside.findings import Basis, Finding, Severity
from bagside.spec.library import generic_library
from bagside.web.founding.card_picture import BROAD, SLIM, card_picture
from bagside.web.founding.cards import MEANT, SIZES, Card, as_points, drawing_read, photo_read
from bagside.web.founding.draft import CARDS, MESH, Draft, MeshDraft, PlyDraft, plain, wants
from bagside.web.founding.job_text import SUGGESTED, job_text
from bagside.web.founding.kept import draft_kept, keep_draft
from bagside.web.founding.mesh import METRES, MeshSeen, likely, mesh_seen
from bagside.web.founding.workshop_text import COMMON
from bagside.web.guard import parsed
from bagside.web.model.job_check import problems_of_job
from bagside.web.pages.new_job.mesh import AXES, axis_of
from bagside.web.scene.buffers import MAGIC
from bagside.web.words.catalogue import LANGUAGES
from bagside.web.words.tongue import Tongue

EN = Tongue()
PHOTO = Path(__file__).parents[2] / "demo" / "photos" / "offcut.jpg"


def draft(tmp_path: Path, **sizes: str) -> Draft:
    found = Draft(tmp_path / "new-job")
    found.name = "Seat plate"
    found.cards[0].sizes = {"length": "280 mm", "width": "160 mm", **sizes}
    found.first_ply(None, generic_library())
    return found


def problems(text: str, folder: Path) -> list[str]:
    return [str(p) for p in problems_of_job(text, folder, generic_library())]


def test_a_name_and_two_sizes_are_a_job(tmp_path: Path) -> None:
    one = draft(tmp_path)
    assert list(wants(one, (), EN)) == []
    text = job_text(one, EN)
    assert problems(text, tmp_path) == []
    job = tomllib.loads(text)
    assert job["measured"]["size"] == "280 160 mm"
    assert job["measured"]["places"] == {"part": {"area": "448 cm²", "edge": "880 mm"}}  # 28 · 16, 2 · (280 + 160)
    assert job["plies"][0]["templates"] == ["card"]
    assert job["cure"]["design"] == {"aim": "fastest"}
    assert text.count(COMMON) == 5  # material, thickness, depth, flange, service


def test_what_is_trimmed_makes_a_smaller_part_on_a_larger_card(tmp_path: Path) -> None:
    one = draft(tmp_path)
    one.answers["trim"] = "10 mm"
    job = tomllib.loads(job_text(one, EN))
    assert job["measured"]["places"]["part"]["area"] == "364 cm²"  # 26 · 14
    assert job["measured"]["places"]["lay-up"]["area"] == "448 cm²"
    assert job["plies"][0]["region"] == "lay-up"
    one.answers["trim"] = "80 mm"
    with pytest.raises(InputError) as refused:
        job_text(one, EN)
    assert refused.value.problems[0].wanted == "nothing of the card would be left"


def test_a_second_card_lies_on_the_first_as_often_as_it_is_cut(tmp_path: Path) -> None:
    one = draft(tmp_path)
    one.cards.append(Card(name="corner", shape="gusset", sizes={"length": "45 mm", "width": "45 mm"}))
    one.plies.append(PlyDraft(material="twill-200", angle="45°", card="corner", copies=2))
    text = job_text(one, EN)
    assert problems(text, tmp_path) == []
    job = tomllib.loads(text)
    assert job["measured"]["places"]["corner"]["area"] == "20.25 cm²"  # two halves of 4.5 · 4.5
    assert job["plies"][1]["templates"] == [{"template": "corner", "copies": 2}]


@pytest.mark.parametrize(
    ("shape", "sizes", "area"),
    [
        ("rectangle", {"length": "100 mm", "width": "50 mm"}, 50e-4),
        ("rectangle", {"length": "100 mm", "width": "50 mm", "corner": "10 mm"}, 50e-4 - (4 - math.pi) * 1e-4),
        ("trapezoid", {"length": "120 mm", "other": "80 mm", "width": "50 mm"}, 50e-4),
        ("disc", {"diameter": "100 mm"}, math.pi * 25e-4),
        ("ring", {"diameter": "100 mm", "hole": "60 mm"}, math.pi * (25e-4 - 9e-4)),
        ("strip", {"length": "10 in", "width": "1 in"}, 10 * 0.0254**2),
        ("gusset", {"length": "60 mm", "width": "40 mm"}, 12e-4),
        ("points", {"points": "0 0 mm; 60 0 mm; 0 40 mm"}, 12e-4),
    ],
)
def test_each_shape_has_the_area_it_has_by_hand(shape: str, sizes: dict[str, str], area: float) -> None:
    loops = Card(name="x", shape=shape, sizes=sizes).outline()
    found = [abs(0.5 * np.sum(p[:, 0] * np.roll(p[:, 1], -1) - p[:, 1] * np.roll(p[:, 0], -1))) for p in loops]
    assert found[0] - sum(found[1:]) == pytest.approx(area, rel=1e-3)


def test_every_shape_shows_what_its_sizes_are_before_they_are_typed() -> None:
    assert set(MEANT) == set(SIZES)
    for shape, sizes in MEANT.items():
        loops = Card(name="meant", shape=shape, sizes=dict(sizes)).outline()
        for room in (BROAD, SLIM):
            svg = card_picture(loops, title="t", sizes=("along", "across"), zero="0", room=room, meant=True)
            assert "along" in svg
            assert "stroke-dasharray" in svg


def test_corners_are_typed_as_on_squared_paper() -> None:
    assert as_points("0 0; 300 0; 280 90", EN) == "0 0 mm; 300 0 mm; 280 90 mm"
    assert as_points("0 0\n12 0 in\n12 4 in", EN) == "0 0 mm; 12 0 in; 12 4 in"
    wrong = (("0 0; 3", "“3” is no corner"), ("0 0; 1 1", "At least three corners"), ("a b; 0 0; 1 1", "a b"))
    for typed, says in wrong:
        with pytest.raises(InputError, match=says):
            as_points(typed, EN)


def test_a_drawing_is_read_in_a_process_of_its_own(tmp_path: Path) -> None:
    path = tmp_path / "card.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="120mm" viewBox="0 0 200 120">'
        '<path d="M5 5H195V115H5Z"/><circle cx="60" cy="60" r="12"/></svg>',
        encoding="utf-8",
    )
    found = parsed(drawing_read, path, "", "")
    assert len(found.loops) == 1
    outline, hole = found.loops[0]
    assert np.ptp(outline, axis=0) == pytest.approx([0.190, 0.110], abs=2e-5)
    assert np.ptp(hole, axis=0) == pytest.approx([0.024, 0.024], abs=2e-5)
    path.write_text("<svg", encoding="utf-8")
    with pytest.raises(InputError):
        parsed(drawing_read, path, "", "")


def test_a_drawing_goes_beside_the_job_under_the_cards_name(tmp_path: Path) -> None:
    one = draft(tmp_path)
    card = one.cards[0]
    card.shape, card.file, card.loops = "drawing", tmp_path / "sent.DXF", (np.array([[0, 0], [0.1, 0], [0, 0.1]]),)
    card.warp = "12.0°"
    assert card.table() == {"file": "card.dxf", "warp": "12.0°"}


@pytest.mark.skipif(not PHOTO.is_file(), reason="the demo's photo is made by make demo")
def test_a_photo_becomes_points_with_what_they_are_sure_to(tmp_path: Path) -> None:
    found = photo_read(PHOTO, "A3", 0.0, 0.0, 0.0003)
    one = draft(tmp_path)
    card = one.cards[0]
    card.shape, card.loops, card.sure = "photo", found.loops[0], found.sure[0]
    text = job_text(one, EN)
    assert problems(text, tmp_path) == []
    assert "traced from a photo; 95 of 100 points within" in text
    assert found.picture[:8] == b"\x89PNG\r\n\x1a\n"


@pytest.fixture(scope="module")
def brace(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("mesh") / "mould.stl"
    demo_shop.MOULDS["jobs/right-thigh-brace/mould.stl"](path)
    return path


def test_a_mesh_is_seen_in_every_unit_and_none_is_taken_for_granted(brace: Path, tmp_path: Path) -> None:
    """The brace's mould is 310 by 230 and opens upwards, by its formula."""
    seen = mesh_seen(brace)
    assert seen.size[:2] == pytest.approx((310.0, 230.0))
    assert seen.up == (0.0, 0.0, 1.0)
    assert seen.own_unit == ""
    assert seen.picture[:4] == MAGIC
    assert [unit for unit in METRES if likely(seen.size, unit)] == ["mm", "cm", "in"]  # 0.31, 3.1, 7.9 m
    one = draft(tmp_path)
    one.way = MESH
    assert [p.place for p in wants(one, (), EN)] == ["mesh"]
    one.mesh = MeshDraft(file=brace, seen=seen, up=seen.up, start=seen.middle)
    assert [p.place for p in wants(one, (), EN)] == ["unit"]


def test_a_mesh_and_its_unit_are_a_job(brace: Path, tmp_path: Path) -> None:
    seen = mesh_seen(brace)
    one = draft(tmp_path)
    one.way = MESH
    one.mesh = MeshDraft(file=brace, seen=seen, unit="cm", up=seen.up, start=seen.middle)
    text = job_text(one, EN)
    assert problems(text, brace.parent) == []
    job = tomllib.loads(text)
    assert job["mould"]["mesh"] == "mould.stl"
    assert job["mould"]["unit"] == "cm"
    x, y, z, unit = job["laying"]["start"].split()
    assert [float(x), float(y), float(z)] == pytest.approx([10 * c for c in seen.middle], abs=0.01)
    assert unit == "mm"
    assert SUGGESTED in text
    one.mesh.start = (1.0, 2.0, 3.0)
    assert SUGGESTED not in job_text(one, EN)


def test_axes_are_named_both_ways() -> None:
    assert [axis_of(vector) for vector in AXES.values()] == list(AXES)
    assert axis_of((0.6, 0.8, 0.0)) == ""


def test_names_become_folders_that_every_system_takes() -> None:
    assert plain("Lukendeckel groß, 2") == "lukendeckel-gross-2"
    assert plain("../../etc") == "etc"
    assert plain("  ") == ""


def test_what_is_wanted_names_its_control(tmp_path: Path) -> None:
    empty = Draft(tmp_path)
    assert empty.way == CARDS
    assert [p.place for p in wants(empty, (), EN)] == ["name", "card_length", "card_width", "plies"]
    one = draft(tmp_path)
    assert [p.wanted for p in wants(one, ("seat-plate",), EN)] == [
        "There is a job seat-plate already: another name is wanted."
    ]
    one.answers |= {"replaces_material": "aluminium", "quantity": "0"}
    assert [p.place for p in wants(one, (), EN)] == ["replaces_thickness", "quantity"]


def test_a_draft_that_is_forgotten_takes_its_files_along(tmp_path: Path) -> None:
    one = draft(tmp_path)
    sent = tmp_path / "sent.svg"
    sent.write_text("x", encoding="utf-8")
    kept = one.kept(sent)
    assert kept.is_file()
    one.forgotten()
    assert not kept.exists()
    assert (one.name, one.plies, one.cards[0].sizes) == ("", [], {})


def test_a_restart_asks_nothing_twice(tmp_path: Path) -> None:
    one = draft(tmp_path)
    one.answers["trim"], one.paper, one.rules["thick"], one.hand = "5 mm", "A3", "1 mm", 1
    one.touched.add("trim")
    loops = (np.array([[0.0, 0.0], [0.1, 0.0], [0.0, 0.1]]), np.array([[0.01, 0.01], [0.02, 0.01], [0.01, 0.02]]))
    said = Finding(
        severity=Severity.WATCH, stage="camera", place="sheet", what="a", why="b", do="c", basis=Basis.COMMON
    )
    photo = one.kept_bytes(b"png", ".png")
    one.cards.append(Card(name="patch", shape="photo", loops=loops, sure=4e-4, warp="12.0°", found=(said,), over=photo))
    one.plies.append(PlyDraft(material="twill-200", angle="45°", card="patch", copies=2))
    sent = tmp_path / "sent.STL"
    sent.write_bytes(b"mesh")
    seen = MeshSeen(
        size=(1.0, 2.0, 3.0), triangles=7, up=(0.0, 0.0, -1.0), middle=(0.5, 1.0, 1.5), own_unit="", picture=b"packed"
    )
    one.mesh = MeshDraft(file=one.kept(sent), seen=seen, unit="in", picture=one.kept_bytes(seen.picture, ".picture"))
    keep_draft(one)
    again = draft_kept(tmp_path / "new-job")
    assert np.array_equal(again.cards[1].loops[1], loops[1])
    again.cards[1].loops = one.cards[1].loops = ()
    assert again == one


@pytest.mark.parametrize("text", ["", "{", "[]", '{"way": "cards"}', '{"way": 3, "cards": []}', "\x00"])
def test_a_draft_that_cannot_be_read_is_begun_anew(tmp_path: Path, text: str) -> None:
    (tmp_path / "draft.json").write_text(text, encoding="utf-8")
    assert draft_kept(tmp_path) == Draft(tmp_path)


def test_a_drawing_that_is_gone_is_asked_for_again(tmp_path: Path) -> None:
    one = draft(tmp_path)
    card = one.cards[0]
    sent = tmp_path / "sent.dxf"
    sent.write_text("x", encoding="utf-8")
    card.shape, card.file, card.loops = "drawing", one.kept(sent), (np.array([[0.0, 0.0], [0.1, 0.0], [0.0, 0.1]]),)
    keep_draft(one)
    assert draft_kept(one.folder).cards[0].missing == ()
    card.file.unlink()
    assert draft_kept(one.folder).cards[0].missing == ("file",)


def test_a_card_keeps_its_drawing_when_another_takes_its_old_name(tmp_path: Path) -> None:
    one = draft(tmp_path)
    for text in ("first", "second"):
        sent = tmp_path / "card.svg"
        sent.write_text(text, encoding="utf-8")
        one.cards[0].file, before = one.kept(sent), one.cards[0].file
    assert before is not None
    assert one.cards[0].file is not None
    assert (before.read_text(encoding="utf-8"), one.cards[0].file.read_text(encoding="utf-8")) == ("first", "second")


def test_a_drawing_without_a_unit_tells_its_numbers_and_waits(tmp_path: Path) -> None:
    path = tmp_path / "card.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 12"><path d="M0 0H11V6.3H0Z"/></svg>', encoding="utf-8"
    )
    asked = parsed(drawing_read, path, "", "")
    assert asked.raw == pytest.approx((11.0, 6.3))
    found = parsed(drawing_read, path, "in", "")
    assert found.raw is None
    assert np.ptp(found.loops[0][0], axis=0) == pytest.approx([11 * 0.0254, 6.3 * 0.0254])
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 12"><path d="M0 0H11V6.3"/></svg>', encoding="utf-8"
    )
    with pytest.raises(InputError, match="closed outline"):
        parsed(drawing_read, path, "mm", "")
    card = Card(name="x", shape="drawing", file=path, raw=(11.0, 6.3))
    assert card.missing == ("unit",)
    assert Card(name="x", shape="drawing", file=path, layers=("a", "b")).missing == ("layer",)


def test_every_word_is_there_in_every_language() -> None:
    for language in LANGUAGES:
        say = Tongue(language=language).say
        for shape in (*SIZES, "drawing", "photo"):
            assert say(f"new_job.shape_{shape}")
        for size in {s for sizes in SIZES.values() for s in sizes} | {"file"}:
            assert say(f"new_job.size_{size}")
