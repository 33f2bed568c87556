"""``bagside build report`` and ``build compare`` on a ledger that is really kept: files, words, data, exit codes."""

from __future__ import annotations

import json
import re
import shutil
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Protocol

import numpy as np
import pypdfium2
import pytest
from PIL import Image

from bagside.cli.app import outcome
from bagside.cli.build.report import file_name
from bagside.ledger.bodies import Begun, Cured
from bagside.ledger.event import Event
from bagside.records.attachments import Attachments
from bagside.records.database.ledger import Ledger
from madeparts import DEMO, Story, made, plan, stocked

PROGRAMME = "heat to 60 °C at 1.0 °C/min, hold 30 min; heat to 80 °C at 0.5 °C/min, hold 480 min"
"""Of the demo's footrest plate."""
NOW = "2026-12-01 10:00"


def logged(heads: str = "oven air °C;part keel °C") -> bytes:
    """Return an invented log of that programme, from 15 min before heat on."""
    rows, part = [f"time;{heads}"], 20.0
    start = datetime(2026, 11, 2, 14, 40)
    for k in range(720):
        air = float(np.interp(k, [15, 55, 85, 125, 605, 700], [20, 60, 60, 80, 80, 30]))
        part += (air - part) / 15.0
        rows.append(f"{start + timedelta(minutes=k):%Y-%m-%d %H:%M:%S};{air:.1f};{part:.1f}")
    return ("\n".join(rows) + "\n").encode()


def told(files: Attachments, log: bytes, count: int = 1) -> Story:
    """Return parts of the footrest plate, the first with a log and a photo."""
    picture = files.folder.parent / "photo.jpg"
    Image.new("RGB", (400, 300), (90, 120, 90)).save(picture)
    planned = replace(plan(job="Footrest plate", part="plate"), programme=f"{PROGRAMME}; off under 50 °C")
    planned = replace(planned, mould_limit=None, tg=358.15)
    story = Story()
    stocked(story)
    for k in range(count):
        first = k == 0
        made(
            story, f"FP-{k + 1}", planned, kit=f"kit-{k}", mass=1.0 + 0.01 * (k % 3), pinholes=k % 4,
            log=files.put(log, "oven.csv") if first else "", photo=files.put(picture) if first else "",
        )  # fmt: skip
    return story


def kept(folder: Path, events: list[Event]) -> None:
    with Ledger.opened(folder) as ledger:
        ledger.add(events)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shop") / "workshop"
    (folder / "jobs").mkdir(parents=True)
    shutil.copy(DEMO / "workshop.toml", folder)
    shutil.copytree(DEMO / "jobs" / "footrest-plate", folder / "jobs" / "footrest-plate")
    story = told(Attachments(folder), logged(), count=7)
    kept(folder, story.events)
    return folder


class Run(Protocol):
    def __call__(self, folder: Path, *words: str) -> tuple[int, str, str]: ...


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    def ran(folder: Path, *words: str) -> tuple[int, str, str]:
        capsys.readouterr()
        code = outcome(["build", *words, "--workshop", str(folder), "--at", NOW])
        said = capsys.readouterr()
        return code, said.out, said.err

    return ran


def words_of(path: Path) -> str:
    document = pypdfium2.PdfDocument(path.read_bytes())
    return re.sub(r"\s+", " ", " ".join(p.get_textpage().get_text_bounded() for p in document))


def test_both_reports_with_the_log_over_the_plan(shop: Path, tmp_path: Path, run: Run) -> None:
    code, out, err = run(shop, "report", "fp1", "--out", str(tmp_path))
    assert (code, err.count("watch")) == (0, 0)
    assert "Hands-on 3 h 19 against 3 h 29 planned; 11 of 12 steps known." in out
    assert "Never recorded: one step has no hands-on time: Clean and release the mould." in out
    assert sorted(p.name for p in tmp_path.iterdir()) == ["FP-1-as-built-customer.pdf", "FP-1-as-built-drawer.pdf"]
    own, all_ = (words_of(tmp_path / f"FP-1-as-built-{w}.pdf") for w in ("customer", "drawer"))
    for text in (own, all_):
        assert "The log over the plan" in text
        assert "programme" in text  # of the plan
        assert "gel," in text
        assert "put together Tue 1 Dec 2026" in text
    assert "the finished lid" in all_
    assert "the finished lid" not in own
    assert "EUR" not in own


