"""Every page at the desk, in a real browser: whole at any width, open to keyboard and reader, quiet in its log.

The rules are those of WCAG 2.2 as axe-core (bundled with axe-playwright-python) reads them; "serious" and "critical"
are its own words for weight. Reflow at 320–400 px without scrolling sideways is WCAG 2.2, 1.4.10.
"""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from tests.web.mouldfiles import as_stl, tray

from pageserver import DEMO, Served

WIDTHS = (1440, 1024, 768, 390, 360)
STAGES = ("mould", "plies", "laminate", "cut", "cure", "join", "finish", "time", "money")
JOB = "footrest-plate"
MESH_JOB = "tray"
MESH_STAGES = ("mould", "plies", "laminate", "join")
"""Those that look otherwise when there is a surface."""
MESH_TEXT = """name = "Tray"
quantity = 1
note = "made for a test"
part = "part"
nest_time = "1 s"

[mould]
mesh = "tray.stl"
unit = "mm"
laminate_side = [0, 0, 1]
material = "glass-epoxy"
thickness = "6 mm"
size = "12 mm"

[laying]
start = "0 0 -30 mm"
direction = [1, 0, 0]

[regions.part]
beside = { point = "0 0 -12 mm", normal = [0, 0, -1] }

[[holes]]
name = "drain"
at = "30 0 -30 mm"
diameter = "8 mm"

[[plies]]
material = "twill-200"
angle = "45°"
region = "part"

[[brackets]]
name = "block"
at = "-40 0 -30 mm"
size = "40 25 mm"
material = "aluminium"
thickness = "4 mm"
adhesive = "epoxy-toughened"
load = "300 N"

[cure]
service = "60 °C"
segments = [{ to = "80 °C", rate = "1 °C/min", hold = "8 h" }]
"""
ADDRESSES = (
    "/", "/new", "/freezer", "/moulds", "/materials", "/workshop", *(f"/job/{JOB}/{stage}" for stage in STAGES),
    *(f"/job/{MESH_JOB}/{stage}" for stage in MESH_STAGES),
)  # fmt: skip
WHOLE = "ol.thread li.stop.done ~ li.stop.done ~ li.stop.done ~ li.stop.done ~ li.stop.done ~ li.stop.done"
"""There on a job's page as soon as all of it has been planned."""
SHOTS = os.environ.get("BAGSIDE_SHOTS", "")
"""Folder for screenshots; none are kept when empty."""


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("every") / "shop"
    shutil.copytree(
        DEMO, folder, ignore=shutil.ignore_patterns("out", ".bagside-cache", "layout.json", "*brace", "*lid")
    )
    made = folder / "jobs" / MESH_JOB
    made.mkdir()
    as_stl(tray(n=25), made / "tray.stl")
    (made / "job.toml").write_text(MESH_TEXT, encoding="utf-8")
    found = Served(folder)
    found.start()
    yield found
    found.stop()


@pytest.fixture(scope="module")
def planned(served: Served, browser: Any) -> Served:
    """Both jobs have been planned once, so that every page has something to show."""
    context = browser.new_context()
    pages = [context.new_page() for _ in (JOB, MESH_JOB)]
    for page, job in zip(pages, (JOB, MESH_JOB), strict=True):
        page.goto(f"{served.url}/job/{job}/time")
    for page in pages:
        page.wait_for_selector(WHOLE, timeout=300_000)
    context.close()
    return served


@pytest.mark.parametrize("address", ADDRESSES)
def test_a_page_is_whole(planned: Served, browser: Any, address: str) -> None:
    from axe_playwright_python.sync_playwright import Axe

    context = browser.new_context(viewport={"width": 1440, "height": 900}, locale="en-GB")
    page = context.new_page()
    log: list[str] = []
    page.on("console", lambda message: log.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: log.append(str(error)))
    answer = page.goto(planned.url + address)
    assert answer.status == 200
    page.wait_for_selector("main h1")
    if MESH_JOB in address:
        page.wait_for_selector(".bg-mesh")
        page.wait_for_function(_SURFACE, timeout=60_000)
    _settled(page)
    assert page.evaluate("document.documentElement.lang").startswith("en")
    faults = [v for v in Axe().run(page).response["violations"] if v["impact"] in ("serious", "critical")]
    told = [{"id": v["id"], "where": [n["html"][:160] for n in v["nodes"][:4]]} for v in faults]
    assert not faults, json.dumps(told, indent=1)
    wide: list[str] = []
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 900})
        fits = _fits(page)
        if SHOTS:
            name = address.strip("/").replace("/", "-") or "board"
            page.screenshot(path=str(Path(SHOTS) / f"{name}-{width}.png"), full_page=True)
        if not fits:
            over = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
            wide.append(f"{width} px: {over} px too wide: {page.evaluate(_WIDEST)}")
    told_in_log = list(log)  # before the page goes, and cuts off what it fetches
    context.close()
    assert not wide, "\n".join(wide)
    assert not told_in_log, told_in_log


_SURFACE = """() => performance.getEntriesByType('resource').some(r => r.name.includes('/blob/') && r.responseEnd)"""
"""The surface has come over the wire."""
_WIDEST = """() => { let out = ''; let most = window.innerWidth;
for (const e of document.querySelectorAll('main *')) { const r = e.getBoundingClientRect();
  if (r.right > most + 1) { most = r.right; out = e.outerHTML.slice(0, 120); } } return out; }"""


def _fits(page: Any) -> bool:
    """Return whether the page is as narrow as its window, once notes on a picture have found their new places."""
    for _ in range(50):
        if page.evaluate("document.documentElement.scrollWidth <= window.innerWidth + 1"):
            return True
        page.wait_for_timeout(100)
    return False


