"""Cautions: each hazard a step can name has one, limits carry their source, and all defer."""

import re
from pathlib import Path

import pytest

from bagside.findings import Basis
from bagside.planning import step_lists
from bagside.planning.cautions import CAUTIONS, DEFERS, cautions_for


def test_every_hazard_that_steps_name_has_a_caution() -> None:
    source = Path(step_lists.__file__).read_text(encoding="utf-8")
    lines = [line for line in source.splitlines() if "hazards=" in line]
    named = {word for line in lines for word in re.findall(r'"([a-z]+)"', line)}
    assert len(named) >= 10
    assert named <= CAUTIONS.keys()


def test_the_usual_hazards_of_the_trade_are_there() -> None:
    assert {
        "prepreg", "knife", "solvent", "vacuum", "oven", "exotherm", "dust", "drill", "glue", "isocyanate", "lifting",
        "waste",
    } <= CAUTIONS.keys()  # fmt: skip


def test_a_limit_in_numbers_names_its_source() -> None:
    for caution in CAUTIONS.values():
        if re.search(r"mg/m³|lower limit", caution.text):
            assert caution.basis is Basis.PUBLISHED
            assert caution.source
    assert DEFERS == "Safety data sheets, local rules and licensed practice come first."


@pytest.mark.published("UK EH40 0.02 and 0.07 mg/m³ NCO; EU 2024/869 10 and 20 µg/m³ to end of 2028, then 6, 12")
def test_isocyanate_limits() -> None:
    text = CAUTIONS["isocyanate"].text
    assert re.findall(r"0\.\d+", text) == ["0.02", "0.07", "0.010", "0.020", "0.006", "0.012"]
    assert "air-fed" in text


@pytest.mark.published("UK COSHH regulation 2: 10 mg/m³ inhalable and 4 mg/m³ respirable dust; OSHA 15 and 5 mg/m³")
def test_dust_limits() -> None:
    assert "10 mg/m³ inhalable and 4 mg/m³ respirable" in CAUTIONS["dust"].text
    assert "15 and 5 mg/m³" in CAUTIONS["dust"].source


def test_each_once_in_the_order_given() -> None:
    assert [c.hazard for c in cautions_for(["oven", "dust", "oven"])] == ["oven", "dust"]
    with pytest.raises(KeyError):
        cautions_for(["ghosts"])
