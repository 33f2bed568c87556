"""What only a browser can show of the surface: seen soon, turned, read, picked, dragged, by hand and by keyboard."""

from __future__ import annotations

import math
import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

COUNT_DRAWS = """
window.draws = 0;
for (const name of ["drawArrays", "drawElements"]) {
  const draw = WebGL2RenderingContext.prototype[name];
  WebGL2RenderingContext.prototype[name] = function (...a) { window.draws++; return draw.apply(this, a); };
}
"""


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    stand = Path(__file__).with_name("scenestand.py")
    environment = {k: v for k, v in os.environ.items() if not k.startswith(("PYTEST", "NICEGUI"))}
    process = subprocess.Popen([sys.executable, str(stand), str(port)], env=environment)
    try:
        for _ in range(300):
            with socket.socket() as probe:
                if probe.connect_ex(("127.0.0.1", port)) == 0:
                    break
            assert process.poll() is None, "the stand has ended by itself"
            time.sleep(0.1)
        yield f"http://127.0.0.1:{port}"
    finally:
        process.kill()
        process.wait()


@pytest.fixture
def page(browser: Any) -> Iterator[Any]:
    context = browser.new_context(viewport={"width": 900, "height": 700}, has_touch=True)
    page = context.new_page()
    page.add_init_script(COUNT_DRAWS)
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    yield page
    context.close()
    assert faults == []


def told(page: Any, address: str, kind: str) -> list[Any]:
    return [item for item in page.request.get(f"{address}/told").json() if item[0] == kind]


def shown(page: Any, address: str, query: str = "", ready: int | None = None) -> float:
    """Open the page and return how long it took from asking for the surface to seeing it [s]."""
    before = len(told(page, address, "ready"))
    page.goto(f"{address}/{query}")
    for _ in range(200):
        now = told(page, address, "ready")
        if len(now) > before:
            page.wait_for_timeout(150)
            return float(now[-1][2])
        page.wait_for_timeout(50)
    raise AssertionError("the surface never came")


def reading(page: Any) -> list[str]:
    return page.locator("text.bg-read tspan").all_text_contents()


def test_fifty_thousand_triangles_are_seen_within_two_seconds(page: Any, address: str) -> None:
    took = shown(page, address, "?n=160")
    assert told(page, address, "ready")[-1][1] == 2 * 159**2 == 50_562
    assert took < 2.0


def test_pointing_reads_value_and_place(page: Any, address: str) -> None:
    shown(page, address)
    page.mouse.move(430, 200)
    page.wait_for_function("document.querySelectorAll('text.bg-read tspan').length === 2")
    value, place = reading(page)
    x = float(place.split("x ")[1].split(",")[0].replace("\u2212", "-"))
    assert float(value.rstrip("°")) == pytest.approx(100 * x / 1000 + 20, abs=0.1)
    assert place.endswith(" mm")


def test_a_click_gives_the_point_on_the_surface(page: Any, address: str) -> None:
    shown(page, address)
    count = len(told(page, address, "pick"))
    page.mouse.click(300, 250)
    page.wait_for_timeout(300)
    picks = told(page, address, "pick")
    assert len(picks) == count + 1
    x, y, z = picks[-1][1]["at"]
    # the surface is flat between points 10 mm apart: it leaves the wave by at most an eighth of curvature times step²
    assert z == pytest.approx(0.02 * math.cos(20 * x) * math.cos(25 * y), abs=0.02 * (20**2 + 25**2) * 0.01**2 / 8)
    assert sum(picks[-1][1]["weights"]) == pytest.approx(1)


def test_turning_picks_nothing_and_nothing_is_drawn_when_nothing_changes(page: Any, address: str) -> None:
    shown(page, address)
    count = len(told(page, address, "pick"))
    page.mouse.move(400, 300)
    page.mouse.down()
    page.mouse.move(460, 320, steps=4)
    page.mouse.up()
    page.wait_for_timeout(500)
    assert len(told(page, address, "pick")) == count
    before = page.evaluate("window.draws")
    assert before > 0
    page.mouse.move(405, 300)
    page.wait_for_timeout(600)
    assert page.evaluate("window.draws") == before, "pointing reads a value, it draws no frame"


def test_a_map_is_changed_without_asking_the_server_for_the_surface_again(page: Any, address: str) -> None:
    shown(page, address)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.locator("#steps").click()
    page.wait_for_function("document.querySelector('.bg-scale').textContent.includes('Steps')")
    assert not [url for url in asked if "/mesh/" in url]
    page.mouse.move(430, 120)
    page.wait_for_timeout(300)
    assert reading(page)[0] == "38°"


