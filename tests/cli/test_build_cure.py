"""The log of a build's cure: judged as the bench judges it, kept by its content, of the moment when heat came on."""

from __future__ import annotations

import hashlib
import json
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from bagside.cli.app import outcome
from bagside.ledger.bodies import Received, Sort, Use
from bagside.planning.cure_case import CureCase
from bagside.records.attachments import Attachments
from buildcures import columns, cured, dated, sections
from buildshop import JOB, Floor, copied, set_clock


def test_a_log_is_judged_as_the_bench_judges_it_and_kept(
    bagged: Floor, case: CureCase, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    log = cured(bagged, case, tmp_path)
    begun = bagged.now - timedelta(hours=13)
    found = bagged.data("cure", 1, log, *columns(case), *sections(case))
    (judged,) = found["cures"]
    job = str(bagged.folder / "jobs" / JOB)
    at = [word.replace("--section", "--at") for word in sections(case)]
    outcome(["cure", "judge", str(log), "--for", job, *columns(case), *at, "--json"])
    bench = json.loads(capsys.readouterr().out)
    assert {k: judged[k] for k in bench} == bench
    event = found["kept"][0]
    body = event["body"]
    assert body["verdict"] == bench["verdict"] == "good"
    assert body["cure"] == bench["state"]["cure_low"]
    assert body["tg"] == pytest.approx(bench["state"]["tg_c_low"] + 273.15)
    assert body["hottest_part"] == pytest.approx(bench["state"]["hottest_c"] + 273.15)
    assert body["hottest_tool"] == pytest.approx(bench["state"]["tool_hottest_c"] + 273.15)
    assert body.get("reasons", []) == [r["what"] for r in bench["reasons"]]
    assert body["settled"]["column"] == [word for word in columns(case) if "=" in word]
    # the event is of the moment when heat came on, by the clock of the log
    heat_on = timedelta(minutes=bench["state"]["heat_on_min"])
    assert abs(datetime.fromisoformat(event["at"]) - begun - heat_on) < timedelta(seconds=2)
    assert event["late"] is True
    kept = Attachments(bagged.folder).path(body["file"])
    assert hashlib.sha256(kept.read_bytes()).hexdigest() == body["file"]
    assert kept.read_bytes() == log.read_bytes()
    assert [f["what"] for f in found["findings"]] == [f["what"] for f in bench["findings"]]
    again = bagged.refused("cure", 1, log, *columns(case), *sections(case))
    assert again.startswith('LOG: "cure.csv" – Ann kept it already as the cure of FP26-1, heat on ')
    assert f"bagside build correct {event['id'][:8]} --void" in again


def test_a_job_that_has_moved_on_is_said(bagged: Floor, case: CureCase, tmp_path: Path) -> None:
    log = cured(bagged, case, tmp_path)
    job = bagged.folder / "jobs" / JOB / "job.toml"
    job.write_text(job.read_text().replace('margin = "20 K"', 'margin = "25 K"'))
    said = bagged("cure", 1, log, *columns(case), *sections(case), code=-1)
    assert "the job's files have changed since it was begun: revision" in said
    assert "The log is judged by the job as it is now." in said


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (
            ("1", "nothing.csv"),
            'LOG: "nothing.csv" – there is no such file (the log comes last; --no-log when there is none)',
        ),
        (("FP26-9", "--no-log"), 'BUILD: "FP26-9" – there is no build of this name (did you mean "FP26-1"?)'),
        (
            ("1", "--no-log", "--hottest", "121"),
            '--hottest – "121" has no unit; a number with a unit is wanted, as in "80 °C"',
        ),
    ],
)
def test_a_cure_that_cannot_be_taken(bagged: Floor, arguments: tuple[str, ...], message: str) -> None:
    bagged.passes("cure")
    assert bagged.refused("cure", *arguments) == message


def test_a_log_of_another_day_is_not_taken_for_this_cure(bagged: Floor, case: CureCase, tmp_path: Path) -> None:
    log = cured(bagged, case, tmp_path)
    for days, why in ((-300, "before the part was begun"), (2, "and that is still to come")):
        dated(log, case, bagged.now + timedelta(days=days))
        said = bagged.refused("cure", 1, log, *columns(case), *sections(case))
        assert f"by the clock of cure.csv heat came on then, {why}" in said
        assert "say with --at when heat came on" in said


def test_a_log_without_a_clock_has_ended_just_now_if_that_can_be(
    bagged: Floor, case: CureCase, tmp_path: Path
) -> None:
    log = cured(bagged, case, tmp_path)
    lines = log.read_text().splitlines()
    seconds = [f"{60 * k},{line.partition(',')[2]}" for k, line in enumerate(lines[1:])]
    log.write_text("\n".join([lines[0].replace("Time", "Time [s]"), *seconds]) + "\n")
    short = copied(bagged, tmp_path / "sooner")
    short.now -= timedelta(hours=12, minutes=50)
    with pytest.MonkeyPatch.context() as patch:
        set_clock(short, patch)
        said = short.refused("cure", 1, log, *columns(case), *sections(case))
    assert "cure.csv is 11 h 31 long and tells no clock time, and the part was begun" in said
    found = bagged.data("cure", 1, log, *columns(case), *sections(case))
    assert found["findings"][-1]["what"] == "the log tells no clock time"
    ended = bagged.now - timedelta(minutes=1)  # a command takes a minute here
    heat_on = timedelta(minutes=found["cures"][0]["state"]["heat_on_min"])
    assert datetime.fromisoformat(found["kept"][0]["at"]) == ended - timedelta(hours=11, minutes=31) + heat_on


def test_a_cure_without_a_log_is_not_judged_and_does_not_let_the_part_go_on(
    bagged: Floor, case: CureCase, tmp_path: Path
) -> None:
    cured(bagged, case, tmp_path)
    body = bagged.data("cure", 1, "--no-log", "--hottest", "84 °C")["kept"][0]["body"]
    assert body == {"builds": ["FP26-1"], "hottest_part": pytest.approx(357.15)}
    bagged("finish", 1, "cure", "--tick", "all")
    said = bagged.refused("pull", 1, "--temperature", "30 °C", code=1)
    assert "before demould, cured: the cure has no log that was judged" in said


def test_a_bag_that_has_seen_a_cure_is_not_taken_again(bagged: Floor, case: CureCase, tmp_path: Path) -> None:
    bagged.keeps(
        Received(name="B-1", sort=Sort.CONSUMABLE, material="bag-nylon", use=Use.BAG, cures=1, count=1),
        Received(name="T-1", sort=Sort.CONSUMABLE, material="sealant-tape", use=Use.TAPE),
    )
    assert "FP26-1 is bagged with B-1 and T-1." in bagged("bag", 1, "--item", "b1", "--item", "T-1")
    log = cured(bagged, case, tmp_path)
    body = bagged.data("cure", 1, log, *columns(case), *sections(case))["kept"][0]["body"]
    assert body["bag"] == ["B-1", "T-1"]
    said = bagged("bag", 1, "--item", "B-1", code=1)
    assert "stop: FP26-1, bag: B-1 has seen a cure" in said
    assert bagged.refused("bag", 1, "--item", "C-9") == (
        '--item: "C-9" – nothing in stock is called so (known here: B-1, T-1)'
    )
