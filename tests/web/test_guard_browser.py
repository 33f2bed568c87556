"""What only a real browser shows: that it keeps what it is told, and that another site's page gets nothing."""

from __future__ import annotations

import contextlib
import os
import re
import socket
import subprocess
import sys
import threading
import time
import urllib.request
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest
from tests.web.guardstand import PIN

ROOT = Path(__file__).parents[2]


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextlib.contextmanager
def pages(folder: Path, how: str) -> Iterator[int]:
    port = free_port()
    environment = os.environ | {"PYTHONPATH": os.pathsep.join([str(ROOT), str(ROOT / "src")])}
    log = (folder / "log").open("wb")
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.web.guardpages", str(folder), str(port), how],
        env=environment,
        stdout=log,
        stderr=log,
    )
    try:
        for _ in range(300):
            if process.poll() is not None:
                raise RuntimeError((folder / "log").read_text())
            try:
                urllib.request.urlopen(f"http://127.0.0.1:{port}/join/sheet.css", timeout=2).read()
                break
            except OSError:
                time.sleep(0.1)
        yield port
    finally:
        process.kill()
        process.wait()
        log.close()


@pytest.fixture(scope="module")
def alone(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[int, Path]]:
    folder = tmp_path_factory.mktemp("alone")
    with pages(folder, "alone") as port:
        yield port, folder


@pytest.fixture(scope="module")
def lan(tmp_path_factory: pytest.TempPathFactory) -> Iterator[int]:
    with pages(tmp_path_factory.mktemp("lan"), "lan") as port:
        yield port


@pytest.fixture(scope="module")
def elsewhere() -> Iterator[Any]:
    """Another site: pages that a test writes, under a name that is another site to the browser."""

    class Site(BaseHTTPRequestHandler):
        body = ""

        def do_GET(self) -> None:
            self.send_response(200)
            self.send_header("content-type", "text/html")
            self.end_headers()
            self.wfile.write(type(self).body.encode())

        def log_message(self, *_: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Site)
    threading.Thread(target=server.serve_forever, daemon=True).start()

    def written(body: str) -> str:
        Site.body = body
        return f"http://localhost:{server.server_port}/"

    yield written
    server.shutdown()
    server.server_close()


def listened(page: Any) -> list[str]:
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text) if message.type in ("error", "warning") else None)
    return said


def test_a_page_put_together_in_the_browser_works_under_the_policy(page: Any, alone: tuple[int, Path]) -> None:
    """Every kind of thing the desk's pages use runs; what came in with a text does not."""
    said = listened(page)
    page.goto(f"http://127.0.0.1:{alone[0]}/")
    page.get_by_text("more").click()
    page.wait_for_function("document.querySelector('.count').textContent === '1'")
    page.get_by_role("button", name="script").click()
    page.wait_for_function("window.ran === 1")
    page.wait_for_selector("canvas")
    page.set_input_files("input[type=file]", {"name": "a.txt", "mimeType": "text/plain", "buffer": b"hello"})
    page.wait_for_function("document.querySelector('.count').textContent === 'got a.txt'")
    assert page.evaluate("getComputedStyle([...document.querySelectorAll('p')].at(-1)).fontWeight") == "700"
    assert page.evaluate("[window.ours, window.hurt]") == [1, None]
    refused = [text for text in said if "Content Security Policy" in text]
    # Two, both put there to be refused: the script without a number, and the one within an element.
    assert len(refused) == 2, refused
    assert sum("inline script" in text for text in refused) == 1
    assert sum("inline event handler" in text for text in refused) == 1
    other = [
        t
        for t in said
        if t not in refused and "404" not in t and "WebGL" not in t and "GPU" not in t and "GL Driver" not in t
    ]
    assert not other, other


def test_a_plain_page_runs_no_script_that_is_written_into_it(page: Any, alone: tuple[int, Path]) -> None:
    page.goto(f"http://127.0.0.1:{alone[0]}/floor")
    page.get_by_text("b", exact=True).click()
    assert page.evaluate("window.hurt") is None
    # Without the door's policy it would: the same text in a page without one.
    page.set_content("<script>window.hurt = 1</script>")


def test_a_drawing_opened_by_itself_runs_nothing(page: Any, alone: tuple[int, Path]) -> None:
    page.goto(f"http://127.0.0.1:{alone[0]}/drawn.svg")
    assert page.evaluate("document.documentElement.nodeName") == "svg"
    assert page.evaluate("document.documentElement.id") == ""


