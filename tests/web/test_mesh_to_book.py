"""From a mesh dropped on a page to the finished book: nobody writes a line of TOML."""

from __future__ import annotations

import shutil
import tomllib
from pathlib import Path
from typing import Any

import pytest
from tests.pageserver import DEMO, Served
from tests.web.mouldfiles import as_stl, tray

from plansentences import left_english

JOB = """name = "Tray"
quantity = 1
part = "part"
nest_time = "1 s"

[mould]
material = "glass-epoxy"
thickness = "6 mm"
size = "6 mm"

[[plies]]
material = "twill-200"
angle = "0°"
region = "part"

[[plies]]
material = "twill-200"
angle = "45°"
region = "part"

[cure]
service = "60 °C"
segments = [{ to = "80 °C", rate = "1 °C/min", hold = "8 h" }]
"""


@pytest.fixture
def served(tmp_path: Path) -> Any:
    folder = tmp_path / "shop"
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("jobs", "out", ".bagside-cache"))
    (folder / "jobs" / "tray").mkdir(parents=True)
    (folder / "jobs" / "tray" / "job.toml").write_text(JOB, encoding="utf-8")
    found = Served(folder)
    found.start()
    yield found
    found.stop()


def test_a_mesh_becomes_a_book(page: Any, served: Served, tmp_path: Path) -> None:
    mesh = as_stl(tray(n=31), tmp_path / "tray.stl")
    job = served.folder / "jobs" / "tray" / "job.toml"
    page.set_default_timeout(120_000)
    page.goto(f"{served.url}/job/tray/mould")
    page.get_by_text("This cannot be worked out yet:").wait_for()  # plies name a region that is not there
    page.set_input_files("input[type=file]", mesh)
    page.get_by_role("button", name="331 × 251 × 30.0 mm: mm").click()
    page.wait_for_selector(".bg-stage")
    page.get_by_role("button", name="sets the edge's height").click()
    page.get_by_text("Click a point at the height of the net edge").wait_for()
    box = page.locator(".bg-stage").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.wait_for_function("document.querySelector('.bg-scale')?.textContent.includes('Draft')")
    wall = _wall_from(page, x, y, box["width"])
    page.mouse.click(*wall)
    page.get_by_text("Now click a point on the part").wait_for()
    page.mouse.click(x, y)
    for _ in range(300):
        if "beside" in job.read_text(encoding="utf-8"):
            break
        page.wait_for_timeout(100)
    edge = tomllib.loads(job.read_text(encoding="utf-8"))["regions"]["part"]["beside"]
    assert edge["normal"] == [0, 0, -1], "the part lies under its edge"
    assert -30 < float(edge["point"].split()[2]) < 0, "on the wall"

    page.wait_for_selector("ol.thread li.stop.done a[href$='/money']", timeout=240_000)
    answer = page.request.get(f"{served.url}/job/tray/file/book.pdf", timeout=240_000)
    assert answer.status == 200
    assert answer.body().startswith(b"%PDF-")
    assert len(answer.body()) > 50_000
    plan = page.request.get(f"{served.url}/job/tray/file/plan.json", timeout=240_000).json()
    stated = job.read_text(encoding="utf-8") + (served.folder / "workshop.toml").read_text(encoding="utf-8")
    assert left_english(plan, stated + str(mesh)) == [], "what the plan noticed can be said in every language"


def _wall_from(page: Any, x: float, y: float, width: float) -> tuple[float, float]:
    """Return a place on the screen where the tray's wall is seen: going out from the middle, where z first rises."""
    for step in range(10, int(width / 2), 3):
        page.mouse.move(x + step, y)
        page.wait_for_timeout(60)
        lines = page.locator("text.bg-read tspan").all_text_contents()
        said = lines[-1] if lines else ""
        if "z " in said:
            z = float(said.split("z ")[1].split(" ")[0].replace("\u2212", "-"))
            if -26 < z < -4:
                return x + step, y
    raise AssertionError("no wall is seen")
