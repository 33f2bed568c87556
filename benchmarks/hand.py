"""A square of the cure's chart under the hand: from the move to the new curves on the screen.

The footrest plate has four places at the coldest and the hottest spot of the oven: eight sections. Each answer is
simulated in a child process, sent to the browser and painted there; the clock is the browser's. What the simulation
alone costs is measured beside it in processor time, for a busy machine makes everything else slower by as much.
"""

from __future__ import annotations

import shutil
import statistics
import tempfile
import threading
import time
from pathlib import Path
from typing import Any

from playwright.sync_api import sync_playwright
from tests.pageserver import DEMO, Served

from bagside.planning.stages import Stages
from bagside.records.with_stock import opened_job
from bagside.web.work.child import Teller
from bagside.web.work.cure_task import simulate_cycle

JOB = "footrest-plate"
MOVES = 60
TO_BEAT = "to beat: 300 ms at the median on a machine that does nothing else"
CHROMIUM = "/usr/bin/chromium"
FLAGS = ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--disable-background-networking",
         "--disable-component-update", "--disable-sync", "--no-first-run"]  # fmt: skip


def alone(folder: Path) -> None:
    """Print what one simulation costs by itself."""
    from bagside.planning.cure_case import case_of_job

    case = case_of_job(opened_job(folder / "jobs" / JOB / "job.toml", None), Stages())
    segments = tuple((s.target, s.ramp, s.hold) for s in case.programme.segments)
    tell = Teller(lambda _: None, threading.Event())
    spent = []
    for _ in range(20):
        begun = time.process_time()
        simulate_cycle(tell, case, "cure", segments)
        spent.append(time.process_time() - begun)
    print(f"the simulation alone, {2 * len(case.places)} sections: {1e3 * min(spent):.0f} ms of processor at best, "
          f"{1e3 * statistics.median(spent):.0f} ms at the median")  # fmt: skip


def dragged(served: Served) -> None:
    """Print how long the curves need to follow the hand."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=CHROMIUM if Path(CHROMIUM).exists() else None, args=FLAGS
        )
        page = browser.new_page(viewport={"width": 1440, "height": 900})
        page.goto(f"{served.url}/job/{JOB}/cure")
        page.locator(".cycle .grip").first.wait_for(timeout=120_000)
        page.wait_for_timeout(3000)
        box: Any = page.locator('[data-grip="1-rise"] .square').bounding_box()
        x, y = box["x"] + 7, box["y"] + 7
        page.mouse.move(x, y)
        page.mouse.down()
        told: list[float] = []
        last = ""
        for k in range(MOVES):
            page.mouse.move(x + 2 * k, y + (k % 7))
            for _ in range(200):
                now = page.locator(".cycle").get_attribute("data-answer") or ""
                if now != last:
                    break
                page.wait_for_timeout(10)
            last = page.locator(".cycle").get_attribute("data-answer") or ""
            if last:
                told.append(float(last))
        page.keyboard.press("Escape")
        page.mouse.up()
        browser.close()
    ranked = sorted(told)
    print(f"from the move to the new curves, {len(told)} moves: {statistics.median(ranked):.0f} ms at the median, "
          f"{ranked[int(0.95 * len(ranked))]:.0f} ms for 19 of 20")  # fmt: skip


def run() -> None:
    """Measure both."""
    with tempfile.TemporaryDirectory() as root:
        folder = Path(root) / "shop"
        shutil.copytree(
            DEMO, folder, ignore=shutil.ignore_patterns("out", ".bagside-cache", "layout.json", "*brace", "*lid")
        )
        alone(folder)
        served = Served(folder)
        served.start()
        try:
            dragged(served)
        finally:
            served.stop()
    print(TO_BEAT)


if __name__ == "__main__":
    run()
