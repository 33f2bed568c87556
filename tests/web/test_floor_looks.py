"""The floor page in the hand: big targets low down, cautions first, every theme and width, keyboard alone, German.

Sizes are our own rule for gloves, above the 24 px of WCAG 2.2, 2.5.8; contrast is WCAG 2.2, 1.4.3, as axe-core measures
it; reflow is WCAG 2.2, 1.4.10.
"""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest

import floorstand
from bagside.ledger.bodies import Closed
from floorstand import BUILD, SETTLED, FloorServed, Stand, presses

THEMES = ("light", "dark", "sun")
SHOTS = os.environ.get("BAGSIDE_SHOTS", "")
SCREENS = ("thaw", "ply-1/0", "ply-2/0", "ply-2/check", "debulk-5", "bag", "leak", "cure", "demould", "trim", "end")
SIZES = ((360, 640), (390, 844), (768, 1024), (1024, 768), (1440, 900))
SERIOUS = ("serious", "critical")
OVER = ("thread", "sync", "note", "trouble", "builds")


@pytest.fixture
def stand(floor_stand: Stand) -> Stand:
    return floor_stand


@pytest.fixture
def server(floor_served: FloorServed) -> FloorServed:
    return floor_served


def opened(browser: Any, server: FloorServed, *, locale: str = "en-GB", width: int = 390, height: int = 844) -> Any:
    context = browser.new_context(viewport={"width": width, "height": height}, has_touch=True, locale=locale)
    page = context.new_page()
    page.set_default_timeout(15_000)
    return floorstand.opened(page, server)


def go(page: Any, screen: str) -> None:
    """Show a screen by its place in the list of all steps, as a person does."""
    ids = page.evaluate("""async (name) => {
      const { screensOf } = await import("/floor/app/course.js");
      const store = await import("/floor/app/store.js");
      return screensOf(await store.get("builds", name)).map((s) => s.id);
    }""", BUILD)  # fmt: skip
    presses(page, "thread")
    page.locator(SETTLED + ".steps button").nth(ids.index(screen)).click()
    page.wait_for_selector(SETTLED + "[data-key=main]")


def theme(page: Any, name: str) -> None:
    page.evaluate("t => { document.querySelector('meta[name=theme-choice]').content = t; }", name)


def shot(page: Any, name: str) -> None:
    if SHOTS:
        page.wait_for_timeout(150)
        page.screenshot(path=str(Path(SHOTS) / f"floor-{name}.png"))


_SMALL = """() => [...document.querySelectorAll('button, input, textarea')].filter((e) => {
  const r = e.getBoundingClientRect();
  if (!r.width || e.classList.contains('unseen')) return false;
  return r.height < (e.classList.contains('line') ? 44 : e.classList.contains('thread') ? 32 : 60) - 0.5;
}).map((e) => `${e.outerHTML.slice(0, 90)} ${e.getBoundingClientRect().height}`)"""
_WIDE = "document.documentElement.scrollWidth - window.innerWidth"


def test_targets_are_big_the_main_ones_low_and_nothing_is_wider_than_the_screen(
    browser: Any, server: FloorServed, stand: Stand
) -> None:
    page = opened(browser, server)
    for screen in SCREENS:
        go(page, screen)
        for width, height in SIZES:
            resized(page, width, height)
            at = (screen, width)
            assert page.evaluate(_SMALL) == [], at
            assert page.evaluate(_WIDE) <= 0, at
            main, back = (page.locator(f"[data-key={k}]").bounding_box() for k in ("main", "back"))
            assert main["height"] >= 76
            for box in (main, back):
                assert box["y"] >= height - 250, at
                assert box["y"] + box["height"] <= height, at
            assert back["x"] + back["width"] + 9 <= main["x"], "back is left of the main one, with room between"
            shot(page, f"{screen.replace('/', '-')}-{width}")
    for name in OVER:
        presses(page, name)
        page.wait_for_selector(".pad h1")
        for width, height in SIZES:
            resized(page, width, height)
            assert page.evaluate(_SMALL) == [], (name, width)
            assert page.evaluate(_WIDE) <= 0, (name, width)
        page.keyboard.press("Escape")
        page.wait_for_selector("[data-key=main]")
    page.context.close()


