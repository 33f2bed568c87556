"""The first pages in an empty folder: open to everybody, at any width, in both languages; and nothing typed is lost."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from pageserver import Served

WAIT = 40_000  # [ms]


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("empty") / "mine"
    folder.mkdir()
    found = Served(folder)
    found.start()
    yield found
    found.stop()


@pytest.mark.parametrize("address", ["/begin", "/begin/workshop"])
@pytest.mark.parametrize("language", ["en-GB", "de-DE"])
def test_nothing_of_it_keeps_people_out(served: Served, browser: Any, address: str, language: str) -> None:
    """No serious fault by WCAG 2.2 as axe-core reads it; nothing wider than the page down to 360 px (1.4.10)."""
    from axe_playwright_python.sync_playwright import Axe

    scheme = "dark" if language == "de-DE" else "light"
    context = browser.new_context(viewport={"width": 1440, "height": 900}, locale=language, color_scheme=scheme)
    page = context.new_page()
    page.goto(served.url + address)
    page.locator("main h1").wait_for(timeout=WAIT)
    page.wait_for_timeout(500)
    faults = [v for v in Axe().run(page).response["violations"] if v["impact"] in ("serious", "critical")]
    assert not faults, [(v["id"], [n["html"][:160] for n in v["nodes"][:3]]) for v in faults]
    for width in (1024, 768, 390, 360):
        page.set_viewport_size({"width": width, "height": 800})
        page.wait_for_timeout(100)
        assert page.evaluate("document.documentElement.scrollWidth - window.innerWidth") <= 1, width
    context.close()


def test_every_page_leads_to_the_beginning_and_a_reload_loses_no_answer(served: Served, page: Any) -> None:
    for address in ("/", "/new", "/workshop"):
        page.goto(served.url + address)
        page.wait_for_url("**/begin", timeout=WAIT)
    page.goto(f"{served.url}/begin/workshop")
    field = page.get_by_label("Length that is there", exact=True)
    field.fill("9.5")
    field.press("Tab")
    page.locator("figure svg", has_text="9.5 m").wait_for(timeout=WAIT)
    page.reload()
    assert page.get_by_label("Length that is there", exact=True).input_value() == "9.5"


def test_what_is_missing_is_asked_where_it_is_and_nothing_is_written(served: Served, page: Any) -> None:
    page.goto(f"{served.url}/begin/workshop")
    page.get_by_role("button", name="Write it down").click()
    page.locator(".field.wrong").first.wait_for(timeout=WAIT)
    assert "A name is wanted, for the sheets." in page.locator(".field.wrong").first.inner_text()
    page.locator("input[aria-invalid=true]:focus").wait_for(timeout=WAIT)  # the keyboard is there already
    page.get_by_label("Out of the freezer so far").select_option("unknown")
    page.get_by_label("Made on").wait_for(timeout=WAIT)
    assert list(Path(served.folder).glob("*.toml")) == []


def test_what_is_refused_is_not_written_as_it_was_before(served: Served, page: Any) -> None:
    """The person sees 150 % on the line: the 50 % to begin with are not what they meant."""
    page.goto(f"{served.url}/begin/workshop")
    for label, typed in (("What is it called?", "Invented"), ("Length that is there", "9.5"), ("Humidity", "150")):
        page.get_by_label(label, exact=True).fill(typed)
        page.get_by_label(label, exact=True).press("Tab")
    page.get_by_label("Out of the freezer so far").select_option("fresh")
    page.locator(".field.wrong").first.wait_for(timeout=WAIT)
    page.get_by_role("button", name="Write it down").click()
    page.get_by_text("Nothing was written").wait_for(timeout=WAIT)
    page.locator("input[aria-invalid=true]:focus").wait_for(timeout=WAIT)
    assert list(Path(served.folder).glob("*.toml")) == []


def test_a_server_that_is_started_again_remembers_the_answers(browser: Any, tmp_path: Path) -> None:
    folder = tmp_path / "mine"
    folder.mkdir()
    served = Served(folder)
    page = browser.new_context(locale="en-GB").new_page()
    try:
        served.start()
        page.goto(f"{served.url}/begin/workshop")
        field = page.get_by_label("Length that is there", exact=True)
        field.fill("9.5")
        field.press("Tab")
        page.locator("figure svg", has_text="9.5 m").wait_for(timeout=WAIT)
        served.kill()
        served.start()
        page.goto(f"{served.url}/begin/workshop")
        assert page.get_by_label("Length that is there", exact=True).input_value(timeout=WAIT) == "9.5"
    finally:
        page.context.close()
        served.stop()
