"""The cutting room from the command line: nested, printed, accepted to stock once, and the same when opened again."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from bagside.cli.app import outcome
from bagside.spec.reading import load_toml, stated_from
from bagside.spec.stock import Stock
from tapeshop import TAPED, written_in

OFFCUTS = """
[[offcuts]]
name = "O-1"
material = "twill-200"
batch = "B-7"
life_used = "100 h"
made = 2026-11-20
outline = ["0 0 mm", "450 0 mm", "450 340 mm", "0 340 mm"]
[[offcuts]]
name = "O-2"
material = "twill-200"
batch = "B-7"
life_used = "721 h"
outline = ["0 0 mm", "900 0 mm", "900 900 mm", "0 900 mm"]
"""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return written_in(tmp_path).parent


def answer(capsys: pytest.CaptureFixture[str], *arguments: object, code: int = 0) -> dict[str, Any]:
    assert outcome([*(str(a) for a in arguments), "--json"]) == code
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def refusal(capsys: pytest.CaptureFixture[str], *arguments: object) -> str:
    assert outcome([str(a) for a in arguments]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    return " ".join(told.err.split())


def stock_of(job: Path) -> Stock:
    path = job.parents[1] / "stock.toml"
    return stated_from(load_toml(path), Stock, path.name) if path.exists() else Stock()


def test_what_is_accepted_leaves_the_roll_and_what_is_left_goes_to_stock(
    capsys: pytest.CaptureFixture[str], job: Path, tmp_path: Path
) -> None:
    out = tmp_path / "papers"
    (cloth,) = answer(capsys, "cut", job, "--accept", "--out", out)["cutting"]["cloths"]
    stock = stock_of(job)
    (taken,) = stock.taken
    assert taken.length == pytest.approx(1e-3 * cloth["pull_mm"], abs=1.1e-3)
    assert len(stock.offcuts) == cloth["offcuts_kept"]
    area = sum(shapely.Polygon(o.outline, o.holes).area for o in stock.offcuts)
    assert area == pytest.approx(cloth["offcuts_m2"], abs=2e-4)
    pieces = 2 * (2 * 0.12 + 0.0096)
    assert pieces + area <= taken.length * 1.25 + 1e-9
    assert {o.life_used for o in stock.offcuts} <= {0.0}
    names = sorted(p.name for p in out.iterdir())
    assert names == ["cutting-sheet.pdf", "kit-list.pdf", "labels.pdf", "nests"]
    assert (job / "layout.json").exists()


def test_opened_again_it_is_the_same_and_is_taken_once(capsys: pytest.CaptureFixture[str], job: Path) -> None:
    first = answer(capsys, "cut", job, "--accept")["cutting"]["cloths"][0]
    again = answer(capsys, "cut", job, "--accept")["cutting"]["cloths"][0]
    assert again["layouts"] == first["layouts"]
    assert again["cut_on"] is not None
    assert len(stock_of(job).taken) == 1
    anew = answer(capsys, "cut", job, "--again")["cutting"]["cloths"][0]
    assert anew["cut_on"] is None


def test_an_offcut_is_cut_first_and_one_too_old_is_left_and_said(capsys: pytest.CaptureFixture[str], job: Path) -> None:
    (job.parents[1] / "stock.toml").write_text(OFFCUTS, encoding="utf-8")
    found = answer(capsys, "cut", job, "--accept")
    (cloth,) = found["cutting"]["cloths"]
    sheets = [layout for layout in cloth["layouts"] if layout["offcut"]]
    assert [layout["offcut"] for layout in sheets] == ["O-1"]
    assert cloth["cost"] < cloth["roll_alone_cost"]
    placed = [(p["piece"], p["kit"]) for layout in cloth["layouts"] for p in layout["placements"]]
    assert sorted(placed) == [(ply, kit) for ply in "123" for kit in "12"]
    said = [f for f in found["findings"] if f["place"] == "offcut O-2"]
    assert [f["what"] for f in said] == ["it is not used: its life has run out"]
    stock = stock_of(job)
    assert [u.offcut for u in stock.used] == ["O-1"]
    left = [o for o in stock.offcuts if o.name not in {"O-1", "O-2"}]
    assert {(o.batch, o.life_used) for o in left} <= {("B-7", 360000.0), ("", 0.0)}


def test_a_layout_whose_offcut_is_gone_is_nested_anew_and_says_why(
    capsys: pytest.CaptureFixture[str], job: Path
) -> None:
    path = job.parents[1] / "stock.toml"
    path.write_text(OFFCUTS, encoding="utf-8")
    answer(capsys, "cut", job)
    path.write_text(OFFCUTS + '[[used]]\noffcut = "O-1"\n', encoding="utf-8")
    found = answer(capsys, "cut", job)
    assert all(not layout["offcut"] for layout in found["cutting"]["cloths"][0]["layouts"])
    (said,) = [f for f in found["findings"] if f["what"] == "it was nested anew"]
    assert said["why"] == "offcut O-1 is no longer there or may not be used"


def test_two_jobs_are_cut_together_under_names_that_tell_them_apart(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    one = written_in(tmp_path)
    other = one.parents[1] / "rail"
    other.mkdir()
    (other / "job.toml").write_text(TAPED.replace('name = "Plate"', 'name = "Rear rail"'), encoding="utf-8")
    told = refusal(capsys, "cut", one, other, "--accept")
    assert "state --out" in told
    out = tmp_path / "both"
    found = answer(capsys, "cut", one, other, "--accept", "--out", out)["cutting"]
    (cloth,) = found["cloths"]
    labels = {p["piece"] for layout in cloth["layouts"] for p in layout["placements"]}
    assert {p["kit"] for layout in cloth["layouts"] for p in layout["placements"]} == {"P 1", "P 2", "RR 1", "RR 2"}
    assert labels == {"P 1", "P 2", "P 3", "RR 1", "RR 2", "RR 3"}
    assert stock_of(one.parent).taken[0].job == "Plate, Rear rail"
    assert (out / "layout.json").exists()
    again = answer(capsys, "cut", one, other, "--out", out)["cutting"]["cloths"][0]
    assert again["layouts"] == cloth["layouts"]


def test_a_plan_keeps_the_layout_and_is_unchanged_the_second_time(
    capsys: pytest.CaptureFixture[str], job: Path
) -> None:
    cloth = answer(capsys, "cut", job, "--accept")["cutting"]["cloths"][0]
    plan = answer(capsys, "plan", job)
    assert plan["cutting"]["cloths"][0]["layouts"] == cloth["layouts"]
    assert outcome(["plan", str(job)]) == 0
    assert "Nothing has changed" in capsys.readouterr().err
    files = sorted(plan["files"])
    assert {"cutting-sheet.pdf", "kit-list.pdf", "labels.pdf"} <= set(files)


def test_what_was_cut_for_other_pieces_is_a_matter_to_decide(capsys: pytest.CaptureFixture[str], job: Path) -> None:
    answer(capsys, "cut", job, "--accept")
    file = job / "job.toml"
    file.write_text(file.read_text(encoding="utf-8").replace('"120 80 mm"', '"130 80 mm"', 1), encoding="utf-8")
    found = answer(capsys, "cut", job)
    (said,) = [f for f in found["findings"] if f["severity"] == "decide" and f["place"] == "nest of twill-200"]
    assert said["what"].startswith("the layout cut on 20")
    assert "another shape" in said["why"]


@pytest.mark.parametrize("content", ["", "{", '{"form": 9, "layouts": []}', '{"form": 1, "layouts": [{"x": 1}]}'])
def test_a_broken_layout_is_one_sentence(capsys: pytest.CaptureFixture[str], job: Path, content: str) -> None:
    (job / "layout.json").write_text(content, encoding="utf-8")
    told = refusal(capsys, "cut", job)
    assert "remove it, and the pieces are nested again" in told
    assert (job / "layout.json").read_text(encoding="utf-8") == content


def test_nothing_left_on_the_roll_is_named(capsys: pytest.CaptureFixture[str], job: Path) -> None:
    text = '[[taken]]\nroll = "twill-200"\nlength = "10 m"\n'
    (job.parents[1] / "stock.toml").write_text(text, encoding="utf-8")
    assert "nothing is left of this cloth that may be used" in refusal(capsys, "cut", job)


def test_keep_puts_a_traced_outline_into_stock_with_its_warp_along_x(
    capsys: pytest.CaptureFixture[str], job: Path, tmp_path: Path
) -> None:
    turn = np.radians(30.0)
    c, s = np.cos(turn), np.sin(turn)
    box = np.array([[0, 0], [300, 0], [300, 200], [0, 200]]) @ np.array([[c, -s], [s, c]]).T
    points = ", ".join(f'"{x:.3f} {y:.3f} mm"' for x, y in box)
    file = tmp_path / "template.toml"
    file.write_text(f"[templates.scrap]\npoints = [{points}]\nwarp = '30°'\n", encoding="utf-8")
    shop = job.parents[1]
    found = answer(capsys, "keep", file, "--roll", "twill-200", "--workshop", shop)
    (kept,) = found["offcuts"]
    assert (kept["name"], kept["material"]) == ("O-1", "twill-200")
    assert kept["length_mm"] == pytest.approx(300, abs=0.2)
    assert kept["width_mm"] == pytest.approx(200, abs=0.2)
    (offcut,) = stock_of(job).offcuts
    np.testing.assert_allclose(sorted(offcut.outline), sorted([(0, 0), (0.3, 0), (0.3, 0.2), (0, 0.2)]), atol=1e-4)


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ([], "the roll it came from is wanted"),
        (["--roll", "K-9"], "there is no roll of this name"),
        (["--material", "twill-200"], "the time it was out of the freezer is wanted"),
        (["--roll", "twill-200", "--up", "top"], "one of resin-rich or dry is wanted"),
        (["--roll", "twill-200"], "nothing says where the warp points"),
        (["--roll", "twill-200", "--warp", "0°"], "its cloth is 1 250 mm wide"),
    ],
)
def test_keep_refuses_what_cannot_be(
    capsys: pytest.CaptureFixture[str], job: Path, tmp_path: Path, arguments: list[str], told: str
) -> None:
    file = tmp_path / "template.toml"
    corners = '"0 0 mm", "300 0 mm", "300 2000 mm", "0 2000 mm"'
    file.write_text(f"[templates.scrap]\npoints = [{corners}]\n", encoding="utf-8")
    assert told in refusal(capsys, "keep", file, *arguments, "--workshop", job.parents[1])
    assert not (job.parents[1] / "stock.toml").exists()


def test_codes_on_labels_lead_to_the_stated_address(
    capsys: pytest.CaptureFixture[str], job: Path, tmp_path: Path
) -> None:
    """The codes are read off the printed page by OpenCV's own reader."""
    import cv2
    import pypdfium2

    shop = job.parents[1] / "workshop.toml"
    stated = shop.read_text(encoding="utf-8")
    shop.write_text('address = "http://shop.local:8000"\n' + stated, encoding="utf-8")
    answer(capsys, "cut", job, "--out", tmp_path / "papers")
    page = pypdfium2.PdfDocument(tmp_path / "papers" / "labels.pdf")[0].render(scale=300 / 72).to_numpy()
    found, words, _, _ = cv2.QRCodeDetector().detectAndDecodeMulti(np.ascontiguousarray(page[..., :3]))
    assert found
    assert len([w for w in words if w.startswith("http://shop.local:8000/p/")]) == 6
    shop.write_text('address = "my phone"\n' + stated, encoding="utf-8")
    assert "workshop.toml, address" in refusal(capsys, "cut", job)


