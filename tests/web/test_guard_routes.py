"""Every address of the real app, asked with names that lead out of the workshop's folder."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
pytestmark = pytest.mark.skipif(os.name != "posix", reason="links are made as POSIX has them")


@pytest.fixture(scope="module")
def said(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """Ask everything once: a workshop with a link out of it, and beside it a file that nobody may open."""
    room = tmp_path_factory.mktemp("routes")
    shop, secret = room / "shop", room / "secret"
    secret.mkdir()
    (secret / "canary.toml").write_text('text = "canary-content"\n')
    shop.mkdir()
    shutil.copyfile(ROOT / "demo" / "workshop" / "workshop.toml", shop / "workshop.toml")
    plate = ROOT / "demo" / "workshop" / "jobs" / "footrest-plate"
    shutil.copytree(plate, shop / "jobs" / plate.name, ignore=shutil.ignore_patterns("out", ".bagside-cache"))
    (shop / "jobs" / plate.name / "zz-link").symlink_to(secret)
    environment = os.environ | {"PYTHONPATH": os.pathsep.join([str(ROOT), str(ROOT / "src")])}
    words = [sys.executable, "-W", "ignore", "-m", "tests.web.guardroutes", str(shop), str(secret), "1", "0"]
    done = subprocess.run(words, capture_output=True, text=True, env=environment, check=False, timeout=900)
    assert done.returncode == 0, done.stderr[-3000:]
    found = json.loads(done.stdout)
    assert found["watching"] == [str(secret / "canary.toml")]
    return dict(found)


def raw(answers: list[dict[str, Any]]) -> list[str]:
    return sorted({f"{a['method']} {a['raw'][:120]} -> {a['status']} {a.get('error', '')}" for a in answers})


def test_every_address_was_asked(said: dict[str, Any]) -> None:
    addresses = {a["address"] for a in said["answers"]}
    assert len(addresses) > 30
    assert {"/", "/job/{name}/file/{path:path}", "/floor/app/{name:path}", "/upload/{token}"} <= addresses


def test_no_name_in_an_address_opens_a_file_outside(said: dict[str, Any]) -> None:
    """By the interpreter's own events: whatever opened a file outside would be seen, whichever way it took."""
    assert said["opened"] == []
    assert raw([a for a in said["answers"] if a["leaks"]]) == []


def test_no_name_in_an_address_is_run_as_a_script(said: dict[str, Any]) -> None:
    assert raw([a for a in said["answers"] if a["runs"]]) == []


def test_no_name_in_an_address_is_a_fault_of_the_program(said: dict[str, Any]) -> None:
    assert raw([a for a in said["answers"] if a["status"] >= 500 or a["status"] == 0]) == []


def test_no_answer_leads_to_another_site(said: dict[str, Any]) -> None:
    led = {a["location"] for a in said["answers"] if a["location"]}
    assert led
    assert [place for place in led if not place.startswith("/") or place.startswith(("//", "/\\"))] == []


def test_ways_up_end_at_the_door(said: dict[str, Any]) -> None:
    ways = [a for a in said["answers"] if "/../" in a["raw"] or "%2f" in a["raw"].lower() or "%5c" in a["raw"].lower()]
    past = [a for a in ways if not a["inner"]]
    assert past
    assert {a["status"] for a in past} == {400}
