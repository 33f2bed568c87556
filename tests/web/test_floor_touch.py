"""The floor page under real fingers: touches on a slow phone that is drawn anew all the time, and a page that dies.

Touches go in below the page, as those of a screen do, so that the browser makes the click of each; the processor is
held to a sixth. A gloved hand bounces, presses long, and presses the next thing before the one before is drawn.
"""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Iterator
from typing import Any

import pytest

from bagside.ledger.bodies import Finished, Laid, Started
from floorstand import BUILD, SETTLED, FloorServed, Stand, kept_on, phone_of, skip

PHONE = {"width": 360, "height": 740}
SLOW = 6
BOUNCE = 0.08  # [s]


_MIDDLE = """key => {
  const box = document.querySelector(`[data-key='${key}']`).getBoundingClientRect();
  return [box.x + box.width / 2, box.y + box.height / 2];
}"""


class Finger:
    """A finger on a page."""

    def __init__(self, page: Any) -> None:
        self.page = page
        self.cdp = page.context.new_cdp_session(page)

    def slow(self, rate: float) -> None:
        self.cdp.send("Emulation.setCPUThrottlingRate", {"rate": rate})

    def places(self, *keys: str) -> list[list[float]]:
        """Return where the buttons are, once a new screen takes presses."""
        found = []
        for key in keys:
            self.page.wait_for_selector(f"#floor:not([data-settling]) [data-key='{key}']")
            found.append(self.page.evaluate(_MIDDLE, key))
        return found

    def taps(self, *keys: str, held: float = 0.0, times: int = 1) -> None:
        """Press buttons one after the other, without a look at what each did; several times within a bounce."""
        for place in self.places(*keys):
            first = time.time()
            for n in range(times):
                at = first + BOUNCE * n if times > 1 else None
                self.down(place, at)
                if held:
                    self.page.wait_for_timeout(1000 * held)
                self.up(None if at is None else at + 0.5 * BOUNCE)

    def down(self, place: list[float], at: float | None = None) -> None:
        self._sent("touchStart", [{"x": place[0], "y": place[1]}], at)

    def up(self, at: float | None = None) -> None:
        self._sent("touchEnd", [], at)

    def _sent(self, kind: str, points: list[dict[str, float]], at: float | None) -> None:
        """Touch the screen now, or as the screen would say it did: a busy machine must not stretch a bounce."""
        moment = {"timestamp": time.time() if at is None else at}
        self.cdp.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points} | moment)


@pytest.fixture
def phone(browser: Any, floor_served: FloorServed) -> Iterator[Any]:
    with phone_of(browser, floor_served, viewport=PHONE, is_mobile=True, base_url=floor_served.url) as page:
        yield page


def restless(page: Any) -> None:
    """Let the page be drawn anew all the time, as it is while a server answers now well and now badly."""
    page.evaluate("""async () => {
      const { asked } = await import("/floor/app/queue.js");
      setInterval(() => { asked("/floor/words/en.json"); asked("/floor/words/none.json"); }, 80);
      window.drawn = 0;
      new MutationObserver(() => { window.drawn += 1; }).observe(document.getElementById("floor"), { childList: true });
    }""")


def check(page: Any, ply: int) -> None:
    page.wait_for_selector(f"h1:text-is('Check ply {ply}')")


def told_by(stand: Stand) -> list[Any]:
    return [e.body for e in stand.events("phone-")]


def test_no_touch_is_lost_and_none_counts_twice(phone: Any, floor_stand: Stand) -> None:
    finger = Finger(phone)
    finger.slow(SLOW)
    restless(phone)
    finger.taps("main")
    finger.taps("film-0", "film-1", "main")  # the next one before the one before is drawn
    check(phone, 2)
    finger.taps("box-0", "box-1", "box-2", "main")
    phone.wait_for_selector("h1:text-is('Lay ply 3, piece 3, 1 of 2')")
    finger.taps("main", times=2)  # a glove bounces
    finger.taps("film-1", "film-0", times=2)
    for film in ("film-0", "film-1"):
        phone.wait_for_selector(f"[data-key={film}][aria-pressed=true]")
    finger.taps("main", times=3)
    phone.wait_for_selector("[data-key=film-0][aria-pressed=false]")
    finger.taps("film-0", "film-1", "main", held=0.4)  # the second copy of the piece, pressed firmly
    check(phone, 3)
    finger.taps("box-1", "box-0", "box-2", "box-3")
    (place,) = finger.places("box-3")
    phone.wait_for_selector("[data-key=box-3][aria-pressed=true]")
    phone.wait_for_timeout(300)
    finger.down(place)  # ticked off again on purpose
    finger.up()
    phone.wait_for_selector("[data-key=box-3][aria-pressed=false]")
    phone.wait_for_timeout(300)
    finger.taps("box-3", "main")
    phone.wait_for_selector("h1:text-is('Lay ply 4')")
    finger.slow(1)
    assert phone.evaluate("window.drawn") > 20, "it was drawn anew between the presses"
    phone.wait_for_selector("[data-key=sync]:text-matches('^sent')")
    assert told_by(floor_stand) == [
        Started(build=BUILD, step="ply-2"),
        Laid(build=BUILD, ply=2, piece="2", films=2),
        Finished(build=BUILD, step="ply-2", boxes=(0, 1, 2)),
        Started(build=BUILD, step="ply-3"),
        Laid(build=BUILD, ply=3, piece="3", films=2),
        Laid(build=BUILD, ply=3, piece="3", films=2),
        Finished(build=BUILD, step="ply-3", boxes=(0, 1, 2, 3)),
    ]


