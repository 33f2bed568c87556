"""Pages under load: how long a click waits with one page open and with twenty and a nest, and what 1 000 edits leave.

The limit is that of the house's plan: any click is answered within 0.3 s at the median. A click takes a ply in hand on
the page of plies; it is answered when the page shows it. All browsers' pages and the nest share this machine's cores.
"""

from __future__ import annotations

import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))
from pageserver import CHROMIUM, DEMO, FLAGS, Served

LIMIT = 0.3  # [s]
JOB = "footrest-plate"
OTHERS = (
    "", "freezer", "moulds", "materials", "workshop", *(f"job/{JOB}/{s}" for s in ("cut", "cure", "time", "money")),
)  # fmt: skip
CLICK = """([k]) => new Promise((done) => {
  const begin = performance.now();
  const button = document.querySelector(`.ply-no[data-no="${k}"]`);
  const seen = () => document.querySelector(`.ply-no[data-no="${k}"]`)?.getAttribute('aria-current') === 'true';
  const told = () => { if (seen()) { watch.disconnect(); done((performance.now() - begin) / 1e3); } };
  const watch = new MutationObserver(told);
  watch.observe(document.body, { subtree: true, childList: true, attributes: true });
  button.click();
  setTimeout(() => { watch.disconnect(); done(30.0); }, 30000);
})"""


def run(rounds: int = 12, edits: int = 1000) -> None:
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        shop = Path(folder) / "shop"
        shutil.copytree(DEMO, shop, ignore=shutil.ignore_patterns("out", ".bagside-cache", "*brace", "*lid"))
        served = Served(shop)
        served.start()
        browser = playwright.chromium.launch(executable_path=shutil.which(CHROMIUM) or None, args=FLAGS)
        try:
            _load(served, browser, rounds)
            _memory(served, browser, edits)
        finally:
            browser.close()
            served.stop()


def _opened(served: Served, browser: Any, address: str) -> Any:
    page = browser.new_page(viewport={"width": 1440, "height": 900})
    page.goto(f"{served.url}/{address}")
    page.wait_for_selector("main h1", timeout=60_000)
    return page


def _plies(served: Served, browser: Any) -> Any:
    page = _opened(served, browser, f"job/{JOB}/plies")
    page.wait_for_selector(".ply-no", timeout=90_000)
    return page


def _load(served: Served, browser: Any, rounds: int) -> None:
    first = _plies(served, browser)
    first.wait_for_timeout(8000)
    alone = _waits([first], 3 * rounds)
    plies = [first, *(_plies(served, browser) for _ in range(19 - len(OTHERS)))]
    others = [_opened(served, browser, address) for address in OTHERS]
    idle = _waits(plies, rounds)
    job = served.folder / "jobs" / JOB / "job.toml"
    job.write_text(
        job.read_text(encoding="utf-8").replace('nest_time = "4 s"', 'nest_time = "120 s"').replace(
            "quantity = 6", "quantity = 24"
        ),
        encoding="utf-8",
    )  # fmt: skip
    for _ in range(300):
        if "Nesting" in first.inner_text("header"):
            break
        first.wait_for_timeout(200)
    busy = _waits(plies, rounds)
    nests = "Nesting" in first.inner_text("header")
    print(f"   one page, nothing runs: median {_ms(alone)}")
    print(f"   {len(plies) + len(others)} pages, nothing runs: median {_ms(idle)} ({_ratio(idle, alone)})")
    print(f"   {len(plies) + len(others)} pages, a nest runs: median {_ms(busy)} ({_ratio(busy, alone)})"
          f"{'' if nests else ' – but the nest had ended before the clicks did'}")  # fmt: skip
    print(f"   against the limit of {LIMIT:.1f} s: {statistics.median(busy) / LIMIT:.2f} of it")
    for page in (*plies, *others):
        page.close()


def _waits(pages: list[Any], rounds: int) -> list[float]:
    out = []
    for k in range(rounds):
        for page in pages:
            out.append(page.evaluate(CLICK, [1 + k % 4]))
            page.wait_for_timeout(60)
    return out


def _memory(served: Served, browser: Any, edits: int) -> None:
    page = _opened(served, browser, f"job/{JOB}/time")
    job = served.folder / "jobs" / JOB / "job.toml"
    job.write_text(job.read_text(encoding="utf-8").replace("quantity = 24", "quantity = 5"), encoding="utf-8")
    page.wait_for_function("document.querySelector('main').innerText.includes('5 off')", timeout=300_000)
    sizes, begin = [], time.perf_counter()
    for k in range(edits):
        page.locator("nav.verbs button.act:not([disabled])").filter(has_text="redo" if k % 2 else "undo").click()
        if k % 2:
            page.wait_for_selector("nav.verbs button[aria-label^='undo:']")
        else:
            page.wait_for_selector("nav.verbs button[aria-label^='redo:']")
        if k + 1 in (100, edits // 2, edits):
            sizes.append((k + 1, _resident(served)))
    each = (time.perf_counter() - begin) / edits
    told = ", ".join(f"{size / 1e6:.0f} MB after {k}" for k, size in sizes)
    print(f"   the server's own memory: {told} edits, {each:.2f} s each; grown {sizes[-1][1] / sizes[0][1]:.2f} times")


def _resident(served: Served) -> int:
    if served.process is None:
        raise RuntimeError("the server is not running")
    text = Path(f"/proc/{served.process.pid}/status").read_text(encoding="utf-8")
    return 1024 * int(next(line for line in text.splitlines() if line.startswith("VmRSS")).split()[1])


def _ms(values: list[float]) -> str:
    ordered = sorted(values)
    return f"{1e3 * statistics.median(values):.0f} ms, 95 % within {1e3 * ordered[int(0.95 * len(ordered))]:.0f} ms"


def _ratio(values: list[float], peer: list[float]) -> str:
    return f"{statistics.median(values) / statistics.median(peer):.1f} times one page"
