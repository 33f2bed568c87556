"""A workshop with a plate being laid, served to the floor page: in this process, or in one that can be killed."""

from __future__ import annotations

import asyncio
import os
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import httpx
import pytest
from fastapi import FastAPI

from bagside.ledger.bodies import Body, Debulked, Finished, Found, Laid, Measured, Passed
from bagside.ledger.event import Event, new_event
from bagside.ledger.things import Build
from bagside.records.database import Ledger
from bagside.records.desk import Desk, desk
from bagside.web.floor import floor_routes
from bagside.web.floor.pictures import Pictures
from buildshop import begun_in, released_in
from pageserver import Served

BUILD = "FP26-1"
WHY = "both looked"


@dataclass
class Stand:
    """A workshop's folder as the floor page is served from it."""

    folder: Path

    def desk(self, who: str, device: str) -> AbstractContextManager[Desk]:
        return desk(self.folder, who, device)

    def keep(self, *bodies: Body, ago: float = 0.0, device: str = "desk") -> None:
        """Write down what happened some minutes ago, each a second after the one before."""
        at = datetime.now().astimezone() - timedelta(minutes=ago)
        events = [
            new_event(b, who="Ben", device=device, at=at + timedelta(seconds=n)) for n, b in enumerate(bodies)
        ]
        with Ledger.opened(self.folder) as ledger:
            ledger.add(events)

    def events(self, device: str = "") -> list[Event]:
        """Return the events of the build in the order of the ledger; those of one device when it is named."""
        with Ledger.opened(self.folder) as ledger:
            return [e for e in ledger.events(BUILD) if not device or e.device.startswith(device)]


def made(root: Path) -> Stand:
    """Make a workshop in which ply 1 of a plate is laid and debulked, and every later gate of life is passed."""
    floor = released_in(begun_in(root), root / "released")
    stand = Stand(folder=floor.folder)
    stand.keep(
        *(Passed(build=BUILD, gate="life", step=f"ply-{n}", by="Ben", why=WHY) for n in range(1, 11)),
        Laid(build=BUILD, ply=1, piece="1", films=2),
        Finished(build=BUILD, step="ply-1", boxes=(0, 1, 2)),
        Debulked(build=BUILD, after=1, seconds=1260.0, pressure=4000.0),
        Finished(build=BUILD, step="debulk-1", boxes=(0, 1)),
        ago=60.0,
    )  # fmt: skip
    return stand


def copied(stand: Stand, root: Path) -> Stand:
    """Return a workshop of its own that is as another one is now."""
    shutil.copytree(stand.folder, root / "shop")
    return Stand(folder=root / "shop")


def drawn(stand: Stand) -> str:
    """Have the pictures of the build drawn beside, as the page has it done; return what it was told first."""
    with stand.desk("a", "b") as opened:
        build = opened.ledger.thing(BUILD)
    assert isinstance(build, Build)
    pictures = Pictures(stand.folder)
    first = str(pictures.of(build)["why"])
    try:
        until = time.monotonic() + 300.0
        while pictures.of(build)["why"] == "drawing" and time.monotonic() < until:
            time.sleep(0.1)
    finally:
        pictures.close()
    return first


def room_read(stand: Stand) -> None:
    """Read the room just now."""
    stand.keep(Measured(subject=BUILD, found=Found.CLIMATE, value=292.65, humidity=0.5), ago=5.0, device="desk 2")


def served_from(server: FloorServed, stand: Stand) -> None:
    """Let a running server serve another workshop: it opens the folder anew for each request."""
    draft = server.folder.with_name("next")
    draft.symlink_to(stand.folder, target_is_directory=True)
    draft.replace(server.folder)


class Client:
    """Requests to the floor page in this process.

    Parameters
    ----------
    stand
        The workshop.
    base
        What the page is called by.
    """

    def __init__(self, stand: Stand, base: str = "http://workshop.test") -> None:
        self.app = FastAPI()
        self.app.include_router(floor_routes(stand))
        self.base = base

    def get(self, path: str, **more: Any) -> httpx.Response:
        return self.ask("GET", path, **more)

    def post(self, path: str, **more: Any) -> httpx.Response:
        return self.ask("POST", path, **more)

    def ask(self, method: str, path: str, **more: Any) -> httpx.Response:
        async def run() -> httpx.Response:
            transport = httpx.ASGITransport(app=self.app)
            async with httpx.AsyncClient(transport=transport, base_url=self.base) as client:
                return await client.request(method, path, **more)

        return asyncio.run(run())


