"""Who may do what, and how a device comes in and goes; in this process, without a network."""

from __future__ import annotations

import asyncio
import re
from pathlib import Path
from typing import Any

import httpx
import pytest
from tests.web.guardstand import (
    ALONE,
    OWN,
    PAGE,
    PIN,
    Clock,
    alone,
    app_behind,
    asked,
    join,
    lan_access,
    status,
)

from bagside.errors import OutputError
from bagside.web.guard import gate as gates
from bagside.web.guard.access import FILE, read_kept
from bagside.web.guard.sessions import WHOLE

# ---- who may do what


def test_in_the_network_nothing_is_shown_before_joining() -> None:
    async def of(client: httpx.AsyncClient) -> list[int]:
        paths = ("/", "/who", "/floor", "/floor/who", "/p/K7", "/slow/x", "/join-code", "/leave", "/nothing")
        return [await status(client, path) for path in paths]

    assert set(asked(app_behind(lan_access())[0], of)) == {401}


def test_a_page_that_needs_joining_leads_there_and_back() -> None:
    async def of(client: httpx.AsyncClient) -> list[Any]:
        first = await client.get("/p/K7?code=a&b=c", headers=PAGE)
        on = re.search(r'content="0; url=([^"]+)"', first.text)
        assert on is not None
        form = await client.get(on[1].replace("&amp;", "&"), headers=PAGE)
        to = re.search(r'name="to" value="([^"]+)"', form.text)
        assert to is not None
        came = await join(client, "floor", to=to[1].replace("&amp;", "&"))
        return [first.status_code, form.status_code, came.status_code, came.headers["location"]]

    assert asked(app_behind(lan_access())[0], of) == [401, 200, 303, "/p/K7?code=a&b=c"]


def test_a_script_that_needs_joining_is_told_in_the_shape_of_every_error() -> None:
    async def of(client: httpx.AsyncClient) -> Any:
        answer = await client.get("/floor/who", headers={"accept": "application/json"})
        return answer.status_code, answer.json()

    assert asked(app_behind(lan_access())[0], of) == (
        401,
        {
            "problems": [
                {
                    "place": "/floor/who",
                    "came": "",
                    "wanted": "This device has not joined.",
                    "hint": "Open /join and type the PIN.",
                }
            ]
        },
    )


def test_the_floor_ticks_and_measures_and_no_more() -> None:
    async def of(client: httpx.AsyncClient) -> list[Any]:
        came = await join(client, "floor")
        who = (await client.get("/floor/who")).json()
        return [
            (came.status_code, came.headers["location"]),
            who["role"],
            len(who["device"]),
            await status(client, "/floor"),
            await status(client, "/p/K7"),
            await status(client, "/floor/events", "POST", **OWN),
            [await status(client, p) for p in ("/who", "/slow/x", "/join-code", "/floorplan", "/heads")],
            await status(client, "/change", "POST", **OWN),
            await status(client, "/join-code/end", "POST", **OWN),
        ]

    assert asked(app_behind(lan_access())[0], of) == [
        (303, "/floor"), "floor", 6, 200, 200, 200, [403] * 5, 403, 403,
    ]  # fmt: skip


def test_the_floor_s_way_to_the_board_leads_to_the_floor() -> None:
    async def of(client: httpx.AsyncClient) -> tuple[int, str]:
        await join(client, "floor")
        answer = await client.get("/", headers=PAGE)
        return answer.status_code, answer.headers["location"]

    assert asked(app_behind(lan_access())[0], of) == (303, "/floor")


def test_the_desk_does_everything() -> None:
    async def of(client: httpx.AsyncClient) -> list[Any]:
        came = await join(client, "desk")
        return [
            (came.status_code, came.headers["location"]),
            (await client.get("/who")).json()["role"],
            [await status(client, p) for p in ("/", "/floor", "/slow/x", "/join-code", "/p/K7")],
            await status(client, "/change", "PUT", **OWN),
        ]

    assert asked(app_behind(lan_access())[0], of) == [(303, "/"), "desk", [200] * 5, 200]


def test_on_this_machine_alone_everything_is_the_desk_s_without_a_pin() -> None:
    async def of(client: httpx.AsyncClient) -> list[Any]:
        found = (await client.get("/who", headers=ALONE)).json()
        code = await client.get("/join-code", headers=ALONE | PAGE)
        return [found, (await client.get("/join", headers=ALONE)).headers["location"], "serve --lan" in code.text]

    assert asked(alone(), of) == [{"role": "desk", "device": ""}, "/", True]


@pytest.mark.parametrize("early", [True, False])
def test_the_door_holds_whichever_is_added_first(early: bool) -> None:
    app, _ = app_behind(lan_access(), early=early)
    assert asked(app, lambda c: status(c, "/who")) == 401
    assert asked(app, lambda c: status(c, "/join")) == 200