def test_values_stand_on_the_map_and_are_said_to_who_does_not_see_it(page: Any, address: str) -> None:
    shown(page, address)
    figures = page.locator("text.bg-iso")
    figures.first.wait_for(state="attached", timeout=20_000)
    assert set(figures.all_text_contents()) == {f"{k}°" for k in range(5, 40, 5)}
    boxes = [one.bounding_box() for one in figures.all()]
    for i, a in enumerate(boxes):
        for b in boxes[:i]:
            # a turned text's box is larger than its letters: middles that far apart do not meet
            apart = [abs(a[k] - b[k] + 0.5 * (a[s] - b[s])) for k, s in (("x", "width"), ("y", "height"))]
            assert max(apart) > 10
    # the map is 100 x + 20 over -0.2 … 0.2 m, so that 0.05 of 0.4 m lie past 35; it is read out with the picture's name
    described = page.get_by_role("application", name="Waves").get_attribute("aria-describedby").split()[0]
    said = page.locator(f"#{described}").text_content()
    assert "5, 10, 15, 20, 25, 30, 35" in said
    assert "limit of 35: 12.5 %" in said
    page.locator("#steps").click()
    written = "[...document.querySelectorAll('text.bg-iso')].map((t) => t.textContent).sort().join()"
    page.wait_for_function(f"{written} === '2°,38°'", timeout=20_000)


def test_nothing_is_written_on_the_map_while_it_is_turned(page: Any, address: str) -> None:
    shown(page, address)
    page.locator("text.bg-iso").first.wait_for(state="attached", timeout=20_000)
    page.mouse.move(400, 300)
    page.mouse.down()
    page.mouse.move(470, 330, steps=4)
    page.wait_for_function("document.querySelector('.bg-written').style.display === 'none'")
    page.mouse.up()
    page.wait_for_function("document.querySelector('.bg-written').style.display === ''")
    assert page.locator("text.bg-iso").count() > 5


def test_on_paper_the_picture_keeps_its_shape_and_stands_on_white(page: Any, address: str) -> None:
    page.emulate_media(color_scheme="dark")
    shown(page, address, "?notes=3")
    page.locator(".bg-leader").first.wait_for(state="attached", timeout=20_000)
    box = page.locator(".bg-stage").bounding_box()
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    sheet = page.locator("svg.bg-print")
    assert sheet.get_attribute("viewBox") == f"0 0 {box['width']:.0f} {box['height']:.0f}"
    # the picture itself is in it, and not a sheet that was emptied before it was taken
    covered = page.evaluate(
        """async () => {
          const image = new Image();
          image.src = document.querySelector("svg.bg-print image").getAttribute("href");
          await image.decode();
          const flat = document.createElement("canvas");
          [flat.width, flat.height] = [image.width, image.height];
          const pen = flat.getContext("2d");
          pen.drawImage(image, 0, 0);
          const dots = pen.getImageData(0, 0, flat.width, flat.height).data;
          let count = 0;
          for (let k = 3; k < dots.length; k += 4) count += dots[k] > 250;
          return count / (dots.length / 4);
        }"""
    )
    assert covered > 0.2, "the surface covers a good part of it"
    assert sheet.locator("text.bg-iso").count() > 5
    page.emulate_media(media="print")
    assert page.locator("[data-at]").nth(2).get_attribute("data-no") == "3", (
        "beside a narrower picture notes are listed"
    )
    page.emulate_media(media="screen")
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    assert sheet.count() == 0
    page.locator(".bg-leader").first.wait_for(state="attached", timeout=20_000)


def test_by_keyboard_it_turns_and_a_cursor_reads_and_picks(page: Any, address: str) -> None:
    shown(page, address)
    count = len(told(page, address, "pick"))
    stage = page.get_by_role("application", name="Waves")
    stage.focus()
    ring = page.locator(".bg-handle")
    before = ring.bounding_box()
    page.keyboard.press("ArrowDown")
    page.wait_for_timeout(200)
    assert ring.bounding_box() != before
    page.keyboard.press("Home")
    page.wait_for_timeout(200)
    assert ring.bounding_box() == before
    page.keyboard.press("p")
    page.keyboard.press("ArrowRight")
    page.wait_for_timeout(400)
    live = page.locator(".bg-sr[aria-live]")
    assert live.get_attribute("aria-live") == "polite"
    assert "degrees, x " in live.text_content()
    page.keyboard.press("Enter")
    page.wait_for_timeout(400)
    assert len(told(page, address, "pick")) == count + 1
    page.keyboard.press("Escape")
    page.wait_for_timeout(200)
    assert page.locator("text.bg-read").get_attribute("visibility") == "hidden"


