"""What a sheet says about life: text with units, and lives that fall as it gets warmer."""

from __future__ import annotations

import tomllib
from importlib.resources import files

import pytest

from bagside.errors import InputError
from bagside.planning.cure_life import life_sheet, tack_sheet
from bagside.spec.library import Library, generic_library
from bagside.spec.reading import stated_from

DAY = 86400.0


def own(**more: object) -> Library:
    tables = tomllib.loads(files("bagside.library").joinpath("prepregs.toml").read_text(encoding="utf-8"))
    cloth = {**tables["prepreg"]["twill-200"], **more}
    return stated_from({"prepreg": {"own": cloth}}, Library, "own.toml")


@pytest.mark.published("Trade text: 1 year at −18 °C, 3 months at 0 °C, 4 weeks at 25 °C; 32 and 45 kJ/mol derived")
def test_lives_of_a_sheet_with_three_points_and_two_clocks():
    cloth = own(
        out_life="28 day",
        out_life_at="25 °C",
        lives=[{"temperature": "0 °C", "life": "91.25 day"}],
        storage="365 day",
        tack_life=[{"temperature": "25 °C", "life": "10 day"}],
    ).prepreg["own"]
    assert cloth.life_points == ((255.15, 365 * DAY), (273.15, 91.25 * DAY), (298.15, 28 * DAY))
    sheet = life_sheet(cloth)
    assert sheet.counted_at == 298.15
    assert sheet.energies == pytest.approx((44.6e3, 32.0e3), abs=50.0)
    tack = tack_sheet(cloth)
    assert tack is not None
    assert (tack.counted_at, float(tack.life(298.15))) == (298.15, pytest.approx(10 * DAY))
    assert float(tack.life(255.15)) == pytest.approx(365 * DAY)  # the freezer's guarantee holds for its tack too


def test_a_sheet_of_one_line_has_one_point_and_one_clock():
    """As before: counted at 21 °C, 35 kJ/mol below."""
    tables = tomllib.loads(files("bagside.library").joinpath("prepregs.toml").read_text(encoding="utf-8"))
    cloth = dict(tables["prepreg"]["twill-200"])
    del cloth["storage"], cloth["tack_life"]
    told = stated_from({"prepreg": {"own": cloth}}, Library, "own.toml").prepreg["own"]
    assert told.life_points == ((294.15, 30 * DAY),)
    assert tack_sheet(told) is None
    assert life_sheet(told).counted_at == 294.15


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (
            {"lives": [{"temperature": "0 °C", "life": "20 day"}]},
            "own.toml, prepreg own – its life is 20 days at 0 °C and 30 days at 21 °C; one for each temperature is "
            "wanted, less where it is warmer",
        ),
        (
            {"tack_life": [{"temperature": "21 °C", "life": "9 day"}, {"temperature": "21 °C", "life": "8 day"}]},
            "own.toml, prepreg own – its tack life is 8 days at 21 °C and 9 days at 21 °C; one for each temperature is "
            "wanted, less where it is warmer",
        ),
        (
            {"tack_life": [{"temperature": "21 °C", "life": "9"}]},
            'own.toml, prepreg own, tack life 1, life – "9" has no unit; a number with a unit is wanted, as in "4 h"',
        ),
    ],
)
def test_lives_that_cannot_be_are_refused(more, said):
    with pytest.raises(InputError) as error:
        own(**more)
    assert str(error.value) == said


def test_the_library_states_what_the_trade_holds_usual():
    """Common practice, no source: twelve months at −18 °C, three to eight weeks of room life, tack before chemistry."""
    for cloth in generic_library().prepreg.values():
        assert cloth.storage == 365 * DAY
        assert 21 * DAY <= cloth.out_life <= 56 * DAY
        assert cloth.tack_life[0].life < cloth.out_life
