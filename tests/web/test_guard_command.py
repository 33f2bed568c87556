"""``bagside serve`` as a person starts it, with phones that join, a kill, and a start that must not be."""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

DEMO = Path(__file__).parents[2] / "demo" / "workshop"
SERVE = [sys.executable, "-m", "bagside", "serve"]


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextlib.contextmanager
def running(shop: Path, port: int) -> Iterator[str]:
    """Start it, give what it said, and kill it without a word at the end."""
    log = shop.parent / f"said-{time.monotonic_ns()}"
    with log.open("wb") as out:
        words = [*SERVE, str(shop), "--lan", "--port", str(port)]
        process = subprocess.Popen(words, stdout=out, stderr=out, start_new_session=True)
    try:
        for _ in range(600):
            assert process.poll() is None, log.read_text()
            with contextlib.suppress(httpx.HTTPError):
                if httpx.get(f"http://127.0.0.1:{port}/join", timeout=5).status_code == 200:
                    break
            time.sleep(0.1)
        yield log.read_text()
    finally:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)
        process.wait()


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    folder = tmp_path / "shop"
    folder.mkdir()
    shutil.copyfile(DEMO / "workshop.toml", folder / "workshop.toml")
    return folder


@pytest.mark.skipif(os.name != "posix", reason="the group of processes is killed as POSIX has it")
def test_a_phone_that_joined_outlasts_a_kill_and_pins_are_shown_once(shop: Path) -> None:
    port = free_port()
    own = f"http://127.0.0.1:{port}"
    with running(shop, port) as said, httpx.Client(base_url=own, headers={"origin": own}, timeout=30) as phone:
        pins = {role: re.search(rf"^  {role} +([0-9 ]+?)  ", said, re.MULTILINE) for role in ("floor", "desk")}
        assert pins["floor"] is not None
        assert pins["desk"] is not None
        assert f":{port}/join" in said or "in no network" in said
        came = phone.post("/join", data={"pin": pins["floor"][1]})
        assert (came.status_code, came.headers["location"]) == (303, "/floor")
        assert phone.get("/floor").status_code == 200
        assert [phone.get(path).status_code for path in ("/workshop", "/freezer", "/materials/new", "/join-code")] == [
            403
        ] * 4
        assert phone.get("/").headers["location"] == "/floor"
        kept = dict(phone.cookies)
    with running(shop, port) as said, httpx.Client(base_url=own, cookies=kept, timeout=30) as phone:
        assert "These PINs are shown once" not in said
        assert "The PINs of the first start hold." in said
        assert phone.get("/floor").status_code == 200
        came = httpx.post(f"{own}/join", data={"pin": pins["desk"][1]}, headers={"origin": own}, timeout=30)
        assert came.headers["location"] == "/"
        board = httpx.get(f"{own}/", cookies=dict(came.cookies), headers={"accept": "text/html"}, timeout=60)
        assert board.status_code in (200, 303)
        assert "nonce-" in board.headers["content-security-policy"] or board.status_code == 303


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (["--host", "0.0.0.0"], "other devices could come in without a PIN (start it with --lan, which asks for one)"),
        (["--lan", "--certificate", "none.pem"], "--key – it is wanted with --certificate (give both, or neither)"),
    ],
)
def test_a_start_that_is_not_safe_is_refused(shop: Path, options: list[str], says: str) -> None:
    done = subprocess.run(
        [*SERVE, str(shop), "--port", str(free_port()), *options],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 2
    assert says in done.stderr
    assert not (shop / ".bagside" / "access.json").exists()
