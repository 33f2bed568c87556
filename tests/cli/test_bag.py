"""``bagside bag``: ways of air, reasons of debulks, and where water makes voids."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from bagside.bagging import ambient_pressure, void_free_temperature
from bagside.cli.app import outcome
from domeshop import dome

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


def test_what_stands_the_cycle_is_offered_and_what_has_seen_its_cure_is_not(capsys: pytest.CaptureFixture[str]) -> None:
    """The demo's cycle holds 115 °C, its hot place is 3 K more: polyethylene and polypropylene are out, nylon is in."""
    cure = ["--cure", str(FILE.parent / "cure.toml")]
    fresh = {r["name"]: r for r in answer(capsys, *cure)["stands_the_cycle"]}
    assert fresh["bag-nylon"]["hottest_c"] == pytest.approx(118.0, abs=0.2)
    assert fresh["bag-nylon"]["spare_k"] == pytest.approx(62.0, abs=0.2)
    assert {n for n, r in fresh.items() if not r["offered"]} == {"bag-polyethylene", "bag-polypropylene"}
    assert outcome(["bag", str(FILE), *cure, "--used", "bag-nylon 1", "--used", "breather 2", "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    used = {r["name"]: r["offered"] for r in told["bagging"]["stands_the_cycle"]}
    assert (used["bag-nylon"], used["breather"]) == (False, True)
    assert [f["what"] for f in told["findings"] if f["severity"] == "stop"] == ["it has seen 1 cure, 1 allowed"]
    assert outcome(["bag", str(FILE), *cure]) == 0
    assert "What stands the cycle, hottest 118 °C" in capsys.readouterr().out


def test_pressure_over_a_dome(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """A cap of a sphere of 100 mm from outside, 2 mm of laminate: (1 + 2 / 100)² of what presses on flat ground."""
    mesh = tmp_path / "dome.stl"
    dome().export(mesh)
    arguments = ["bag", str(mesh), "--unit", "mm", "--plies", "8", "--json"]
    code = outcome(arguments)
    assert code in (0, 1)
    found = json.loads(capsys.readouterr().out)["bagging"]
    press = found["pressure_map"]
    assert press["flat_mbar"] == pytest.approx(1013.25 - 20.0, abs=0.1)
    assert press["none_arrives_share"] == 0.0
    assert press["least_mbar"] == pytest.approx(1.02**2 * press["flat_mbar"], rel=0.003)
    assert press["most_mbar"] == pytest.approx(1.02**2 * press["flat_mbar"], rel=0.003)
    assert found["breathing"]["longest_way_mm"] > 0.0


def test_what_was_used_has_to_be_known(capsys: pytest.CaptureFixture[str]) -> None:
    def refusal(*arguments: str) -> list[str]:
        assert outcome(["bag", str(FILE), *arguments]) == 2
        return capsys.readouterr().err.splitlines()

    cure = ["--cure", str(FILE.parent / "cure.toml")]
    assert refusal(*cure, "--used", "bag-nylon") == [
        "bagside: this cannot be used",
        '  --used: "bag-nylon" – a name and a number of cures are wanted, as in "bag-nylon 1"',
    ]
    assert refusal(*cure, "--used", "bag-nylom 1") == [
        "bagside: this cannot be used",
        '  --used: "bag-nylom" – this is not known here (did you mean "bag-nylon"?)',
    ]
    assert refusal("--used", "bag-nylon 1") == [
        "bagside: this cannot be used",
        "  --cure – this is missing: --used says what has seen cures, --cure for which it is meant",
    ]
