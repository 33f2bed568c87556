"""Cutting, keeping, planning with the ledger's cloth: taken off once, remembered whole, ``stock.toml`` left alone."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from datetime import date, datetime, timedelta
from pathlib import Path

import pypdfium2
import pytest
import shapely

from bagside.cli.app import outcome
from bagside.ledger.bodies import Cut, Sort
from bagside.ledger.things import Cloth
from bagside.records.database import Ledger
from bagside.records.with_stock import opened_job
from stockdesk import Desk
from tapeshop import written_in

PUT_AWAY = (datetime.now() - timedelta(days=3)).date()
STOCK = f"""
[[offcuts]]
name = "O-1"
material = "twill-200"
roll = "twill-200"
batch = "B-7"
life_used = "100 h"
made = {PUT_AWAY.isoformat()}
outline = ["0 0 mm", "450 0 mm", "450 340 mm", "0 340 mm"]
"""
PIECES = 2 * (2 * 0.4 * 0.3 + 0.12 * 0.08)


@pytest.fixture(scope="module")
def once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workshop whose records were begun, to be copied."""
    folder = written_in(tmp_path_factory.mktemp("once")).parents[2]
    (folder / "stock.toml").write_text(STOCK, encoding="utf-8")
    assert outcome(["stock", "begin", "--workshop", str(folder), "--who", "Ines"]) == 0
    return folder


@pytest.fixture
def desk(once: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Desk:
    monkeypatch.setenv("BAGSIDE_WHO", "Ines")
    folder = tmp_path / "shop"
    shutil.copytree(once, folder)
    capsys.readouterr()
    return Desk(folder, capsys)


def cloth(desk: Desk, *sorts: Sort) -> dict[str, Cloth]:
    with Ledger.opened(desk.folder) as ledger:
        assert ledger.differing() == ()
        return {n: t for n, t in ledger.things(*sorts, there=None).items() if isinstance(t, Cloth)}


def job(desk: Desk) -> Path:
    return desk.folder / "jobs" / "plate"


def test_what_is_accepted_comes_off_the_ledger_once(desk: Desk) -> None:
    file = (desk.folder / "stock.toml").read_bytes()
    found = desk.answer("cut", job(desk), "--accept", "--out", desk.folder / "papers")["cutting"]
    kits = {k["name"]: k for k in found["kits_put_into_stock"]}
    assert set(kits) == {"P-1", "P-2"}
    assert sum(k["area_m2"] for k in kits.values()) == pytest.approx(PIECES)
    list_of_kits = pypdfium2.PdfDocument(desk.folder / "papers" / "kit-list.pdf")
    pages = [list_of_kits[k].get_textpage().get_text_range() for k in range(len(list_of_kits))]
    assert [f"in the records: P-{k}" in page for k, page in enumerate(pages, 1)] == [True, True]
    for b in found["balance"]:
        assert b["cut_m2"] == pytest.approx(b["pieces_m2"] + b["kept_m2"] + b["waste_m2"])
        assert b["waste_m2"] > -1e-9
    there = cloth(desk)
    roll = there["twill-200"]
    off_the_roll = next(b["cut_m2"] for b in found["balance"] if b["source"] == "twill-200")
    assert 1.25 * (10.0 - roll.left) == pytest.approx(off_the_roll)
    assert not there["O-1"].there
    kept = [there[n] for n in found["offcuts_put_into_stock"]]
    assert sum(shapely.Polygon(k.outline, k.holes).area for k in kept) == pytest.approx(
        sum(b["kept_m2"] for b in found["balance"])
    )
    assert (desk.folder / "stock.toml").read_bytes() == file
    line = desk.answer("stock", "show", "O-1")
    assert line["comes_from"] == ["twill-200"]
    assert set(line["came_of_it"]) & {"P-1", "P-2"}
    whole = desk.answer("stock", "show", "P-1")
    assert set(whole["comes_from"]) <= {"O-1", "twill-200"}
    assert len(whole["thing"]["pieces"]) == 3
    again = desk.answer("cut", job(desk), "--accept")["cutting"]
    assert again["kits_put_into_stock"] == []
    assert again["cloths"][0]["layouts"] == found["cloths"][0]["layouts"]
    assert cloth(desk) == there


def test_what_was_cut_is_known_when_its_cloth_is_gone(desk: Desk) -> None:
    first = desk.answer("cut", job(desk), "--accept")["cutting"]["cloths"][0]
    desk.answer("stock", "discard", "twill-200", "--why", "the end of it was sold")
    again = desk.answer("cut", job(desk))["cutting"]["cloths"][0]
    assert again["layouts"] == first["layouts"]
    assert again["cut_on"] is not None
    assert "it fits no cloth" in desk.refusal("cut", job(desk), "--again")


def test_a_plan_is_the_same_until_the_cloth_changes(desk: Desk) -> None:
    plan = desk.answer("plan", job(desk))
    assert "stock.toml" not in plan["inputs"]
    assert plan["inputs"]["records"] == opened_job(job(desk), None).inputs["records"]
    assert "Nothing has changed since the last plan" in desk.says("plan", job(desk))
    desk.answer("stock", "count", "twill-200", "--length", "3 m")
    assert plan["inputs"]["records"] != opened_job(job(desk), None).inputs["records"]


def test_dead_cloth_is_not_cut_and_the_plan_says_so(desk: Desk) -> None:
    desk.answer(
        "stock", "receive", "offcut", "O-9", "--material", "twill-200", "--life-used", "721 h", "--outline",
        "0 0; 900 0; 900 900; 0 900 mm", code=1,
    )  # fmt: skip
    found = desk.answer("cut", job(desk))
    assert all(layout["offcut"] != "O-9" for c in found["cutting"]["cloths"] for layout in c["layouts"])
    (said,) = [f for f in found["findings"] if "O-9" in f["place"]]
    assert said["what"].startswith("it is not used: its out-life is used up")


def test_two_who_accept_at_once_do_not_take_the_same_offcut(desk: Desk) -> None:
    words = [sys.executable, "-m", "bagside", "cut", str(job(desk)), "--accept", "--again"]
    env = {**os.environ, "BAGSIDE_WHO": "Jon"}
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.PIPE, "text": True}
    both = [subprocess.Popen(words, env={**env, "BAGSIDE_DEVICE": f"bench-{k}"}, **quiet) for k in range(2)]
    told = [p.communicate(timeout=120)[1] for p in both]
    codes = [p.returncode for p in both]
    assert 0 in codes
    for code, said in zip(codes, told, strict=True):
        assert code in (0, 2), said
        if code == 2:
            assert "O-1" in said or "has had this name since" in said
    there = cloth(desk)
    with Ledger.opened(desk.folder) as ledger:
        cuts = [e.body for e in ledger.events(kinds=["cut"])]
    assert sum(isinstance(c, Cut) and c.source == "O-1" for c in cuts) == 1
    assert there["twill-200"].left == pytest.approx(10.0 - sum(c.length for c in cuts if isinstance(c, Cut)))
    assert len([k for k in there.values() if k.sort is Sort.KIT]) == 2 * codes.count(0)


