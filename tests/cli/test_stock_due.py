"""``bagside stock due``: what ends when, and what can be made of it before, asked of the nest."""

from __future__ import annotations

import shutil
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from bagside.cli.app import outcome
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


def job(desk: Desk) -> Path:
    return desk.folder / "jobs" / "plate"


def test_what_can_be_made_before_a_roll_dies(desk: Desk) -> None:
    soon = date.today() + timedelta(days=20)
    desk.answer(
        "stock", "receive", "roll", "K-1", "--material", "twill-200", "--length", "0.45 m", "--use-by", soon,
        "--made", PUT_AWAY, "--life-used", "0 h", "--price", "46 EUR/m²",
    )  # fmt: skip
    found = desk.answer("stock", "due", "--days", "30", "--time", "1 s")
    assert [d["name"] for d in found["calendar"]] == ["K-1"]
    (made,) = found["makeable"]
    (parts,) = made["parts"]
    assert (made["name"], made["last_day"], made["area_m2"]) == ("K-1", soon.isoformat(), pytest.approx(0.5625))
    assert (parts["job"], parts["on_the_cloth"], parts["wanted"]) == ("Plate", 1, 2)
    assert made["unused_m2"] + 1.25 * made["pulled_m"] == pytest.approx(0.5625)
    said = desk.says("stock", "due", "K-1", "--time", "1 s")
    assert "Roll K-1 (twill-200, 0.45" in said
    assert "It gives 1 of 2 Plate" in said
    assert desk.answer("stock", "due", "--days", "0", "--calendar")["calendar"] == []
    assert "there is no thing of this name" in desk.refusal("stock", "due", "K-77")
    desk.answer("cut", job(desk), "--accept")
    (made,) = desk.answer("stock", "due", "K-1", "--time", "1 s")["makeable"]
    assert made["parts"] == []


def test_a_job_that_cannot_be_read_is_named_and_the_others_are_asked(desk: Desk) -> None:
    broken = desk.folder / "jobs" / "broken"
    broken.mkdir()
    (broken / "job.toml").write_text("name = 3\n", encoding="utf-8")
    found = desk.answer("stock", "due", "O-1", "--time", "1 s")
    assert [f["place"] for f in found["findings"]] == ["broken"]
    assert len(found["makeable"]) == 1
    assert "job.toml" in desk.refusal("stock", "due", "O-1", "--job", broken)
