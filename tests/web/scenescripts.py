"""The scripts of the surface alone, from a plain file server; those that draw want a library and are not asked for."""

from __future__ import annotations

import http.server
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import Any

import bagside.web.scene

SCRIPTS = Path(bagside.web.scene.__file__).parent / "script"


class _Quiet(http.server.SimpleHTTPRequestHandler):
    def log_message(self, *_: Any) -> None:
        pass


@contextmanager
def served_scripts(folder: Path) -> Iterator[str]:
    """Serve the scripts from a folder, and give the address."""
    for source in SCRIPTS.glob("*.js"):
        (folder / source.name).write_bytes(source.read_bytes())
    (folder / "index.html").write_text("<!doctype html><title>scripts</title>", encoding="utf-8")
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), partial(_Quiet, directory=str(folder)))
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.server_address[1]}"
    server.shutdown()
    server.server_close()
    thread.join()
