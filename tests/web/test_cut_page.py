"""The page of cutting in a real browser: put a piece somewhere, see the rest nested round it, take it off the stock."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from bagside.records.layout_file import read_layouts
from bagside.spec.reading import load_toml, stated_from
from bagside.spec.stock import Stock
from pageserver import Served

JOB = "footrest-plate"


@pytest.fixture
def quick(shop: Path) -> Path:
    """The workshop with a job that is nested in a moment."""
    file = shop / "jobs" / JOB / "job.toml"
    text = file.read_text(encoding="utf-8")
    text = re.sub(r'nest_time = "[^"]*"', 'nest_time = "1 s"', text)
    file.write_text(text if "nest_time" in text else 'nest_time = "1 s"\n' + text, encoding="utf-8")
    return shop


def opened(page: Any, served: Served) -> None:
    page.goto(f"{served.url}/job/{JOB}/cut")
    page.wait_for_selector(".copy", timeout=90_000)
    page.wait_for_function("!document.body.innerText.includes('working out')", timeout=90_000)  # nothing is drawn anew


def where(copy: Any) -> tuple[float, float]:
    return float(copy.get_attribute("data-x")), float(copy.get_attribute("data-y"))


def settled(page: Any) -> None:
    page.wait_for_selector("button:has-text('nest again')", timeout=60_000)


def test_a_piece_is_put_somewhere_and_goes_to_stock(
    quick: Path, serve: Callable[[Path], Served], page: Any
) -> None:
    served = serve(quick)
    opened(page, served)
    copy = page.locator(".copy").first
    copy.scroll_into_view_if_needed()
    name = {k: copy.get_attribute(f"data-{k}") for k in ("piece", "kit")}
    mine = f'.copy[data-piece="{name["piece"]}"][data-kit="{name["kit"]}"]'

    # Dragged: it stays where it was let go of, and says so.
    before, scale = where(copy), float(page.locator(".bg-nest svg").first.get_attribute("data-scale"))
    shown = page.locator(".bg-nest svg").first.bounding_box()["width"] / float(
        page.locator(".bg-nest svg").first.get_attribute("viewBox").split()[2]
    )
    box = copy.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    assert page.locator(".bg-nest-told").first.inner_text().startswith(f"{name['piece']}, ")
    page.mouse.down()
    page.mouse.move(x + 10, y - 5, steps=4)
    page.mouse.move(x + 24, y - 12, steps=4)
    page.mouse.up()
    page.wait_for_selector("button:has-text('stop here')")
    page.wait_for_selector(".copy.pinned", timeout=30_000)
    settled(page)
    after = where(page.locator(mine))
    assert after[0] - before[0] == pytest.approx(24 / shown / scale, abs=0.004)
    assert after[1] - before[1] == pytest.approx(12 / shown / scale, abs=0.004)
    (layout,) = (k for k in read_layouts(quick / "jobs" / JOB) if any(c.pinned for cl in k.cloths for c in cl.copies))
    stored = [c for cloth in layout.cloths for c in cloth.copies if c.pinned]
    assert [(c.piece, c.kit) for c in stored] == [(name["piece"], name["kit"])]
    assert page.locator(".cut-growth svg.drawing path").count() > 0

    # By keys: 10 mm along the warp, then the pin off again.
    page.locator(mine).focus()
    page.keyboard.press("Shift+ArrowRight")
    page.wait_for_selector("button:has-text('stop here')")
    settled(page)
    assert where(page.locator(mine))[0] - after[0] == pytest.approx(0.01, abs=1e-6)
    page.locator(mine).focus()
    page.keyboard.press("Enter")
    page.wait_for_selector(f"{mine}[data-pinned='0']")
    assert page.locator(".copy.pinned").count() == 0

    # Accepted: asked first what it does, then done once.
    page.get_by_role("button", name="Accept to stock").click()
    page.wait_for_selector("text=off the stock.", timeout=30_000)
    assert not (quick / "stock.toml").exists() or "taken" not in (quick / "stock.toml").read_text(encoding="utf-8")
    page.get_by_role("button", name="Take it off the stock").click()
    page.wait_for_selector("text=Taken off the stock.", timeout=30_000)
    stock = stated_from(load_toml(quick / "stock.toml"), Stock, "stock.toml")
    assert {t.job for t in stock.taken} | {u.job for u in stock.used} == {"Footrest plate"}
    page.wait_for_selector("text=taken off the stock.", timeout=30_000)
    assert page.locator(".bg-nest .act:visible:has-text('pin')").count() == 0


def test_at_every_width_and_two_windows_see_the_same_table(
    quick: Path, serve: Callable[[Path], Served], page: Any
) -> None:
    served = serve(quick)
    opened(page, served)
    for wide in (1440, 1024, 768, 390, 360):
        page.set_viewport_size({"width": wide, "height": 900})
        assert page.evaluate("document.documentElement.scrollWidth") <= wide
        # Nearer and back by the verbs that everybody finds.
        view = page.locator(".bg-nest svg").first
        whole = view.get_attribute("viewBox")
        page.get_by_role("button", name="closer").first.click()
        assert view.get_attribute("viewBox") != whole
        page.get_by_role("button", name="all of it").first.click()
        assert view.get_attribute("viewBox") == whole
    other = page.context.new_page()
    opened(other, served)
    copy = other.locator(".copy").first
    mine = f'.copy[data-piece="{copy.get_attribute("data-piece")}"][data-kit="{copy.get_attribute("data-kit")}"]'
    other.locator(mine).focus()
    other.keyboard.press("Enter")
    page.wait_for_selector(f"{mine}[data-pinned='1']", timeout=30_000)
    settled(page)
    page.reload()
    page.wait_for_selector(f"{mine}[data-pinned='1']", timeout=30_000)
    page.get_by_role("button", name="take all pins off").click()
    other.wait_for_selector(f"{mine}[data-pinned='0']", timeout=30_000)
    other.get_by_role("button", name=re.compile("^undo: all pins off")).click()
    page.wait_for_selector(f"{mine}[data-pinned='1']", timeout=30_000)
