"""A logger's file on the page: judged as by the command line, asked about, kept with the parts or refused whole."""

from __future__ import annotations

import json
import threading
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from bagside.cli.app import outcome
from bagside.cli.cure.case import opened_case
from bagside.errors import InputError
from bagside.ledger.things import Build
from bagside.planning.cure_case import CureCase, case_of_file
from bagside.records.attachments import Attachments
from bagside.records.desk import desk
from bagside.spec.bench import CureFile
from bagside.spec.library import generic_library
from bagside.spec.reading import load_toml, stated_from
from bagside.web.guard import parsed
from bagside.web.pages.cure.chart import log_message
from bagside.web.pages.cure.logged import LINES, _asked
from bagside.web.pages.cure.margins import margins_table, notes_of
from bagside.web.views.cure.run import runs_shown
from bagside.web.words.tongue import Tongue
from bagside.web.work.child import Teller
from bagside.web.work.cure_accept import (
    Accepted,
    Held,
    Passing,
    accept_log,
    heat_on_at,
    open_builds,
)
from bagside.web.work.cure_log import LogJudged, judge_log
from buildcures import cured
from buildshop import JOB, Floor, begun_in, copied, laid_in, released_in, set_clock

BENCHES = Path(__file__).parents[2] / "demo" / "benches"
TELL = Teller(lambda _: None, threading.Event())


@pytest.fixture(scope="module")
def case() -> CureCase:
    file = BENCHES / "cure.toml"
    return case_of_file(stated_from(load_toml(file), CureFile, file.name), generic_library(), file.name)


@pytest.fixture(scope="module")
def log(case: CureCase) -> LogJudged:
    return judge_log(BENCHES / "run.csv", case, False, {})


def test_the_verdict_is_that_of_the_command_line(log: LogJudged, capsys: pytest.CaptureFixture[str]) -> None:
    outcome(["cure", "judge", str(BENCHES / "run.csv"), "--for", str(BENCHES / "cure.toml"), "--json"])
    told = json.loads(capsys.readouterr().out)
    assert log.verdict == told["verdict"]
    assert log.values["cure"] == tuple(told["state"][k] for k in ("cure", "cure_low", "cure_high"))
    assert log.values["tg"][1] == pytest.approx(told["state"]["tg_c_low"] + 273.15)
    assert log.values["laminate"][0] == pytest.approx(told["state"]["hottest_c"] + 273.15)
    assert list(log.reasons) == [r["what"] for r in told["reasons"]]
    assert [f.what for f in log.findings] == [f["what"] for f in told["findings"]]
    assert [f.words for f in log.finish] == [f["words"] for f in told["finish"]]
    assert log.heat_on == pytest.approx(60 * told["state"]["heat_on_min"])


def test_it_comes_whole_out_of_the_guarded_process(case: CureCase, log: LogJudged) -> None:
    found = parsed(judge_log, BENCHES / "run.csv", case, False, {})
    assert found.verdict == log.verdict
    assert {k: pytest.approx(v) for k, v in found.values.items()} == log.values
    assert [line.name for line in found.lines] == [line.name for line in log.lines]


def test_what_is_laid_over_the_chart_begins_at_heat_on(case: CureCase, log: LogJudged) -> None:
    message = log_message(log)
    assert {line["kind"] for line in message["lines"]} == {"air", "part"}
    for line in message["lines"]:
        assert line["time"][0] >= 0.0
        assert len(line["time"]) == len(line["values"]) <= 2 * 240
    assert message["cure"]["values"] == sorted(message["cure"]["values"])
    table = margins_table(runs_shown(case)[0], log, Tongue())
    assert "from the log" in table
    assert table.count("<tr") == len(runs_shown(case)[0].kept) + 1 + ("bag" in log.values)
    assert notes_of(runs_shown(case)[0], Tongue(), log)[0]["weight"] in ("watch", "stop")


def test_what_the_file_does_not_tell_is_asked_on_lines_of_its_own(case: CureCase, tmp_path: Path) -> None:
    text = "time;A;B\n" + "".join(f"{k}:00:00;{20 + 10 * k};{19 + 9 * k}\n" for k in range(8))
    file = tmp_path / "odd.csv"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as told:
        judge_log(file, case, False, {})
    asked = _asked(told.value.problems)
    assert asked
    assert set(asked) <= set(LINES)


def test_a_post_cure_that_is_not_planned_cannot_be_judged(case: CureCase) -> None:
    with pytest.raises(InputError, match="this job states no post-cure"):
        judge_log(BENCHES / "run.csv", case, True, {})


def test_heat_on_is_told_by_the_log_or_by_a_person(log: LogJudged) -> None:
    assert log.started is not None
    assert heat_on_at(log) == log.started.astimezone() + timedelta(seconds=log.heat_on)
    said = datetime(2026, 11, 24, 19, 0).astimezone()
    assert heat_on_at(log, said) == said
    with pytest.raises(InputError, match="say when heat came on"):
        heat_on_at(replace(log, started=None))


