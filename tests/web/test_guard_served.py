"""The server as it is started: slow and greedy devices, WebSockets, TLS."""

from __future__ import annotations

import asyncio
import contextlib
import json
import socket
import ssl
import subprocess
import time
import warnings
from dataclasses import replace
from pathlib import Path
from typing import Any

import httpx
import pytest
import websockets
from tests.web.guardstand import PIN, Clock, app_behind, lan_access, ran, served
from websockets.exceptions import ConnectionClosed, InvalidStatus

from bagside.web.guard import Access, server_options, serving, session_cookie
from bagside.web.guard.serving import Patient


class Hasty(Patient):
    head_within = 0.4
    most_of_one = 5


@pytest.fixture
def hasty(monkeypatch: pytest.MonkeyPatch) -> type[Patient]:
    monkeypatch.setattr(serving, "_SELF", ())  # this machine counts as another one
    return Hasty


def connected(port: int) -> socket.socket:
    return socket.create_connection(("127.0.0.1", port), timeout=5)


def closes_within(link: socket.socket, seconds: float) -> bool:
    link.settimeout(seconds)
    try:
        while link.recv(4096):
            pass
    except TimeoutError:
        return False
    except OSError:
        return True
    return True


@pytest.mark.parametrize("begin", [b"", b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX-a: "])
def test_a_head_that_does_not_come_is_given_up(hasty: type[Patient], begin: bytes) -> None:
    """The slow loris: a connection is held open by a head that never ends."""
    access = Access.loopback(8760)
    with served(app_behind(access)[0], access, http=hasty) as port, connected(port) as link:
        link.sendall(begin)
        begun = time.monotonic()
        assert closes_within(link, 3.0)
        assert 0.2 < time.monotonic() - begun < 2.0


def test_a_head_that_trickles_is_given_up_too(hasty: type[Patient]) -> None:
    access = Access.loopback(8760)
    with served(app_behind(access)[0], access, http=hasty) as port, connected(port) as link:
        begun = time.monotonic()
        with contextlib.suppress(OSError):
            link.sendall(b"GET / HTTP/1.1\r\n")
            while time.monotonic() - begun < 3.0:
                link.sendall(b"X-a: b\r\n")
                time.sleep(0.05)
        assert time.monotonic() - begun < 2.0


def test_a_second_head_on_one_connection_is_waited_for_as_long(hasty: type[Patient]) -> None:
    access = Access.loopback(8760)
    with served(app_behind(access)[0], access, http=hasty) as port, connected(port) as link:
        link.sendall(b"GET /floor HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n")
        assert b"200 OK" in link.recv(65536)
        time.sleep(0.6)  # quiet between requests is no sin: that is what keeping alive is for
        link.sendall(b"GET /floor HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n")
        assert b"200 OK" in link.recv(65536)
        link.sendall(b"GET /floor HT")
        assert closes_within(link, 3.0)


def test_one_device_holds_only_so_many_connections(hasty: type[Patient]) -> None:
    access = Access.loopback(8760)
    with served(app_behind(access)[0], access, http=hasty) as port, contextlib.ExitStack() as held:
        hasty.head_within = 5.0
        links = [held.enter_context(connected(port)) for _ in range(8)]
        time.sleep(0.2)
        gone = [closes_within(link, 0.05) for link in links]
        hasty.head_within = 0.4
        assert sum(gone) == 3


def test_a_head_without_end_is_refused() -> None:
    access = Access.loopback(8760)
    with served(app_behind(access)[0], access) as port, connected(port) as link:
        with contextlib.suppress(OSError):
            link.sendall(b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n" + b"X-a: " + b"b" * 200_000)
        answer = b""
        with contextlib.suppress(OSError):
            answer = link.recv(4096)
        assert b"200 OK" not in answer


@pytest.mark.parametrize("host", ["", "Host: evil.test\r\n", "Host: 127.0.0.1\r\nHost: evil.test\r\n"])
def test_raw_requests_with_no_or_two_hosts_are_refused(host: str) -> None:
    access = Access.loopback(8760)
    with served(app_behind(access)[0], access) as port, connected(port) as link:
        link.sendall(f"GET / HTTP/1.1\r\n{host}Connection: close\r\n\r\n".encode())
        assert link.recv(4096).split()[1] in (b"400", b"421")


def test_a_body_that_is_too_large_ends_the_connection() -> None:
    access = Access.loopback(8760)
    with served(app_behind(access)[0], access) as port, connected(port) as link:
        head = f"POST /change HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nOrigin: http://127.0.0.1:{port}\r\n"
        link.sendall(f"{head}Content-Length: 99999999\r\n\r\n".encode())
        answer = link.recv(4096).lower()
        assert answer.startswith(b"http/1.1 413 ")
        assert b"connection: close" in answer
        assert b"\r\nserver:" not in answer
        assert closes_within(link, 2.0)


# ---- WebSockets


async def spoken(port: int, path: str, origin: str | None, cookie: str = "") -> str:
    """Return what comes back, or the status or code with which it was refused."""
    headers = {"cookie": cookie} if cookie else {}
    try:
        async with websockets.connect(
            f"ws://127.0.0.1:{port}{path}",
            origin=origin,
            additional_headers=headers,
            open_timeout=5,  # type: ignore[arg-type]
        ) as link:
            await link.send("hello")
            return str(await asyncio.wait_for(link.recv(), 5))
    except InvalidStatus as refused:
        return str(refused.response.status_code)
    except ConnectionClosed as closed:
        return f"closed {closed.rcvd.code if closed.rcvd else ''}"


def test_a_websocket_from_another_site_is_refused() -> None:
    """Cross-site WebSocket hijacking: browsers open them to anywhere, and say only in Origin from where."""
    access = Access.loopback(8760)
    with served(app_behind(access)[0], access) as port:

        async def run() -> list[str]:
            origins = [f"http://127.0.0.1:{port}", "http://evil.test", None, f"http://localhost:{port}", "null"]
            return [await spoken(port, "/ws", origin) for origin in origins]

        assert ran(run()) == ["hello", "403", "403", "403", "403"]


def test_a_websocket_wants_a_session_and_the_right_role() -> None:
    access = lan_access()
    with served(app_behind(access)[0], access) as port:
        own = f"http://127.0.0.1:{port}"

        def cookie(role: str) -> str:
            came = httpx.post(f"{own}/join", data={"pin": PIN[role]}, headers={"origin": own})
            return came.headers["set-cookie"].partition(";")[0]

        floor, desk = cookie("floor"), cookie("desk")

        async def run() -> list[str]:
            return [
                await spoken(port, "/floor/ws", own),
                await spoken(port, "/floor/ws", own, floor),
                await spoken(port, "/ws", own, floor),
                await spoken(port, "/ws", own, desk),
                await spoken(port, "/ws", "http://evil.test", desk),
            ]

        assert ran(run()) == ["403", "hello", "403", "hello", "403"]


def test_what_is_open_closes_when_its_session_ends() -> None:
    access = lan_access()
    app, gate = app_behind(access)
    with served(app, access) as port:
        own = f"http://127.0.0.1:{port}"
        came = httpx.post(f"{own}/join", data={"pin": PIN["desk"]}, headers={"origin": own})
        cookie = came.headers["set-cookie"].partition(";")[0]

        async def run() -> int:
            async with websockets.connect(
                f"ws://127.0.0.1:{port}/ws",
                origin=own,
                additional_headers={"cookie": cookie},  # type: ignore[arg-type]
            ) as link:
                await link.send("a")
                await link.recv()
                async with httpx.AsyncClient(base_url=own, headers={"cookie": cookie, "origin": own}) as client:
                    await client.post("/join-code/end", data={"device": "*"})
                with contextlib.suppress(ConnectionClosed):
                    await asyncio.wait_for(link.recv(), 3)
                return link.close_code or 0

        assert ran(run()) == 1008
        deadline = time.monotonic() + 3.0
        while gate._sockets and time.monotonic() < deadline:
            time.sleep(0.02)
        assert not gate._sockets


# ---- TLS


@pytest.fixture(scope="module")
def sealed(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    folder = tmp_path_factory.mktemp("tls")
    made = ["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", "-days", "2",
            "-subj", "/CN=bench.local", "-addext", "subjectAltName=IP:127.0.0.1,DNS:localhost",
            "-keyout", str(folder / "key.pem"), "-out", str(folder / "cert.pem")]  # fmt: skip
    try:
        subprocess.run(made, check=True, capture_output=True)
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("no openssl to make a certificate with")
    return folder / "cert.pem", folder / "key.pem"


def test_under_tls_the_cookie_is_sealed_and_old_protocols_are_refused(sealed: tuple[Path, Path]) -> None:
    access = replace(lan_access(), certificate=sealed[0], key=sealed[1])
    with served(app_behind(access)[0], access) as port:
        own = f"https://127.0.0.1:{port}"
        trusted = ssl.create_default_context(cafile=str(sealed[0]))
        with httpx.Client(base_url=own, verify=trusted) as client:
            came = client.post("/join", data={"pin": PIN["floor"]}, headers={"origin": own})
            assert came.headers["set-cookie"].startswith("__Host-bagside-8760=")
            assert "; Secure" in came.headers["set-cookie"]
            assert client.get("/floor").status_code == 200
            assert f"wss://127.0.0.1:{port}" in client.get("/floor").headers["content-security-policy"]
            assert client.post("/floor/events", headers={"origin": own.replace("https", "http")}).status_code == 403
        old = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
        old.check_hostname, old.verify_mode = False, ssl.CERT_NONE
        old.set_ciphers("ALL:@SECLEVEL=0")  # the client would, so that it is the server that will not
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", DeprecationWarning)
            old.minimum_version = ssl.TLSVersion.TLSv1
            old.maximum_version = ssl.TLSVersion.TLSv1_1  # RFC 8996: not to be spoken any more
        with pytest.raises((ssl.SSLError, OSError)), connected(port) as link:
            old.wrap_socket(link, server_hostname="localhost")


def test_the_settings_of_the_server_do_not_trust_what_stands_in_front() -> None:
    options = server_options(Access.loopback(8760))
    assert options["host"] == "127.0.0.1"
    assert options["proxy_headers"] is False
    assert options["server_header"] is False
    assert options["access_log"] is False
    assert "scrub" in json.dumps(options["log_config"])
    assert session_cookie(replace(lan_access(), certificate=Path("c"), key=Path("k"))) == {
        "session_cookie": "bagside-page-8760", "same_site": "strict", "https_only": True,
    }  # fmt: skip


def test_the_count_of_pins_is_of_the_address_the_connection_comes_from() -> None:
    """Naming another address in a header gains no further tries."""
    access = lan_access()
    app, _ = app_behind(access, Clock())
    with served(app, access) as port:
        own = f"http://127.0.0.1:{port}"
        codes: list[Any] = []
        for n in range(7):
            said = {"origin": own, "x-forwarded-for": f"10.0.0.{n}", "forwarded": f"for=10.0.0.{n}"}
            codes.append(httpx.post(f"{own}/join", data={"pin": "111222"}, headers=said).status_code)
    assert codes == [403, 403, 403, 403, 429, 429, 429]
