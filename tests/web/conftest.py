"""A workshop that is served to a real browser."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from floorstand import FloorServed, Stand, copied, drawn, made, room_read, served_from
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
    goes = found.goto

    def goto(*address: Any, **options: Any) -> Any:
        """Open an address, and wait until what is done there is heard: a script is quicker than any hand."""
        answer = goes(*address, **options)
        found.wait_for_function("!document.getElementById('app') || window.did_handshake === true", timeout=60_000)
        return answer

    found.goto = goto
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


@pytest.fixture(scope="session")
def floor_drawing(tmp_path_factory: pytest.TempPathFactory) -> tuple[Stand, str]:
    """A plate being laid, its pictures drawn in a child, and what the page was told meanwhile: made once for all."""
    stand = made(tmp_path_factory.mktemp("floor"))
    room_read(stand)
    return stand, drawn(stand)


@pytest.fixture(scope="session")
def floor_ready(floor_drawing: tuple[Stand, str]) -> Stand:
    """A plate being laid, for tests that only look at it."""
    return floor_drawing[0]


@pytest.fixture(scope="session")
def floor_server(floor_ready: Stand, tmp_path_factory: pytest.TempPathFactory) -> Iterator[FloorServed]:
    """One server of the floor page for all tests: it opens the records anew for each request."""
    found = FloorServed(floor_ready, tmp_path_factory.mktemp("served"))
    found.start()
    yield found
    found.stop()


@pytest.fixture
def floor_stand(floor_ready: Stand, tmp_path: Path) -> Stand:
    """A plate being laid in a workshop of its own."""
    return copied(floor_ready, tmp_path)


@pytest.fixture
def floor_served(floor_stand: Stand, floor_server: FloorServed) -> FloorServed:
    """The server, giving the test's own workshop."""
    served_from(floor_server, floor_stand)
    if floor_server.process is None:  # a test that failed left it so
        floor_server.start()
    return floor_server
