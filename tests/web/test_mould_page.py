"""The mould's page in a browser: a mesh dropped, its unit asked, clicks written down, two windows, a keyboard."""

from __future__ import annotations

import shutil
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from tests.pageserver import DEMO, Served
from tests.web.mouldfiles import as_stl, tray

JOB = """name = "Tray"
quantity = 1
part = "everything"

[mould]
material = "glass-epoxy"
thickness = "6 mm"

[[plies]]
material = "twill-200"
angle = "0°"

[cure]
service = "60 °C"
segments = [{ to = "80 °C", rate = "1 °C/min", hold = "8 h" }]
"""


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """One server for all of these tests; each has a job of its own."""
    folder = tmp_path_factory.mktemp("mould") / "shop"
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("jobs", "out", ".bagside-cache"))
    (folder / "jobs").mkdir()
    server = Served(folder)
    server.start()
    yield server
    server.stop()


@pytest.fixture
def desk(served: Served, tmp_path: Path, request: pytest.FixtureRequest) -> tuple[str, Path, Path]:
    """A job that has no mesh yet: its address, its file, and a mesh in millimetres."""
    name = f"tray-{abs(hash(request.node.name)) % 10**8}"
    folder = served.folder / "jobs" / name
    folder.mkdir()
    (folder / "job.toml").write_text(JOB, encoding="utf-8")
    mesh = as_stl(tray(n=41), tmp_path / "Tray mould.stl")
    return f"{served.url}/job/{name}/mould", folder / "job.toml", mesh


def stated(job: Path) -> dict[str, Any]:
    return tomllib.loads(job.read_text(encoding="utf-8"))


def until(page: Any, true: Callable[[], bool], seconds: float = 20.0) -> None:
    for _ in range(int(seconds * 10)):
        if true():
            return
        page.wait_for_timeout(100)
    raise AssertionError("it never came to be")


def with_mesh(page: Any, desk: tuple[str, Path, Path]) -> Path:
    address, job, mesh = desk
    page.goto(address)
    page.set_input_files("input[type=file]", mesh)
    page.get_by_role("button", name="mm", exact=False).first.wait_for(timeout=30_000)
    page.get_by_role("button", name="331 × 251 × 30.0 mm: mm").click()
    page.wait_for_selector(".bg-stage", timeout=40_000)
    page.wait_for_function("document.querySelector('.bg-scale')?.textContent.includes('Draft')", timeout=60_000)
    return job


def centre(page: Any) -> tuple[float, float]:
    box = page.locator(".bg-stage").bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def test_a_mesh_is_dropped_its_unit_asked_and_what_is_clicked_stands_in_the_job(page: Any, desk: Any) -> None:
    job = with_mesh(page, desk)
    mould = stated(job)["mould"]
    assert (mould["mesh"], mould["unit"], mould["laminate_side"]) == ("Tray mould.stl", "mm", [0, 0, 1])
    assert (job.parent / "Tray mould.stl").is_file()
    assert mould["material"] == "glass-epoxy"
    x, y = centre(page)

    page.get_by_role("button", name="puts a hole").click()
    page.wait_for_selector("button.in-hand")
    page.mouse.click(x + 30, y)
    until(page, lambda: "holes" in stated(job))
    (hole,) = stated(job)["holes"]
    assert hole["name"] == "hole 1"
    assert float(hole["at"].split()[2]) == pytest.approx(-30, abs=0.3), "on the tray's floor, 30 mm under its rim"

    page.get_by_role("button", name="draws the net edge").click()
    page.get_by_text("Click the corners of the net edge").wait_for()
    for dx, dy in ((-100, -60), (100, -60), (100, 60), (-100, 60)):
        page.mouse.click(x + dx, y + dy)
        page.wait_for_timeout(300)
    page.get_by_role("button", name="done").click()
    until(page, lambda: "regions" in stated(job))
    written = stated(job)
    assert written["part"] == "part"
    assert len(written["regions"]["part"]["inside"]["points"]) == 4

    page.get_by_role("button", name="undo:").click()
    until(page, lambda: "regions" not in stated(job))
    assert stated(job)["part"] == "everything"
    assert len(stated(job)["holes"]) == 1, "only the last thing is taken back"


def test_what_one_window_does_the_other_sees(page: Any, desk: Any) -> None:
    job = with_mesh(page, desk)
    other = page.context.new_page()
    other.goto(desk[0] + "?map=hollow&hand=seam")
    other.wait_for_selector(".bg-stage", timeout=40_000)
    assert other.locator("button[aria-pressed=true]").all_inner_texts() == ["inside radii", "draws a line"]
    page.get_by_role("button", name="splits the mould").click()
    page.get_by_text("Click two points on the split line").wait_for()
    x, y = centre(page)
    page.mouse.click(x - 120, y)
    page.wait_for_timeout(400)
    page.mouse.click(x + 120, y)
    until(page, lambda: "pieces" in stated(job)["mould"])
    names = [p["name"] for p in stated(job)["mould"]["pieces"]]
    assert names == ["half A", "half B"]
    other.get_by_text("half B").first.wait_for(timeout=30_000)
    other.close()


def test_by_keyboard_alone_a_hole_is_put_where_the_cursor_is(page: Any, desk: Any) -> None:
    job = with_mesh(page, desk)
    tool = page.get_by_role("button", name="puts a hole")
    tool.focus()
    page.keyboard.press("Enter")
    page.wait_for_selector("button.in-hand")
    page.locator(".bg-stage").focus()
    page.keyboard.press("p")
    for _ in range(3):
        page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    until(page, lambda: "holes" in stated(job))
    assert len(stated(job)["holes"]) == 1


def test_a_file_that_is_no_mesh_is_refused_in_words_and_nothing_is_kept(page: Any, desk: Any, tmp_path: Path) -> None:
    address, job, _ = desk
    broken = tmp_path / "broken.stl"
    broken.write_bytes(b"solid nothing\nfacet normal 0 0 1\n")
    page.goto(address)
    page.set_input_files("input[type=file]", broken)
    page.wait_for_selector(".drop [role=alert]", timeout=30_000)
    assert page.locator(".drop [role=alert]").inner_text()
    assert "mesh" not in stated(job)["mould"]
    assert [p.name for p in job.parent.iterdir() if not p.name.startswith(".")] == ["job.toml"]


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_with_a_mesh_it_is_open_to_readers_and_whole_at_any_width(browser: Any, desk: Any, theme: str) -> None:
    # the rules of WCAG 2.2 as axe-core reads them; reflow at 360 px without scrolling sideways is its 1.4.10
    from axe_playwright_python.sync_playwright import Axe

    context = browser.new_context(viewport={"width": 1440, "height": 900}, locale="en-GB", color_scheme=theme)
    page = context.new_page()
    with_mesh(page, desk)
    page.get_by_role("button", name="draws a line").click()
    page.wait_for_selector("button.in-hand")
    page.wait_for_timeout(500)
    faults = [v for v in Axe().run(page).response["violations"] if v["impact"] in ("serious", "critical")]
    assert not faults, [(v["id"], [n["html"][:200] for n in v["nodes"][:4]]) for v in faults]
    for width in (1440, 1024, 768, 390, 360):
        page.set_viewport_size({"width": width, "height": 900})
        page.wait_for_timeout(300)
        over = page.evaluate(
            "[...document.querySelectorAll('main *')].filter((e) => e.getBoundingClientRect().right > innerWidth + 1)"
            ".map((e) => e.outerHTML.slice(0, 120)).slice(0, 3)"
        )
        assert page.evaluate("document.documentElement.scrollWidth - window.innerWidth") <= 1, (width, over)
    context.close()
