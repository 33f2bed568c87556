"""`bagside cure calibrate`: a logger's file of a trial, to the lines for the workshop's file."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import numpy as np
import pytest
import typer

from bagside.cli.cure.calibrate import calibrate
from bagside.cli.cure.case import opened_case
from bagside.errors import InputError, OutputError
from bagside.quantity import Quantity, read
from cureruns import written
from trials import BOTH, Truth, trial_log

CASE = Path(__file__).parents[3] / "demo" / "benches" / "cure.toml"
MAPPED = (
    "--for", str(CASE), "--column", "TC1=air", "--column", "TC2=part", "--column", "TC3=tool",
    "--at", "TC2=panel", "--at", "TC3=panel", "--seat", "TC2=bag", "--inert",
)  # fmt: skip


def run(*arguments: str) -> int:
    app = typer.Typer(pretty_exceptions_enable=False)
    app.command()(calibrate)
    return int(app(args=list(arguments), standalone_mode=False))


@pytest.fixture(scope="module")
def log(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An inert panel on the demo's mould: films 1.3 and 0.8 times, lag 1.4 times as stated."""
    case = opened_case(CASE, None)
    truth = Truth(bag=1.3, tool=0.8, lag=1.4)
    made = trial_log(
        np.random.default_rng(5), truth, case.on_mould[0], BOTH, programme=case.programme, oven=case.oven,
        resin=case.resin, interval=300.0,
    )  # fmt: skip
    return written(tmp_path_factory.mktemp("logs") / "trial.csv", made)


def test_as_data(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(str(log), *MAPPED, "--heat-on", "0 min", "--json") == 0
    found = json.loads(capsys.readouterr().out)
    for name, true in (
        ("film_bag_w_per_m2_k", 12.0 * 1.3),
        ("film_tool_w_per_m2_k", 18.0 * 0.8),
        ("films_together_w_per_m2_k", 30.0),
        ("lag_min", 4.0 * 1.4),
    ):
        assert found[name]["low"] < true < found[name]["high"], name
    assert found["heating_c_per_min"] is None
    first = found["sensors"][0]
    assert (first["name"], first["where"], first["at"]) == ("TC2", "under the bag", "panel")
    assert len(first["time_min"]) == len(first["measured_c"]) == len(first["fitted_c"])
    assert np.sqrt(np.mean(np.subtract(first["measured_c"], first["fitted_c"]) ** 2)) == pytest.approx(
        first["rms_k"], abs=0.01
    )
    assert {e["place"] for e in found["next_plan"]} == {"panel", "doubler"}
    oven = tomllib.loads(found["toml"])["oven"]
    assert read(oven["film_bag"], Quantity.FILM) == pytest.approx(found["film_bag_w_per_m2_k"]["value"], abs=0.05)
    assert read(oven["lag"], Quantity.TIME) == pytest.approx(60 * found["lag_min"]["value"], abs=3.1)
    assert read(oven["heating"], Quantity.RAMP) == pytest.approx(2.5 / 60.0)
    assert set(oven) == {"heating", "cooling", "lag", "spread", "film_bag", "film_tool"}


def test_in_words_and_a_file_that_stays(log: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "oven.toml"
    assert run(str(log), *MAPPED, "--out", str(out)) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "both films together" in told
    assert "Next time, " in told
    text = out.read_text(encoding="utf-8")
    assert text.startswith("# from trial.csv\n[oven]\n")
    assert 'spread = "6.0 K"                # as stated: the air was logged at one place at most\n' in text
    assert "; was 12.0\n" in text
    assert "95 times in 100; was 4.0\n" in text
    with pytest.raises(OutputError) as error:
        run(str(log), *MAPPED, "--out", str(out))
    assert str(error.value) == f'"{out}" is there already; another name is wanted. Nothing was changed.'
    assert out.read_text(encoding="utf-8") == text


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (
            ("--inert",),
            "--for – the job this is a cure of is wanted (or a file of sections, as demo/benches/cure.toml)",
        ),
        (
            (*MAPPED, "--seat", "TC3=floor"),
            '--seat: "TC3=floor" – a column and where it sat is wanted, as in "TC2=bag": bag, laminate, face, back',
        ),
        (
            (*MAPPED, "--heat-on", "12"),
            '--heat-on – "12" has no unit; a number with a unit is wanted, as in "4 h"',
        ),
        (
            (*MAPPED, "--at", "TC3=panle"),
            'trial.csv, TC3: "panle" – a place of this part is wanted (did you mean "panel"?)',
        ),
    ],
    ids=["no case", "no such seat", "no unit", "no such place"],
)
def test_what_cannot_be_used_is_said_whole(log: Path, arguments: tuple[str, ...], message: str) -> None:
    with pytest.raises(InputError) as error:
        run(str(log), *arguments)
    assert str(error.value) == message


def test_a_file_in_no_folder(log: Path, tmp_path: Path) -> None:
    out = tmp_path / "none" / "oven.toml"
    with pytest.raises(OutputError) as error:
        run(str(log), *MAPPED, "--out", str(out))
    assert str(error.value) == (f'"{out}" cannot be written: there is no folder "{out.parent}". Nothing was changed.')
