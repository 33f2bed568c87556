"""Where the pages listen, and what a second start does."""

from __future__ import annotations

import socket
import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

import pytest

from bagside.errors import InputError
from bagside.web import serve


class Other(BaseHTTPRequestHandler):
    """Answers every address with the bytes it was given."""

    body = b""

    def do_GET(self) -> None:
        self.send_response(200)
        self.end_headers()
        self.wfile.write(type(self).body)

    def log_message(self, format: str, *args: object) -> None:
        return


@pytest.fixture
def other() -> Iterator[int]:
    server = HTTPServer(("127.0.0.1", 0), Other)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield server.server_port
    server.shutdown()
    server.server_close()


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    found: list[str] = []
    monkeypatch.setattr(serve.webbrowser, "open", found.append)
    return found


def test_a_second_start_that_shall_open_the_browser_opens_the_pages_there_are(
    tmp_path: Path, other: int, opened: list[str]
) -> None:
    Other.body = (Path(serve.__file__).parent / "looks" / "mark.svg").read_bytes()
    assert serve.serve_pages(tmp_path, other, open_browser=True) == 0
    assert opened == [f"http://127.0.0.1:{other}/"]


def test_a_port_that_somebody_else_holds_is_told(tmp_path: Path, other: int, opened: list[str]) -> None:
    Other.body = b"something else"
    with pytest.raises(InputError, match="nothing can listen there"):
        serve.serve_pages(tmp_path, other, open_browser=True)
    assert opened == []


def test_a_port_where_nobody_answers_is_told(tmp_path: Path, opened: list[str]) -> None:
    with socket.socket() as held:
        held.bind(("127.0.0.1", 0))
        held.listen()
        with pytest.raises(InputError, match="--port 8761"):
            serve.serve_pages(tmp_path, held.getsockname()[1], open_browser=False)
    assert opened == []


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="there is no such folder"):
        serve.serve_pages(tmp_path / "nowhere", 0)
