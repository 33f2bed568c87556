"""A stated sheet fitted whole: refusals with every reason, what is noticed, viscosity."""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest

from bagside.cure import CastroMacosko
from bagside.cure.fit import RowKind, rows_of, sheet_fitted
from bagside.cure.fit.flow import Thickness, flow_fitted
from bagside.errors import InputError
from bagside.spec.reading import stated_from
from bagside.spec.resin_sheet import ResinSheet

DEMO = Path(__file__).parents[3] / "demo" / "benches" / "resin-sheet.toml"
USUAL = CastroMacosko(A=3.0e-10, E=7.6e4, gel=0.5, a=2.6, b=1.5)


def sheet(text: str) -> ResinSheet:
    return stated_from(tomllib.loads(f'name = "x"\nsource = "invented"\n{text}'), ResinSheet, "sheet.toml")


def refusal(text: str) -> list[str]:
    with pytest.raises(InputError) as e:
        sheet_fitted(sheet(text), "sheet.toml", USUAL)
    return str(e.value).splitlines()


def test_rows_that_say_nothing_or_what_cannot_be():
    told = refusal(
        """
start = "0 %"
gel = "97 %"
tg_uncured = "0 °C"
tg_cured = "100 °C"
tg_lambda = 3
cures = [
  { temperature = "80 °C", time = "8 h" },
  { temperature = "80 °C", time = "8 h", cure = "100 %", cure_off = "0 %" },
  { temperature = "80 °C", time = "8 h", tg = "-3 °C", tg_off = "0 K" },
  { temperature = "120 °C", time = "1 h", tg = "118 °C" },
]
gels = [{ temperature = "80 °C", time = "1 h", off = "0 %" }]
lives = [{ temperature = "20 °C", life = "10 d", advance = "60 %" }]
viscosities = [{ viscosity = "4 Pa s" }]
"""
    )
    assert told == [
        "sheet.toml, start: 0.0 % – above 0 and up to 20 % is wanted (fresh prepreg: 1 to 5 %)",
        "sheet.toml, gel: 97.0 % – more than the start and below 95 % is wanted",
        "sheet.toml, tg_lambda: 3 – 0.05 to 1.5 is wanted",
        "sheet.toml, cure 1 – it says nothing of what comes of it (state tg, cure or full = true)",
        "sheet.toml, cure 2, cure: 100.0 % – more than the start and below 99.9 % is wanted "
        "(a full cure is full = true)",
        "sheet.toml, cure 2, cure_off: 0 – more than zero is wanted: no sheet is exact",
        "sheet.toml, cure 3, tg: −3.0 °C – above that of uncured resin is wanted",
        "sheet.toml, cure 3, tg_off: 0 – more than zero is wanted: no sheet is exact",
        "sheet.toml, cure 4, tg: 118.0 °C – that is above tg_cured, 100.0 °C; one of them is wrong",
        "sheet.toml, gel time 1, off: 0 – more than zero is wanted: no sheet is exact",
        "sheet.toml, out-life 1, advance: 60.0 % – above 0 and up to 40 % is wanted (usual: 3 to 8 %)",
        "sheet.toml, viscosity 1 – one of temperature (of fresh resin) and ramp (its least on the way up) is wanted",
    ]


def test_rows_out_of_reach_and_gel_times_that_contradict_each_other():
    told = refusal(
        """
cures = [{ temperature = "-20 °C", time = "8 h", tg = "105 °C" }, { temperature = "80 °C", time = "1 s", full = true }]
gels = [
  { temperature = "90 °C", time = "50 h" },
  { temperature = "400 °C", time = "12 min" },
  { temperature = "80 °C", time = "50 min" },
]
"""
    )
    assert told == [
        "sheet.toml, cure 1, temperature: −20 °C – 0 °C to 300 °C is wanted",
        "sheet.toml, cure 2, time: 0.0 min – 10 s to 100 days is wanted",
        "sheet.toml, gel time 2, temperature: 400 °C – 0 °C to 300 °C is wanted",
        "sheet.toml, gel time 1, time: 3\u2009000.0 min at 90 °C – less than the 50.0 min at 80 °C is wanted: "
        "hot resin gels sooner",
    ]


