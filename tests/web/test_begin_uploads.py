"""Files that pages wait for: taken by the one address they are waited for at, thrown away after, gone with the page."""

from __future__ import annotations

import asyncio
import contextlib
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import httpx
import pytest
from fastapi import FastAPI

from bagside.errors import InputError
from bagside.web.guard import DRAWINGS
from bagside.web.uploads import Wait, upload_routes, wait_for, wait_no_more

SVG = b'<svg xmlns="http://www.w3.org/2000/svg" width="1mm" height="1mm"/>'


class Taken:
    """Notes what it was given."""

    def __init__(self) -> None:
        self.files: list[tuple[Path, str, bytes]] = []

    def __call__(self, path: Path, name: str) -> None:
        self.files.append((path, name, path.read_bytes()))


class Client:
    """Sends to an app without a server."""

    def __init__(self) -> None:
        self.app = FastAPI()
        self.app.include_router(upload_routes())

    def post(self, address: str, content: bytes, headers: dict[str, str]) -> httpx.Response:
        async def sent() -> httpx.Response:
            transport = httpx.ASGITransport(app=self.app)
            async with httpx.AsyncClient(transport=transport, base_url="http://here") as client:
                return await client.post(address, content=content, headers=headers)

        with ThreadPoolExecutor(1) as aside:  # a browser's test in this process may have left a loop in this thread
            return aside.submit(asyncio.run, sent()).result()


@pytest.fixture
def client() -> Client:
    return Client()


def wait(took: Any, most: int = 1000) -> str:
    return wait_for(Wait(kinds=DRAWINGS, most=most, took=took, client=contextlib.nullcontext()))


def test_a_file_reaches_its_page_and_is_thrown_away(client: Client) -> None:
    taken = Taken()
    answer = client.post(wait(taken), content=SVG, headers={"x-name": "Stra%C3%9Fe.svg"})
    assert answer.json() == {"says": ""}
    path, name, content = taken.files[0]
    assert (name, content) == ("Straße.svg", SVG)
    assert not path.exists()


def test_what_the_page_refuses_is_told_and_thrown_away(client: Client) -> None:
    seen: list[Path] = []

    async def refuses(path: Path, name: str) -> None:
        seen.append(path)
        raise InputError.one(name, "", "two outlines are drawn here", "name the layer")

    answer = client.post(wait(refuses), content=SVG, headers={"x-name": "a.svg"})
    assert answer.status_code == 422
    assert answer.json() == {"says": "a.svg: two outlines are drawn here; name the layer."}
    assert not seen[0].exists()


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("a.exe", b"MZ", "a file of one of these kinds is wanted: DXF, SVG"),
        ("a.svg", b"%PDF-1.7", "a.svg: its content is PDF; its name says SVG; export it again."),
        ("a.svg", b"<svg>" + b" " * 2000, "up to 0 MB are taken here"),
        ("../../a.svg", SVG, ""),
    ],
)
def test_only_what_is_waited_for_is_taken(client: Client, name: str, content: bytes, says: str) -> None:
    taken = Taken()
    answer = client.post(wait(taken), content=content, headers={"x-name": name})
    assert says in answer.json()["says"]
    assert len(taken.files) == (0 if says else 1)
    assert all(".." not in str(path) for path, _, _ in taken.files)


def test_an_address_that_nobody_waits_at_takes_nothing(client: Client) -> None:
    taken = Taken()
    address = wait(taken)
    wait_no_more(address)
    wait_no_more(address)
    answer = client.post(address, content=SVG, headers={"x-name": "a.svg"})
    assert answer.status_code == 404
    assert answer.json() == {"says": "This page no longer waits for a file. Load it again."}
    assert taken.files == []


@pytest.mark.parametrize(
    ("sent", "said"),
    [("..%2F..%2Fetc%2Fpasswd.svg", "passwd.svg"), ("C%3A%5Cfakepath%5Clid.svg", "lid.svg"), ("..svg", "file")],
)
def test_a_page_is_given_a_name_that_leads_nowhere(client: Client, sent: str, said: str) -> None:
    taken = Taken()
    answer = client.post(wait(taken), content=SVG, headers={"x-name": sent})
    if said == "file":  # nothing is left that says what kind it is
        assert answer.status_code == 422
        assert taken.files == []
    else:
        assert answer.json() == {"says": ""}, answer.text
        assert taken.files[0][1] == said
