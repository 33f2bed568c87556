"""The page of plies in a real browser: the list by keyboard, a start clicked on the mould, a cut drawn and dragged."""

from __future__ import annotations

import shutil
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from domeshop import written_in
from pageserver import Served

SLOW = 120_000
FRESH = "!document.querySelector('.ply-table tr.old')"


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Served, Path]]:
    """One server for all tests; each has a job of its own in it, and what is worked out is kept between them."""
    job = written_in(tmp_path_factory.mktemp("plies"))
    found = Served(job.parents[2])
    found.start()
    yield found, job.parent
    found.stop()


@pytest.fixture
def dome(served: tuple[Served, Path], page: Any, request: pytest.FixtureRequest) -> tuple[Any, Path]:
    """A page on the plies of a dome, worked out."""
    server, first = served
    folder = first.parent / request.node.name.removeprefix("test_")[:40].strip("_")
    shutil.copytree(first, folder, ignore=shutil.ignore_patterns(".history", "out", "layout.json"))
    page.set_default_timeout(SLOW)
    page.goto(f"{server.url}/job/{folder.name}/plies?ply=1")
    page.wait_for_selector(".bg-stage .bg-handle")
    page.wait_for_function("document.querySelector('.ply-flats figure svg')")
    return page, folder / "job.toml"


def stated(job: Path) -> dict[str, Any]:
    return tomllib.loads(job.read_text(encoding="utf-8"))


def across(page: Any, share: float) -> tuple[float, float]:
    """Return where a place of the surface is seen: on its line along x, at a share of its half width."""
    at = page.evaluate(
        """(share) => {
          const { mesh, sight } = getElement(document.querySelector(".bg-mesh").id.slice(1)).stage.is;
          const p = mesh.positions;
          let [wide, best, least] = [0, 0, Infinity];
          for (let k = 0; k < p.length; k += 3) wide = Math.max(wide, Math.abs(p[k]));
          for (let k = 0; k < p.length; k += 3) {
            const far = Math.hypot(p[k] - share * wide, p[k + 1]);
            if (far < least) [least, best] = [far, k];
          }
          return sight.seen(p.subarray(best, best + 3));
        }""",
        share,
    )
    box = page.locator(".bg-stage").bounding_box()
    return box["x"] + at[0], box["y"] + at[1]


def test_the_list_is_worked_with_the_keyboard_alone(dome: tuple[Any, Path]) -> None:
    page, job = dome
    assert page.locator(".ply-table tbody tr").last.inner_text().split()[0] == "1"  # the first ply lies at the bottom
    page.locator('.ply-no[data-no="0"]').focus()
    page.keyboard.press("ArrowUp")
    page.wait_for_function("document.querySelector('.ply-head h2').innerText.startsWith('Ply 2')")
    assert page.evaluate("document.activeElement.dataset.no") == "1"
    page.locator('tr[data-k="1"] .ply-grip').focus()
    page.keyboard.press("ArrowUp")
    page.wait_for_function("document.querySelector('.ply-head h2').innerText.startsWith('Ply 3')")
    assert [ply["region"] for ply in stated(job)["plies"]] == ["disc", "disc", "patch", "disc"]
    page.wait_for_function("document.activeElement.closest('tr')?.dataset.k === '2'")  # the hand stays on the ply
    assert page.locator(".ply-table tr.old").count() == 0  # nothing that was known is lost by carrying a ply
    page.get_by_role("button", name="undo").first.click()
    page.wait_for_function("document.querySelector('tr[data-k=\"1\"] .ply-where').innerText.startsWith('patch')")
    assert [ply["region"] for ply in stated(job)["plies"]] == ["disc", "patch", "disc", "disc"]


def test_a_ply_is_carried_by_its_square(dome: tuple[Any, Path]) -> None:
    page, job = dome
    grip, aim = (page.locator(f'tr[data-k="{k}"] .ply-grip') for k in (1, 3))
    aim.scroll_into_view_if_needed()
    grip.hover(position={"x": 7, "y": 7})  # waits until it stands still
    page.mouse.down()
    goal = aim.bounding_box()
    page.mouse.move(goal["x"] + 7, goal["y"] + 20)
    page.mouse.move(goal["x"] + 7, goal["y"] + 7)
    page.wait_for_selector("tr.over")
    page.mouse.up()
    page.wait_for_function("document.querySelector('tr[data-k=\"3\"] .ply-where').innerText.startsWith('patch')")
    assert [ply["region"] for ply in stated(job)["plies"]] == ["disc", "disc", "disc", "patch"]


