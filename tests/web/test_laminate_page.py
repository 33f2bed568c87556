"""The page of the laminate in a real browser: a stack is tried, taken back, tried again and written."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

from pageserver import Served

SLOW = 120_000


def test_a_stack_is_tried_before_it_is_written(serve: Callable[[Path], Served], shop: Path, page: Any) -> None:
    job = shop / "jobs" / "footrest-plate" / "job.toml"
    before = job.read_text(encoding="utf-8")
    page.set_default_timeout(SLOW)
    page.goto(f"{serve(shop).url}/job/footrest-plate/laminate")
    page.wait_for_selector(".lam-bars li")
    thick = page.locator(".laminate .fig").inner_text()
    assert page.locator(".lam-bar .hollow").count() == 0

    page.get_by_role("button", name="leave out: ply 10").click()
    page.wait_for_selector("tr.lam-out")
    page.wait_for_function("t => document.querySelector('.laminate .fig').innerText !== t", arg=thick)
    assert page.locator(".lam-bar .hollow").count() == 3
    page.get_by_role("button", name="as it was").click()
    page.wait_for_function("t => document.querySelector('.laminate .fig').innerText === t", arg=thick)
    assert job.read_text(encoding="utf-8") == before  # a trial writes nothing

    angle = page.get_by_label("angle", exact=True)
    angle.fill("30")
    angle.press("Tab")
    page.get_by_role("button", name="try it on top").click()
    page.wait_for_selector("tr.hand >> text=30°")
    page.get_by_role("button", name="Write it into the job").click()
    page.wait_for_function("!document.querySelector('.laminate tr.hand')")
    plies = tomllib.loads(job.read_text(encoding="utf-8"))["plies"]
    assert plies[-1] == {"material": "twill-200", "angle": "30°", "region": "lay-up", "templates": ["face"]}
    page.wait_for_function("t => document.querySelector('.laminate .fig').innerText !== t", arg=thick)

    page.get_by_role("button", name="undo").first.click()
    page.wait_for_function("t => document.querySelector('.laminate .fig').innerText === t", arg=thick)
    assert job.read_text(encoding="utf-8") == before