def test_a_page_that_is_not_there_or_falls_is_told_in_our_words(page: Any, alone: tuple[int, Path]) -> None:
    """The library's own page for a fault says what happened inside, and shows its own face."""
    answer = page.goto(f"http://127.0.0.1:{alone[0]}/nothing")
    assert (answer.status, page.inner_text("h1")) == (404, "There is no such page.")
    answer = page.goto(f"http://127.0.0.1:{alone[0]}/faulty")
    assert answer.status == 500
    told = page.inner_text("main")
    number = re.search(r"fault ([0-9a-f]{8})", told)
    assert number is not None
    assert "what happened inside" not in page.content()
    log = (alone[1] / "log").read_text()
    assert f"fault {number[1]} at /faulty" in log
    assert "what happened inside" in log
    page.get_by_role("link").click()
    page.wait_for_selector(".count")


def test_another_site_s_page_reads_nothing_and_changes_nothing(
    browser: Any, alone: tuple[int, Path], elsewhere: Any
) -> None:
    """What a hostile page can try while the person's browser is on the same machine as the pages."""
    port, folder = alone
    ours = f"http://127.0.0.1:{port}"
    address = elsewhere(
        f"""<body><iframe src="{ours}/floor"></iframe><img src="{ours}/floor" onerror="window.img='refused'">
        <form method=post action="{ours}/floor/events"><button>go</button></form>
        <script>
        window.found = {{}};
        const note = (name) => (value) => {{ window.found[name] = value; }};
        fetch("{ours}/floor").then((r) => r.text()).then(note("read"), () => note("read")("refused"));
        fetch("{ours}/floor/events", {{method: "POST", mode: "no-cors", body: "x"}})
          .then((r) => note("post")(r.type), () => note("post")("refused"));
        const s = document.createElement("script"); s.src = "{ours}/join/sheet.css";
        s.onerror = () => note("script")("refused");
        document.body.append(s);
        const w = new WebSocket("{ours.replace("http", "ws")}/_nicegui_ws/socket.io/?EIO=4&transport=websocket");
        w.onopen = () => note("socket")("open"); w.onerror = () => note("socket")("refused");
        const other = window.open("{ours}/floor"); setTimeout(() => {{
          try {{ note("window")(other.document.title); }} catch {{ note("window")("refused"); }} }}, 800);
        </script>"""
    )
    context = browser.new_context()
    page = context.new_page()
    page.goto(address)
    page.wait_for_function("Object.keys(window.found).length === 5 && window.img")
    found = page.evaluate("({...window.found, img: window.img})")
    assert found.pop("post") in ("refused", "opaque")
    assert found == dict.fromkeys(("read", "script", "socket", "window", "img"), "refused")
    frame = next(f for f in page.frames if f != page.main_frame)
    assert "floor" not in (frame.content() if "chrome-error" not in frame.url else "")
    page.get_by_text("go").click()
    page.wait_for_load_state()
    assert "This was asked for by a page that is not ours." in page.content()
    assert not (folder / "changed").exists()
    context.close()


def joined(page: Any, port: int, role: str) -> None:
    page.goto(f"http://127.0.0.1:{port}/join")
    page.get_by_role("textbox", name="PIN").fill(PIN[role])
    page.get_by_role("button", name="Join").click()
    page.wait_for_selector("#here" if role == "floor" else ".count")


def test_joining_by_keyboard_leads_to_the_floor_and_scripts_do_not_see_the_cookie(page: Any, lan: int) -> None:
    page.goto(f"http://127.0.0.1:{lan}/floor")
    page.wait_for_url(re.compile(r"/join\?to=/floor$"))
    page.wait_for_selector("#pin:focus")
    page.keyboard.type("4812 03")
    page.keyboard.press("Enter")
    page.wait_for_selector("#here")
    assert page.url == f"http://127.0.0.1:{lan}/floor"
    assert page.evaluate("document.cookie") == ""
    (cookie,) = [c for c in page.context.cookies() if c["name"] == f"bagside-{lan}"]
    assert (cookie["httpOnly"], cookie["sameSite"], cookie["path"]) == (True, "Strict", "/")


def test_a_link_on_another_site_still_finds_a_device_that_joined(page: Any, lan: int, elsewhere: Any) -> None:
    """A strict cookie is kept back when a link elsewhere is followed, as from a message with the code of a label."""
    joined(page, lan, "floor")
    page.goto(elsewhere(f'<a href="http://127.0.0.1:{lan}/p/K7">piece</a>'))
    page.get_by_text("piece").click()
    page.wait_for_selector("#here")
    assert page.url == f"http://127.0.0.1:{lan}/p/K7"
    assert page.inner_text("#here") == "K7"