def resized(page: Any, width: int, height: int) -> None:
    page.set_viewport_size({"width": width, "height": height})
    page.evaluate("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")


def test_no_serious_fault_in_any_theme(browser: Any, server: FloorServed, stand: Stand) -> None:
    """Names and structure are looked at once; what a theme can spoil in each."""
    from axe_playwright_python.sync_playwright import Axe

    axe = Axe()
    page = opened(browser, server, locale="de-DE", width=360, height=740)
    faults: dict[str, Any] = {}

    def looked_at(screen: str) -> None:
        for name in THEMES:
            theme(page, name)
            shot(page, f"{screen.replace('/', '-')}-{name}-de")
            rules = {} if name == THEMES[0] else {"runOnly": {"type": "rule", "values": ["color-contrast"]}}
            found = [v for v in axe.run(page, options=rules).response["violations"] if v["impact"] in SERIOUS]
            if found:
                faults[f"{screen}, {name}"] = [(v["id"], [n["html"][:120] for n in v["nodes"][:3]]) for v in found]

    for screen in SCREENS:
        go(page, screen)
        looked_at(screen)
    for key in OVER:
        presses(page, key)
        page.wait_for_selector(".pad h1")
        looked_at(key)
        page.keyboard.press("Escape")
        page.wait_for_selector("[data-key=main]")
    page.context.close()
    assert not faults, json.dumps(faults, indent=1)


def test_in_the_sun_nothing_is_grey(browser: Any, server: FloorServed, stand: Stand) -> None:
    """Words and edges are black on white, or on the one yellow; or white on black where a caution is reversed."""
    page = opened(browser, server)
    theme(page, "sun")
    for screen in ("thaw", "ply-2/0", "debulk-5"):
        go(page, screen)
        inks = set(page.evaluate("""() => [...document.querySelectorAll('#floor *')].filter((e) => !e.closest('svg'))
          .flatMap((e) => { const c = getComputedStyle(e); return [c.color, c.backgroundColor]; })"""))
        known = {"rgb(0, 0, 0)", "rgb(255, 255, 255)", "rgba(0, 0, 0, 0)", "rgb(255, 212, 0)"}
        assert inks <= known, inks - known
    page.context.close()


_FAINT = """() => {
  const parts = (colour) => colour.match(/[0-9.]+/g).map(Number);
  const lit = ([r, g, b]) => {
    const [x, y, z] = [r, g, b].map((v) => (v <= 10 ? v / 255 / 12.92 : ((v / 255 + 0.055) / 1.055) ** 2.4));
    return 0.2126 * x + 0.7152 * y + 0.0722 * z;
  };
  const ground = (e) => {
    for (; e; e = e.parentElement) {
      const found = parts(getComputedStyle(e).backgroundColor);
      if (found.length === 3 || found[3] > 0) return found;
    }
    return [255, 255, 255];
  };
  return [...document.querySelectorAll("#floor *")].filter((e) => !e.closest("svg") && e.getBoundingClientRect().width
    && [...e.childNodes].some((n) => n.nodeType === Node.TEXT_NODE && n.data.trim())).flatMap((e) => {
    const [light, dark] = [lit(parts(getComputedStyle(e).color)), lit(ground(e))].sort((a, b) => b - a);
    const ratio = (light + 0.05) / (dark + 0.05);
    return ratio < 7 ? [`${ratio.toFixed(1)} ${e.textContent}`] : [];
  });
}"""
"""Words of less than 7 : 1 to what they stand on (WCAG 2.2, 1.4.6; relative luminance as defined there)."""


