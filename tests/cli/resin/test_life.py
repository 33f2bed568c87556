"""``bagside resin life``: hours counted by the sheet and by the law, what is left, and what it does to a cure."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

from bagside.cli.resin.life import life
from bagside.cli.resin.life_spells import spell_of, spells_of_list
from bagside.errors import InputError

DEMO = Path(__file__).parents[3] / "demo" / "benches" / "cure.toml"
SHEET = ["365 day at −18 °C", "91.25 day at 0 °C", "28 day at 25 °C"]


def answer(capsys: pytest.CaptureFixture[str], *arguments: object, code: int = 0, **options: object) -> dict:
    assert life(*arguments, json=True, **options) == code
    return json.loads(capsys.readouterr().out)


def warm(energy: float, cold: float, hot: float) -> float:
    return math.exp(energy / 8.314 * (1 / (cold + 273.15) - 1 / (hot + 273.15)))


def test_hours_by_a_sheet_of_one_line(capsys):
    """30 days at 21 °C, 365 in the freezer; 6 h at 21 and 10 h at 25 °C: 1.551 times by 80 kJ/mol (worked by hand)."""
    found = answer(capsys, "twill-200", spent=["6 h at 21 °C", "10 h at 25 °C"])["life"]
    used = 6 + 10 * warm(80e3, 21, 25)
    assert found["counted_at_c"] == pytest.approx(21.0)
    assert found["life_h"] == pytest.approx(720.0)
    assert found["used_h"] == pytest.approx(used)
    assert found["share"] == pytest.approx(used / 720)
    assert [s["counts_h"] for s in found["spells"]] == pytest.approx([6.0, 10 * warm(80e3, 21, 25)])
    left = {round(x["at_c"]): x["left_h"] for x in found["left"]}
    assert left[21] == pytest.approx(720 - used)
    assert left[-18] == pytest.approx((720 - used) / 720 * 365 * 24)  # the library states a year there
    # half its life is that of its tack
    assert found["tack"]["life_h"] == pytest.approx(360.0)
    assert found["tack"]["share"] == pytest.approx(used / 360)
    # 1 % fresh and 5 % at the end of its life, straight in between (as the library states both)
    assert found["cure_now"] == pytest.approx(0.01 + 0.04 * used / 720)


def test_a_sheet_typed_in_wins(capsys):
    """Half of the freezer's year, and a week in the warm: 1/2 + 1/4 of its life."""
    found = answer(
        capsys, "twill-200", spent=["182.5 day at −18 °C", "7 day at 25 °C"], sheet=SHEET, room="25 °C", code=0
    )
    assert found["life"]["share"] == pytest.approx(0.75)
    assert found["life"]["left"][0]["left_h"] == pytest.approx(7 * 24.0)
    assert found["findings"][0]["what"] == "504 h of its 672 h at 25 °C are used"
    assert found["findings"][0]["basis"] == "data sheet"


def test_used_up_is_a_stop(capsys):
    found = answer(capsys, "twill-200", spent=["31 day at 21 °C"], code=1)
    assert found["findings"][0]["severity"] == "stop"
    assert found["life"]["left"][0]["left_h"] == 0.0


def test_in_and_out_list(tmp_path, capsys):
    """Two mornings out, 48 h less two hours apart in the freezer: 6.5 h + 2 h + 45.5 h × 30 / 365."""
    path = tmp_path / "roll.csv"
    path.write_text(
        "out,back,temperature\n2026-03-02 08:10, 2026-03-02 14:40, 21 °C\n2026-03-04 12:10,2026-03-04 14:10,21 °C\n",
        encoding="utf-8",
    )
    found = answer(capsys, "twill-200", listed=path)["life"]
    assert [s["duration_h"] for s in found["spells"]] == [6.5, 45.5, 2.0]
    assert found["used_h"] == pytest.approx(8.5 + 45.5 * 30 / 365)


def test_what_it_does_to_a_cure(capsys):
    """Used resin gels sooner and is thicker in each place of the demo's cycle."""
    found = answer(capsys, "twill-200", spent=["20 day at 21 °C"], cure=DEMO)["life"]["cure"]
    assert len(found) >= 2
    for place in found:
        assert place["now"]["cure_at_start"] > place["fresh"]["cure_at_start"]
        assert place["now"]["gel_min"] < place["fresh"]["gel_min"]
        assert place["now"]["viscosity_pa_s"] > place["fresh"]["viscosity_pa_s"]