def test_a_sheet_with_nothing_but_out_life():
    assert refusal('lives = [{ temperature = "20 °C", life = "10 d" }]') == [
        "sheet.toml, rows – at least one cure or gel time is wanted; out-life alone does not tell how it cures "
        "(a cure with its Tg and a gel time at the same temperature do most)"
    ]


def test_one_option_for_what_it_says_is_enough():
    found = sheet_fitted(
        sheet('cures = [{ temperature = "80 °C", time = "8 h", tg = "105 °C" }]'
              '\ngels = [{ temperature = "80 °C", time = "50 min" }]'),
        "sheet.toml", USUAL,
    )  # fmt: skip
    assert found.answer.tg - 273.15 == pytest.approx(105.0, abs=5.0)
    assert found.worn is None
    assert [f.place for f in found.found] == ["post-cure", "degree of cure"]


def test_the_demo_sheet():
    stated = stated_from(tomllib.loads(DEMO.read_text(encoding="utf-8")), ResinSheet, DEMO.name)
    found = sheet_fitted(stated, DEMO.name, USUAL)
    assert np.abs(found.fit.deviations).max() < 1.5
    assert [f.place for f in found.found] == ["out-life", "post-cure", "degree of cure"]
    assert found.found[1].do == (
        "narrower with DSC curves; without, post-cure in steps that the sheet itself states"
    ), "a sheet alone never earns less than 40 K"
    assert found.law.valid.coldest == pytest.approx(70.0 + 273.15), "not valid in the room, where it keeps longer"
    assert found.viscosities == pytest.approx([3.5], rel=0.3)


def test_a_wrong_row_is_named():
    text = """
cures = [
  { temperature = "80 °C", time = "8 h", tg = "105 °C" },
  { temperature = "100 °C", time = "2 h", tg = "118 °C" },
]
gels = [
  { temperature = "80 °C", time = "50 min" },
  { temperature = "90 °C", time = "9 min" },
  { temperature = "100 °C", time = "12 min" },
]
[asked]
tg_within = "90 K"
gel_within = "900 %"
"""
    found = sheet_fitted(sheet(text), "sheet.toml", USUAL)
    assert found.found[0].place == "all rows"
    assert found.found[0].severity.value == "decide"
    assert "gel time 2, gel time" in [f.place for f in found.found]
    assert found.fit.widened > 2.0


def test_a_stated_full_cure_and_a_stated_degree():
    rows = rows_of(sheet('cures = [{ temperature = "80 °C", time = "8 h", cure = "92 %", full = true }]'), "s.toml")
    assert [r.kind for r in rows] == [RowKind.CURE, RowKind.FULL]
    assert rows[0].stated == 0.92


def test_viscosity_of_fresh_resin_is_met():
    found = sheet_fitted(
        stated_from(tomllib.loads(DEMO.read_text(encoding="utf-8")), ResinSheet, DEMO.name), "d", USUAL
    )
    fit = found.fit
    rows = [Thickness(viscosity=v, temperature=t, ramp=None) for v, t in ((900.0, 313.15), (143.0, 333.15))]
    law, said = flow_fitted(rows, fit.theta, fit.prior.middle, fit.start, USUAL)
    assert said == pytest.approx([900.0, 143.0], rel=0.05)
    assert law.at([fit.start, fit.start], [313.15, 333.15]) == pytest.approx(said, rel=1e-6)
    plain, none = flow_fitted([], fit.theta, fit.prior.middle, fit.start, USUAL)
    assert len(none) == 0
    assert pytest.approx((USUAL.A, USUAL.E)) == (plain.A, plain.E)
