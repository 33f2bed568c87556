"""``bagside cure design``: what it prints and writes, and what it refuses."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest

from bagside.cli.app import outcome

STATED = """
service = "75 °C"
target = "90 %"
[[sections]]
name = "panel"
laminate = "2 mm"
prepreg = "twill-200"
tool = "carbon-epoxy"
tool_thickness = "6 mm"
[oven]
hottest = "150 °C"
heating = "2.5 °C/min"
cooling = "1.2 °C/min"
lag = "4 min"
spread = "6 K"
film_bag = "12 W/(m² K)"
film_tool = "18 W/(m² K)"
power = "3.2 kW"
loss = "9 W/K"
[room]
temperature = "20 °C"
humidity = "50 %"
[pump]
flow = "6 m³/h"
reaches = "30 mbar"
[design]
robust = false
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    out = tmp_path / "cycle.toml"
    out.write_text(STATED, encoding="utf-8")
    return out


def test_a_cycle_is_told_written_and_can_be_read_again(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert outcome(["cure", "design", str(file), "--out", str(tmp_path / "out"), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)["design"]
    names = {p.name for p in (tmp_path / "out").iterdir()}
    assert {"cycle.toml", "cure.csv", "cure.svg", "cure.png", "cure-depth.svg"} <= names
    read = tomllib.loads((tmp_path / "out" / "cycle.toml").read_text(encoding="utf-8"))
    assert len(read["segments"]) == len(told["cure"]["segments"])
    assert read["segments"][0]["to"] == f"{told['cure']['segments'][0]['to_c']:.1f} °C"
    assert {k["limit"] for k in told["cure"]["kept"]} >= {"tool", "laminate", "void", "overshoot", "cure"}
    assert all(k["margin"] >= -0.01 for k in told["cure"]["kept"])
    assert len(told["reasons"]) >= len(told["cure"]["segments"])
    stated = STATED.replace("[design]\nrobust = false\n", "")
    again = tmp_path / "stated.toml"
    again.write_text((tmp_path / "out" / "cycle.toml").read_text(encoding="utf-8") + stated, encoding="utf-8")
    assert outcome(["cure", "run", str(again)]) == 0
    assert "epoxy-120" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--aim", "quickest"], '--aim: "quickest" – fastest, cheapest or gentlest is wanted'),
        (["--hottest", "110"], "--hottest –"),
        (["--overshoot", "0 K"], '--overshoot: "0 K" – more than zero is wanted'),
        (["--vacuum", "1.2 bar"], "vacuum:"),
    ],
)
def test_what_cannot_be_asked_is_refused(
    file: Path, options: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert outcome(["cure", "design", str(file), *options]) == 2
    assert said in capsys.readouterr().err


def test_without_a_wish_in_the_file_the_options_ask(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "stated.toml"
    stated = STATED.replace("[design]\nrobust = false\n", "")
    file.write_text('segments = [{ to = "80 °C", rate = "1 °C/min", hold = "4 h" }]\n' + stated, encoding="utf-8")
    assert outcome(["cure", "design", str(file), "--nominal", "--humidity", "80 %", "--ambient", "980 mbar"]) == 0
    told = capsys.readouterr().out
    assert told.startswith("Cure: ")
    assert "water before gel" in told
    assert "until it may come off" in told
