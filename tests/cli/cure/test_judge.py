"""`bagside cure judge`: a logger's file against the case it was a cure of, to the verdict."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import typer

from bagside.cli.cure.case import opened_case
from bagside.cli.cure.judge import judge
from bagside.cure import Programme, Segment
from bagside.errors import InputError
from cureruns import cooled, logged, ran, written

CASE = Path(__file__).parents[3] / "demo" / "benches" / "cure.toml"
MAPPED = (
    "--for", str(CASE), "--column", "TC1=air", "--column", "TC2=part", "--column", "TC3=part",
    "--at", "TC2=panel", "--at", "TC3=doubler",
)  # fmt: skip


def run(*arguments: str) -> int:
    app = typer.Typer(pretty_exceptions_enable=False)
    app.command()(judge)
    return int(app(args=list(arguments), standalone_mode=False))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Logs of the demo's own sections: one as planned, one that ended after the first hold, one without vacuum."""
    case = opened_case(CASE, None)
    out = tmp_path_factory.mktemp("logs")
    first = Programme(start=case.start, segments=(case.programme.segments[0],))
    for name, programme in (("good", case.programme), ("short", first)):
        air = case.oven.air(cooled(programme))
        log = logged(air, ran(air, case.on_mould), noise=0.5)
        written(out / f"{name}.csv", log)
    air = case.oven.air(cooled(case.programme))
    text = (out / "good.csv").read_text().splitlines()
    burst = [",".join([*line.split(",")[:-1], "900"]) if 130 < k < 230 else line for k, line in enumerate(text)]
    (out / "burst.csv").write_text("\n".join(burst) + "\n")
    return out


def test_a_good_cure(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(str(folder / "good.csv"), *MAPPED, "--json") == 0
    found = json.loads(capsys.readouterr().out)
    assert found["verdict"] == "good"
    assert found["wanted_tg_c"] == pytest.approx(95.0)
    assert [p["name"] for p in found["state"]["places"]] == ["panel", "doubler"]
    assert found["state"]["cure_low"] <= found["state"]["cure"] <= found["state"]["cure_high"]
    assert found["state"]["segments"][0]["ramp_c_per_min"] == pytest.approx(1.0, abs=0.02)
    assert found["finish"] == []


def test_the_chart_of_the_plan_with_the_log_over_it(folder: Path, tmp_path: Path) -> None:
    assert run(str(folder / "good.csv"), *MAPPED, "--out", str(tmp_path / "judged")) == 0
    names = {p.name for p in (tmp_path / "judged").iterdir()}
    assert {"judged.svg", "judged.png", "judged.csv"} <= names
    assert "TC3" in (tmp_path / "judged" / "judged.svg").read_text()


def test_in_words(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(str(folder / "short.csv"), *MAPPED) == 0
    told = capsys.readouterr()
    assert "FINISH IT LIKE THIS" in told.out
    assert "Finish it on its mould, under vacuum: heat to 115 °C at 0.8 °C/min, hold" in " ".join(told.out.split())
    assert "the glass transition is" in " ".join(told.err.split())


def test_what_finishes_it_as_data(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(str(folder / "short.csv"), *MAPPED, "--json") == 0
    found = json.loads(capsys.readouterr().out)
    assert found["verdict"] == "finish it like this"
    best = found["finish"][0]
    assert best["programme"]["segments"][-1]["to_c"] == pytest.approx(115.0)
    assert best["cure"] >= 0.9
    cure = next(r for r in found["reasons"] if r["name"] == "cure")
    assert cure["limit_percent"] == pytest.approx(90.0)
    assert cure["basis"] == "common practice"


def test_scrap_ends_with_one(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(str(folder / "burst.csv"), *MAPPED, "--json") == 1
    found = json.loads(capsys.readouterr().out)
    assert found["verdict"] == "scrap for structure"
    assert found["state"]["vacuum"]["lost"][0]["back"]


def test_a_degree_of_cure_it_began_with(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run(str(folder / "good.csv"), *MAPPED, "--began-at", "10 %", "--json")
    found = json.loads(capsys.readouterr().out)
    run(str(folder / "good.csv"), *MAPPED, "--json")
    fresh = json.loads(capsys.readouterr().out)
    assert found["state"]["places"][0]["gel_min"] < fresh["state"]["places"][0]["gel_min"] - 20.0


def test_a_sensor_checked_in_boiling_water_narrows_the_range(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run(str(folder / "short.csv"), *MAPPED, "--sensor-error", "0.5 K", "--json")
    good = json.loads(capsys.readouterr().out)["state"]["sensors"][0]
    run(str(folder / "short.csv"), *MAPPED, "--sensor-error", "6 K", "--json")
    bad = json.loads(capsys.readouterr().out)["state"]["sensors"][0]
    assert good["cure_high"] - good["cure_low"] < bad["cure_high"] - bad["cure_low"]


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((), "--for – the job this is a cure of is wanted (or a file of sections, as demo/benches/cure.toml)"),
        (
            ("--for", str(CASE), "--post"),
            "--post – cure.toml states no post-cure (leave --post out)",
        ),
        (
            ("--for", str(CASE), "--began-at", "140 %"),
            '--began-at: "140 %" – a degree of cure between 0 and 100 % is wanted',
        ),
        (
            (*MAPPED, "--at", "TC3=dobler"),
            'good.csv, TC3: "dobler" – a place of this part is wanted (did you mean "doubler"?)',
        ),
        (
            (*MAPPED, "--sensor-error", "3"),
            '--sensor-error – "3" has no unit; a number with a unit is wanted, as in "5 K"',
        ),
    ],
    ids=["no case", "no post-cure", "too cured", "no such place", "no unit"],
)
def test_what_cannot_be_used_is_said_whole(folder: Path, arguments: tuple[str, ...], message: str) -> None:
    with pytest.raises(InputError) as error:
        run(str(folder / "good.csv"), *arguments)
    assert str(error.value) == message


def test_a_post_cure_is_judged_without_its_mould(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A post-cure too fast for the Tg there was: it sagged, and that is said; the vacuum is not asked for."""
    text = CASE.read_text().replace(
        'target = "90 %"\n',
        'target = "90 %"\npost_cure = [{ to = "110 °C", rate = "1 °C/min", hold = "3 h" }]\n',
    )
    file = tmp_path / "post.toml"
    file.write_text(text)
    case = opened_case(file, None)
    assert case.post is not None
    air = case.oven.air(Programme(start=293.15, segments=(Segment(target=383.15, ramp=1.0 / 60, hold=10800.0),)))
    from dataclasses import replace

    free = tuple(replace(s, alpha0=0.66) for s in case.free)
    log = written(tmp_path / "post.csv", logged(cooled_air(case, air), ran(cooled_air(case, air), free), bag=None))
    mapped = ("--for", str(file), *MAPPED[2:])
    run(str(log), *mapped, "--post", "--began-at", "66 %", "--json")
    found = json.loads(capsys.readouterr().out)
    shape = [r for r in found["reasons"] if r["name"] == "shape"]
    assert len(shape) == 1
    assert shape[0]["value_k"] < 0.0
    assert not [f for f in found["findings"] if f["place"] == "bag"]


def cooled_air(case, air):
    return case.oven.air(
        cooled(Programme(start=293.15, segments=(Segment(target=383.15, ramp=1.0 / 60, hold=10800.0),)))
    )