def test_sending_a_device_out_closes_its_page(browser: Any, lan: int) -> None:
    context = browser.new_context()
    desk = context.new_page()
    joined(desk, lan, "desk")
    desk.get_by_text("more").click()
    desk.wait_for_function("document.querySelector('.count').textContent === '1'")
    other = context.new_page()
    other.goto(f"http://127.0.0.1:{lan}/")
    other.wait_for_selector(".count")
    desk.goto(f"http://127.0.0.1:{lan}/join-code")
    assert desk.locator(".code svg").count() == 1
    desk.get_by_role("button", name="Send every device out").click()
    desk.wait_for_url("**/join")
    desk.goto(f"http://127.0.0.1:{lan}/")
    desk.wait_for_url(re.compile(r"/join\?to=/$"))
    other.get_by_text("more").click()  # its connection is gone: nothing happens any more
    other.wait_for_timeout(500)
    assert other.inner_text(".count") == "0"
    context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1440, 768, 390, 360])
def test_the_sheets_hold_at_every_width(browser: Any, lan: int, width: int, scheme: str) -> None:
    """No sideways scrolling, targets of 60 px for gloves, and words that contrast (WCAG 2.2, 1.4.3: 4.5 to 1)."""
    context = browser.new_context(viewport={"width": width, "height": 844}, color_scheme=scheme, locale="de-DE")
    page = context.new_page()
    page.goto(f"http://127.0.0.1:{lan}/join")
    page.get_by_role("textbox", name="PIN").fill(" ")  # no try, so no count of tries is used up
    page.get_by_role("button").click()
    page.wait_for_selector(".wrong")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    for target in ("#pin", "button.go"):
        box = page.locator(target).bounding_box()
        assert box["height"] >= 60
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= width
    for selector in ("h1", ".second", "button.go", ".wrong"):
        inks = page.evaluate(
            """(s) => { const at = document.querySelector(s); let under = at;
            while (getComputedStyle(under).backgroundColor === 'rgba(0, 0, 0, 0)') under = under.parentElement;
            return [getComputedStyle(at).color, getComputedStyle(under).backgroundColor]; }""",
            selector,
        )
        assert contrast(*inks) >= 4.5, (selector, inks)
    where = os.environ.get("BAGSIDE_SHOTS")
    if where:
        page.screenshot(path=f"{where}/join-wrong-{width}-{scheme}.png", full_page=True)
    context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_sheets_are_open_to_keyboard_and_reader(browser: Any, lan: int, scheme: str) -> None:
    """By the rules of WCAG 2.2 as axe-core reads them: no fault of any weight."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    context = browser.new_context(viewport={"width": 390, "height": 844}, color_scheme=scheme)
    page = context.new_page()

    def faults() -> list[str]:
        return [f"{page.url}: {v['id']}: {v['nodes'][0]['html'][:120]}" for v in axe.run(page).response["violations"]]

    found: list[str] = []
    page.goto(f"http://127.0.0.1:{lan}/join")
    found += faults()
    page.get_by_role("textbox", name="PIN").fill(" ")
    page.get_by_role("button", name="Join").click()
    page.wait_for_selector(".wrong")
    found += faults()
    joined(page, lan, "desk")
    for path in ("/join", "/join-code", "/leave"):
        page.goto(f"http://127.0.0.1:{lan}{path}")
        found += faults()
    page.get_by_role("button", name="Leave").focus()
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile(r"/join$"))
    joined(page, lan, "floor")
    page.goto(f"http://127.0.0.1:{lan}/join-code")
    assert page.get_by_role("heading", level=1).inner_text() == "This is for the desk."
    found += faults()
    context.close()
    assert not found, found


def contrast(ink: str, paper: str) -> float:
    """Return the contrast of two colours (WCAG 2.2, relative luminance)."""

    def light(colour: str) -> float:
        parts = [int(n) / 255 for n in re.findall(r"\d+", colour)[:3]]
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
        return sum(w * c for w, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))

    high, low = sorted((light(ink), light(paper)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_the_measure_of_contrast_is_right() -> None:
    """Black on white is 21 to 1, and #767676 on white 4.54 (WCAG's own examples; from memory)."""
    assert contrast("rgb(0, 0, 0)", "rgb(255, 255, 255)") == pytest.approx(21.0)
    assert contrast("rgb(118, 118, 118)", "rgb(255, 255, 255)") == pytest.approx(4.54, abs=0.005)
