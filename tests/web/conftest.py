"""A workshop that is served to a real browser."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from pageserver import CHROMIUM, DEMO, FLAGS, Served


@pytest.fixture
def serve() -> Iterator[Callable[[Path], Served]]:
    """Start servers that are stopped at the end of the test."""
    started: list[Served] = []

    def begin(folder: Path) -> Served:
        served = Served(folder)
        started.append(served)
        served.start()
        return served

    yield begin
    for served in started:
        served.stop()


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """A real browser without a window; tests that need one are skipped where there is none, and say so."""
    sync_api = pytest.importorskip("playwright.sync_api")
    with sync_api.sync_playwright() as playwright:
        try:
            found = playwright.chromium.launch(executable_path=shutil.which(CHROMIUM) or None, args=FLAGS)
        except sync_api.Error as error:
            pytest.skip(f"no browser can be started here: {str(error).splitlines()[0]}")
        yield found
        found.close()


@pytest.fixture
def page(browser: Any) -> Iterator[Any]:
    """A page of its own, 1440 × 900, that fails the test when a script of ours does."""
    context = browser.new_context(viewport={"width": 1440, "height": 900}, locale="en-GB", timezone_id="Europe/Berlin")
    found = context.new_page()
    found.set_default_timeout(15_000)
    faults: list[str] = []
    found.on("pageerror", lambda error: faults.append(str(error)))
    yield found
    context.close()
    assert not faults, faults


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A copy of the demo's workshop with its quickest job, which needs no mesh."""
    folder = tmp_path / "shop"
    shutil.copytree(
        DEMO, folder,
        ignore=lambda at, names: {n for n in names if n in ("out", ".bagside-cache", "layout.json")}
        | ({n for n in names if n != "footrest-plate"} if Path(at).name == "jobs" else set()),
    )  # fmt: skip
    return folder
