"""A fitted resin as a materials file: the workshop reads it back, and nothing is written over."""

from __future__ import annotations

import tomllib
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from bagside.cure.fit import SheetFit, sheet_fitted
from bagside.errors import InputError
from bagside.findings import Basis
from bagside.planning.cure_sections import cure_resin
from bagside.records.resin_file import day_of, name_problem, resin_text, usual_flow, written
from bagside.spec.library import generic_library, workshop_library
from bagside.spec.material import Fitted
from bagside.spec.reading import stated_from
from bagside.spec.resin_sheet import ResinSheet

DEMO = Path(__file__).parents[2] / "demo" / "benches" / "resin-sheet.toml"
USUAL = generic_library().resin["epoxy-120"]


@pytest.fixture(scope="module")
def fitted() -> tuple[ResinSheet, SheetFit]:
    sheet = stated_from(tomllib.loads(DEMO.read_text(encoding="utf-8")), ResinSheet, DEMO.name)
    return sheet, sheet_fitted(sheet, DEMO.name, usual_flow(USUAL))


def test_the_workshop_reads_it_back(fitted, tmp_path):
    sheet, found = fitted
    (tmp_path / "materials").mkdir()
    written(tmp_path / "materials" / "kayak-100.toml", resin_text(found, sheet, USUAL, date(2026, 3, 9)))
    back = workshop_library(tmp_path).resin["kayak-100"]
    assert back.fitted is Fitted.SHEET
    assert back.tg_error == pytest.approx(found.answer.worst, abs=0.06)
    assert back.basis.source == "invented data sheet of a 100 °C vacuum-bag epoxy, fitted 2026-03-09"
    assert back.basis.of("kinetics") is Basis.DATA_SHEET
    assert back.basis.of("heat") is Basis.DATA_SHEET
    assert back.basis.of("conductivity") is Basis.COMMON
    assert (back.heat, back.density, back.conductivity) == pytest.approx((400e3, 1210.0, USUAL.conductivity))
    resin = cure_resin(back, back.density, "kayak-100")
    alpha, heat = np.linspace(0.02, 0.95, 20), np.linspace(330.0, 380.0, 20)
    assert resin.kinetics.rate(alpha, heat) == pytest.approx(found.law.rate(alpha, heat), rel=1e-4)
    assert resin.kinetics.valid == found.law.valid
    glass = found.law.vitrification
    assert glass is not None
    assert resin.tg([0.0, 1.0]) == pytest.approx([glass.tg0, glass.tg1], abs=0.01)
    assert back.tg_lambda == pytest.approx(glass.tg_lambda, abs=1e-5)
    assert resin.viscosity is not None
    assert resin.viscosity.at(0.1, 350.0) == pytest.approx(found.viscosity.at(0.1, 350.0), rel=1e-5)


def test_quotes_in_a_source_do_not_break_the_file(fitted):
    sheet, found = fitted
    from dataclasses import replace

    odd = replace(found, source='sheet "A\\B"\nof the maker')
    back = tomllib.loads(resin_text(odd, sheet, USUAL, date(2026, 3, 9)))
    assert back["resin"]["kayak-100"]["basis"]["source"] == "sheet 'A/B' of the maker, fitted 2026-03-09"


def test_nothing_is_written_over(tmp_path):
    path = tmp_path / "r.toml"
    path.write_text("mine\n")
    with pytest.raises(InputError) as e:
        written(path, "other")
    assert str(e.value) == (f'--out: "{path}" – there is a file of this name, and it stays (give another name)')
    assert path.read_text() == "mine\n"


def test_names_and_days():
    assert name_problem("ew-100_b") == ""
    assert name_problem("ew 100") == 'letters, digits, "-" and "_" are wanted, as in "ew-100"'
    assert day_of("2026-03-09") == date(2026, 3, 9)
    with pytest.raises(InputError) as e:
        day_of("9.3.2026")
    assert str(e.value) == '--on: "9.3.2026" – a day is wanted, as in 2026-03-09'
