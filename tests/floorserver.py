"""Serve the floor page of a workshop behind the guard: ``python floorserver.py FOLDER PORT``.

It loads nothing else, so that it is up soon after it was killed.
"""

from __future__ import annotations

import sys
from contextlib import AbstractContextManager
from pathlib import Path

import uvicorn
from fastapi import FastAPI

from bagside.records.desk import Desk, desk
from bagside.web.floor import floor_routes
from bagside.web.guard import Access, guarded


class House:
    """The workshop's folder and its records."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def desk(self, who: str, device: str) -> AbstractContextManager[Desk]:
        return desk(self.folder, who, device)


if __name__ == "__main__":
    folder, port = Path(sys.argv[1]), int(sys.argv[2])
    app = FastAPI()
    app.include_router(floor_routes(House(folder)))
    if "--bare" not in sys.argv:
        guarded(app, Access.loopback(port))
    tls = {}
    if "--tls" in sys.argv:
        at = sys.argv.index("--tls")
        tls = {"ssl_keyfile": sys.argv[at + 1], "ssl_certfile": sys.argv[at + 2]}
    uvicorn.run(app, host="127.0.0.1", port=port, log_level="warning", timeout_graceful_shutdown=1, **tls)
