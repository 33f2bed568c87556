"""Secrets do not stand in a log, whoever logs them and however."""

from __future__ import annotations

import asyncio
import io
import logging
import logging.config
from collections.abc import Iterator

import httpx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.web.guardstand import OWN, PIN, app_behind, asked, join, lan_access, pin_hashes, served

from bagside.web.guard import sessions
from bagside.web.guard.access import Role
from bagside.web.guard.scrub import HIDDEN, SCRUB, Scrub, log_settings, scrubbed


def cookie() -> str:
    access = lan_access()
    return sessions.signed(sessions.begun(Role.DESK, access, 1e9), access)


def logged(message: object, *values: object, secrets: tuple[str, ...] = (), fault: bool = False) -> str:
    out = io.StringIO()
    handler = logging.StreamHandler(out)
    handler.setFormatter(logging.Formatter("%(message)s"))
    handler.addFilter(Scrub(secrets))
    logger = logging.Logger("anything")
    logger.addHandler(handler)
    if fault:
        try:
            raise RuntimeError(str(message))
        except RuntimeError:
            logger.exception("fault")
    else:
        logger.warning(message, *values)
    return out.getvalue()


TOKEN = cookie()


@pytest.mark.parametrize(
    ("message", "values", "secret"),
    [
        ("pin=481203", (), "481203"),
        ("GET /join?pin=481203&to=/floor HTTP/1.1", (), "481203"),
        ("form %s", ({"pin": "481203", "to": "/"},), "481203"),
        ("form %r", ("pin=481203",), "481203"),
        ("PIN: 481203", (), "481203"),
        ("Cookie: bagside-8760=%s; theme=dark", (TOKEN,), TOKEN),
        ("headers %s", ([(b"cookie", b"bagside-8760=" + TOKEN.encode())],), TOKEN),
        ("headers %s", ({"set-cookie": f"bagside-8760={TOKEN}; Path=/"},), TOKEN),
        ("sent __Host-bagside-443=%s", (TOKEN,), TOKEN),
        ("Authorization: Bearer abc.def", (), "abc.def"),
        ("token=abcdef", (), "abcdef"),
        ("/_nicegui_ws/socket.io/?client_id=9f4e-11&EIO=4&sid=Zk_7", (), "9f4e-11"),
        ("/_nicegui_ws/socket.io/?client_id=9f4e-11&EIO=4&sid=Zk_7", (), "Zk_7"),
        ("kept %s", (pin_hashes()[0],), pin_hashes()[0]),
        ("Access(secret=%s)", ("00ff00ff",), "00ff00ff"),
        ("password: hunter22 is wrong", (), "hunter22"),
        (RuntimeError("pin=481203"), (), "481203"),
    ],
    ids=[f"case {k}" for k in range(17)],  # tokens and hashes differ from process to process
)
@pytest.mark.parametrize("fault", [False, True])
def test_what_looks_like_a_secret_is_hidden(
    message: object, values: tuple[object, ...], secret: str, fault: bool
) -> None:
    whole = (str(message) % values) if values else message
    text = logged(whole, fault=True) if fault else logged(message, *values)
    assert secret not in text
    assert HIDDEN in text


@pytest.mark.parametrize(
    "message",
    ["ply 3 laid at 14:06", "the reader of mould.stl fell over with status -11", "device 3fa9c1 joined as floor",
     "INSERT INTO pins_and_holes", "spin=3 rpm", "oven at 120 °C, 4 of 61"],
)  # fmt: skip
def test_what_is_none_stays(message: str) -> None:
    assert logged(message) == message + "\n"


@settings(deadline=None)
@given(st.from_regex(r"[A-Za-z0-9]{6,40}", fullmatch=True), st.text(max_size=30), st.text(max_size=30))
def test_a_secret_that_is_known_is_hidden_wherever_it_stands(secret: str, before: str, after: str) -> None:
    if secret in HIDDEN:
        return
    assert secret not in logged(f"{before} {secret} {after}", secrets=(secret,))


def test_a_message_that_does_not_fit_its_values_is_cleaned_all_the_same() -> None:
    assert "481203" not in logged("pin=%s %s", "481203")


def test_the_filter_is_put_on_every_handler_once() -> None:
    logger = logging.getLogger("bagside.test_scrub")
    handler = logging.StreamHandler(io.StringIO())
    logger.addHandler(handler)
    try:
        scrubbed("bagside.test_scrub")
        scrubbed("bagside.test_scrub")
        assert handler.filters == [SCRUB]
    finally:
        logger.removeHandler(handler)


@pytest.fixture
def whole_log() -> Iterator[io.StringIO]:
    """Everything the server's own loggers say, at their most talkative, through the server's own settings."""
    names = ("uvicorn", "uvicorn.access", "bagside", "nicegui")
    before = {
        n: (logging.getLogger(n).handlers[:], logging.getLogger(n).level, logging.getLogger(n).propagate) for n in names
    }
    settings = dict(log_settings("DEBUG"))
    out = io.StringIO()
    settings["handlers"] = {name: dict(h) | {"stream": out} for name, h in settings["handlers"].items()}
    settings["loggers"] = {name: dict(said) | {"level": "DEBUG"} for name, said in settings["loggers"].items()}
    logging.config.dictConfig(settings)
    yield out
    for name, (handlers, level, propagate) in before.items():
        logger = logging.getLogger(name)
        logger.handlers[:], logger.propagate = handlers, propagate
        logger.setLevel(level)


def test_a_served_day_leaves_no_secret_in_the_log(whole_log: io.StringIO) -> None:
    """The server's access log, its faults, and joining; with a PIN put where nobody should put one."""
    access = lan_access()
    app, _ = app_behind(access)
    with served(app, access, log_config=None, access_log=True) as port:
        own = {"origin": f"http://127.0.0.1:{port}"}
        with httpx.Client(base_url=f"http://127.0.0.1:{port}") as client:
            client.post("/join", data={"pin": "000111"}, headers=own)
            came = client.post("/join", data={"pin": PIN["desk"]}, headers=own)
            token = came.headers["set-cookie"].partition("=")[2].partition(";")[0]
            assert client.get("/who", params={"pin": PIN["desk"], "token": token}).status_code == 200
            assert client.get("/boom").status_code == 500
            client.get("/slow/x", params={"session": token})
    text = whole_log.getvalue()
    assert "GET /who" in text
    assert "joined as desk" in text
    assert "a wrong PIN from 127.0.0.1" in text
    assert "RuntimeError" in text
    for secret in (PIN["desk"], "000111", token, token[:40], access.secret.hex()):
        assert secret not in text
    assert "pin=481203" not in text


def test_nothing_is_said_of_a_pin_when_it_is_tried(caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.DEBUG)
    app, _ = app_behind(lan_access())

    async def of(client: httpx.AsyncClient) -> None:
        await client.post("/join", data={"pin": "135791"}, headers=OWN)
        await join(client, "floor")
        await asyncio.sleep(0)

    asked(app, of)
    assert "a wrong PIN" in caplog.text
    assert "135791" not in caplog.text
    assert PIN["floor"] not in caplog.text
