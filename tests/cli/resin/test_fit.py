"""``bagside resin fit``: from a typed-in sheet to a file the workshop reads; bad input is one message and code 2."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
import typer

from bagside.cli import app as tree
from bagside.cli.resin.fit import fit
from bagside.spec.library import workshop_library

DEMO = Path(__file__).parents[3] / "demo" / "benches"


@pytest.fixture(autouse=True)
def command(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hang the command into a tree of its own, whether or not the whole one has it."""
    app = typer.Typer(pretty_exceptions_enable=False)
    resin = typer.Typer()
    resin.command("fit")(tree.ending(fit))
    resin.command("other")(tree.ending(lambda: 0))
    app.add_typer(resin, name="resin")
    monkeypatch.setattr(tree, "app", app)


def refusal(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert tree.outcome(["resin", "fit", *arguments]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    return told.err


def test_the_demo_sheet_becomes_a_resin(capsys, tmp_path):
    (tmp_path / "materials").mkdir()
    out = tmp_path / "materials" / "kayak-100.toml"
    asked = ["resin", "fit", str(DEMO / "resin-sheet.toml"), "--out", str(out), "--on", "2026-03-09"]
    assert tree.outcome([*asked, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["resin"]["fitted"] == "data sheet"
    assert [r["kind"] for r in found["resin"]["rows"]] == [
        "Tg", "full cure", "Tg", "Tg", "gel time", "gel time", "out-life",
    ]  # fmt: skip
    assert all(abs(r["off_sd"]) < 1.5 for r in found["resin"]["rows"])
    assert found["resin"]["asked"]["tg_sd_k"] < 10.0
    assert "fitted 2026-03-09" in workshop_library(tmp_path).resin["kayak-100"].basis.source
    before = out.read_text()
    assert refusal(capsys, *asked[2:]) == (
        f'bagside: this cannot be used\n  --out: "{out}" – there is a file of this name, and it stays '
        "(give another name)\n"
    )
    assert out.read_text() == before


def test_tables_for_people(capsys):
    assert tree.outcome(["resin", "fit", str(DEMO / "resin-sheet.toml")]) == 0
    told = capsys.readouterr()
    assert "gel time 1" in told.out
    assert "rows tell" in told.out
    assert "Nothing was written" in told.err
    assert "must stay 40 K below" in " ".join(told.err.split())


def test_a_sheet_that_does_not_tell_enough(capsys, tmp_path):
    file = tmp_path / "thin.toml"
    file.write_text(
        """
name = "thin"
source = "invented"
gels = [{ temperature = "80 °C", time = "50 min" }]
"""
    )
    told = refusal(capsys, str(file), "--out", str(tmp_path / "thin-resin.toml"))
    assert told.startswith("bagside: this cannot be used\n  thin.toml, rows: Tg after the asked cycle is ")
    assert "one more row would do most: Tg after " in told
    assert not (tmp_path / "thin-resin.toml").exists()


def test_names_folders_and_days(capsys, tmp_path):
    file = tmp_path / "s.toml"
    file.write_text('name = "a b"\nsource = "invented"\n')
    assert refusal(capsys, str(file)) == (
        'bagside: this cannot be used\n  s.toml, name: "a b" – letters, digits, "-" and "_" are wanted, '
        'as in "ew-100"\n'
    )
    sheet = str(DEMO / "resin-sheet.toml")
    out = tmp_path / "none" / "r.toml"
    assert refusal(capsys, sheet, "--out", str(out)) == (
        f'bagside: "{out}" cannot be written: there is no folder "{out.parent}". Nothing was changed.\n'
    )
    assert refusal(capsys, sheet, "--on", "spring") == (
        'bagside: this cannot be used\n  --on: "spring" – a day is wanted, as in 2026-03-09\n'
    )


def test_curves_and_rows_together(capsys, tmp_path):
    """The law behind the demo's curves: 78 kJ/mol, n 1.5, 400 kJ/kg; see demo/make_dsc.py."""
    (tmp_path / "materials").mkdir()
    out = tmp_path / "materials" / "r.toml"
    assert tree.outcome(["resin", "fit", str(DEMO / "resin-dsc.toml"), "--out", str(out), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)["resin"]
    assert found["fitted"] == "dsc"
    assert found["dsc"]["heat_kj_per_kg"] == pytest.approx(400.0, rel=0.03)
    assert found["law"]["E2_j_per_mol"] == pytest.approx(7.8e4, rel=0.03)
    assert found["law"]["n"] == pytest.approx(1.5, abs=0.12)
    back = workshop_library(tmp_path).resin["kayak-100-dsc"]
    assert back.fitted.value == "dsc"
    assert back.heat == pytest.approx(1e3 * found["dsc"]["heat_kj_per_kg"], rel=1e-6)
    assert back.basis.of("heat").value == "measured here"


def test_the_demo_curves_are_what_their_maker_makes(tmp_path):
    subprocess.run([sys.executable, str(DEMO.parent / "make_dsc.py"), str(tmp_path)], check=True)
    made = sorted(tmp_path.iterdir())
    assert [p.name for p in made] == ["dsc-hold-100.csv", "dsc-ramp-10.csv", "dsc-ramp-2.csv", "dsc-ramp-5.csv"]
    for path in made:
        kept = (DEMO / path.name).read_text(encoding="utf-8").splitlines()
        new = path.read_text(encoding="utf-8").splitlines()
        assert len(kept) == len(new)
        assert kept[:5] == new[:5]
