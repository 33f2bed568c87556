"""A part from its bag to its box on the phone alone: numbers by the keypad, every step ticked, nothing typed at a desk
but what only the desk may decide.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from bagside.ledger.bodies import Debulked, Finished, Found, Laid, MassStage, Measured, Passed, Pulled
from bagside.ledger.things import Build
from floorstand import BUILD, SETTLED, FloorServed, Stand, opened, presses, skip

DESK = ("life", "bag", "cured", "post-cured", "mould-heat", "recoat", "water-break", "holes", "mass", "paint-room")
"""Gates that this part's desk takes on, so that the walk needs no oven and no wait."""


@pytest.fixture
def stand(floor_stand: Stand) -> Stand:
    """Every ply is laid and debulked; what the desk decides is decided."""
    stand = floor_stand
    with stand.desk("a", "b") as desk:
        build = desk.ledger.thing(BUILD)
    assert isinstance(build, Build)
    bodies: list[Any] = []
    for ply in build.planned.plies[1:]:
        bodies += [Laid(build=BUILD, ply=ply.number, piece=p, films=ply.films) for p in ply.pieces]
    for step in build.planned.steps[6:]:
        if step.key.startswith("debulk-"):
            after = int(step.key.removeprefix("debulk-"))
            bodies.append(Debulked(build=BUILD, after=after, seconds=1300.0, pressure=4000.0))
        if step.key.startswith(("ply-", "debulk-")):
            bodies.append(Finished(build=BUILD, step=step.key, boxes=tuple(range(len(step.boxes)))))
        else:
            bodies += [Passed(build=BUILD, gate=gate, step=step.key, by="Ben", why="seen") for gate in DESK]
    stand.keep(*bodies, ago=4.0)
    return stand


@pytest.fixture
def page(browser: Any, stand: Stand, floor_served: FloorServed) -> Iterator[Any]:
    context = browser.new_context(viewport={"width": 360, "height": 740}, has_touch=True, locale="de-DE")
    found = context.new_page()
    found.set_default_timeout(30_000)
    yield opened(found, floor_served)
    context.close()


def types(page: Any, key: str, *numbers: str) -> None:
    """Open a form and type its numbers on the keypad, one screen each."""
    presses(page, key)
    for number in numbers:
        page.wait_for_selector(SETTLED + ".pad .figure")
        before = page.inner_text("h1")
        for sign in number:
            page.click(f"{SETTLED}.keys button:text-is('{sign}')")
        page.click(".pad .go:not([disabled])")
        if number is not numbers[-1]:
            page.wait_for_selector(f"h1:not(:text-is('{before}'))")
    page.wait_for_selector(SETTLED + "[data-key=main]")


def ticks(page: Any) -> None:
    """Tick every box that does not tick itself."""
    for n in range(page.locator("[data-key^=box-]").count()):
        if page.get_attribute(f"[data-key=box-{n}]", "aria-pressed") == "false":
            presses(page, f"box-{n}")


def on(page: Any, title: str) -> None:
    page.wait_for_selector(f"h1:text-matches('^{title}')")


def test_from_the_bag_to_the_box(page: Any, stand: Stand) -> None:
    on(page, "Einsacken")
    assert "Vakuum drückt mit einer Tonne" in page.inner_text(".caution")
    presses(page, "main")
    page.wait_for_selector("[data-key=box-0]")
    types(page, "form-mass_laid", "93,5")
    ticks(page)
    presses(page, "main")
    on(page, "Dichtheit")
    presses(page, "main")
    page.wait_for_selector("[data-key=start]")
    types(page, "start", "18")
    page.wait_for_selector(".clock")
    skip(page, 600)
    types(page, "end", "22")
    page.wait_for_selector("main:has-text('4 mbar verloren in 10 min')")
    presses(page, "main")
    on(page, "Unter Vakuum halten")
    presses(page, "main")
    page.wait_for_selector(".clock")
    ticks(page)
    assert page.get_attribute("[data-key=main]", "aria-disabled") == "true"
    presses(page, "early")
    page.keyboard.press("End")
    page.fill("#note", "Ofen war schon heiß")
    page.click(SETTLED + ".go:text-is('eintragen')")
    page.wait_for_selector("[data-key=main]:not([aria-disabled])")
    presses(page, "main")
    on(page, "Härten in der Form")
    for n in range(3):
        presses(page, f"form-thermocouple_{n}")
    presses(page, "main")
    page.wait_for_selector("[data-key=box-0]")
    ticks(page)
    presses(page, "main")
    on(page, "Entformen")
    assert "kühl genug" in page.inner_text(".gates")
    types(page, "form-demould", "57")
    page.wait_for_selector("[data-key=main][aria-disabled]")
    types(page, "form-demould", "38")
    presses(page, "main")
    page.wait_for_selector("[data-key=box-0]")
    types(page, "form-mass_raw", "93,2")
    ticks(page)
    presses(page, "main")
    on(page, "Alle 6 nachhärten")
    presses(page, "main")
    page.wait_for_selector("[data-key=box-0]")
    ticks(page)
    presses(page, "main")
    on(page, "Besäumen und bohren")
    presses(page, "main")
    page.wait_for_selector("[data-key=box-0]")
    types(page, "form-mass_trimmed", "75,1")
    for n, thickness in enumerate(("1,31", "1,74", "1,74", "2,59", "1,74"), 1):
        types(page, f"form-thickness_T{n}", thickness)
    types(page, "form-hole_pivot", "0,3")
    types(page, "form-hole_drain", "0,4")
    ticks(page)
    presses(page, "main")
    for title in ("6 Halter kleben", "Trennmittel abwaschen", "Poren füllen", "Lack clear", "Plan schleifen", "Prüfen"):
        on(page, title)
        presses(page, "main")
        page.wait_for_selector("[data-key=box-0]")
        ticks(page)
        presses(page, "main")
    on(page, "Alle Schritte sind fertig")
    page.wait_for_selector("[data-key=sync]:text-matches('^gesendet')", timeout=60_000)
    with stand.desk("a", "b") as desk:
        build = desk.ledger.thing(BUILD)
    assert isinstance(build, Build)
    assert build.next_step == ""
    said = [n.what for n in build.measured if n.who == "Ann"]
    held = {(m.found, m.stage, m.place): m for m in said}
    leak = held[Found.LEAK, None, ""]
    assert (leak.start, leak.end) == (1800.0, 2200.0)
    assert leak.seconds == pytest.approx(600.0, abs=60.0)
    assert leak.value == pytest.approx(400.0 / (leak.seconds or 1.0))
    assert held[Found.MASS, MassStage.LAID, ""].value == pytest.approx(0.0935)
    assert held[Found.MASS, MassStage.RAW, ""].value == pytest.approx(0.0932)
    assert held[Found.THICKNESS, None, "T4"].value == pytest.approx(2.59e-3)
    assert held[Found.HOLE, None, "drain"].value == pytest.approx(0.4e-3)
    assert sum(m.found is Found.THERMOCOUPLES for m in said) == 3
    pulled = build.pulled
    assert pulled is not None
    assert isinstance(pulled.what, Pulled)
    assert pulled.what.temperature == pytest.approx(311.15)
    hold = next(s for s in build.steps if s.key == "hold")
    assert hold.note == "Ofen war schon heiß"
    assert Measured(subject=BUILD, found=Found.DEMOULD, value=330.15) in said