def certificate(root: Path) -> list[str]:
    """Make a certificate that signs itself, and return how a server is told of it."""
    words = ["req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", "-days", "2", "-subj",
             "/CN=floor.test", "-addext", "subjectAltName=DNS:floor.test"]  # fmt: skip
    if shutil.which("openssl") is None:
        pytest.skip("no openssl to make a certificate with")
    files = [str(root / "key.pem"), str(root / "cert.pem")]
    subprocess.run(["openssl", *words, "-keyout", files[0], "-out", files[1]], check=True, capture_output=True)
    return ["--tls", *files]


class FloorServed(Served):
    """The floor page alone, in a process that is up in a second and can be killed in the middle of anything."""

    def __init__(self, stand: Stand, root: Path, *, bare: bool = False, tls: bool = False) -> None:
        super().__init__(root / "served")
        self.more = [*(["--bare"] if bare else []), *(certificate(root) if tls else [])]
        self.tls = tls
        served_from(self, stand)

    def start(self) -> None:
        here = Path(__file__).parent
        path = os.pathsep.join([str(here), *filter(None, sys.path)])
        words = [sys.executable, str(here / "floorserver.py"), str(self.folder), str(self.port)]
        log = self.folder.parent / "floor.server.log"
        with log.open("ab") as told:
            self.process = subprocess.Popen(
                [*words, *self.more], stdout=told, stderr=told,
                env=os.environ | {"PYTHONPATH": path},
            )  # fmt: skip
        for _ in range(1200):
            if self.process.poll() is not None:
                raise RuntimeError(log.read_text())
            try:
                with socket.create_connection(("127.0.0.1", self.port), timeout=2):
                    return
            except OSError:
                time.sleep(0.05)
        raise RuntimeError("the server did not answer")


BOUNCE = 0.3  # [s] longer than the page takes a second press of one button for a glove that bounces
SETTLED = "#floor:not([data-settling]) "
"""A new screen takes no press for a moment."""


def opened(page: Any, served: FloorServed) -> Any:
    """Open the build on a page and say who works there; return the page."""
    page.goto(f"{served.url}/floor/b/{BUILD}")
    named(page)
    return page


@contextmanager
def phone_of(browser: Any, served: FloorServed, **options: Any) -> Iterator[Any]:
    """A phone with the build open and a name given; a script that fails fails the test."""
    context = browser.new_context(has_touch=True, locale="en-GB", **options)
    page = context.new_page()
    page.set_default_timeout(30_000)
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    yield opened(page, served)
    context.close()
    assert not faults, faults


def named(page: Any) -> None:
    """Say who works on a page that has just been opened."""
    page.fill("#who", "Ann")
    page.keyboard.press("Enter")
    page.wait_for_selector(SETTLED + "[data-key=main]")


def presses(page: Any, *keys: str) -> None:
    """Press buttons as soon as they may be pressed; the same one again only when that is no bounce of a glove."""
    before = vars(page).setdefault("pressed_at", {})
    for key in keys:
        page.wait_for_timeout(max(0.0, 1e3 * (before.get(key, 0.0) + BOUNCE - time.monotonic())))
        page.click(f"{SETTLED}[data-key='{key}']:not([aria-disabled])")
        before[key] = time.monotonic()


def skip(page: Any, seconds: float) -> None:
    """Let the device's clock go on by so much."""
    page.evaluate("s => { const real = Date.now.bind(Date); Date.now = () => real() + 1000 * s; }", seconds)


def kept_on(page: Any) -> list[dict[str, Any]]:
    """Return what waits on the device."""
    found: list[dict[str, Any]] = page.evaluate("""() => new Promise((done) => {
      const open = indexedDB.open("bagside-floor", 1);
      open.onsuccess = () => {
        const all = open.result.transaction("queue").objectStore("queue").getAll();
        all.onsuccess = () => { open.result.close(); done(all.result.filter((i) => i.state === "waiting")); };
      };
    })""")
    return found