def test_what_a_proxy_would_say_is_not_believed() -> None:
    async def of(client: httpx.AsyncClient) -> dict[str, str]:
        said = {"x-forwarded-for": "127.0.0.1", "x-forwarded-prefix": "//evil.test", "forwarded": "for=127.0.0.1"}
        return dict((await client.get("/heads", headers=ALONE | said)).json())

    assert not [name for name in asked(alone(), of) if "forwarded" in name]


# ---- joining


def test_wrong_pins_count_down_then_wait_then_the_right_one_must_wait_too() -> None:
    clock = Clock()
    app, _ = app_behind(lan_access(), clock)

    async def of(client: httpx.AsyncClient) -> list[Any]:
        out: list[Any] = []
        for _ in range(5):
            answer = await client.post("/join", data={"pin": "000000"}, headers=OWN)
            out.append((answer.status_code, re.findall(r"(\w+) more tr", answer.text)))
        held = await join(client, "desk")
        out.append((held.status_code, held.headers["retry-after"], "set-cookie" in held.headers))
        clock.now += 30.0
        out.append((await join(client, "desk")).status_code)
        return out

    assert asked(app, of) == [
        (403, ["4"]), (403, ["3"]), (403, ["2"]), (403, ["One"]), (429, []), (429, "30", False), 303,
    ]  # fmt: skip


def test_a_pause_is_one_device_s_and_sessions_go_on() -> None:
    clock = Clock()
    app, _ = app_behind(lan_access(), clock)

    async def spoil(client: httpx.AsyncClient) -> int:
        for _ in range(6):
            answer = await client.post("/join", data={"pin": "999999"}, headers=OWN)
        return answer.status_code

    async def other(client: httpx.AsyncClient) -> int:
        return (await join(client, "floor")).status_code

    assert asked(app, spoil, "192.168.1.66") == 429
    assert asked(app, other, "192.168.1.50") == 303


def test_tries_at_the_same_moment_are_counted_one_by_one() -> None:
    """Hurrying many requests past the count before the first is answered gains nothing."""
    app, gate = app_behind(lan_access())

    async def of(client: httpx.AsyncClient) -> list[int]:
        answers = await asyncio.gather(
            *(client.post("/join", data={"pin": f"{n:06d}"}, headers=OWN) for n in range(12))
        )
        return [a.status_code for a in answers]

    codes = asked(app, of)
    assert codes.count(403) == 4
    assert codes.count(429) == 8
    assert gate.attempts.left("192.168.1.50") == 0


def test_an_empty_pin_is_no_try() -> None:
    app, gate = app_behind(lan_access())

    async def of(client: httpx.AsyncClient) -> tuple[int, bool]:
        answer = await client.post("/join", data={"pin": " "}, headers=OWN)
        return answer.status_code, "Type the PIN first." in answer.text

    assert asked(app, of) == (422, True)
    assert gate.attempts.left("192.168.1.50") == 5


@pytest.mark.parametrize("body", [b"", b"pin", b"pin=%ff", b"\xff\xfe", b"a=1&" * 50, b"pin=" + b"1" * 3000])
def test_a_broken_form_is_a_wrong_pin_at_most(body: bytes) -> None:
    async def of(client: httpx.AsyncClient) -> int:
        return (await client.post("/join", content=body, headers=OWN)).status_code

    assert asked(app_behind(lan_access())[0], of) in (403, 422)


def test_a_form_without_end_is_refused() -> None:
    async def of(client: httpx.AsyncClient) -> int:
        return (await client.post("/join", content=b"pin=" + b"1" * 20_000, headers=OWN)).status_code

    assert asked(app_behind(lan_access())[0], of) == 413


def test_another_site_cannot_join_a_browser_under_a_pin_it_knows() -> None:
    async def of(client: httpx.AsyncClient) -> tuple[int, bool]:
        answer = await client.post("/join", data={"pin": PIN["floor"]}, headers=OWN | {"origin": "http://evil.test"})
        return answer.status_code, "set-cookie" in answer.headers

    assert asked(app_behind(lan_access())[0], of) == (403, False)


def test_joining_again_is_a_new_session() -> None:
    """Session fixation: what a browser had before is never what it has after."""

    async def of(client: httpx.AsyncClient) -> tuple[list[str], list[int]]:
        out = []
        for role in ("floor", "floor", "desk"):
            out.append((await join(client, role)).headers["set-cookie"].partition(";")[0])
        client.cookies.clear()
        return out, [(await client.get("/floor", headers={"cookie": cookie})).status_code for cookie in out]

    found, codes = asked(app_behind(lan_access())[0], of)
    assert len(set(found)) == 3
    assert codes == [401, 401, 200]  # and the ones before are over


def test_a_text_in_an_address_is_only_text_on_the_page() -> None:
    async def of(client: httpx.AsyncClient) -> str:
        bad = '/"><script>alert(1)</script>'
        first = await client.get("/join", params={"to": bad}, headers=PAGE)
        second = await client.get("/floor/<script>alert(1)</script>", headers=PAGE)
        return first.text + second.text

    assert "<script" not in asked(app_behind(lan_access())[0], of)


