"""Write the demo's log of a cure: what a cheap logger would have seen of demo/benches/cure.toml. Invented.

The part is simulated with heat and films a little off what is stated, the thermocouples have noise and an error of
their own, one loses contact for a while, and the file looks as loggers' files look.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

from bagside.cli.cure.case import opened_case
from bagside.cure import Scenario, simulate

BEGAN = datetime(2026, 11, 24, 18, 40)
EVERY = 60.0  # [s]
LOST = (95, 112)  # readings without contact


def written(file: Path) -> None:
    """Write the log.

    Parameters
    ----------
    file
        Where.
    """
    case = opened_case(Path(__file__).parent / "benches" / "cure.toml", None)
    cooling = replace(case.programme.segments[-1], target=313.15, ramp=case.oven.cooling, hold=600.0)
    asked = replace(case.programme, segments=(*case.programme.segments, cooling))
    truth = Scenario(name="", heat=1.04, rate=0.97, film_bag=0.88, film_tool=0.9, air=-1.0).of(case.on_mould)
    panel, doubler = simulate(truth, case.resin, case.oven.air(asked), output_interval=EVERY)
    random = np.random.default_rng(20261124)
    times = np.arange(0.0, panel.time[-1], EVERY)

    def seen(values: np.ndarray, error: float) -> np.ndarray:
        at = np.interp(times, panel.time, values) - 273.15
        return at + error + random.normal(0.0, 0.3, len(times))

    columns = [
        seen(panel.programme, 0.0).round(),
        seen(panel.air, 0.4),
        seen(panel.laminate_temperature.mean(axis=1), -0.5),
        seen(doubler.laminate_temperature.mean(axis=1), 0.7),
        22.0 + random.normal(0.0, 0.8, len(times)),
    ]
    head = ("date", "time", "set (°C)", "air (°C)", "TC2 panel (°C)", "TC3 doubler (°C)", "vacuum (mbar abs)")
    lines = ["Logger 7;oven, invented for a demo", ";".join(head)]
    for k, t in enumerate(times):
        when = BEGAN + timedelta(seconds=float(t))
        cells = [f"{c[k]:.1f}".replace(".", ",") for c in columns]
        if LOST[0] <= k < LOST[1]:
            cells[2] = "OPEN"
        lines.append(";".join([when.strftime("%d.%m.%Y"), when.strftime("%H:%M:%S"), *cells]))
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    written(Path(sys.argv[1]))
