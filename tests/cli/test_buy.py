"""What to buy, worked by hand; a job whose cloth is still to be bought is planned and cannot be cut."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from bagside.cli.app import outcome
from tapeshop import written_in

OFFERS = """
[[offers]]
material = "twill-200"
width = "1000 mm"
price = "50 EUR/m²"
least = "2 m"
step = "0.5 m"
carriage = "10 EUR"
[[offers]]
material = "twill-200"
width = "450 mm"
price = "52 EUR/m²"
least = "1 m"
step = "0.1 m"
"""
ROLL = '[[stock]]\nmaterial = "twill-200"\nlength = "10 m"\nprice = "50 EUR/m²"\n'


def shop(root: Path, roll: str) -> Path:
    """Write a job of six sheets of 400 × 300 mm, and a workshop with a roll and two offers."""
    job = written_in(root, ("quantity = 2", "quantity = 3"))
    text = job.read_text(encoding="utf-8")
    begin, end = text.index('region = "pad"\ntemplates'), text.index("[cure]")
    pad = '[[plies]]\nmaterial = "twill-200"\nangle = "45°"\n'
    text = text[: begin - len(pad)] + text[text.index("[[plies]]", begin) : end] + text[end:]
    job.write_text(text, encoding="utf-8")
    file = root / "shop" / "workshop.toml"
    stated = file.read_text(encoding="utf-8")
    assert ROLL in stated
    tables = '[table]\ngap = "0 mm"\nmargin = "0 mm"\nend = "0 mm"\n'
    file.write_text(stated.replace(ROLL, roll) + tables + OFFERS, encoding="utf-8")
    return job.parent


def answer(capsys: pytest.CaptureFixture[str], *arguments: object, code: int = 0) -> dict[str, Any]:
    assert outcome([*(str(a) for a in arguments), "--json"]) == code
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def test_offers_are_priced_as_they_are_cut(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Six sheets of 400 × 300 mm, three side by side on 1000 mm: 0.8 m are cut, 2 m bought: 2 · 1.0 · 50 + 10.

    On 450 mm one lies across: 6 · 0.4 = 2.4 m, 2.4 · 0.45 · 52.
    """
    job = shop(tmp_path, "")
    (cloth,) = answer(capsys, "buy", job, "--time", "1 s")["buying"]["cloths"]
    wide, narrow = sorted(cloth["options"], key=lambda o: -o["width_mm"])
    assert wide["wanted_m"] == pytest.approx(0.8, abs=1e-3)
    assert (wide["length_m"], wide["price"]) == (pytest.approx(2.0), pytest.approx(110.0))
    assert narrow["wanted_m"] == pytest.approx(2.4, abs=1e-3)
    assert (narrow["length_m"], narrow["price"]) == (pytest.approx(2.4), pytest.approx(2.4 * 0.45 * 52))
    assert [o["price"] for o in cloth["options"]] == sorted(o["price"] for o in cloth["options"])
    assert not cloth["enough_in_stock"]


def test_what_stock_gives_is_not_bought(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    job = shop(tmp_path, ROLL.replace("10 m", "3 m"))
    (cloth,) = answer(capsys, "buy", job, "--time", "1 s")["buying"]["cloths"]
    assert cloth["enough_in_stock"]
    assert cloth["options"] == []


def test_cloth_that_dies_unused_is_told_with_its_value(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    job = shop(tmp_path, ROLL.replace("10 m", "3 m") + 'use_by = 2031-05-31\nwidth = "1000 mm"\n')
    soon = answer(capsys, "buy", job, "--time", "1 s", "--until", "2031-05-31")["buying"]["expiring"]
    assert soon == []
    (late,) = answer(capsys, "buy", job, "--time", "1 s", "--until", "2031-06-01")["buying"]["expiring"]
    assert late["length_m"] == pytest.approx(3.0 - 0.8, abs=2e-3)
    assert late["value"] == pytest.approx((3.0 - 0.8) * 1.0 * 50.0, abs=0.2)


def test_a_job_is_planned_before_its_cloth_is_there_and_not_cut(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    job = shop(tmp_path, "")
    found = answer(capsys, "cut", job)
    (said,) = [f for f in found["findings"] if f["place"] == "roll of twill-200"]
    assert said["severity"] == "decide"
    assert said["what"].endswith("of cloth are to be bought")
    assert outcome(["cut", str(job), "--accept"]) == 2
    told = " ".join(capsys.readouterr().err.split())
    assert "still to be bought" in told
    assert not (tmp_path / "shop" / "stock.toml").exists()


def test_a_day_that_is_none_is_refused(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert outcome(["buy", str(shop(tmp_path, ROLL)), "--until", "soon"]) == 2
    assert "a day as 2027-03-01 is wanted" in capsys.readouterr().err