def test_nothing_keeps_a_reader_out_and_nothing_is_too_wide(dome: tuple[Any, Path]) -> None:
    """WCAG 2.2 as axe-core reads it, with a tool in hand too; reflow is its 1.4.10."""
    from axe_playwright_python.sync_playwright import Axe

    page, _ = dome
    for tool in ("", "draw a cut", "set the start"):
        if tool:
            page.get_by_role("button", name=tool).click()
            page.wait_for_selector(".ply-panel p")
        faults = [v for v in Axe().run(page).response["violations"] if v["impact"] in ("serious", "critical")]
        assert not faults, [(v["id"], [n["html"][:120] for n in v["nodes"][:3]]) for v in faults]
        for width in (1440, 1024, 768, 390, 360):
            page.set_viewport_size({"width": width, "height": 900})
            page.wait_for_function("document.documentElement.scrollWidth <= innerWidth")
        page.set_viewport_size({"width": 1440, "height": 900})


def test_a_start_clicked_on_the_mould_changes_the_flat_piece(dome: tuple[Any, Path]) -> None:
    page, job = dome
    before = page.locator(".ply-flats figure").inner_html()
    page.get_by_role("button", name="set the start").click()
    page.wait_for_selector(".ply-panel >> text=Click where laying of ply 1 starts")
    page.wait_for_selector(".bg-stage.bg-picking")
    page.mouse.click(*across(page, 0.2))
    page.wait_for_function("f => document.querySelector('.ply-flats figure').innerHTML !== f", arg=before)
    page.wait_for_function(FRESH)
    start = [float(x) for x in stated(job)["plies"][0]["start"].split()[:3]]
    assert sum(x * x for x in start) ** 0.5 == pytest.approx(100.0, abs=0.7)  # on the sphere, where it was clicked
    assert start[:2] != pytest.approx([0.0, 0.0], abs=5.0)
    assert [ply.get("start") for ply in stated(job)["plies"][1:]] == [None, None, None]


def test_a_cut_is_drawn_and_dragged(dome: tuple[Any, Path]) -> None:
    page, job = dome
    page.get_by_role("button", name="draw a cut").click()
    page.wait_for_selector(".bg-stage.bg-picking")
    cut = page.get_by_role("button", name="Cut here")
    assert cut.is_disabled()
    for k, share in enumerate((-0.97, 0.0, 0.97), 1):  # past the cloth, on the mould
        page.mouse.click(*across(page, share))
        page.wait_for_selector(f".ply-panel >> text={k} so far")
    page.get_by_role("button", name="Cut here").click()
    page.wait_for_function("document.querySelector('tr.hand').innerText.includes('1A + 1B')")
    page.wait_for_function(FRESH)
    job_now = stated(job)
    assert job_now["plies"][0]["cuts"] == [{"line": "cut-1"}]
    points = job_now["lines"]["cut-1"]["points"]
    assert len(points) == 3
    handle = page.locator('.bg-handle[data-key="line:cut-1:1"]')
    handle.focus()
    for _ in range(4):
        handle.press("ArrowRight")
    page.wait_for_function(
        "document.querySelector('[role=button], button[aria-label^=\"undo: a line dragged\"]') !== null"
    )
    moved = stated(job)["lines"]["cut-1"]["points"]
    assert (moved[0], moved[2]) == (points[0], points[2])
    assert moved[1] != points[1]


def test_two_windows_see_one_job(dome: tuple[Any, Path], browser: Any) -> None:
    page, job = dome
    other = browser.new_page(viewport={"width": 390, "height": 844})
    try:
        other.set_default_timeout(SLOW)
        other.goto(page.url)
        other.wait_for_selector(".ply-table tbody tr")
        assert other.evaluate("document.documentElement.scrollWidth") <= 390
        page.get_by_role("button", name="lay ply 1 once more").click()
        other.wait_for_function("document.querySelectorAll('.ply-table tbody tr').length === 5")
        assert len(stated(job)["plies"]) == 5
    finally:
        other.close()


def test_a_wrong_angle_is_said_at_its_field_and_nothing_is_written(dome: tuple[Any, Path]) -> None:
    page, job = dome
    before = job.read_text(encoding="utf-8")
    field = page.get_by_label("angle", exact=True)
    field.fill("steep")
    field.press("Tab")
    page.wait_for_selector("text=An angle in degrees is wanted")
    assert field.input_value() == "steep"
    assert job.read_text(encoding="utf-8") == before
    field.fill("30")
    field.press("Tab")
    page.wait_for_function("document.querySelector('tr.hand').innerText.includes('30°')")
    assert stated(job)["plies"][0]["angle"] == "30°"
    assert page.evaluate("document.activeElement.tagName") == "SELECT"  # the keyboard went on to the next field
