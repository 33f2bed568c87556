"""Bag and cure in a real browser: a square dragged and undone, by keyboard alone, a log dropped on the chart."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from tests.pageserver import DEMO, Served

LOG = Path(__file__).parents[2] / "demo" / "benches" / "run.csv"
JOB = "footrest-plate"


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """One server for all of them: each test mends what it has changed."""
    folder = tmp_path_factory.mktemp("cure") / "shop"
    shutil.copytree(
        DEMO,
        folder,
        ignore=lambda at, names: (
            {n for n in names if n in ("out", ".bagside-cache", "layout.json")}
            | ({n for n in names if n != JOB} if Path(at).name == "jobs" else set())
        ),
    )
    found = Served(folder)
    found.start()
    yield found
    found.stop()


@pytest.fixture
def cure(served: Served, page: Any) -> Any:
    page.goto(f"{served.url}/job/{JOB}/cure")
    page.locator(".cycle .grip").first.wait_for(timeout=90_000)
    page.locator(".cycle .name").first.wait_for()
    return page


def text(served: Served) -> str:
    return (served.folder / "jobs" / JOB / "job.toml").read_text(encoding="utf-8")


def until(page: Any, true: Callable[[], bool], seconds: float = 20.0) -> None:
    """Wait until something is so, with the page's own clock running."""
    for _ in range(int(10 * seconds)):
        if true():
            return
        page.wait_for_timeout(100)
    raise AssertionError("it did not become so")


def margins(page: Any) -> str:
    found: str = page.locator(".cure-strip > div").nth(1).inner_text()
    return found


def middle(page: Any, key: str) -> tuple[float, float]:
    box = page.locator(f'[data-grip="{key}"] .square').bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def test_a_square_that_is_dragged_moves_the_curves_at_once_and_the_file_when_let_go(served: Served, cure: Any) -> None:
    before = text(served)
    hottest = margins(cure)
    x, y = middle(cure, "1-hold")
    cure.mouse.move(x, y)
    cure.mouse.down()
    cure.mouse.move(x - 60, y + 12, steps=4)
    until(cure, lambda: cure.locator(".cycle").get_attribute("data-answer") is not None)
    until(cure, lambda: margins(cure) != hottest)
    assert text(served) == before  # nothing is written while the square is held
    assert cure.locator(".cycle .tag-text").count() == 2  # where it stands, at both axes
    assert cure.locator(".cycle .ghost").count() == 1  # and where the programme was
    cure.mouse.up()
    until(cure, lambda: text(served) != before)
    lines = [(a, b) for a, b in zip(before.splitlines(), text(served).splitlines(), strict=True) if a != b]
    assert len(lines) == 1
    assert lines[0][0].strip().startswith('{ to = "80 °C", rate = "0.5 °C/min", hold = "8 h" }')
    cure.get_by_role("button", name="undo: cycle moved").click()
    until(cure, lambda: text(served) == before)
    until(cure, lambda: margins(cure) == hottest)


def test_the_keyboard_alone_sets_a_square_by_a_degree_and_a_minute(served: Served, cure: Any) -> None:
    before = text(served)
    grip = cure.locator('[data-grip="1-rise"]')
    grip.focus()
    was = grip.get_attribute("aria-valuetext")
    cure.keyboard.press("ArrowUp")
    cure.keyboard.press("ArrowUp")
    assert grip.get_attribute("aria-valuenow") == "82"
    cure.keyboard.press("Shift+ArrowRight")
    assert grip.get_attribute("aria-valuetext") != was
    cure.keyboard.press("Enter")
    until(cure, lambda: 'to = "82 °C"' in text(served))
    cure.get_by_role("button", name="undo: cycle moved").click()
    until(cure, lambda: text(served) == before)
    until(cure, lambda: grip.get_attribute("aria-valuenow") == "80", 90.0)
    kept = margins(cure)
    grip.focus()
    cure.keyboard.press("Shift+ArrowUp")
    cure.keyboard.press("Escape")  # at once: after three seconds it is written, and undone by undo
    until(cure, lambda: grip.get_attribute("aria-valuenow") == "80")
    until(cure, lambda: margins(cure) == kept)
    assert text(served) == before


def test_escape_in_the_middle_of_a_drag_goes_back(served: Served, cure: Any) -> None:
    before, kept = text(served), margins(cure)
    x, y = middle(cure, "0-rise")
    cure.mouse.move(x, y)
    cure.mouse.down()
    cure.mouse.move(x + 20, y - 25, steps=3)
    until(cure, lambda: margins(cure) != kept)
    cure.keyboard.press("Escape")
    cure.mouse.up()
    until(cure, lambda: margins(cure) == kept)
    assert cure.locator('[data-grip="0-rise"]').get_attribute("aria-valuenow") == "60"
    assert text(served) == before


def test_a_segment_is_written_in_the_table_and_a_wrong_one_is_told_in_its_place(served: Served, cure: Any) -> None:
    before = text(served)
    hold = cure.get_by_label("segment 2, hold")
    hold.fill("soon")
    hold.press("Tab")
    until(cure, lambda: cure.locator(".wrong-says").inner_text() != "")
    assert text(served) == before
    hold.fill("7")
    hold.press("Tab")
    until(cure, lambda: 'hold = "7 h"' in text(served))
    until(cure, lambda: cure.locator(".wrong-says").inner_text() == "")
    cure.get_by_role("button", name="undo: segment 2 of the cycle").click()
    until(cure, lambda: text(served) == before)


def test_a_log_dropped_on_the_chart_is_laid_over_it_and_judged(cure: Any) -> None:
    cure.evaluate(
        """(text) => {
          const data = new DataTransfer();
          data.items.add(new File([text], "run.csv", { type: "text/csv" }));
          const at = document.querySelector(".cycle");
          for (const name of ["dragover", "drop"])
            at.dispatchEvent(new DragEvent(name, { dataTransfer: data, bubbles: true, cancelable: true }));
        }""",
        LOG.read_text(encoding="utf-8"),
    )
    cure.locator(".cycle .m-part .ring").first.wait_for(timeout=40_000)
    assert cure.locator(".cycle .m-air .read").count() > 5
    assert cure.locator(".cycle .from-log").count() == 1
    until(cure, lambda: "from the log" in margins(cure))
    result = cure.locator(".cure-strip > div").nth(2).inner_text()
    assert "Least cured is" in result
    until(cure, lambda: "keeps no records yet" in cure.locator(".cure-strip > div").nth(2).inner_text())


def test_at_360_px_nothing_overflows_and_every_square_is_a_slider_with_a_name(served: Served, browser: Any) -> None:
    context = browser.new_context(viewport={"width": 360, "height": 740}, locale="de-DE")
    page = context.new_page()
    page.goto(f"{served.url}/job/{JOB}/cure?run=post-cure")
    page.locator(".cycle .grip").first.wait_for(timeout=90_000)
    page.wait_for_timeout(500)
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    names = page.evaluate("[...document.querySelectorAll('.grip')].map((g) => [g.ariaLabel, g.getAttribute('role')])")
    assert names
    assert all(label and role == "slider" for label, role in names), json.dumps(names)
    assert page.locator(".cycle-notes li").count() >= 1
    assert "Nachhärten" in page.locator(".runs .here").inner_text()
    context.close()
