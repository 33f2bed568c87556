"""``bagside pinholes``: ranked causes, what to measure, and numbers from a cycle."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from bagside.cli.app import outcome
from bagside.cli.pinholes import fit, number
from bagside.cure import simulate
from bagside.spec.pinhole_file import Seen

BENCHES = Path(__file__).parents[2] / "demo" / "benches"
DEMO = BENCHES / "pinholes.toml"


def answer(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, object]:
    assert outcome(["pinholes", *arguments, "--json"]) == 0
    return json.loads(capsys.readouterr().out)["pinholes"]


def test_the_demo_lacks_its_first_debulk(capsys: pytest.CaptureFixture[str]) -> None:
    """Five minutes over 310 mm, where practice asks for 20 to 30."""
    found = answer(capsys, str(DEMO))
    assert found["causes"][0]["name"] == "air under the first ply"
    assert sum(c["chance"] for c in found["causes"]) == pytest.approx(1.0)
    assert found["causes"][0]["margin"] < 1.0
    assert found["measure"][0]["bits"] > 0.0
    assert "viscosity" in found["unknown"]
    assert answer(capsys, str(DEMO)) == found
    assert answer(capsys, str(DEMO), "--seed", "5")["causes"][0]["name"] == "air under the first ply"


def test_a_cycle_fills_in_what_was_not_written_down(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Hottest before gel and flow are those of the simulated cycle, at its worst places."""
    from bagside.cli.cure.case import opened_case

    file = tmp_path / "p.toml"
    file.write_text('where = ["inside the laminate"]\nhumidity = "65 %"\nvacuum = "20 mbar"\nambient = "1000 mbar"\n')
    found = answer(capsys, str(file), "--for", str(BENCHES / "cure.toml"))
    assert {"liquid_hottest", "hottest", "fluidity", "room"} == set(found["from_cycle"])
    case = opened_case(BENCHES / "cure.toml", None)
    histories = simulate(case.on_mould, case.resin, case.oven.air(case.programme))
    hottest = max(float(h.laminate_temperature[h.alpha < case.resin.gel].max()) for h in histories)
    water = next(c for c in found["causes"] if c["name"] == "water in the prepreg")
    assert f"at {hottest - 273.15:.0f} °C before gel and 65 % humidity" in water["why"]


def test_tables_for_people(capsys: pytest.CaptureFixture[str]) -> None:
    assert outcome(["pinholes", str(DEMO)]) == 0
    told = capsys.readouterr()
    for words in ("air under the first ply", "What would tell them apart", "not recorded: volume"):
        assert words in told.out
    assert "debulk the first ply on its own" in told.err.lower().replace("\n    ", " ")


def test_whole_messages(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "p.toml"
    file.write_text('where = []\nvacuum = "1100 mbar"\nambient = "1000 mbar"\n')
    assert outcome(["pinholes", str(file)]) == 2
    assert capsys.readouterr().err.splitlines() == [
        "bagside: 2 things cannot be used",
        "  pinholes, where – at least one place is wanted",
        "  pinholes, vacuum: 1100 mbar – it is more than the 1000 mbar outside "
        "(the absolute pressure left in the bag is wanted)",
    ]
    assert outcome(["pinholes", str(DEMO), "--seed", "-1"]) == 2
    assert capsys.readouterr().err.splitlines() == [
        "bagside: this cannot be used",
        "  --seed: -1 – zero or more is wanted",
    ]
    assert outcome(["pinholes", str(tmp_path / "none.toml")]) == 2
    assert "there is no such file" in capsys.readouterr().err


def test_the_guide_names_every_place() -> None:
    told = " ".join((BENCHES.parents[1] / "docs" / "leaks-and-pinholes.md").read_text().split())
    assert [s.value for s in Seen if f"`{s.value}`" not in told] == []


def test_words() -> None:
    assert [number(x) for x in (float("nan"), 0.771, 12.3, 1e6)] == ["–", "0.77", "12", "> 100"]
    assert [fit(x) for x in (4.0, 1.0, 0.2)] == ["fits", "says little", "does not fit"]
