"""``bagside bag``: ways of air, reasons of debulks, and where water makes voids."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from bagside.bagging import ambient_pressure, void_free_temperature
from bagside.cli.app import outcome

FILE = Path(__file__).parents[2] / "demo" / "benches" / "bag.toml"


def answer(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, object]:
    assert outcome(["bag", str(FILE), *arguments, "--json"]) == 0
    return json.loads(capsys.readouterr().out)["bagging"]


def test_how_it_breathes_and_where_water_makes_voids(capsys: pytest.CaptureFixture[str]) -> None:
    found = answer(capsys, "--humidity", "65 %", "--altitude", "700 m", "--plies", "8")
    assert found["breathing"]["strips"] == 10  # 2 m of net edge, one every 200 mm: as many as are cut
    assert next(i["quantity"] for i in found["items"] if i["name"] == "edge breather") == pytest.approx(1.0)
    ambient = ambient_pressure(700.0)
    want = [void_free_temperature(ambient, 2000.0, 0.65, s) - 273.15 for s in (0.0, 0.4)]
    assert found["void_free_c"] == pytest.approx(want)
    assert len(found["debulk_reasons"]) == len(found["debulks"]) == 2
    assert found["debulk_advice"][0].startswith("never leave out the first")


def test_the_rooms_humidity_is_asked_for_as_it_is(capsys: pytest.CaptureFixture[str]) -> None:
    assert outcome(["bag", str(FILE), "--humidity", "120 %"]) == 2
    assert capsys.readouterr().err == 'bagside: this cannot be used\n  --humidity: "120 %" – at most 100 % is wanted\n'
    assert outcome(["bag", str(FILE)]) == 0
    told = capsys.readouterr().out
    for words in ("edge breathing, 10 strips", "first ply: air between it and the mould", "never leave out the first"):
        assert words in told
