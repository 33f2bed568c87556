"""The typed-in sheet: all problems at once, each at its place."""

from __future__ import annotations

import tomllib

import pytest

from bagside.errors import InputError
from bagside.spec.reading import stated_from
from bagside.spec.resin_sheet import Exo, ResinSheet


def test_what_a_maker_types():
    sheet = stated_from(
        tomllib.loads(
            """
name = "ew-100"
source = "invented"
cures = [{ temperature = "176 °F", time = "8 h", tg = "105 °C", ramp = "2 °C/min", full = true }]
gels = [{ temperature = "80 °C", time = "50 min" }]
lives = [{ temperature = "20 °C", life = "14 d", advance = "5 %" }]
viscosities = [{ viscosity = "3.5 Pa s", ramp = "2 °C/min" }]
dsc = [{ file = "ramp-10.csv", mass = "8.2 mg", exo = "down", resin = "38 %" }]
[asked]
segments = [{ to = "80 °C", rate = "1 °C/min", hold = "4 h" }]
"""
        ),
        ResinSheet,
        "sheet.toml",
    )
    assert sheet.cures[0].temperature == pytest.approx(353.15)
    assert sheet.cures[0].ramp == pytest.approx(2 / 60)
    assert sheet.lives[0].life == 14 * 86400
    assert sheet.dsc[0].mass == pytest.approx(8.2e-6)
    assert sheet.dsc[0].exo is Exo.DOWN
    assert sheet.asked.tg_within == 12.0


def test_every_mistake_has_its_place():
    with pytest.raises(InputError) as e:
        stated_from(
            tomllib.loads(
                """
name = "x"
cures = [{ temperature = 80, time = "8 h", tgg = "105 °C" }]
gels = [{ temperature = "80 °C" }]
viscosities = [{ viscosity = "0 Pa s" }]
dsc = [{ file = "a.csv", exo = "left", mass = "0 mg" }]
"""
            ),
            ResinSheet,
            "sheet.toml",
        )
    assert str(e.value).splitlines() == [
        "sheet.toml, source – this is missing and cannot be guessed",
        'sheet.toml, cure 1, temperature – 80 has no unit; a number with a unit is wanted, as in "80 °C"',
        'sheet.toml, cure 1, tgg – this is not known here (did you mean "tg"?)',
        "sheet.toml, gel time 1, time – this is missing and cannot be guessed",
        'sheet.toml, viscosity 1, viscosity – "0 Pa s" must be more than zero',
        'sheet.toml, DSC curve 1, exo: "left" – one of "up" or "down" is wanted (known here: down, up)',
        'sheet.toml, DSC curve 1, mass – "0 mg" must be more than zero',
    ]