@pytest.mark.parametrize(("roll", "told"), [("resin-rich", True), ("dry", False)])
def test_one_faced_cloth_that_comes_the_wrong_way_up_is_turned_over(
    capsys: pytest.CaptureFixture[str], job: Path, tmp_path: Path, roll: str, told: bool
) -> None:
    """Pieces are drawn from the bag side, so the rich face lies on the table: common practice, no source."""
    import pypdfium2

    from bagside import library

    shop = job.parents[1]
    stated = (shop / "workshop.toml").read_text(encoding="utf-8")
    named = f'length = "10 m"\nup = "{roll}"'
    (shop / "workshop.toml").write_text(stated.replace('length = "10 m"', named), encoding="utf-8")
    sheets = (Path(library.__file__).parent / "prepregs.toml").read_text(encoding="utf-8")
    begin = sheets.index("[prepreg.twill-200]")
    own = sheets[begin : sheets.find("\n[prepreg.", begin + 1)].split("[prepreg.twill-200.basis]")
    own[0] = (
        "\n".join(line for line in own[0].splitlines() if not line.startswith("one_faced")) + "\none_faced = true\n"
    )
    (shop / "materials").mkdir()
    text = "[prepreg.twill-200.basis]".join(own)
    (shop / "materials" / "own.toml").write_text(text, encoding="utf-8")
    answer(capsys, "cut", job, "--out", tmp_path / "papers")
    page = pypdfium2.PdfDocument(tmp_path / "papers" / "cutting-sheet.pdf")[0].get_textpage().get_text_range()
    words = " ".join(page.split())
    assert "Its dry face is up" in words
    assert ("turn it over for that" in words) is told
