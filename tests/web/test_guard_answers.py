"""What every answer carries, and how much may be asked at a time."""

from __future__ import annotations

import asyncio
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import httpx
import pytest
from tests.web.guardstand import (
    ALONE,
    HOST,
    PAGE,
    Clock,
    alone,
    app_behind,
    asked,
    join,
    lan_access,
    ran,
    status,
)

from bagside.web.guard import limits
from bagside.web.guard.door import LARGE_AT_ONCE
from bagside.web.guard.headers import policy

# ---- what every answer carries


@pytest.mark.parametrize("path", ["/", "/nothing", "/boom", "/join", "/join-code", "/floor", "/../x"])
def test_every_answer_carries_the_headers(path: str) -> None:
    async def of(client: httpx.AsyncClient) -> httpx.Headers:
        return (await client.get(path, headers=ALONE | PAGE)).headers

    found = asked(alone(), of)
    assert found["x-content-type-options"] == "nosniff"
    assert found["x-frame-options"] == "DENY"
    assert found["referrer-policy"] == "same-origin"
    assert found["cross-origin-opener-policy"] == "same-origin"
    assert found["cross-origin-resource-policy"] == "same-origin"
    assert "microphone=()" in found["permissions-policy"]
    assert found["cache-control"] == "no-store"
    rules = dict(part.strip().split(" ", 1) for part in found["content-security-policy"].split(";"))
    assert rules["script-src"] == "'self'"
    assert rules["object-src"] == rules["base-uri"] == rules["frame-ancestors"] == "'none'"
    assert rules["form-action"] == "'self'"
    assert "server" not in found


def test_only_a_page_put_together_in_the_browser_may_compile_and_its_number_is_new_each_time() -> None:
    assert "unsafe-eval" not in policy(HOST, secure=False)
    found = policy(HOST, secure=True, nonce="abc")
    assert "script-src 'self' 'nonce-abc' 'unsafe-eval'" in found
    assert "'unsafe-inline'" not in found.partition("script-src")[2].partition(";")[0]
    assert f"connect-src 'self' wss://{HOST}" in found
    assert ";evil" not in policy("a;evil", secure=False)


def test_a_drawing_opened_by_itself_runs_nothing_and_a_printed_page_opens_in_its_viewer() -> None:
    async def of(client: httpx.AsyncClient) -> list[str]:
        found = [await client.get(path, headers=ALONE) for path in ("/drawn.svg", "/printed.pdf")]
        assert all(answer.headers["x-frame-options"] == "DENY" for answer in found)
        return [answer.headers["content-security-policy"] for answer in found]

    drawing, printed = asked(alone(), of)
    assert drawing.startswith("default-src 'none'; ")
    assert drawing.endswith("; sandbox")
    assert printed == "frame-ancestors 'none'"


def test_a_person_is_told_that_a_page_is_not_there_and_a_script_gets_its_json() -> None:
    async def of(client: httpx.AsyncClient) -> list[Any]:
        person = await client.get("/nothing", headers=ALONE | PAGE)
        script = await client.get("/nothing", headers=ALONE | {"accept": "*/*"})
        return [person.status_code, "<h1>There is no such page.</h1>" in person.text, script.status_code, script.json()]

    assert asked(alone(), of) == [404, True, 404, {"detail": "Not Found"}]


def test_a_fault_shows_a_number_and_no_word_of_what_happened(caplog: pytest.LogCaptureFixture) -> None:
    async def of(client: httpx.AsyncClient) -> list[str]:
        return [(await client.get("/boom", headers=ALONE | kind)).text for kind in (PAGE, {"accept": "*/*"})]

    for text in asked(alone(), of):
        number = re.search(r"fault ([0-9a-f]{8})", text)
        assert number is not None
        assert f"fault {number[1]}" in caplog.text
        assert not re.search("Runtime|Traceback|typed|481203", text)


# ---- how much


