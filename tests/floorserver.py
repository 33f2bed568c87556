"""Serve the floor page of a workshop behind the guard: ``python floorserver.py FOLDER PORT``."""

from __future__ import annotations

import sys
from pathlib import Path

import uvicorn
from fastapi import FastAPI

from bagside.web.floor import floor_routes
from bagside.web.guard import Access, guarded
from floorstand import Stand

if __name__ == "__main__":
    folder, port = Path(sys.argv[1]), int(sys.argv[2])
    app = FastAPI()
    app.include_router(floor_routes(Stand(folder=folder)))
    if "--bare" not in sys.argv:
        guarded(app, Access.loopback(port))
    uvicorn.run(app, host="127.0.0.1", port=port, log_level="warning", timeout_graceful_shutdown=1)
