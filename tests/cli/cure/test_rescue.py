"""`bagside cure rescue`: what is lost, how long there is, and every way on."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import typer

from bagside.cli.cure.case import opened_case
from bagside.cli.cure.rescue import rescue
from bagside.errors import InputError
from cureruns import logged, ran, written

CASE = Path(__file__).parents[3] / "demo" / "benches" / "cure.toml"
MAPPED = (
    "--for", str(CASE), "--column", "TC1=air", "--column", "TC2=part", "--column", "TC3=part",
    "--at", "TC2=panel", "--at", "TC3=doubler",
)  # fmt: skip


def run(*arguments: str) -> int:
    app = typer.Typer(pretty_exceptions_enable=False)
    app.command()(rescue)
    return int(app(args=list(arguments), standalone_mode=False))


@pytest.fixture(scope="module")
def log(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's own sections, up to 95 minutes."""
    case = opened_case(CASE, None)
    air = case.oven.air(case.programme)
    whole = logged(air, ran(air, case.on_mould), noise=0.5)
    return written(tmp_path_factory.mktemp("logs") / "run.csv", whole.until(95.0 * 60))


def test_a_power_cut_as_data(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    arguments = (str(log), *MAPPED, "--what", "power cut", "--at", "95 min", "--out-for", "45 min", "--json")
    assert run(*arguments) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["what"] == "power cut"
    assert found["now"]["stage"] == "soft, not gelled"
    assert found["lost"]["weight"] == "nothing"
    assert [o["action"] for o in found["options"]][-1] == "stop"
    best = found["options"][0]
    assert best["action"] == "continue"
    assert best["meets"]
    assert best["end_min"] > 45.0
    assert best["programme"]["segments"][0]["hold_min"] == pytest.approx(120.0)


def test_vacuum_lost_in_words(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(str(log), *MAPPED, "--what", "vacuum lost") == 0
    told = capsys.readouterr()
    out = " ".join(told.out.split())
    assert out.startswith("bag burst: after 95 min the part is at")
    assert "If the programme goes on, the first resin gels in" in out
    assert "1. bag again:" in out
    assert "stop: heat off, cool under what vacuum there is" in out
    assert "close the valve at the bag" in " ".join(told.err.split()).lower()


def test_deadlines_as_data(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run(str(log), *MAPPED, "--what", "bag burst", "--at", "80 min", "--json")
    dead = json.loads(capsys.readouterr().out)["deadlines"]
    assert set(dead) == {
        "softens_min",
        "gels_if_it_goes_on_min",
        "gels_if_air_stays_min",
        "vacuum_back_by_with_heat_min",
        "vacuum_back_by_min",
        "flow_if_back_now_min",
    }
    assert 20.0 < dead["gels_if_it_goes_on_min"] < 120.0


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (
            ("--what", "powr cut"),
            '--what: "powr cut" – what went wrong is wanted in a word (did you mean "power cut"?)',
        ),
        (
            ("--what", "power cut", "--at", "200 min"),
            "when it went wrong: 200 min – a time within the log is wanted, up to 95 min",
        ),
        (
            ("--what", "power cut", "--at", "95 min", "--at", "96 min"),
            "--at: 95 min, 96 min – one time at which it went wrong is wanted",
        ),
        (
            ("--what", "power cut", "--at", "95"),
            '--at – "95" has no unit; a number with a unit is wanted, as in "4 h"',
        ),
        (
            ("--what", "power cut", "--cooling", "0 min"),
            '--cooling: "0 min" – more than zero is wanted',
        ),
    ],
    ids=["not a mishap", "outside the log", "two times", "no unit", "no cooling"],
)
def test_what_cannot_be_used_is_said_whole(log: Path, arguments: tuple[str, ...], message: str) -> None:
    with pytest.raises(InputError) as error:
        run(str(log), *MAPPED, *arguments)
    assert str(error.value) == message
