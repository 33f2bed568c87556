"""What was settled once about a logger is not asked again, and a hand-made file keeps its lines."""

from __future__ import annotations

from pathlib import Path

import pytest
from written import said

from bagside.cure import Sensor
from bagside.errors import InputError
from bagside.records.logger import Follower, LoggerOptions, keep_settled, read_log

TEXT = "Time;TC1;TC2\n03/04/2026 08:00;20;21\n03/04/2026 08:01;21;21\n03/04/2026 08:02;22;21\n"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "run.csv"
    path.write_text(TEXT)
    return path


def test_kept_once_and_read_with_each_file(path: Path) -> None:
    with pytest.raises(InputError):
        read_log(path)
    kept = keep_settled(
        path.parent,
        {"unit": ["°C"], "column": ["TC1=air"], "date_order": "day", "ambient": "1000 mbar", "jumps": "keep"},
    )
    assert kept.read_text() == (
        "# What was settled about the logger whose files lie here; read with each of them.\n"
        'column = ["TC1=air"]\nunit = ["°C"]\ndate-order = "day"\n'
    )
    log = read_log(path)
    assert log.channels[0].sensor is Sensor.AIR
    assert said(log) == [
        "seen: run.csv: logger.toml beside it was taken into account; it holds what was settled about this logger "
        "before; nothing; take it away when another logger wrote this"
    ]
    follower = Follower(path)
    assert follower.poll()


def test_what_is_stated_wins_and_lines_made_by_hand_stay(path: Path) -> None:
    file = path.parent / "logger.toml"
    file.write_text('# ours\nunit = "°F"  # an old one\ndate-order = "day"\ncolumn = ["TC1=air", "TC9=part"]\n')
    log = read_log(path, LoggerOptions(columns={"TC1": Sensor.TOOL}, units={"TC2": ("°C",)}))
    assert [c.sensor for c in log.channels] == [Sensor.TOOL, Sensor.UNKNOWN]
    assert log.channels[0].values[0] == pytest.approx((20 + 459.67) * 5 / 9)
    assert log.channels[1].values[0] == pytest.approx(294.15)
    keep_settled(path.parent, {"column": ["TC1=tool"], "decimal": "."})
    text = file.read_text()
    assert text.startswith("# ours\n")
    assert 'column = ["TC9=part", "TC1=tool"]' in text
    assert "# an old one" in text


def test_a_file_that_cannot_be_understood(path: Path) -> None:
    (path.parent / "logger.toml").write_text('units = "°C"\ncolumn = ["TC1=aire"]\ntime = 5\nat = 3\n')
    with pytest.raises(InputError) as told:
        read_log(path)
    assert str(told.value) == (
        'logger.toml, units – this is not known here (did you mean "unit"?)\n'
        "logger.toml, time: 5 – a text in quotes is wanted\n"
        'logger.toml, at – texts are wanted, as in ["TC1=air", "TC2=part"]\n'
        'logger.toml, column: "TC1=aire" – this is not known here (did you mean "air"?)'
    )