def test_an_offcut_that_is_found_is_as_old_as_its_roll(desk: Desk, tmp_path: Path) -> None:
    drawn = tmp_path / "template.toml"
    corners = '"0 0 mm", "300 0 mm", "300 200 mm", "0 200 mm"'
    drawn.write_text(f"[templates.scrap]\npoints = [{corners}]\nwarp = '0°'\n", encoding="utf-8")
    desk.answer(
        "stock", "receive", "roll", "K-1", "--material", "twill-200", "--length", "5 m", "--made",
        (date.today() - timedelta(days=200)).isoformat(), "--use-by", (date.today() + timedelta(days=165)).isoformat(),
        "--life-used", "50 h", "--batch", "B-1", "--price", "46 EUR/m²",
    )  # fmt: skip
    (kept,) = desk.answer("keep", drawn, "--roll", "K-1")["offcuts"]
    assert kept["name"] == "O-2"
    roll, found = (desk.answer("stock", "show", n) for n in ("K-1", "O-2"))
    for clock in ("out", "tack"):
        assert found["life"][clock]["used_h"] == pytest.approx(roll["life"][clock]["used_h"], abs=0.02)
    assert found["life"]["use_by"] == roll["life"]["use_by"]
    assert found["thing"]["batch"] == "B-1"
    assert found["thing"]["price"] == pytest.approx(46.0)
    assert found["comes_from"] == ["K-1"]
    assert cloth(desk)["K-1"].left == pytest.approx(5.0)
    (stated,) = desk.answer("keep", drawn, "--roll", "K-1", "--life", "60 h")["offcuts"]
    assert stated["life_used_h"] == pytest.approx(60.0)
    assert "there is no roll of this name here" in desk.refusal("keep", drawn, "--roll", "K-9")
    assert "is 1 250 mm wide" in _wide(desk, tmp_path)
    assert not cloth(desk).keys() & {"O-4"}


def _wide(desk: Desk, tmp_path: Path) -> str:
    drawn = tmp_path / "wide.toml"
    corners = '"0 0 mm", "300 0 mm", "300 2000 mm", "0 2000 mm"'
    drawn.write_text(f"[templates.scrap]\npoints = [{corners}]\nwarp = '0°'\n", encoding="utf-8")
    return desk.refusal("keep", drawn, "--roll", "K-1").replace("\u2009", " ")