def test_words_are_read_in_a_dark_and_in_a_sunlit_room(browser: Any, server: FloorServed, stand: Stand) -> None:
    page = opened(browser, server, locale="de-DE", width=360, height=740)
    for screen in ("thaw", "ply-1/0", "ply-2/0", "ply-2/check", "debulk-5", "trim"):
        go(page, screen)
        for name in THEMES:
            theme(page, name)
            assert page.evaluate(_FAINT) == [], (screen, name)
    theme(page, "dark")
    dazzle = page.evaluate("""() => getComputedStyle(document.documentElement).getPropertyValue("--plain")""")
    assert 0.4 <= float(dazzle) <= 0.7, "cloth in a picture does not dazzle in the dark, and is seen"
    page.context.close()


def test_cautions_stand_before_everything_else_of_a_step(browser: Any, server: FloorServed, stand: Stand) -> None:
    page = opened(browser, server)
    for screen in ("thaw", "cut", "release", "bag", "cure", "demould", "trim", "bond", "coat-clear-two-pack"):
        go(page, screen)
        order = page.evaluate("""() => [...document.querySelectorAll('main > *')].map((e) => e.className)""")
        assert order.index("caution") < min(
            (order.index(c) for c in ("gates", "words", "asks", "stack", "body") if c in order), default=99
        ), screen
        look = page.evaluate("""() => { const c = getComputedStyle(document.querySelector('.caution'));
          const b = getComputedStyle(document.body);
          return c.backgroundColor === b.color && c.color === b.backgroundColor; }""")
        assert look, "the block is reversed"
    page.context.close()


def test_a_ply_by_keyboard_alone(browser: Any, server: FloorServed, stand: Stand) -> None:
    page = opened(browser, server)
    assert page.evaluate("document.activeElement.tagName") == "H1"
    page.keyboard.press("Enter")
    page.wait_for_selector("[data-key=film-0]")
    reached: list[str] = []
    for _ in range(14):
        page.keyboard.press("Tab")
        key = page.evaluate("document.activeElement.dataset.key ?? ''")
        outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
        assert outline != "none", key
        reached.append(key)
        if key.startswith("film-"):
            page.keyboard.press("Space")
            page.wait_for_selector(f"[data-key={key}][aria-pressed=true]")
        if key == "main":
            page.keyboard.press("Enter")
            break
    assert [k for k in reached if k.startswith("film-")] == ["film-0", "film-1"]
    page.wait_for_selector("h1:text-is('Check ply 2')")
    page.keyboard.press("ArrowLeft")
    page.wait_for_selector("h1:text-is('Lay ply 2')")
    page.keyboard.press("ArrowRight")
    page.wait_for_selector("h1:text-is('Check ply 2')")
    page.context.close()


def test_a_number_is_typed_on_keys_or_keyboard_with_the_sign_of_the_language(
    browser: Any, server: FloorServed, stand: Stand
) -> None:
    page = opened(browser, server, locale="de-DE")
    go(page, "demould")
    state = "[data-key=main]"
    assert page.inner_text(state).startswith("zuerst: ")
    page.context.close()
    page = opened(browser, server, locale="de-DE")
    page.evaluate("""async () => {
      const { keypad } = await import("/floor/app/keypad.js");
      window.read = [];
      const field = { quantity: "temperature", digits: 1, low: 288.15, high: 298.15, planned: null };
      document.getElementById("floor").replaceChildren(keypad({ title: "x", field, ambient: 1e5,
        taken: (v) => window.read.push(v), left: () => window.read.push("left") }));
    }""")
    assert page.inner_text(".pad .q") == "15,0 °C bis 25,0 °C verlangt"
    for key in ("1", "9", ",", "5"):
        page.click(f".keys button:text-is('{key}')")
    assert page.inner_text(".figure span") == "19,5"
    page.click("text=übernehmen")
    page.keyboard.type("-")
    assert page.inner_text(".verdict") == "Außerhalb des Verlangten. Es wird so eingetragen."
    page.keyboard.press("Backspace")
    page.keyboard.press("Escape")
    page.keyboard.press("Enter")
    read = page.evaluate("window.read")
    assert read[0] == pytest.approx(292.65)
    assert read[1] == "left"
    page.context.close()


