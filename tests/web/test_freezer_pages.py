"""Board, freezer and moulds in a real browser: from no records to a roll that is moved, counted, corrected, gone."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from bagside.ledger.bodies import Received, Sort
from bagside.ledger.things import Cloth, Mould
from bagside.web.house import House
from pageserver import Served


@pytest.fixture
def house(shop: Path) -> Iterator[House]:
    """The same folder as the server's, looked at beside it."""
    found = House(shop)
    yield found
    found.close()


@pytest.fixture
def begun(shop: Path, house: House) -> Path:
    """The workshop keeps records."""
    from bagside.web.pages.freezer.records import begin_records

    workshop = house.workshop()
    assert workshop is not None
    begin_records(house, workshop, "Mara")
    return shop


def cloth(house: House, name: str) -> Cloth:
    with house.desk("test", "test") as here:
        found = here.ledger.thing(name)
    assert isinstance(found, Cloth)
    return found


def test_records_begin_and_a_roll_goes_all_its_way(
    serve: Callable[[Path], Served], page: Any, shop: Path, house: House
) -> None:
    served = serve(shop)
    page.goto(f"{served.url}/freezer")
    page.get_by_role("button", name="Begin the records").click()
    page.get_by_text("receive a roll", exact=True).click()
    form = page.locator("details", has=page.get_by_text("receive a roll", exact=True))
    take_in = form.get_by_role("button", name="receive a roll")
    take_in.click()
    form.get_by_text("Write the name that stands on its label.").wait_for()
    form.get_by_label("name", exact=True).fill("K-200")
    form.get_by_label("material").select_option("twill-200")
    form.get_by_label("length", exact=True).fill("24.5")
    form.get_by_label("paid").fill("47")
    take_in.click()
    form.get_by_text("Say what is known of its life so far.").wait_for()
    form.get_by_label("life so far").select_option("new")
    take_in.click()
    page.wait_for_url("**/freezer/K-200")
    page.get_by_text("move it", exact=True).click()
    found = cloth(house, "K-200")
    assert (found.left, found.price, found.life_used, found.stays[-1].place) == (24.5, 47.0, 0.0, "freezer")
    assert found.width == pytest.approx(1.25), "the width of its sheet, where none was typed"

    page.get_by_role("button", name="K-200: Move it").click()
    page.get_by_text("K-200 is in room now").wait_for()
    assert cloth(house, "K-200").stays[-1].place == "room"
    page.get_by_text("open its bag", exact=True).click()
    page.get_by_role("button", name="K-200: Open it").click()
    page.get_by_text("leave the bag sealed for").first.wait_for()
    assert cloth(house, "K-200").opened is None, "a bag that is too cold stays shut"

    page.get_by_text("count it", exact=True).click()
    page.get_by_label("left on it").fill("24")
    page.get_by_role("button", name="K-200: count it").click()
    page.get_by_text("K-200: counted.").wait_for()
    line = page.locator("ol.history li").filter(has_text="counted: 24.00 m")
    line.get_by_role("button").first.click()
    line.get_by_label("length").fill("23.5")
    line.get_by_label("what was wrong").fill("the tape was read wrongly")
    line.get_by_role("button", name="Correct it").click()
    page.get_by_text("It is corrected").wait_for()
    assert cloth(house, "K-200").left == 23.5


def test_a_name_that_is_taken_is_refused_and_nothing_is_lost(
    serve: Callable[[Path], Served], page: Any, begun: Path, house: House
) -> None:
    served = serve(begun)
    page.goto(f"{served.url}/moulds")
    page.get_by_label("name", exact=True).fill("lid mould")
    page.get_by_label("made of").select_option("glass-epoxy")
    page.get_by_role("button", name="A mould came in").click()
    page.wait_for_url("**/moulds/lid%20mould")
    page.get_by_text("release was put on", exact=True).click()
    page.get_by_text("fresh air, no flame or spark").wait_for()
    page.get_by_label("agent").fill("wax-free")
    page.get_by_label("coats", exact=True).fill("4")
    page.get_by_role("button", name="lid mould: release was put on").click()
    page.get_by_text("pulls are counted from here").wait_for()
    with house.desk("test", "test") as here:
        mould = here.ledger.thing("lid mould")
    assert isinstance(mould, Mould)
    assert mould.coats == (("wax-free", 4, 0),)
    assert mould.limit is not None, "the hottest its material may see"

    page.goto(f"{served.url}/moulds")
    page.get_by_label("name", exact=True).fill("lid mould")
    page.get_by_role("button", name="A mould came in").click()
    page.get_by_text("has had this name since").wait_for()
    assert page.get_by_label("name", exact=True).input_value() == "lid mould"


def test_the_board_shows_by_itself_what_somebody_else_writes_down(
    serve: Callable[[Path], Served], page: Any, begun: Path, house: House
) -> None:
    served = serve(begun)
    page.goto(f"{served.url}/")
    page.get_by_text("May I spray? Nobody has read the room yet.").wait_for()
    with house.desk("Ben", "phone") as here:
        body = Received(name="K-300", sort=Sort.ROLL, material="twill-200", place="room", length=9.0, life_used=0.0)
        here.ledger.add([here.event(body)])
    page.get_by_text("K-300").first.wait_for(timeout=15_000)

    page.get_by_text("write a reading down").click()
    page.get_by_role("textbox", name="temperature").fill("20.5")
    page.get_by_role("textbox", name="humidity").fill("47")
    page.get_by_role("button", name="Write it down").click()
    page.get_by_text("You may spray").wait_for(timeout=15_000)
    with house.desk("test", "test") as here:
        readings = here.standing().place("room")
    assert readings is not None
    assert readings.readings[-1][1].humidity == pytest.approx(0.47)
    assert abs((readings.readings[-1][0] - datetime.now().astimezone()).total_seconds()) < 60


def test_pages_with_records_are_whole(serve: Callable[[Path], Served], browser: Any, begun: Path) -> None:
    """axe-core finds nothing serious (WCAG 2.2 as it reads it), and nothing runs over the side down to 360 px."""
    from axe_playwright_python.sync_playwright import Axe

    served = serve(begun)
    context = browser.new_context(viewport={"width": 1440, "height": 900}, locale="en-GB")
    found = context.new_page()
    for address in ("/", "/freezer/K-114", "/moulds"):
        found.set_viewport_size({"width": 1440, "height": 900})
        found.goto(served.url + address)
        found.wait_for_function("!document.body.innerText.includes('Looking at the records')")
        found.wait_for_timeout(500)
        faults = [
            v for v in Axe().run(found).response["violations"] if v["impact"] in ("serious", "critical")
        ]  # fmt: skip
        assert not faults, [(v["id"], [n["html"][:120] for n in v["nodes"]]) for v in faults]
        for width in (1024, 768, 390, 360):
            found.set_viewport_size({"width": width, "height": 900})
            assert found.evaluate("document.documentElement.scrollWidth") <= width, (address, width)
    context.close()