def test_a_handle_is_dragged_over_the_surface_and_moved_by_arrows(page: Any, address: str) -> None:
    shown(page, address)
    count = len(told(page, address, "drag"))
    handle = page.get_by_role("button", name="Start of laying")
    box = handle.bounding_box()
    assert (box["width"], box["height"]) == (44, 44)
    at = (box["x"] + 22, box["y"] + 22)
    page.mouse.move(*at)
    page.mouse.down()
    page.mouse.move(at[0] + 60, at[1] - 30, steps=5)
    page.mouse.up()
    page.wait_for_timeout(400)
    drags = told(page, address, "drag")[count:]
    assert drags[-1][3] is True
    x, y, z = drags[-1][2]["at"]
    assert x > 0.01
    assert z == pytest.approx(0.02 * math.cos(20 * x) * math.cos(25 * y), abs=0.0003)
    handle.focus()
    name = handle.get_attribute("aria-label")
    page.keyboard.press("ArrowLeft")
    page.wait_for_timeout(300)
    assert handle.get_attribute("aria-label") != name
    assert len(told(page, address, "drag")) > count + len(drags)


def test_two_fingers_bring_it_nearer(page: Any, address: str) -> None:
    shown(page, address)
    box = page.locator(".bg-handle").bounding_box()
    touch = page.context.new_cdp_session(page)

    def put(kind: str, *places: tuple[float, float]) -> None:
        points = [{"x": x, "y": y, "id": k} for k, (x, y) in enumerate(places)]
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    put("touchStart", (300, 200))
    put("touchStart", (300, 200), (400, 200))
    for k in range(1, 9):
        put("touchMove", (300 - 10 * k, 200), (400 + 10 * k, 200))
    put("touchEnd")
    page.wait_for_timeout(400)
    after = page.locator(".bg-handle").bounding_box()
    middle = (350, 200)
    was = math.dist((box["x"] + 22, box["y"] + 22), middle)
    now = math.dist((after["x"] + 22, after["y"] + 22), middle)
    assert now / was == pytest.approx(2.6, rel=0.15)


def test_notes_stand_apart_from_each_other_and_from_the_surface_or_in_a_list(page: Any, address: str) -> None:
    shown(page, address, "?notes=3")
    page.wait_for_timeout(400)
    notes = page.locator("[data-at]")
    boxes = [notes.nth(k).bounding_box() for k in range(3)]
    assert page.locator(".bg-leader").count() == 3
    for i in range(3):
        for j in range(i):
            a, b = boxes[i], boxes[j]
            apart = (
                a["x"] >= b["x"] + b["width"] or b["x"] >= a["x"] + a["width"]
                or a["y"] >= b["y"] + b["height"] or b["y"] >= a["y"] + a["height"]
            )  # fmt: skip
            assert apart
    page.set_viewport_size({"width": 390, "height": 844})
    page.wait_for_timeout(500)
    assert page.locator(".bg-leader").count() == 0
    under = page.locator(".bg-stage").bounding_box()
    for k in range(3):
        assert notes.nth(k).bounding_box()["y"] >= under["y"] + under["height"]
        assert notes.nth(k).get_attribute("data-no") == str(k + 1)


def test_without_graphics_it_says_so_and_shows_the_still_picture(browser: Any, address: str) -> None:
    context = browser.new_context()
    page = context.new_page()
    page.add_init_script(
        "const get = HTMLCanvasElement.prototype.getContext;"
        "HTMLCanvasElement.prototype.getContext = function (kind, ...a) "
        "{ return kind.startsWith('webgl') ? null : get.call(this, kind, ...a); };"
    )
    page.goto(f"{address}/")
    page.wait_for_selector(".bg-said")
    assert "does not draw in three dimensions" in page.locator(".bg-said").text_content()
    assert page.locator("#still").is_visible()
    context.close()


def test_german_numbers_are_written_in_german(page: Any, address: str) -> None:
    shown(page, address, "?tongue=de")
    page.mouse.move(430, 200)
    page.wait_for_function("document.querySelectorAll('text.bg-read tspan').length === 2")
    assert "," in reading(page)[0]
