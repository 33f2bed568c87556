"""``cure chance`` and ``cure share``: the answer first, JSON with units, exit codes, and every wrong option by name."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from bagside.cli.app import outcome

PANEL = """
service = "75 °C"
target = "{target}"
segments = [
  {{ to = "80 °C", rate = "1 °C/min", hold = "1 h" }},
  {{ to = "115 °C", rate = "0.8 °C/min", hold = "{hold}" }},
]
[[sections]]
name = "panel"
laminate = "{laminate}"
prepreg = "twill-200"
tool = "carbon-epoxy"
tool_thickness = "6 mm"
[oven]
hottest = "150 °C"
heating = "2.5 °C/min"
cooling = "1.2 °C/min"
lag = "4 min"
spread = "6 K"
film_bag = "12 W/(m² K)"
film_tool = "18 W/(m² K)"
power = "3.2 kW"
loss = "9 W/K"
"""


def part(folder: Path, name: str, target: str = "90 %", hold: str = "2 h", laminate: str = "1 mm") -> str:
    file = folder / name
    file.write_text(PANEL.format(target=target, hold=hold, laminate=laminate), encoding="utf-8")
    return str(file)


def answer(capsys: pytest.CaptureFixture[str], *arguments: str, code: int = 0) -> dict:
    assert outcome(["cure", *arguments, "--json"]) == code
    return json.loads(capsys.readouterr().out)


def refusal(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert outcome(["cure", *arguments]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    return told.err


def test_a_safe_cycle_is_sure(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    got = answer(capsys, "chance", part(tmp_path, "panel.toml"), "--draws", "100", "--seed", "4")["chance"]
    assert (got["draws"], got["asked"], got["seed"], got["wanted"], got["chance"]) == (100, 100, 4, 0.95, 1.0)
    assert got["low"] == pytest.approx(0.025**0.01)  # all of a hundred: by hand
    assert {limit["limit"] for limit in got["limits"]} == {"target", "tg", "hottest", "tool"}
    for limit in got["limits"]:
        low, middle, high = limit["margin" if limit["limit"] == "target" else "margin_k"]
        assert 0.0 < low <= middle <= high
    assert [s["input"] for s in got["scatter"]][:2] == ["place", "thermocouple"]
    assert got["scatter"][0]["size_k"] == 3.0  # half of the oven's 6 K
    assert got["cure_lagging"][1] > 0.9
    assert got["rounds"] == 0


def test_a_cycle_that_is_too_short_ends_with_one(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = part(tmp_path, "panel.toml", target="94 %", hold="15 min")
    got = answer(capsys, "chance", file, "--draws", "100", code=1)
    assert got["chance"]["chance"] < 0.95
    stop, *_ = got["findings"]
    assert (stop["severity"], stop["place"]) == ("stop", "degree of cure at the lagging point")
    # a chance that is asked for less is met by the same draws
    assert got["chance"]["chance"] > 0.02
    same = answer(capsys, "chance", file, "--draws", "100", "--want", "2 %")["chance"]
    assert same["chance"] == got["chance"]["chance"]


def test_the_answer_comes_first(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert outcome(["cure", "chance", part(tmp_path, "panel.toml"), "--draws", "80", "--scatter", "rate 20 %"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert told.startswith("In 100 % of 80 cases (95 % to 100 %) every limit holds; 95 % is wanted.")
    assert "rate how fast this batch reacts 20 % sd, a factor ●" in told
    assert "humidity" not in told, "nobody stated how moist it is: no voids are counted"


def test_a_time_limit_keeps_what_is_drawn(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = part(tmp_path, "panel.toml")
    got = answer(capsys, "chance", file, "--draws", "4000", "--within", "0.01 s", "--workers", "1")
    assert (got["chance"]["draws"], got["chance"]["asked"]) == (400, 4000)
    assert "it was stopped after 400 of 4000 draws" in [f["what"] for f in got["findings"]]


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (
            ["--want", "100 %"],
            'bagside: this cannot be used\n  --want: "100 %" – less than 100 % is wanted, as in "95 %"\n',
        ),
        (["--workers", "-1"], "bagside: this cannot be used\n  --workers: -1 – zero or more is wanted\n"),
        (["--draws", "0"], "bagside: this cannot be used\n  draws: 0 – from 1 to 1048576 are wanted\n"),
        (["--seed", "-2"], "bagside: this cannot be used\n  seed: -2 – a whole number of zero or more is wanted\n"),
        (
            ["--scatter", "rat 10 %", "--scatter", "place 3", "--scatter", "rate -5 %", "--scatter", "leak"],
            "bagside: 4 things cannot be used\n"
            '  --scatter: "rat 10 %" – an input and its size are wanted, as in "rate 15 %" (did you mean "rate"?)\n'
            '  --scatter place – "3" has no unit; a number with a unit is wanted, as in "5 K"\n'
            "  --scatter rate: -5 % – zero or more is wanted\n"
            '  --scatter: "leak" – an input and its size are wanted, as in "rate 15 %"\n',
        ),
        (
            ["--cluster", "here"],
            "bagside: this cannot be used\n  cluster: here – the address of a Dask scheduler is wanted, as in "
            '"tcp://192.168.1.20:8786"\n',
        ),
    ],
)
def test_wrong_options_are_named(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, options: list[str], message: str
) -> None:
    assert refusal(capsys, "chance", part(tmp_path, "panel.toml"), *options) == message


def test_two_alike_share_a_run(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    files = [part(tmp_path, "bow.toml"), part(tmp_path, "stern.toml", laminate="2 mm")]
    got = answer(capsys, "share", *files, "--turnaround", "20 min")["share"]
    assert got["holds"]
    assert [run["parts"] for run in got["runs"]] == [["bow.toml", "stern.toml"]]
    assert got["duration_min"] < got["alone_min"] - 20.0
    assert {limit["part"] for limit in got["runs"][0]["limits"]} == {"bow.toml", "stern.toml"}
    assert all(limit.get("margin_k", limit.get("margin")) >= 0.0 for limit in got["runs"][0]["limits"])


def test_two_parts_of_one_job_are_told_apart(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = part(tmp_path, "bow.toml")
    got = answer(capsys, "share", file, file, "--shelf", "1 x 0.7 m", "--size", "bow.toml=0.5 x 0.5 m", "--size",
                 "bow.toml 2=0.5 x 0.5 m")["share"]  # fmt: skip
    assert [run["parts"] for run in got["runs"]] == [["bow.toml"], ["bow.toml 2"]]
    assert got["apart"][0]["clashes"] == ["they do not fit on the shelf with 60 mm of air around each"]


def test_paint_keeps_them_apart_and_the_answer_says_so(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    files = [part(tmp_path, "bow.toml"), part(tmp_path, "seat.toml")]
    assert outcome(["cure", "share", *files, "--wet", "seat.toml"]) == 0
    told = capsys.readouterr()
    first = " ".join(told.out.split())
    assert first.startswith("Two runs, ")
    assert "in all: bow.toml alone; seat.toml alone. Run 1: bow.toml;" in first
    said = " ".join(told.err.split())
    assert (
        "decide: bow.toml and seat.toml: seat.toml would bring fresh paint or adhesive into a cure of prepreg" in said
    )


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (["--ports", "0"], "bagside: this cannot be used\n  --ports: 0 – one or more is wanted\n"),
        (
            ["--shelf", "1.2 m"],
            'bagside: this cannot be used\n  --shelf: "1.2 m" – a length and a width are wanted, as in "1.2 x 0.8 m"\n',
        ),
        (
            ["--size", "bow.toml"],
            'bagside: this cannot be used\n  --size: "bow.toml" – a part and a value are wanted, as in '
            '"hatch=0.8 x 0.5 m"\n',
        ),
        (
            ["--wet", "bow"],
            "bagside: this cannot be used\n  part bow – there is no such part here (known here: bow.toml)\n",
        ),
        (
            ["--lines", "bow.toml=none"],
            'bagside: this cannot be used\n  --lines: "bow.toml=none" – a whole number from 1 is wanted, as in '
            '"hatch=2"\n',
        ),
    ],
)
def test_wrong_options_of_a_share_are_named(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, options: list[str], message: str
) -> None:
    assert refusal(capsys, "share", part(tmp_path, "bow.toml"), *options) == message