@pytest.mark.parametrize(
    ("path", "size", "code"),
    [
        ("/floor/events", limits.SMALL, 200), ("/floor/events", limits.SMALL + 1, 413),
        ("/floor/photo", 2 * limits.SMALL, 200), ("/floor/photo", 25_000_001, 413), ("/change", limits.SMALL + 1, 413),
    ],
)  # fmt: skip
@pytest.mark.parametrize("told", [True, False])
def test_a_body_is_counted_whatever_its_head_promised(path: str, size: int, code: int, told: bool) -> None:
    async def parts() -> Any:
        for start in range(0, size, 500_000):
            yield bytes(min(500_000, size - start))

    async def of(client: httpx.AsyncClient) -> int:
        content = bytes(size) if told else parts()
        return (await client.post(path, content=content, headers=ALONE)).status_code

    assert asked(alone(), of) == code


@pytest.mark.parametrize("length", ["-1", "1e3", "٣", "9" * 20, "1, 2"])
def test_a_length_that_is_none_is_refused(length: str) -> None:
    async def of(client: httpx.AsyncClient) -> int:
        return (await client.post("/change", content=b"", headers=ALONE | {"content-length": length})).status_code

    if not length.isascii():
        with pytest.raises(ValueError):
            limits.promised(length)
    else:
        assert asked(alone(), of) == 400


def measured(sizes: list[int], seconds: float, most: int = 10**9, still: float = 5.0) -> int:
    """Return the status with which a body in these parts, each after so long, ends; 200 when it is taken."""
    clock = Clock(0.0)
    left = list(sizes)

    async def receive() -> dict[str, Any]:
        clock.now += seconds
        return {"type": "http.request", "body": bytes(left.pop(0)), "more_body": bool(left)}

    async def run() -> int:
        body = limits.Measured(receive, most, clock, still)
        try:
            while (await body())["more_body"]:
                pass
        except limits.HTTPException as error:
            return error.status_code if body.over is error else 0
        return 200

    return ran(run())


def test_a_body_that_trickles_is_ended_and_a_slow_network_is_not() -> None:
    assert measured([1] * 100, 1.0) == 408
    assert measured([10_000] * 100, 1.0) == 200
    assert measured([1] * 20, 1.0) == 200  # small and soon whole


def test_a_body_that_stops_is_ended() -> None:
    async def never() -> Any:
        await asyncio.Event().wait()

    async def run() -> int:
        try:
            await limits.Measured(never, 100, still=0.05)()
        except limits.HTTPException as error:
            return error.status_code
        return 0

    assert ran(run()) == 408


def test_waiting_for_the_person_to_go_is_not_limited() -> None:
    async def run() -> bool:
        messages = [{"type": "http.request", "body": b"x", "more_body": False}]

        async def receive() -> Any:
            if messages:
                return messages.pop()
            await asyncio.sleep(0.2)
            return {"type": "http.disconnect"}

        body = limits.Measured(receive, 100, still=0.05)
        await body()
        return (await body())["type"] == "http.disconnect"

    assert ran(run())


def test_only_so_many_large_bodies_at_a_time() -> None:
    app = alone()

    async def of(client: httpx.AsyncClient) -> list[int]:
        go = asyncio.Event()

        async def parts() -> Any:
            yield bytes(10)
            await go.wait()
            yield bytes(10)

        waiting = [
            asyncio.ensure_future(client.post("/floor/photo", content=parts(), headers=ALONE))
            for _ in range(LARGE_AT_ONCE)
        ]
        await asyncio.sleep(0.05)
        refused = await client.post("/floor/photo", content=parts(), headers=ALONE)
        small = await client.post("/floor/events", content=b"x", headers=ALONE)
        go.set()
        taken = [(await w).status_code for w in waiting]
        after = await client.post("/floor/photo", content=b"x" * 20, headers=ALONE)
        return [refused.status_code, small.status_code, *sorted(set(taken)), after.status_code]

    assert asked(app, of) == [503, 200, 200, 200]


def test_a_cookie_under_tls_is_another_and_a_plain_one_is_none() -> None:
    access = replace(lan_access(), certificate=Path("c"), key=Path("k"))
    app, _ = app_behind(access)

    async def of(client: httpx.AsyncClient) -> list[Any]:
        came = await join(client, "desk")
        value = came.headers["set-cookie"].partition(";")[0]
        plain = value.removeprefix("__Host-")
        return [
            value.startswith("__Host-bagside-8760="),
            await status(client, "/who", cookie=value),
            await status(client, "/who", cookie=plain),
        ]

    assert asked(app, of) == [True, 200, 401]
