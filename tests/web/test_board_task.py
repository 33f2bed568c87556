"""What the board reads from a workshop's folder: records or none, plans that are current, stale, missing, faulty."""

from __future__ import annotations

import json
import os
import shutil
import threading
from pathlib import Path

import pytest

from bagside.errors import InputError
from bagside.records.kept_plan import made_from
from bagside.records.with_stock import opened_job
from bagside.web.house import House
from bagside.web.pages.freezer.records import begin_records
from bagside.web.views.board.view import BoardView, JobTold, PlanState
from bagside.web.work.board_task import read_hastily, read_jobs, read_records
from bagside.web.work.child import Teller
from bagside.web.work.plan_note import PLACE
from pageserver import DEMO


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the demo's workshop with its job of card templates, without anything that was worked out."""
    found = tmp_path / "shop"
    (found / "jobs" / "footrest-plate").mkdir(parents=True)
    shutil.copy(DEMO / "workshop.toml", found)
    shutil.copy(DEMO / "jobs" / "footrest-plate" / "job.toml", found / "jobs" / "footrest-plate")
    return found


def seen(folder: Path) -> BoardView:
    quiet = Teller(lambda _: None, threading.Event())
    return read_records(folder, read_jobs(quiet, folder))


def told(folder: Path) -> JobTold:
    return seen(folder).jobs[0].told


def changed(file: Path, before: str, after: str) -> None:
    """Change a file, with a time that differs: two writes may fall into one tick of the disk's clock."""
    text = file.read_text(encoding="utf-8")
    assert before in text
    file.write_text(text.replace(before, after), encoding="utf-8")
    stat = file.stat()
    os.utime(file, ns=(stat.st_atime_ns, stat.st_mtime_ns + 1_000_000))


def noted(folder: Path, made: str) -> None:
    """Put a note beside the job as the pages do when they have planned it."""
    finding = {
        "severity": "decide", "stage": "cure", "place": "ply 3", "what": "the corner is tight", "why": "it bridges",
        "do": "cut a dart", "basis": "common practice", "source": "",
    }  # fmt: skip
    outline = [[0, 0], [1, 0], [0, 1]]
    note = {"made_from": made, "at": "2026-11-26T10:00:00+00:00", "outline": outline, "findings": [finding]}
    place = folder / "jobs" / "footrest-plate" / PLACE
    place.parent.mkdir(exist_ok=True)
    place.write_text(json.dumps(note), encoding="utf-8")


def test_a_folder_without_a_workshop_is_told_as_that(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"there is no workshop\.toml in it"):
        seen(tmp_path)


def test_a_workshop_without_records_shows_its_jobs(folder: Path) -> None:
    found = seen(folder)
    assert (found.kept, found.shelf, found.air) == (False, None, None)
    assert (found.jobs[0].told.state, found.jobs[0].told.quantity) == (PlanState.MISSING, 6)
    assert len(found.jobs[0].told.outline) >= 6, "the largest card is known without a plan"


def test_a_plan_is_current_until_something_it_rests_on_changes(folder: Path) -> None:
    job = folder / "jobs" / "footrest-plate" / "job.toml"
    noted(folder, made_from(opened_job(job, None)))
    found = told(folder)
    assert found.state is PlanState.CURRENT
    assert [f.what for f in found.findings] == ["the corner is tight"]
    changed(job, "quantity = 6", "quantity = 5")
    found = told(folder)
    assert (found.state, found.findings, found.quantity) == (PlanState.STALE, (), 5)


def test_a_job_that_cannot_be_read_says_where_and_keeps_its_name(folder: Path) -> None:
    changed(folder / "jobs" / "footrest-plate" / "job.toml", 'material = "glass-epoxy"', 'material = "glas-epoxy"')
    found = told(folder)
    assert (found.state, found.name) == (PlanState.FAULTY, "Footrest plate")
    assert "glas-epoxy" in found.problems[0]
    assert "glass-epoxy" in found.problems[0]


def test_a_hasty_look_leaves_plans_aside(folder: Path) -> None:
    found = read_records(folder, read_hastily(folder))
    assert [j.told.state for j in found.jobs] == [PlanState.LOOKING]


def test_records_begin_with_what_the_files_state(folder: Path) -> None:
    house = House(folder)
    try:
        workshop = house.workshop()
        assert workshop is not None
        counts = begin_records(house, workshop, "Mara")
        assert counts["roll"] == len(workshop.stock)
        assert counts["place"] == 2
        assert begin_records(house, workshop, "Mara").total() == 0, "what is known is not taken over again"
    finally:
        house.close()
    found = seen(folder)
    assert found.kept
    assert found.shelf is not None
    assert {c.name for c in found.shelf.cloth} == {r.called for r in workshop.stock}
