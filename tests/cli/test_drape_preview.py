"""``bagside drape MESH --preview`` beside the draped piece: the same shear by another way."""

import json
from pathlib import Path

import pytest

from bagside.cli.app import outcome
from domeshop import dome


@pytest.fixture
def asked(tmp_path: Path) -> list[str]:
    path = tmp_path / "dome.stl"
    dome().export(path)
    return ["drape", str(path), "--unit", "mm", "--side", "0 0 1", "--start", "0 0 100 mm", "--size", "4 mm"]


def answer(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, object]:
    assert outcome([*arguments, "--json"]) == 0
    found: dict[str, object] = json.loads(capsys.readouterr().out)
    return found


def test_the_preview_has_the_draped_cloths_shear(capsys: pytest.CaptureFixture[str], asked: list[str]) -> None:
    """Whole cells end short of the rim, where the shear is largest."""
    quick = answer(capsys, *asked, "--preview")["preview"]
    slow = answer(capsys, *asked)["drape"]["pieces"][0]  # type: ignore[index]
    assert isinstance(quick, dict)
    assert isinstance(slow, dict)
    assert quick["shear_median_deg"] == pytest.approx(slow["shear_median_deg"], abs=0.8)
    assert quick["shear_99_deg"] == pytest.approx(slow["shear_99_deg"], abs=2.5)
    assert 0.92 < quick["coverage"] < 1
    assert 2000 < quick["nodes"] < 3500
    assert quick["jammed_mm"] == []


def test_the_preview_as_a_table(capsys: pytest.CaptureFixture[str], asked: list[str]) -> None:
    assert outcome([*asked, "--preview"]) == 0
    told = capsys.readouterr().out
    assert "dome.stl: a net of threads" in told
    assert "shear, 99 % of the net under" in told


def test_the_preview_writes_no_piece(capsys: pytest.CaptureFixture[str], asked: list[str], tmp_path: Path) -> None:
    assert outcome([*asked, "--preview", "--out", str(tmp_path / "piece")]) == 2
    assert "a preview has no piece to write; leave out --preview or --out" in capsys.readouterr().err
    assert not (tmp_path / "piece").exists()
