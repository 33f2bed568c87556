"""A small app behind the door, in process or served, with PINs that tests know."""

from __future__ import annotations

import asyncio
import contextlib
import threading
from collections.abc import Awaitable, Callable, Coroutine, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import httpx
import uvicorn
from argon2 import PasswordHasher
from fastapi import FastAPI, Request, WebSocket
from fastapi.responses import HTMLResponse, PlainTextResponse, Response

from bagside.web.guard import Access, Gate, device_of, guarded, role_of, server_options
from bagside.web.guard.access import FILE, Kept, write_kept
from bagside.web.guard.attempts import Attempts

PIN = {"floor": "481203", "desk": "90417362"}
PORT = 8760
HOST = f"192.168.1.20:{PORT}"
OWN = {"host": HOST, "origin": f"http://{HOST}"}
SECRET = bytes(range(32))


@cache
def pin_hashes() -> tuple[str, str]:
    quick = PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)  # the real ones take their time on purpose
    return quick.hash(PIN["floor"]), quick.hash(PIN["desk"])


def lan_access(folder: Path | None = None, port: int = PORT, **other: Any) -> Access:
    floor, desk = pin_hashes()
    file = folder / FILE if folder else None
    if file is not None:
        write_kept(file, Kept(floor_hash=floor, desk_hash=desk, secret=SECRET))
    made = Access(lan=True, host="0.0.0.0", port=port, floor_hash=floor, desk_hash=desk, secret=SECRET, file=file)
    return replace(made, **other)


class Clock:
    """Time that a test turns."""

    def __init__(self, now: float = 1_800_000_000.0) -> None:
        self.now = now

    def __call__(self) -> float:
        return self.now


def app_behind(
    access: Access, clock: Callable[[], float] | None = None, *, early: bool = False
) -> tuple[FastAPI, Gate]:
    """Return an app with a few pages behind the door, and who is in."""
    app = FastAPI(docs_url=None, redoc_url=None, openapi_url=None)
    time = clock or Clock()
    gate = Gate(access, now=time, attempts=Attempts(time))
    if early:
        guarded(app, access, gate=gate)

    @app.get("/", response_class=HTMLResponse)
    def board() -> str:
        return "<title>board</title><p>board"

    @app.get("/who")
    @app.get("/floor/who")
    def who(request: Request) -> dict[str, str]:
        return {"role": str(role_of(request)), "device": device_of(request)}

    @app.get("/floor", response_class=HTMLResponse)
    def floor() -> str:
        return "<title>floor</title><p>floor"

    @app.get("/p/{key}", response_class=PlainTextResponse)
    def label(key: str) -> str:
        return key

    @app.post("/floor/events")
    @app.post("/floor/photo")
    @app.post("/change")
    @app.put("/change")
    @app.delete("/change")
    async def change(request: Request) -> dict[str, int]:
        return {"bytes": len(await request.body())}

    @app.get("/boom")
    def boom() -> None:
        raise RuntimeError("pin=481203 is what was typed")

    @app.get("/slow/{path:path}", response_class=PlainTextResponse)
    def deep(path: str) -> str:
        return path

    @app.get("/drawn.svg")
    def drawn() -> Response:
        text = "<svg xmlns='http://www.w3.org/2000/svg'><script>document.documentElement.id = 'hurt'</script></svg>"
        return Response(text, media_type="image/svg+xml")

    @app.get("/printed.pdf")
    def printed() -> Response:
        return Response(b"%PDF-1.7", media_type="application/pdf")

    @app.get("/heads")
    def heads(request: Request) -> dict[str, str]:
        return dict(request.headers)

    @app.websocket("/floor/ws")
    @app.websocket("/ws")
    async def ws(socket: WebSocket) -> None:
        await socket.accept()
        with contextlib.suppress(Exception):
            while True:
                await socket.send_text(await socket.receive_text())

    if not early:
        guarded(app, access, gate=gate)
    return app, gate


def ran(coroutine: Coroutine[Any, Any, Any]) -> Any:
    """Run a coroutine in a thread of its own: in this one a browser of other tests may have its loop."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, coroutine).result()


def asked(app: FastAPI, of: Callable[[httpx.AsyncClient], Awaitable[Any]], address: str = "192.168.1.50") -> Any:
    """Run requests of one device against an app in this process."""

    async def run() -> Any:
        transport = httpx.ASGITransport(app=app, raise_app_exceptions=False, client=(address, 40000))
        async with httpx.AsyncClient(transport=transport, base_url=f"http://{HOST}") as client:
            return await of(client)

    return ran(run())


async def join(client: httpx.AsyncClient, role: str, **extra: str) -> httpx.Response:
    """Join as a browser does."""
    return await client.post("/join", data={"pin": PIN[role], **extra}, headers=OWN)


@contextlib.contextmanager
def served(app: FastAPI, access: Access, **settings: Any) -> Iterator[int]:
    """Serve an app with the server's own settings on a free port of this machine."""
    options = server_options(access) | {"host": "127.0.0.1", "port": 0, "log_config": None} | settings
    server = uvicorn.Server(uvicorn.Config(app, **options))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    try:
        for _ in range(1000):
            if server.started:
                break
            threading.Event().wait(0.01)
        yield int(server.servers[0].sockets[0].getsockname()[1])
    finally:
        server.should_exit = True
        thread.join(10)


ALONE = {"host": f"127.0.0.1:{PORT}", "origin": f"http://127.0.0.1:{PORT}"}
PAGE = {"accept": "text/html,application/xhtml+xml"}


def alone() -> Any:
    return app_behind(Access.loopback(PORT))[0]


async def status(client: httpx.AsyncClient, path: str, method: str = "GET", **headers: str) -> int:
    return (await client.request(method, path, headers=headers)).status_code