def test_a_bounce_does_not_press_what_comes_under_it(phone: Any, floor_stand: Stand) -> None:
    """The key that ends a number lies where the main button of the step is; the gauge's number must not finish it."""
    laid_up_to_five(phone, floor_stand)
    finger = Finger(phone)
    finger.taps("main")
    phone.wait_for_selector(".clock")
    phone.wait_for_selector("[data-key=sync]:text-matches('^sent')")
    phone.context.set_offline(True)
    skip(phone, 11 * 60)
    finger.taps("gauge")
    phone.wait_for_selector("#floor:not([data-settling]) .keys")
    phone.keyboard.type("45")
    finger.taps("enter", times=3)
    phone.wait_for_selector("#floor:not([data-settling]) [data-key=main]:not([aria-disabled])")
    assert phone.inner_text("h1") == "Debulk under vacuum"
    ends = phone.inner_text(".time b")
    for _ in range(2):  # two presses on purpose are ten minutes
        finger.taps("more")
        phone.wait_for_selector(f".time b:not(:text-is('{ends}'))")
        ends = phone.inner_text(".time b")
        phone.wait_for_timeout(300)
    assert kept_on(phone) == []
    assert phone.inner_text(".clock") in ("10:00", "9:59", "9:58", "9:57", "9:56")


def laid_up_to_five(phone: Any, stand: Stand) -> None:
    bodies: list[Any] = []
    for ply, pieces, boxes in ((2, "2", 3), (3, "33", 4), (4, "4", 3), (5, "5", 3)):
        bodies += [Laid(build=BUILD, ply=ply, piece=p, films=2) for p in pieces]
        bodies.append(Finished(build=BUILD, step=f"ply-{ply}", boxes=tuple(range(boxes))))
    stand.keep(*bodies, ago=30.0)
    phone.reload()
    phone.wait_for_selector("h1:text-is('Debulk under vacuum')")


_DIES = """at => {
  let writes = 0;
  window.mortal = true;
  for (const name of ["put", "delete"]) {
    const real = IDBObjectStore.prototype[name];
    IDBObjectStore.prototype[name] = function (...what) {
      writes += 1;
      if (window.mortal && writes === at) { console.log("dies here"); for (;;) { /* until it is killed */ } }
      return real.apply(this, what);
    };
  }
}"""


def half_done(page: Any) -> tuple[list[str], bool]:
    """Return what waits on the device, and whether the clock of a debulk runs."""
    timer = page.evaluate("""async () => (await (await import("/floor/app/store.js")).all("drafts"))
      .some((d) => d.key.startsWith("timer/"))""")
    return [e["kind"] for e in kept_on(page)], timer


def test_what_belongs_together_is_kept_together_when_the_page_dies(phone: Any, floor_stand: Stand) -> None:
    """A debulk begun has its clock and one ended has none: the page is killed at each of the writes in between."""
    laid_up_to_five(phone, floor_stand)
    phone.evaluate("navigator.serviceWorker.ready.then(() => true)")
    phone.context.set_offline(True)
    page = dies_at_each_write(phone, "main", before=([], False))
    page.wait_for_selector(".clock")
    assert half_done(page) == (["started"], True)
    Finger(page).taps("gauge")
    page.keyboard.type("45")
    page.keyboard.press("Enter")
    page.wait_for_selector("text=It holds.")
    page = dies_at_each_write(page, "main", before=(["started"], True), late=660)
    page.wait_for_selector("h1:text-is('Lay ply 6')")
    assert half_done(page) == (["started", "debulked", "finished"], False)
    page.close()


def killed(browser: Any) -> None:
    """Kill what runs the page, as a battery that dies does."""
    session = browser.new_browser_cdp_session()
    for process in session.send("SystemInfo.getProcessInfo")["processInfo"]:
        if process["type"] == "renderer":
            os.kill(process["id"], signal.SIGKILL)
    session.detach()


def reopened(context: Any) -> Any:
    page = context.new_page()
    page.set_default_timeout(30_000)
    page.goto(f"/floor/b/{BUILD}")
    page.wait_for_selector("[data-key=main]")
    return page


def dies_at_each_write(page: Any, key: str, *, before: tuple[list[str], bool], late: float = 0.0) -> Any:
    """Press a button on pages that die at its first write, its second and so on; return the page that lives on."""
    from playwright.sync_api import TimeoutError as PlaywrightTimeout

    writes = 0
    while True:
        writes += 1
        if late:
            skip(page, late)
        page.wait_for_selector(f"{SETTLED}[data-key={key}]:not([aria-disabled])")
        page.evaluate(_DIES, writes)
        try:
            with page.expect_console_message(lambda message: message.text == "dies here", timeout=4000):
                page.evaluate("key => { setTimeout(() => document.querySelector(key).click()); }", f"[data-key={key}]")
        except PlaywrightTimeout:
            page.evaluate("window.mortal = false")
            assert writes > 3, "several writes belong together here"
            return page
        context = page.context
        killed(context.browser)
        page.close()
        page = reopened(context)
        assert half_done(page) == before, f"killed at write {writes}"
