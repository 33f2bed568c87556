"""Clean files are read as they stand."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import numpy as np
import pytest

from bagside.cure import Sensor
from bagside.records.logger import LoggerOptions, read_log


def test_a_clean_file_with_semicolons_and_decimal_commas(tmp_path: Path) -> None:
    path = tmp_path / "run.csv"
    path.write_text(
        "Zeit;Ofenluft (°C);TC1 (°F);Vakuum (mbar abs)\n"
        "04.03.2026 08:00:00;21,5;212;25\n04.03.2026 08:01:00;22,5;OPEN;24\n04.03.2026 08:02:00;23,5;32;24\n",
        encoding="latin-1",
    )
    log = read_log(path, LoggerOptions(columns={"TC1": Sensor.PART}, sections={"TC1": "keel"}))
    assert log.started == datetime(2026, 3, 4, 8)
    assert log.time.tolist() == [0.0, 60.0, 120.0]
    assert [(c.name, c.sensor, c.section) for c in log.channels] == [
        ("Ofenluft", Sensor.AIR, ""),
        ("TC1", Sensor.PART, "keel"),
        ("Vakuum", Sensor.BAG, ""),
    ]
    air, part, bag = (c.values for c in log.channels)
    np.testing.assert_allclose(air, [294.65, 295.65, 296.65])
    np.testing.assert_allclose(part, [373.15, np.nan, 273.15])  # water boils at 212 °F and freezes at 32 °F
    assert bag.tolist() == pytest.approx([2500.0, 2400.0, 2400.0])
