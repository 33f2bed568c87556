"""Join and finish in a browser: what is typed there is written as a person would write it, and undone."""

from __future__ import annotations

import shutil
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from tests.pageserver import DEMO, Served

JOB = "footrest-plate"


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("join") / "shop"
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


def stated(served: Served) -> dict[str, Any]:
    return tomllib.loads(text(served))


def text(served: Served) -> str:
    return (served.folder / "jobs" / JOB / "job.toml").read_text(encoding="utf-8")


def until(page: Any, true: Callable[[], bool], seconds: float = 20.0) -> None:
    """Wait until something is so, with the page's own clock running."""
    for _ in range(int(10 * seconds)):
        if true():
            return
        page.wait_for_timeout(100)
    raise AssertionError("it did not become so")


def undo(page: Any, served: Served, what: str, before: str) -> None:
    """Take a change back, however often the verbs are drawn anew meanwhile."""
    for _ in range(40):
        if text(served) == before:
            return
        found = page.get_by_role("button", name=f"undo: {what}")
        if found.count():
            found.first.click(timeout=2000, no_wait_after=True)
        page.wait_for_timeout(500)
    raise AssertionError(text(served))


def test_a_bracket_is_changed_added_and_taken_away(served: Served, page: Any) -> None:
    before = text(served)
    page.goto(f"{served.url}/job/{JOB}/join")
    page.locator(".bond").first.wait_for(timeout=90_000)
    assert page.locator("svg[aria-label^='rail block from the side']").count() == 1
    page.locator("summary", has_text="change it").click()
    load = page.get_by_label("load", exact=True)
    load.fill("900")
    load.press("Tab")
    until(page, lambda: stated(served)["brackets"][0]["load"] == "900 N")
    until(page, lambda: "900 N" in page.locator(".bond").first.inner_text())
    undo(page, served, "load of a bracket", before)
    page.get_by_role("button", name="add a bracket").click()
    until(page, lambda: len(stated(served)["brackets"]) == 2)
    until(page, lambda: page.locator(".bond").count() == 2, 40.0)
    page.locator(".bond").nth(1).locator("summary", has_text="change it").click()
    page.get_by_role("button", name="take bracket 1 away").click()
    until(page, lambda: len(stated(served)["brackets"]) == 1)
    assert stated(served)["brackets"] == tomllib.loads(before)["brackets"]


def test_coats_are_stated_and_the_air_is_judged_as_it_is_typed(served: Served, page: Any) -> None:
    page.goto(f"{served.url}/job/{JOB}/finish")
    page.locator(".coat").first.wait_for(timeout=90_000)
    assert page.locator(".caution").first.inner_text().startswith("Two-pack spray: isocyanates.")
    before = text(served)
    assert "The air is fit for every coat." in page.locator(".cure-columns").first.inner_text()
    wet = page.get_by_label("humidity")
    wet.fill("92")
    wet.press("Tab")
    until(page, lambda: "damp air" in page.locator(".cure-columns").first.inner_text().lower())
    assert text(served) == before  # the day's air is no part of the job
    coats = page.get_by_label("coats", exact=True)
    coats.fill("3")
    coats.press("Tab")
    until(page, lambda: stated(served)["finish"]["coats"][0]["times"] == 3)
    coats.fill("many")
    coats.press("Tab")
    until(page, lambda: "A whole number from 1 to 6" in page.locator(".finish-fields").inner_text())
    undo(page, served, "a coating", before)
