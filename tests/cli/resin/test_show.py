"""``bagside resin show``: the law and its table, for resins of the library and of a workshop."""

from __future__ import annotations

import json

import pytest
import typer

from bagside.cli import app as tree
from bagside.cli.resin.show import show
from bagside.cure import NthOrder
from bagside.cure.fit import held_at, usual_temperatures
from bagside.cure.resin import CureResin


@pytest.fixture(autouse=True)
def command(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hang the command into a tree of its own, whether or not the whole one has it."""
    app = typer.Typer(pretty_exceptions_enable=False)
    resin = typer.Typer()
    resin.command("show")(tree.ending(show))
    resin.command("other")(tree.ending(lambda: 0))
    app.add_typer(resin, name="resin")
    monkeypatch.setattr(tree, "app", app)


def answer(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict:
    assert tree.outcome(["resin", "show", *arguments, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


@pytest.mark.published("Hubert Johnston Poursartip Nelson 2001 law from .01 at 180 °C, evaluated (derived here)")
def test_a_published_resin_at_180(capsys):
    """α .7625 after 60 min and .8216 after 120 min; Tg by hand from −7, 250 °C, 0.78: 176.7 and 194.0 °C."""
    held = answer(capsys, "hubert-2001", "--at", "180 °C")["resin"]["held"][0]
    assert held["tg_after_min"][:2] == [60, 120]
    assert held["tg_c"][:2] == pytest.approx([176.7, 194.0], abs=1.0)
    assert held["valid"] is True


def test_of_first_order_by_hand():
    """k 2e-3 1/s: α = 0.5 after ln 2/k = 347 s, 0.9 after ln 10/k = 1151 s, from zero."""
    resin = CureResin(
        kinetics=NthOrder(A=2e-3, E=0.0, n=1.0), heat=1.0, density=1200.0, heat_capacity=1200.0, conductivity=0.2,
        tg0=260.0, tg1=400.0, tg_lambda=1.0, gel=0.5, alpha0=0.0,
    )  # fmt: skip
    (line,) = held_at(resin, [350.0])
    assert line.gel == pytest.approx(346.57, abs=0.1)
    assert line.mostly == pytest.approx(1151.3, abs=0.3)
    assert line.tg[0] == pytest.approx(400.0 - 140.0 * 0.000747, abs=0.01), "e^−7.2 is left after an hour"
    assert len(usual_temperatures(resin)) >= 3


def test_lines_outside_the_range_are_flagged(capsys):
    found = answer(capsys, "hubert-2001", "--at", "80 °C", "--at", "220 °C")
    assert [h["valid"] for h in found["resin"]["held"]] == [True, False]
    assert found["resin"]["held"][0]["gel_min"] is None, "over four months"
    assert [f["what"] for f in found["findings"]] == ["the law is not known to hold at 220 °C"]


def test_tables_for_people(capsys):
    assert tree.outcome(["resin", "show", "epoxy-120"]) == 0
    told = capsys.readouterr().out
    for words in ("80.0 kJ/mol", "may be believed", "common practice", "gels after", "120 °C"):
        assert words in told


def test_a_fitted_resin_tells_its_margin(capsys, tmp_path):
    (tmp_path / "materials").mkdir()
    assert tree.outcome(["resin", "show", "epoxy-120", "--json"]) == 0
    capsys.readouterr()
    text = """
[resin.mine]
kinetics = "nth-order"
parameters = { A = 1e6, E = 7e4, n = 1.5, coldest = 340, hottest = 400 }
heat = "400 kJ/kg"
density = "1.2 g/cm³"
heat_capacity = "1300 J/(kg K)"
conductivity = "0.2 W/(m K)"
fibre_heat_capacity = "900 J/(kg K)"
fibre_conductivity = "4 W/(m K)"
tg_uncured = "-5 °C"
tg_cured = "120 °C"
tg_lambda = 0.5
gel = "50 %"
start = "1 %"
hottest = "150 °C"
fitted = "data sheet"
tg_error = "25 K"
basis = { all = "data sheet", source = "invented" }
"""
    (tmp_path / "materials" / "mine.toml").write_text(text, encoding="utf-8")
    found = answer(capsys, "mine", "--workshop", str(tmp_path))["resin"]
    assert found["post_cure_margin_k"] == 55.0
    assert (found["coldest_c"], found["hottest_c"]) == pytest.approx((66.85, 126.85))


def test_mistakes(capsys):
    assert tree.outcome(["resin", "show", "epoxi-120"]) == 2
    assert capsys.readouterr().err == (
        'bagside: this cannot be used\n  name: "epoxi-120" – there is no resin of this name in this workshop '
        '(did you mean "epoxy-120"?)\n'
    )
    assert tree.outcome(["resin", "show", "epoxy-120", "--at", "80"]) == 2
    assert capsys.readouterr().err == (
        'bagside: this cannot be used\n  --at – "80" has no unit; a number with a unit is wanted, as in "80 °C"\n'
    )
