"""A workshop that is served to a real browser, as a person would start it."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

DEMO = Path(__file__).parents[2] / "demo" / "workshop"
CHROMIUM = next((p for p in ("chromium", "chromium-browser", "google-chrome") if shutil.which(p)), "")
FLAGS = [
    "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--no-first-run", "--disable-quic",
    *(["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []),
]  # fmt: skip


class Served:
    """A server in a process of its own.

    Parameters
    ----------
    folder
        Of the workshop.
    port
        Where it listens; the same again after a restart.
    """

    def __init__(self, folder: Path, port: int = 0) -> None:
        self.folder = folder
        if not port:
            with socket.socket() as probe:
                probe.bind(("127.0.0.1", 0))
                port = probe.getsockname()[1]
        self.port = port
        self.process: subprocess.Popen[bytes] | None = None

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        log = (self.folder.parent / f"{self.folder.name}.server.log").open("ab")
        self.process = subprocess.Popen(
            [sys.executable, "-m", "bagside", "serve", str(self.folder), "--port", str(self.port)],
            stdout=log, stderr=log, start_new_session=True,
        )  # fmt: skip
        for _ in range(600):
            if self.process.poll() is not None:
                raise RuntimeError((self.folder.parent / f"{self.folder.name}.server.log").read_text())
            try:
                urllib.request.urlopen(self.url + "/looks/tokens.css", timeout=2).read()
                return
            except OSError:
                time.sleep(0.1)
        raise RuntimeError("the server did not answer within a minute")

    def kill(self) -> None:
        if self.process is not None:
            self.process.kill()
            self.process.wait()
            self.process = None

    def stop(self) -> None:
        if self.process is not None:
            self.process.terminate()
            try:
                self.process.wait(10)
            except subprocess.TimeoutExpired:
                self.process.kill()
            self.process = None


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


@pytest.fixture(scope="session")
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