def test_as_data(shop: Path, tmp_path: Path, run: Run) -> None:
    code, out, _ = run(shop, "report", "FP-1", "--out", str(tmp_path), "--for", "cust", "--json")
    data = json.loads(out)
    assert code == 0
    assert data["files"] == [str(tmp_path / "FP-1-as-built-customer.pdf")]
    assert data["attended_h"] == pytest.approx((60 * (27.5 + 56 + 4 + 38 + 9 + 8 + 33) + 1400) / 3600)
    assert data["leaks"][0]["rise_mbar_in_5_min"] == pytest.approx(3.0)
    assert data["leaks"][0]["limit_mbar_in_5_min"] == pytest.approx(5.0)
    assert data["cloth"][0]["batches"] == ["B7"]
    assert 0.0 < data["cloth"][0]["out_life"]["share"] < 1.0
    assert data["mould"]["pull"] == 1
    assert data["closed"]["verdict"] == "good"
    assert data["findings"] == []
    assert [p["films"] for p in data["plies"]] == [4, 4, 4, 4]


def test_when_the_cure_was_changed_since_the_log_is_drawn_alone(tmp_path: Path, run: Run) -> None:
    folder = tmp_path / "shop"
    folder.mkdir()
    shutil.copy(DEMO / "workshop.toml", folder)  # its job is gone
    kept(folder, told(Attachments(folder), logged()).events)
    code, _, err = run(folder, "report", "FP-1", "--out", str(tmp_path / "out"), "--for", "customer")
    assert (code, err) == (0, "")
    text = words_of(tmp_path / "out" / "FP-1-as-built-customer.pdf")
    assert "What each sensor wrote" in text
    assert "The plan of that day is not drawn: the job has another cure now, or is gone." in text
    assert "part keel" in text


def test_a_log_that_asks_a_question_is_said_and_can_be_answered(tmp_path: Path, run: Run) -> None:
    folder = tmp_path / "shop"
    folder.mkdir()
    shutil.copy(DEMO / "workshop.toml", folder)
    kept(folder, told(Attachments(folder), logged("oven air;part keel")).events)
    where = ("--out", str(tmp_path / "out"), "--for", "customer")
    code, _, err = run(folder, "report", "FP-1", *where)
    assert code == 0
    assert "the log of the cure could not be read again" in re.sub(r"\s+", " ", err)
    assert "could not be read again" in words_of(tmp_path / "out" / "FP-1-as-built-customer.pdf")
    (tmp_path / "logger.toml").write_text('unit = ["°C"]\n', encoding="utf-8")
    code, _, err = run(folder, "report", "FP-1", *where, "--logger", str(tmp_path / "logger.toml"))
    assert (code, err) == (0, "")
    assert "What each sensor wrote" in words_of(tmp_path / "out" / "FP-1-as-built-customer.pdf")
    (folder / "logs").mkdir()
    shutil.copy(tmp_path / "logger.toml", folder / "logs")  # one in the workshop's folder is taken into account
    assert run(folder, "report", "FP-1", *where)[::2] == (0, "")


def test_a_log_is_read_as_it_was_when_it_was_attached(tmp_path: Path, run: Run) -> None:
    folder = tmp_path / "shop"
    folder.mkdir()
    shutil.copy(DEMO / "workshop.toml", folder)
    events = told(Attachments(folder), logged("T1;T2")).events
    settled = {"unit": ("°C",), "column": ("T1=air", "T2=part"), "at": ("T2=keel",)}
    answered = [
        replace(e, body=replace(e.body, settled=settled)) if isinstance(e.body, Cured) and e.body.file else e
        for e in events
    ]
    kept(folder, answered)
    code, _, err = run(folder, "report", "FP-1", "--out", str(tmp_path / "out"), "--for", "customer")
    assert (code, err) == (0, "")
    assert "T2, keel" in words_of(tmp_path / "out" / "FP-1-as-built-customer.pdf")