def test_units_are_chosen_once_and_events_stay_in_si(browser: Any, server: FloorServed, stand: Stand) -> None:
    """68 °F are 20 °C and −0.96 bar below 1008.5 mbar of air are 48 mbar: by hand."""
    page = opened(browser, server)
    found = page.evaluate("""async () => {
      const { tongue, toSi, amount } = await import("/floor/app/say.js");
      Object.assign(tongue, { heat: "fahrenheit", gauge: "below", lengths: "inch" });
      return [toSi("temperature", 68), toSi("pressure", 0.96, 100850), amount("pressure", 4850, 0, 100850),
        amount("temperature", 293.15, 0), amount("mass", 0.028349523125, 0), amount("thickness", 0.0254, 2)];
    }""")
    assert found[0] == pytest.approx(293.15)
    assert found[1] == pytest.approx(4850.0)
    assert found[2:] == ["−0.96 bar", "68 °F", "1.0 oz", "1.000 in"]
    page.context.close()


def test_in_german_the_page_speaks_german_and_marks_what_it_cannot_say(
    browser: Any, server: FloorServed, stand: Stand
) -> None:
    page = opened(browser, server, locale="de-DE")
    assert page.evaluate("document.documentElement.lang") == "de"
    for screen in SCREENS:
        go(page, screen)
        own = page.evaluate("""() => [...document.querySelectorAll('#floor *')]
          .filter((e) => !e.children.length && e.textContent.trim() && !e.closest('[lang=en]') && !e.closest('svg'))
          .map((e) => e.textContent)""")
        english = {"the", "and", "with", "off", "done", "after", "before", "wanted", "is", "of"}
        left = [t for t in own if english & set(t.lower().replace(",", " ").replace(".", " ").split())]
        assert not left, (screen, left)
    page.context.close()


def test_a_press_that_a_newer_screen_falls_into_still_counts(browser: Any, server: FloorServed, stand: Stand) -> None:
    """What comes from the server redraws the page; it must not do so under a finger."""
    page = opened(browser, server)
    presses(page, "main")
    page.wait_for_selector("[data-key=film-0]")
    page.wait_for_selector("[data-key=sync]:text-matches('^sent')")
    box = page.locator("[data-key=film-0]").bounding_box()
    page.mouse.move(box["x"] + 20, box["y"] + 20)
    page.mouse.down()
    page.evaluate("dispatchEvent(new Event('offline'))")
    page.wait_for_timeout(300)
    page.mouse.up()
    page.wait_for_selector("[data-key=film-0][aria-pressed=true]")
    page.context.close()


def test_two_quick_presses_are_one_tick(browser: Any, server: FloorServed, stand: Stand) -> None:
    """A glove bounces: the second press must neither tick again nor press what has come under it."""
    page = opened(browser, server)
    presses(page, "main")
    for key in ("film-0", "film-1"):
        presses(page, key)
    page.wait_for_selector("[data-key=main]:not([aria-disabled])")
    page.dblclick(SETTLED + "[data-key=main]")
    page.wait_for_selector("h1:text-is('Check ply 2')")
    page.wait_for_selector("[data-key=sync]:text-matches('^sent')")
    assert [e.kind for e in stand.events("phone-")] == ["started", "laid"]
    page.context.close()


def test_a_build_that_is_over_takes_no_tick(browser: Any, server: FloorServed, stand: Stand) -> None:
    stand.keep(Closed(build=BUILD, verdict="scrap", why="dropped"), ago=1.0)
    page = opened(browser, server)
    page.wait_for_selector("[data-key=main][aria-disabled]:text-is('This build is over: scrap.')")
    assert page.locator("[data-key=film-0]").count() == 0
    page.context.close()


def test_another_window_shows_what_was_ticked_in_this_one(browser: Any, server: FloorServed, stand: Stand) -> None:
    first = opened(browser, server)
    second = opened(browser, server)
    presses(first, "main")
    first.wait_for_selector("[data-key=sync]:text-matches('^sent')")
    second.reload()
    second.wait_for_selector("[data-key=film-0]")
    first.context.close()
    second.context.close()