def test_people_read_a_table(capsys):
    assert life("twill-200", spent=["6 h at 21 °C", "3 h from −18 °C to 21 °C"]) == 0
    told = capsys.readouterr().out
    assert "twill-200: 7.2 h of 30 days at 21 °C are used, 1 %" in told
    assert "−18 °C to 21 °C" in told
    assert "in the freezer" in told
    assert life("twill-200") == 0
    assert "twill-200: 30 days at 21 °C, none used" in capsys.readouterr().out


def test_spells_as_typed():
    assert spell_of("6 h at 21 °C", "x").duration == 21600.0
    even = spell_of("90 min from 5 °C to 21 °C", "x")
    assert (even.duration, even.temperature, even.end) == (5400.0, pytest.approx(278.15), pytest.approx(294.15))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (
            "6 h",
            '--spent: "6 h" – a time and a temperature are wanted, as in "6 h at 21 °C" or "3 h from 5 °C to 21 °C"',
        ),
        ("6 at 21 °C", '--spent: "6 at 21 °C" – "6" has no unit; a number with a unit is wanted, as in "4 h"'),
        ("6 h at 21", '--spent: "6 h at 21" – "21" has no unit; a number with a unit is wanted, as in "80 °C"'),
        ("−6 h at 21 °C", '--spent: "−6 h at 21 °C" – a time of zero or more is wanted'),
    ],
)
def test_a_spell_that_cannot_be_read(text, told):
    with pytest.raises(InputError) as e:
        life("twill-200", spent=[text])
    assert str(e.value) == told


def test_a_list_that_cannot_be_read(tmp_path):
    with pytest.raises(InputError) as e:
        spells_of_list("from;to\n", "roll.csv", 255.15)
    assert str(e.value) == 'roll.csv, line 1: "from;to" – the heading "out,back,temperature" is wanted'
    text = (
        "out,back,temperature\n"
        "2026-03-02 08:10,2026-03-02 07:40,21 °C\n"
        "2 March,2026-03-02 14:40,21 °C\n"
        "2026-03-03 08:10,2026-03-03 09:10,21\n"
        "2026-03-03 08:10\n"
    )
    with pytest.raises(InputError) as e:
        spells_of_list(text, "roll.csv", 255.15)
    assert str(e.value).splitlines() == [
        "roll.csv, line 2: out 2026-03-02 08:10, back 2026-03-02 07:40 – times that go on are wanted: out, back, and "
        "out again after that",
        'roll.csv, line 3, out: "2 March" – a day and a time are wanted, as in "2026-03-02 08:10"',
        'roll.csv, line 4, temperature: "21" – "21" has no unit; a number with a unit is wanted, as in "80 °C"',
        "roll.csv, line 5 – three values separated by commas are wanted",
    ]
    with pytest.raises(InputError) as e:
        spells_of_list("out,back,temperature\n", "roll.csv", 255.15)
    assert str(e.value) == "roll.csv – one line or more below the heading is wanted"
    with pytest.raises(InputError, match="there is no such file"):
        life("twill-200", listed=tmp_path / "none.csv")
    (tmp_path / "bad.csv").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(InputError, match="it cannot be read as text"):
        life("twill-200", listed=tmp_path / "bad.csv")


def test_names_that_are_not_there():
    with pytest.raises(InputError) as e:
        life("twil-200")
    assert str(e.value) == 'name: "twil-200" – a prepreg or a resin is wanted (did you mean "twill-200"?)'
    with pytest.raises(InputError) as e:
        life("epoxy-120")
    assert str(e.value) == '--sheet – its life is wanted, as in "30 day at 21 °C"'
    with pytest.raises(InputError) as e:
        life("epoxy-120", sheet=["30 day from 5 °C to 21 °C"])
    assert str(e.value) == ('--sheet: "30 day from 5 °C to 21 °C" – one temperature is wanted, as in "30 day at 21 °C"')
    with pytest.raises(InputError) as e:
        life("hubert-2001", sheet=["30 day at 21 °C"], cure=DEMO)
    assert str(e.value) == f'{DEMO}: "epoxy-120" – a cure of "hubert-2001" is wanted'
