"""A server of the pages in a process of its own, as a person would start it, and the browser that looks at it."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

DEMO = Path(__file__).parents[1] / "demo" / "workshop"
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
        path = self.folder.parent / f"{self.folder.name}.server.log"
        with path.open("ab") as log:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "bagside", "serve", str(self.folder), "--port", str(self.port)],
                stdout=log, stderr=log, start_new_session=True,
            )  # fmt: skip
        for _ in range(600):
            if self.process.poll() is not None:
                raise RuntimeError(path.read_text())
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
                self.process.wait()
            self.process = None