# --- kept with a build


@pytest.fixture(scope="module")
def laid(tmp_path_factory: pytest.TempPathFactory) -> Floor:
    released = released_in(begun_in(tmp_path_factory.mktemp("begun")), tmp_path_factory.mktemp("released"))
    return laid_in(released, tmp_path_factory.mktemp("laid"))


@pytest.fixture
def bagged(laid: Floor, tmp_path: Path) -> Iterator[Floor]:
    own = copied(laid, tmp_path)
    with pytest.MonkeyPatch.context() as patch:
        set_clock(own, patch)
        yield own


def test_a_log_is_kept_with_the_part_once_and_only_with_one_that_is_ready(bagged: Floor, tmp_path: Path) -> None:
    job = bagged.folder / "jobs" / JOB / "job.toml"
    plan = opened_case(job.parent, bagged.folder / "workshop.toml")
    waiting = open_builds(TELL, bagged.folder, (JOB, "Footrest plate"), False)
    assert waiting.kept
    assert [(b.name, b.cured) for b in waiting.builds] == [("FP26-1", False)]
    file = cured(bagged, plan, tmp_path)
    columns = "TC1=air; " + "; ".join(f"TC{k + 2}=part" for k, _ in enumerate(plan.places))
    sections = "; ".join(f"TC{k + 2}={p}" for k, p in enumerate(plan.places))
    log = judge_log(file, plan, False, {"column": columns, "at": sections})
    assert log.verdict == "good"
    with pytest.raises(InputError, match="say which parts were in the oven"):
        accept_log(TELL, bagged.folder, "Ann", "desk", job, (), file, log, None)
    early = log.started.astimezone() - timedelta(days=60) if log.started else None
    with pytest.raises(InputError, match="before the part was begun"):
        accept_log(TELL, bagged.folder, "Ann", "desk", job, ("FP26-1",), file, log, early)
    done = accept_log(TELL, bagged.folder, "Ann", "desk", job, ("FP26-1",), file, log, None)
    assert isinstance(done, Accepted)
    assert done.builds == ("FP26-1",)
    assert not done.moved_on
    with desk(bagged.folder, "Ann", "desk") as here:
        build = here.ledger.thing("FP26-1")
    assert isinstance(build, Build)
    (noted,) = build.cures
    assert noted.what.verdict == "good"
    assert noted.what.cure == log.values["cure"][1]
    assert noted.what.hottest_tool == log.values["tool"][0]
    assert noted.what.pressure == log.values["bag"][0]
    assert noted.what.settled["column"] == tuple(c.strip() for c in columns.split(";"))
    assert noted.at == heat_on_at(log)
    assert Attachments(bagged.folder).path(noted.what.file).read_bytes() == file.read_bytes()
    with pytest.raises(InputError, match="Ann kept it already as a cure of FP26-1"):
        accept_log(TELL, bagged.folder, "Ann", "desk", job, ("FP26-1",), file, log, None)


def test_a_gate_that_stops_keeps_the_log_out(bagged: Floor, tmp_path: Path) -> None:
    job = bagged.folder / "jobs" / JOB / "job.toml"
    plan = opened_case(job.parent, bagged.folder / "workshop.toml")
    log = judge_log(BENCHES / "run.csv", plan, False, {})
    at = datetime.now().astimezone() - timedelta(hours=1)
    file = BENCHES / "run.csv"

    def accepted(passing: Passing | None = None) -> Accepted | Held:
        return accept_log(TELL, bagged.folder, "Ann", "desk", job, ("FP26-1",), file, log, at, passing)

    def build() -> Build:
        with desk(bagged.folder, "Ann", "desk") as here:
            found = here.ledger.thing("FP26-1")
        assert isinstance(found, Build)
        return found

    before = build().passed
    held = accepted()
    assert isinstance(held, Held)
    assert held.gates
    assert all(gate.build == "FP26-1" and gate.what and gate.do for gate in held.gates)
    assert not build().cures

    seen = frozenset((gate.build, gate.key) for gate in held.gates)
    for by, why in (("", "it is so"), ("Bea", "  ")):
        with pytest.raises(InputError, match="the name of who takes it on"):
            accepted(Passing(gates=seen, by=by, why=why))
    unseen = Passing(gates=frozenset(list(seen)[1:]), by="Bea", why="gauge read by eye")
    assert isinstance(accepted(unseen), Held)  # what nobody has looked at is not passed
    assert not build().cures
    assert build().passed == before

    done = accepted(Passing(gates=seen, by="Bea", why="gauge read by eye"))
    assert isinstance(done, Accepted)
    found = build()
    assert len(found.cures) == 1
    told = {(p.what.gate, p.what.by, p.what.why, p.who) for p in found.passed[len(before) :]}
    assert told == {(gate.key, "Bea", "gauge read by eye", "Ann") for gate in held.gates}


def test_a_workshop_without_records_says_so(tmp_path: Path) -> None:
    assert not open_builds(TELL, tmp_path, (JOB,), False).kept