@pytest.mark.parametrize(
    ("wanted", "title"), [("de-DE,de;q=0.9", "In die Werkstatt kommen"), ("", "Join the workshop")]
)
def test_the_page_speaks_the_browser_s_language(wanted: str, title: str) -> None:
    async def of(client: httpx.AsyncClient) -> str:
        return (await client.get("/join", headers=PAGE | {"accept-language": wanted})).text

    page = asked(app_behind(lan_access())[0], of)
    assert f"<h1>{title}</h1>" in page
    assert f'<html lang="{wanted[:2] or "en"}">' in page


# ---- leaving


def test_leaving_ends_the_session_even_for_who_kept_the_cookie(tmp_path: Path) -> None:
    access = lan_access(tmp_path)
    app, _ = app_behind(access)

    async def of(client: httpx.AsyncClient) -> list[int]:
        await join(client, "floor")
        kept = client.cookies.get("bagside-8760")
        left = await client.post("/leave", headers=OWN)
        again = await client.get("/floor", headers={"cookie": f"bagside-8760={kept}"})
        return [left.status_code, again.status_code]

    assert asked(app, of) == [303, 401]
    restarted, _ = app_behind(access)
    assert asked(restarted, lambda c: status(c, "/floor")) == 401


def test_a_session_outlasts_a_restart_and_an_ended_one_does_not_come_back(tmp_path: Path) -> None:
    access = lan_access(tmp_path)
    app, gate = app_behind(access)
    cookies: dict[str, str] = {}

    async def both(client: httpx.AsyncClient) -> None:
        for name in ("stays", "goes"):
            cookies[name] = (await join(client, "floor")).headers["set-cookie"].partition(";")[0]
            client.cookies.clear()  # another device

    asked(app, both)
    gate.end_named(gate.devices()[0].session.device)
    again, _ = app_behind(access)

    async def of(client: httpx.AsyncClient) -> list[int]:
        return [(await client.get("/floor", headers={"cookie": cookies[n]})).status_code for n in ("stays", "goes")]

    assert asked(again, of) == [200, 401]


def test_the_desk_sends_one_device_out_or_every_one(tmp_path: Path) -> None:
    app, gate = app_behind(lan_access(tmp_path))
    phone: dict[str, str] = {}

    async def of(client: httpx.AsyncClient) -> list[Any]:
        out: list[Any] = []
        phone["cookie"] = (await join(client, "floor")).headers["set-cookie"].partition(";")[0]
        lost = gate.devices()[0].session.device
        client.cookies.clear()  # another device
        await join(client, "desk")
        own = client.cookies.get("bagside-8760")
        page = (await client.get("/join-code", headers=PAGE)).text
        out.append((lost in page, page.count("<svg"), any(pin in page for pin in PIN.values())))
        sent = await client.post("/join-code/end", data={"device": lost}, headers=OWN)
        out.append((sent.headers["location"], await status(client, "/who")))
        out.append((await client.get("/floor", headers=phone | {"accept": "*/*"})).status_code)
        sent = await client.post("/join-code/end", data={"device": "*"}, headers=OWN)
        out.append((sent.headers["location"], await status(client, "/who", cookie=f"bagside-8760={own}")))
        return out

    assert asked(app, of) == [(True, 1, False), ("/join-code", 200), 401, ("/join", 401)]
    kept = read_kept(tmp_path / FILE)
    assert kept is not None
    assert kept.epoch == 1


def test_when_an_end_cannot_be_kept_the_page_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app, _ = app_behind(lan_access(tmp_path))

    def full(*_: object) -> None:
        raise OutputError('".bagside/access.json" cannot be written: no space left on device. Nothing was changed.')

    async def of(client: httpx.AsyncClient) -> tuple[int, bool, int]:
        await join(client, "desk")
        own = client.cookies.get("bagside-8760")
        monkeypatch.setattr(gates, "write_kept", full)
        answer = await client.post("/join-code/end", data={"device": "*"}, headers=OWN)
        after = await client.get("/who", headers={"cookie": f"bagside-8760={own}"})
        return answer.status_code, "no space left on device" in answer.text, after.status_code

    assert asked(app, of) == (500, True, 401)


def test_a_used_session_is_renewed_and_an_old_one_ends() -> None:
    clock = Clock()
    app, _ = app_behind(lan_access(), clock)

    async def of(client: httpx.AsyncClient) -> list[Any]:
        out: list[Any] = []
        await join(client, "floor")
        out.append("set-cookie" in (await client.get("/floor")).headers)
        begun = clock.now
        while clock.now - begun < WHOLE[gates.Role.FLOOR] - 86400.0:
            clock.now += 5 * 86400.0
            answer = await client.get("/floor")
            out.append((answer.status_code, "set-cookie" in answer.headers))
        clock.now = begun + WHOLE[gates.Role.FLOOR] + 1.0
        out.append(await status(client, "/floor"))
        return out

    assert asked(app, of) == [False, *[(200, True)] * 6, 401]
