"""DSC files as instruments write them, and broken ones: every problem is asked at once, nothing is guessed."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from bagside.errors import InputError
from bagside.records.dsc_file import dsc_curve, dsc_curves
from bagside.spec.resin_sheet import DscRow, Exo

DEMO = Path(__file__).parents[2] / "demo" / "benches"
N = 80


def lines(separator: str = ",", comma: bool = False, scale: float = 1.0, columns: str = "tTq") -> str:
    out = []
    for k in range(N):
        values = {
            "t": f"{k * 30 / 60:.3f}",
            "T": f"{20 + 2.5 * k:.2f}",
            "q": f"{scale * (0.1 + k / 100):.4f}",
            "P": "7.0",
        }
        cells = [values[c].replace(".", ",") if comma else values[c] for c in columns]
        out.append(separator.join(cells))
    return "\n".join(out) + "\n"


def read(tmp_path: Path, text: str | bytes, **stated: object):
    path = tmp_path / "run.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return dsc_curve(path, DscRow(file="run.csv", **stated))


WANTED = 1e3 * (0.1 + np.arange(N) / 100)
FORMS = {
    "commas": ("exo up\nTime (min),Temperature (°C),Heat Flow (W/g)\n" + lines(), {}),
    "normalised": ("Time (min),Temperature (°C),Heat Flow (Normalized) (W/g)\n" + lines(), {"exo": Exo.UP}),
    "semicolons, decimal comma, mW": (
        "Sample mass: 8,2 mg\n^exo\nTime/min;Temp./°C;DSC/mW\n" + lines(";", comma=True, scale=8.2), {},
    ),
    "mW/mg, down": ("Exo down\nTime/min\tTemp./°C\tDSC/(mW/mg)\n" + lines("\t", scale=-1.0), {}),
    "endo up": ("endo up\ntime_min,temperature_c,heat flow_w_per_g\n" + lines(scale=-1.0), {}),
    "line of units": ("exo up\nTime\tSample temperature\tHeat flow\n[min]\t[°C]\t[mW]\n" + lines("\t", scale=8.2),
                      {"mass": 8.2e-6}),
    "other order, a column more": (
        "exo up\nHeat flow (W/g);Program temperature (°C);Temperature (°C);Time (min)\n" + lines(";", columns="qPTt"),
        {"temperature": "Temperature (°C)"},
    ),
    "utf-16": (("exo up\nTime (min)\tTemperature (°C)\tHeat flow (W/g)\n" + lines("\t")).encode("utf-16"), {}),
    "cp1252, footer": (
        ("exo up\nTime (min);Temperature (°C);Heat flow (W/g)\n" + lines(";") + "end of run\n").encode("cp1252"), {},
    ),
}  # fmt: skip


@pytest.mark.parametrize("form", FORMS)
def test_forms(tmp_path, form):
    text, stated = FORMS[form]
    got = read(tmp_path, text, **stated)
    assert got.time == pytest.approx(np.arange(N) * 30.0)
    assert got.temperature == pytest.approx(293.15 + 2.5 * np.arange(N))
    assert got.heat == pytest.approx(WANTED, abs=0.2)


def test_prepreg_counts_by_its_resin(tmp_path):
    got = read(tmp_path, FORMS["commas"][0], resin=0.4)
    assert got.heat == pytest.approx(WANTED / 0.4, abs=0.5)


def test_fahrenheit(tmp_path):
    got = read(tmp_path, "exo up\nTime (min),Temperature (°F),Heat Flow (W/g)\n" + lines())
    assert got.temperature[0] == pytest.approx(293.15 - 40.0 / 1.5, abs=0.01), "20 °F is −6.67 °C"


BROKEN = {
    "what is missing is asked at once": (
        "Time,Temperature (°C),Heat Flow (mW)\n" + lines(),
        [
            'run.csv, time: "Time" – its heading has no unit (as in Time (min))',
            "run.csv, mass – heat flow is in milliwatts, and the sample's mass is not told "
            '(state it beside the file: mass = "8.2 mg")',
            "run.csv, exo – it is not told whether heat given off points up or down "
            '(state it beside the file: exo = "up" or exo = "down")',
        ],
    ),
    "two temperatures": (
        "exo up\nTime (min),Sample temp (°C),Program temp (°C),Heat Flow (W/g)\n" + lines(columns="tTPq"),
        [
            'run.csv, temperature: "Sample temp (°C)", "Program temp (°C)" – more than one column may be the '
            'temperature of the sample (state it beside the file: temperature = "heading")'
        ],
    ),
    "no heat": (
        "exo up\nTime (min),Temperature (°C),Signal (W/g)\n" + lines(),
        [
            'run.csv, heat: "Time (min)", "Temperature (°C)", "Signal (W/g)" – no column is headed as heat flow '
            '(state it beside the file: heat = "heading")'
        ],
    ),
    "odd units": (
        "exo up\nTime (fortnight),Temperature (R),Heat Flow (cal/g)\n" + lines(),
        [
            'run.csv, time: "fortnight" – this unit is not known (as in Time (min))',
            'run.csv, temperature: "R" – this unit is not known (as in Temperature (°C))',
            'run.csv, heat: "cal/g" – this unit is not known (as in Heat Flow (W/g))',
        ],
    ),
    "commas for both": (
        "exo up\nTime (min),Temperature (°C),Heat Flow (W/g)\n" + lines(",", comma=True),
        [
            "run.csv – commas part the columns and the decimals, so its numbers cannot be told apart "
            "(export it with semicolons or tabs, or with decimal points)"
        ],
    ),
    "no headings": (lines(), ["run.csv – no line of headings stands above its numbers (give each column a heading)"]),
    "no numbers": (
        "a poem\nof two lines\n",
        ["run.csv – there are no lines of three numbers or more (export time, temperature and heat flow as CSV)"],
    ),
    "a hole": (
        "exo up\nTime (min),Temperature (°C),Heat Flow (W/g)\n" + lines() + "lost,40,1\n" + lines(),
        ["run.csv, line 83: lost,40,1 – numbers are wanted here as above"],
    ),
    "short": (
        "exo up\nTime (min),Temperature (°C),Heat Flow (W/g)\n" + "\n".join(lines().split("\n")[:20]) + "\n",
        ["run.csv: 20 readings – 60 or more are wanted"],
    ),
    "time that goes back": (
        "exo up\nTime (min),Temperature (°C),Heat Flow (W/g)\n" + lines() + lines(),
        ["run.csv, line 83: 0.000 – time must rise; is this one heating, and is the right column its time?"],
    ),
    "empty": (
        "",
        ["run.csv – there are no lines of three numbers or more (export time, temperature and heat flow as CSV)"],
    ),
}  # fmt: skip


@pytest.mark.parametrize("kind", BROKEN)
def test_broken(tmp_path, kind):
    text, wanted = BROKEN[kind]
    with pytest.raises(InputError) as e:
        read(tmp_path, text)
    assert str(e.value).splitlines() == wanted


def test_a_heading_that_is_not_there(tmp_path):
    with pytest.raises(InputError) as e:
        read(tmp_path, FORMS["commas"][0], heat="Heat flow (W/g)")
    assert str(e.value) == (
        'run.csv, heat: "Heat flow (W/g)" – no single column has this heading (did you mean "Heat Flow (W/g)"?)'
    )


def test_files_that_are_not_there(tmp_path):
    with pytest.raises(InputError) as e:
        dsc_curves((DscRow(file="a.csv"), DscRow(file="b.csv")), tmp_path / "sheet.toml")
    assert str(e.value).splitlines() == [
        f"{tmp_path / 'a.csv'} – there is no such file (DSC files stand beside the sheet)",
        f"{tmp_path / 'b.csv'} – there is no such file (DSC files stand beside the sheet)",
    ]


def test_the_demo_curves():
    names = ["dsc-ramp-2.csv", "dsc-ramp-5.csv", "dsc-ramp-10.csv", "dsc-hold-100.csv"]
    found = dsc_curves(tuple(DscRow(file=n) for n in names), DEMO / "resin-dsc.toml")
    assert [c.name for c in found] == names
    assert all(0.15e3 < c.heat.max() < 2.6e3 for c in found)