def test_files_that_are_gone_are_said_and_the_rest_is_printed(tmp_path: Path, run: Run) -> None:
    folder = tmp_path / "shop"
    folder.mkdir()
    shutil.copy(DEMO / "workshop.toml", folder)
    kept(folder, told(Attachments(folder), logged()).events)
    shutil.rmtree(Attachments(folder).folder)
    code, out, err = run(folder, "report", "FP-1", "--out", str(tmp_path / "out"), "--json")
    data = json.loads(out)
    assert code == 0
    assert err == ""
    assert {f["what"] for f in data["findings"]} == {
        "the log of the cure could not be read again, so its chart is not in the report",
        "the photo is not in the report",
    }
    assert len(data["files"]) == 2


def test_an_open_part_has_a_report_too(tmp_path: Path, run: Run) -> None:
    folder = tmp_path / "shop"
    folder.mkdir()
    shutil.copy(DEMO / "workshop.toml", folder)
    story = Story()
    story.tell(Begun(build="Rand/7 neu", planned=plan()), 1)
    kept(folder, story.events)
    code, out, _ = run(folder, "report", "Rand/7 neu", "--out", str(tmp_path / "out"))
    assert code == 0
    assert "Rand-7-neu-as-built-drawer.pdf" in out
    assert "Not finished." in words_of(tmp_path / "out" / "Rand-7-neu-as-built-customer.pdf")


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("report", "XY"), "there is no build of this name"),
        (("report", "FP-1", "--for", "tax"), '--for: "tax"'),
        (("report", "FP-1", "--logger", "no.toml"), "there is no such file"),
        (("compare", "spoiler"), "no part of such a job has been begun"),
    ],
)
def test_what_cannot_be_done_is_one_sentence(shop: Path, words: tuple[str, ...], message: str, run: Run) -> None:
    code, out, err = run(shop, *words)
    assert (code, out) == (2, "")
    assert message in re.sub(r"\s+", " ", err)


def test_a_folder_that_cannot_be_written_is_said(shop: Path, tmp_path: Path, run: Run) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("")
    code, _, err = run(shop, "compare", "footrest-plate", "--out", str(blocked))
    assert code == 2
    assert str(blocked) in re.sub(r"\s+", "", err)


def test_parts_of_one_design_side_by_side(shop: Path, tmp_path: Path, run: Run) -> None:
    code, out, _ = run(shop, "compare", "footrest", "--out", str(tmp_path))
    words = re.sub(r"\s+", " ", out)
    assert code == 0
    assert "Footrest plate: 7 parts, under 20 parts: limits will still move, 0 of 7 scrapped" in words
    assert 'bag = "38 min"' in words
    assert "planned with today: bag 40 min" in words
    names = ["Footrest-plate-over-time.pdf", "Footrest-plate-over-time.svg"]
    assert sorted(p.name for p in tmp_path.iterdir()) == names
    assert len(pypdfium2.PdfDocument((tmp_path / "Footrest-plate-over-time.pdf").read_bytes())) == 1
    code, out, _ = run(shop, "compare", "footrest", "--json")
    data = json.loads(out)
    assert code == 0
    assert data["parts"] == [f"FP-{k}" for k in range(1, 8)]
    mass = next(f for f in data["figures"] if f["figure"] == "mass raw")
    assert mass["mean_si"] == pytest.approx(0.1656 * (1.0 + 0.01 * (0 + 1 + 2 + 0 + 1 + 2 + 0) / 7))
    assert data["files"] == []


def test_comparing_changes_nothing(shop: Path, run: Run) -> None:
    before = (shop / "workshop.toml").read_bytes()
    with Ledger.opened(shop) as ledger:
        count = ledger.count
    run(shop, "compare", "footrest")
    assert (shop / "workshop.toml").read_bytes() == before
    with Ledger.opened(shop) as ledger:
        assert ledger.count == count


def test_a_serial_number_becomes_a_file_name() -> None:
    assert file_name("DHL-007", "customer") == "DHL-007-as-built-customer.pdf"
    assert file_name("../../etc", "drawer") == "etc-as-built-drawer.pdf"
    assert file_name("Größe 12/3", "drawer") == "Größe-12-3-as-built-drawer.pdf"
    assert file_name("..", "drawer") == "part-as-built-drawer.pdf"


def test_an_empty_ledger_has_nothing_to_compare(tmp_path: Path, run: Run) -> None:
    shutil.copy(DEMO / "workshop.toml", tmp_path)
    kept(tmp_path, [])
    code, _, err = run(tmp_path, "compare", "lid")
    assert code == 2
    assert "no build has been begun yet" in re.sub(r"\s+", " ", err)
