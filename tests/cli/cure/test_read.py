"""`bagside cure read`: what was understood, what was noticed, and questions as one message."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import typer

from bagside.cli.cure.read import read
from bagside.errors import InputError


def run(*arguments: str) -> None:
    app = typer.Typer(pretty_exceptions_enable=False)
    app.command()(read)
    app(args=list(arguments), standalone_mode=False)


def test_what_was_understood_as_data(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "run.csv"
    path.write_text("Time;Oven;TC 1;Vac\n08:00:00;20;21;-95\n08:00:30;25;20;-96\n08:01:00;30;22;-95\n")
    settled = ["--unit", "°C", "--unit", "kPa", "--column", "TC 1=part", "--at", "TC 1=keel", "--ambient", "1000 mbar"]
    run(str(path), *settled, "--json")
    found = json.loads(capsys.readouterr().out)
    log = found["log"]
    assert (log["readings"], log["duration_s"], log["interval_s"], log["started"]) == (3, 60.0, 30.0, None)
    assert (log["time"], log["time_column"], log["separator"]) == ("time of day", "Time", ";")
    air, part, bag = log["channels"]
    assert (air["measures"], air["first_c"], air["last_c"]) == ("air", 20.0, 30.0)
    assert (part["measures"], part["section"], part["lowest_c"], part["highest_c"]) == ("part", "keel", 20.0, 22.0)
    assert (bag["measures"], bag["reference"], bag["unit"]) == ("pressure in the bag", "gauge", "kPa")
    assert bag["lowest_mbar"] == pytest.approx(40.0)
    assert bag["highest_mbar"] == pytest.approx(50.0)
    assert found["findings"] == []


def test_the_table_says_how_it_was_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "run.tsv"
    path.write_text("Zeit\tOfen [°C]\n04.03.2026 08:00\t20,5\n04.03.2026 08:01\t21,5\n04.03.2026 08:02\t22,5\n")
    run(str(path))
    out = capsys.readouterr().out
    assert "run.tsv: 3 readings in 2 min, 1 min apart, from 2026-03-04 08:00:00 on" in out
    assert "Read as time: date and time in one cell" in out
    assert "decimal comma" in out


def test_options_that_cannot_be_understood_come_all_at_once(tmp_path: Path) -> None:
    path = tmp_path / "run.csv"
    path.write_text("Time;Oven (°C)\n08:00:00;20\n08:00:30;25\n")
    with pytest.raises(InputError) as told:
        run(str(path), "--column", "Oven=aire", "--unit", "°R", "--time", "noon", "--ambient", "1000", "--decimal", "x")
    assert str(told.value) == (
        '--column: "Oven=aire" – this is not known here (did you mean "air"?)\n'
        '--unit: "°R" – a unit of temperature or pressure is wanted: °C, °F, K, mbar, kPa, inHg, torr, …\n'
        '--decimal: "x" – a point "." or a comma "," is wanted\n'
        '--ambient – "1000" has no unit; a number with a unit is wanted, as in "20 mbar"\n'
        '--time: "noon" – this is not known here (known here: 12 h am, 12 h pm, clock, days, h, h:min, min, min:s, ms, '
        "s, unix ms, unix s)"
    )
