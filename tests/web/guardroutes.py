"""The real app, every address of it asked with hostile names; says what was answered and which files were opened.

Run in a process of its own, since Python's audit hooks stay for good: every file the process opens is seen, whoever
opens it.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import logging
import os
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import unquote

HOSTILE = (
    "..", "../../secret/canary.toml", "%252e%252e%252fsecret%252fcanary.toml", "..%2f..%2fsecret%2fcanary.toml",
    "..%5c..%5csecret%5ccanary.toml", "%2fetc%2fpasswd", ".bagside%2faccess.json", "zz-link%2fcanary.toml",
    "canary.toml%00.pdf", "nul", "a" * 300, "{0.__class__}", "<script>alert(1)</script>", "'; DROP TABLE event; --",
    "%E2%80%AEgnp.exe", "99999999999999999999",
)  # fmt: skip
QUERY = (
    "to=//evil.test&code=../../secret&ply=-1&name=..&kind=../x&piece=%00&build=../..&cloth=-1&section=99&by=x&from=/"
)


def routes_of(app: Any, before: str = "") -> Iterator[tuple[str, tuple[str, ...]]]:
    """Give every address with its methods, those of mounted apps too."""
    for route in app.routes:
        path = before + getattr(route, "path", "")
        if getattr(route, "methods", None):
            yield path, tuple(sorted(route.methods - {"HEAD"}))
        elif hasattr(route, "original_router"):
            yield from routes_of(route.original_router, before)
        elif getattr(route, "routes", None):
            yield from routes_of(route, path.rstrip("/"))


async def asked(app: Any, method: str, path: str, raw: str, host: str, body: bytes) -> dict[str, Any]:
    """Ask without a client that would tidy the address first."""
    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": method, "scheme": "http",
        "path": path, "raw_path": raw.encode(), "query_string": QUERY.encode(), "root_path": "",
        "headers": [(b"host", host.encode()), (b"origin", f"http://{host}".encode()), (b"accept", b"text/html"),
                    (b"x-name", b"..%2f..%2fsecret"), (b"content-type", b"application/json")],
        "client": ("127.0.0.1", 5), "server": ("127.0.0.1", 8760), "state": {},
    }  # fmt: skip
    found: dict[str, Any] = {"status": 0, "location": "", "kind": "", "text": b""}
    sent = False

    async def receive() -> dict[str, Any]:
        nonlocal sent
        if sent:
            await asyncio.sleep(5)
            return {"type": "http.disconnect"}
        sent = True
        return {"type": "http.request", "body": body, "more_body": False}

    async def send(message: Any) -> None:
        if message["type"] == "http.response.start":
            found["status"] = message["status"]
            said = {name.lower(): value.decode("latin-1") for name, value in message["headers"]}
            found.update(location=said.get(b"location", ""), kind=said.get(b"content-type", ""))
        else:
            found["text"] += message.get("body", b"")

    await asyncio.wait_for(app(scope, receive, send), 60)
    found["text"] = found["text"][:200_000].decode("utf-8", "replace")
    return found


def main(shop: Path, secret: Path, parts: int, part: int) -> None:
    os.environ["NICEGUI_STORAGE_PATH"] = str(shop.parent / "kept")
    from bagside.web.app import make_app
    from bagside.web.guard import Access, origin
    from bagside.web.house import House

    opened: list[str] = []
    watching: list[str] = []
    marks = (str(secret), "/etc/passwd")

    def seen(event: str, values: tuple[Any, ...]) -> None:
        if event == "open" and isinstance(values[0], str | bytes | os.PathLike):
            name = os.path.realpath(os.fsdecode(values[0]))
            if name.startswith(marks) and name not in opened:
                opened.append(name)

    host = "127.0.0.1:8760"
    app = make_app(House(shop), Access.loopback(8760))
    logging.disable(logging.CRITICAL)
    plain = origin.path_is_plain
    addresses = list(routes_of(app))[part::parts]

    async def run() -> list[dict[str, Any]]:
        out: list[dict[str, Any]] = []
        async with app.router.lifespan_context(app):
            sys.addaudithook(seen)
            (shop / "jobs" / "footrest-plate" / "zz-link" / "canary.toml").read_text()  # the watch sees what it should
            watching.extend(opened)
            opened.clear()
            for address, methods in addresses:
                if address.startswith("/_nicegui"):
                    continue
                names = re.findall(r"{[^}]*}", address)
                for value in HOSTILE if names else ("",):
                    job = value if len(names) < 2 else "footrest-plate"
                    raw = address
                    for n, name in enumerate(names):
                        raw = raw.replace(name, value if n == len(names) - 1 else job, 1)
                    for method in methods:
                        for inner in (False, True):  # past the door, and as if it did not look at paths
                            with contextlib.suppress(UnicodeDecodeError):
                                origin.path_is_plain = (lambda *_: True) if inner else plain
                                body = b'{"events": [{"id": "../x"}]}' if method != "GET" else b""
                                try:
                                    got = await asked(app, method, unquote(raw), raw, host, body)
                                except Exception as error:
                                    got = {"status": 599, "location": "", "kind": "", "text": "", "error": repr(error)}
                                text = got.pop("text")
                                got |= {"address": address, "raw": raw, "method": method, "inner": inner}
                                got["leaks"] = "canary-content" in text or "root:x:0:0" in text
                                got["runs"] = "html" in got.pop("kind") and "<script>alert(1)</script>" in text
                                out.append(got)
        return out

    answers = asyncio.run(run())
    print(json.dumps({"answers": answers, "opened": opened, "watching": watching}))
    sys.stdout.flush()
    os._exit(0)


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3]), int(sys.argv[4]))