def _settled(page: Any) -> None:
    """Wait until nothing is being worked out and the page no longer changes."""
    for _ in range(100):
        before = page.evaluate("document.querySelector('main').innerHTML.length")
        page.wait_for_timeout(300)
        if page.evaluate("document.querySelector('main').innerHTML.length") == before:
            return


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_text_stands_out_from_its_paper_in_every_theme(planned: Served, browser: Any, theme: str) -> None:
    """Contrast of at least 4.5 : 1 (WCAG 2.2, 1.4.3), as axe-core measures it."""
    from axe_playwright_python.sync_playwright import Axe

    context = browser.new_context(viewport={"width": 1440, "height": 900}, color_scheme=theme)
    page = context.new_page()
    for address in ("/", f"/job/{JOB}/cut", f"/job/{JOB}/cure"):
        page.goto(planned.url + address)
        page.wait_for_selector("main h1")
        _settled(page)
        found = Axe().run(page, options={"runOnly": ["color-contrast"]}).response["violations"]
        assert not found, [n["html"][:200] for v in found for n in v["nodes"][:5]]
    context.close()


def test_the_whole_work_by_keyboard_alone(planned: Served, page: Any) -> None:
    """From the board to a stage and on along the thread: every stop is reached by Tab, shown, and opened by Enter."""
    page.goto(f"{planned.url}/job/{JOB}/mould")
    page.wait_for_selector("main h1")
    _settled(page)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.getAttribute('href')") == "#content"
    reached = set()
    for _ in range(40):
        page.keyboard.press("Tab")
        where = page.evaluate("document.activeElement.getAttribute('href') || ''")
        reached.add(where)
        if where.endswith("/cut"):
            shown = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
            assert shown != "none"
            page.keyboard.press("Enter")
            break
    page.wait_for_url("**/cut")
    assert {f"/job/{JOB}/{stage}" for stage in STAGES[:4]} <= reached


def test_an_address_that_leads_to_nothing_says_so(planned: Served, page: Any) -> None:
    page.goto(f"{planned.url}/job/nowhere/cut")
    page.wait_for_selector("main h1")
    assert "There is no such job here." in page.inner_text("main")


def test_a_language_and_units_are_chosen_once(planned: Served, page: Any) -> None:
    page.goto(f"{planned.url}/prefer?language=de&lengths=inch&to=/job/{JOB}/time")
    page.wait_for_selector("main h1")
    assert page.evaluate("document.documentElement.lang") == "de"
    assert "Zuschnitt" in page.inner_text("main")
    page.goto(f"{planned.url}/prefer?to=//evil.example/")
    assert page.url.startswith(planned.url)


def test_two_windows_on_one_job_see_the_same(planned: Served, browser: Any, page: Any) -> None:
    """What one window takes back, the other one shows, and neither is asked to reload."""
    context = browser.new_context(viewport={"width": 1440, "height": 900})
    other = context.new_page()
    for window in (page, other):
        window.goto(f"{planned.url}/job/{JOB}/time")
        window.wait_for_selector(WHOLE, timeout=60_000)
    job = planned.folder / "jobs" / JOB / "job.toml"
    text = job.read_text(encoding="utf-8")
    try:
        job.write_text(text.replace("quantity = 6", "quantity = 5"), encoding="utf-8")
        for window in (page, other):
            window.wait_for_function("document.querySelector('main').innerText.includes('5 off')", timeout=60_000)
        page.get_by_role("button", name="undo: changed outside").click()
        for window in (page, other):
            window.wait_for_function("document.querySelector('main').innerText.includes('6 off')", timeout=60_000)
        assert "quantity = 6" in job.read_text(encoding="utf-8")
    finally:
        job.write_text(text, encoding="utf-8")
        context.close()


def test_a_page_lives_through_a_lost_connection(planned: Served, browser: Any) -> None:
    """The socket is cut for some seconds; what happened meanwhile is shown when it is back, on the same page."""
    context = browser.new_context(viewport={"width": 1440, "height": 900})
    page = context.new_page()
    page.goto(f"{planned.url}/job/{JOB}/time")
    page.wait_for_selector(WHOLE, timeout=60_000)
    page.evaluate("window.same = 1")
    context.set_offline(True)
    page.evaluate("window.socket && window.socket.disconnect && window.socket.disconnect()")
    job = planned.folder / "jobs" / JOB / "job.toml"
    text = job.read_text(encoding="utf-8")
    try:
        job.write_text(text.replace("quantity = 6", "quantity = 4"), encoding="utf-8")
        page.wait_for_timeout(8000)
        context.set_offline(False)
        page.evaluate("window.socket && window.socket.connect && window.socket.connect()")
        page.wait_for_function("document.querySelector('main').innerText.includes('4 off')", timeout=60_000)
    finally:
        job.write_text(text, encoding="utf-8")
        context.close()


def test_the_book_is_the_file_of_the_command_line(planned: Served, page: Any) -> None:
    """The same code writes it: the plan on disk says what it was made from, and the pages hand over those bytes."""
    with page.expect_download(timeout=60_000) as download:
        page.goto(f"{planned.url}/job/{JOB}/time")
        page.evaluate(
            f"""() => {{ const a = document.createElement('a'); a.href = '/job/{JOB}/file/book.pdf';
            a.download = 'book.pdf'; document.body.append(a); a.click(); }}"""
        )
    got = Path(download.value.path()).read_bytes()
    assert got.startswith(b"%PDF")
    assert got == (planned.folder / "jobs" / JOB / "out" / "book.pdf").read_bytes()
    answer = page.request.get(f"{planned.url}/job/{JOB}/file/../../../workshop.toml")
    assert answer.status in (404, 409)


