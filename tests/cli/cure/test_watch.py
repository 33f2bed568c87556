"""`bagside cure watch`: one line for each change, from a file that grows, and an end that leaves nothing behind."""

from __future__ import annotations

import json
import time
from pathlib import Path

import pytest
import typer

from bagside.cli.cure.case import opened_case
from bagside.cli.cure.watch import watch
from bagside.errors import InputError
from cureruns import logged, ran, written

CASE = Path(__file__).parents[3] / "demo" / "benches" / "cure.toml"
MAPPED = (
    "--for", str(CASE), "--column", "TC1=air", "--column", "TC2=part", "--column", "TC3=part",
    "--at", "TC2=panel", "--at", "TC3=doubler",
)  # fmt: skip


def run(*arguments: str) -> int:
    app = typer.Typer(pretty_exceptions_enable=False)
    app.command()(watch)
    return int(app(args=list(arguments), standalone_mode=False))


@pytest.fixture(scope="module")
def lines(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    case = opened_case(CASE, None)
    air = case.oven.air(case.programme)
    path = written(tmp_path_factory.mktemp("logs") / "run.csv", logged(air, ran(air, case.on_mould), noise=0.5))
    return path.read_text().splitlines(keepends=True)


def test_one_look(lines: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "run.csv"
    path.write_text("".join(lines[:122]))
    assert run(str(path), *MAPPED, "--once") == 0
    out = capsys.readouterr().out
    assert out.startswith("2:00 segment 1 of 2, 80 °C: dwell,")
    assert "the last dwell will be over in" in " ".join(out.split())


def test_a_file_that_grows_is_told_change_by_change_until_it_is_ended(
    lines: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "run.csv"
    path.write_text("".join(lines[:41]))
    ends = iter([42, 120, 121, 260])

    def grow(seconds: float) -> None:
        assert seconds == 5.0
        end = next(ends, None)
        if end is None:
            raise KeyboardInterrupt
        path.write_text("".join(lines[:end]))

    monkeypatch.setattr(time, "sleep", grow)
    assert run(str(path), *MAPPED, "--look", "5 s") == 0
    told = capsys.readouterr()
    heads = [line for line in told.out.splitlines() if "segment" in line.split(",")[0]]
    assert [line.split(":")[2].split(",")[0].strip() for line in heads] == ["rising", "dwell", "dwell"]
    assert [line.split(",")[0].split(" ", 1)[1] for line in heads] == [
        "segment 1 of 2",
        "segment 1 of 2",
        "segment 2 of 2",
    ]
    assert told.err.strip().endswith("Watching ended; the log and the oven go on.")


def test_json_lines(
    lines: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "run.csv"
    path.write_text("".join(lines[:41]))
    ends = iter([120])

    def grow(seconds: float) -> None:
        end = next(ends, None)
        if end is None:
            raise KeyboardInterrupt
        path.write_text("".join(lines[:end]))

    monkeypatch.setattr(time, "sleep", grow)
    assert run(str(path), *MAPPED, "--json") == 0
    looks = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [x["phase"] for x in looks] == ["rising", "dwell"]
    assert looks[1]["lagging_c"] > looks[0]["lagging_c"]
    assert looks[1]["finish_min"] > looks[1]["time_min"]


def test_a_look_that_cannot_be_computed_does_not_end_the_watching(
    lines: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from bagside.cli.cure import logged as shared
    from bagside.errors import NotSolved

    path = tmp_path / "run.csv"
    path.write_text("".join(lines[:41]))
    ends = iter([60])
    real, calls = shared.state_for, iter([True])

    def stumbling(*args, **more):
        if next(calls, False):
            raise NotSolved("the step is too short")
        return real(*args, **more)

    def grow(seconds: float) -> None:
        end = next(ends, None)
        if end is None:
            raise KeyboardInterrupt
        path.write_text("".join(lines[:end]))

    monkeypatch.setattr(shared, "state_for", stumbling)
    monkeypatch.setattr(time, "sleep", grow)
    assert run(str(path), *MAPPED) == 0
    told = capsys.readouterr()
    assert "This look could not be computed: the step is too short" in told.err
    assert "segment 1 of 2" in told.out


def test_no_vacuum_ends_with_one(lines: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "run.csv"
    body = [",".join([*line.split(",")[:-1], "850\n"]) if k > 80 else line for k, line in enumerate(lines[:100])]
    path.write_text("".join(body))
    assert run(str(path), *MAPPED, "--once") == 1
    assert "stop: bag: no vacuum: 850 mbar left in the bag" in " ".join(capsys.readouterr().out.split())


def test_a_file_that_is_not_there_is_refused_when_one_look_is_wanted(tmp_path: Path) -> None:
    path = tmp_path / "none.csv"
    with pytest.raises(InputError) as error:
        run(str(path), *MAPPED, "--once")
    assert str(error.value) == f"{path} – this file is not there yet"


def test_a_file_without_readings_is_refused_when_one_look_is_wanted(tmp_path: Path) -> None:
    path = tmp_path / "run.csv"
    path.write_text("Time,TC1 [°C],TC2 [°C],TC3 [°C]\n")
    with pytest.raises(InputError) as error:
        run(str(path), *MAPPED, "--once")
    assert str(error.value) == "run.csv – two readings or more are wanted"
