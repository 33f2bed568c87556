"""Workshop, materials and new job in a real browser: what is typed is in the file, and can be taken back."""

from __future__ import annotations

import re
import shutil
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from bagside import demo_shop
from pageserver import DEMO, Served

WAIT = 40_000  # [ms]


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("pages") / "shop"
    folder.mkdir()
    for name in ("workshop.toml", "stock.toml"):
        shutil.copy(DEMO / name, folder / name)
    found = Served(folder)
    desk = folder.parent / "desktop"
    desk.mkdir()
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DESKTOP_DIR", str(desk))
        found.start()
    for address in ("/workshop", "/materials", "/new"):  # the first of each reads the library
        urllib.request.urlopen(found.url + address, timeout=120).read()
    yield found
    found.stop()


def types(page: Any, label: str, text: str) -> None:
    field = page.get_by_label(label, exact=True)
    field.fill(text)
    field.press("Tab")


def stands(path: Path, text: str, page: Any, *, there: bool = True) -> None:
    """Wait until a file says something, or no longer does."""
    for _ in range(WAIT // 100):
        if path.is_file() and (text in path.read_text(encoding="utf-8")) is there:
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"{path.name} {'lacks' if there else 'still has'} {text!r}")


def test_a_press_puts_what_opens_the_workshop_on_the_desktop(served: Served, page: Any) -> None:
    page.goto(f"{served.url}/workshop")
    page.get_by_role("button", name="put it on this desktop").click(timeout=WAIT)
    page.get_by_text("It lies here: ").wait_for(timeout=WAIT)
    (path,) = (served.folder.parent / "desktop").iterdir()
    assert str(path) in page.get_by_text("It lies here: ").inner_text()
    text = path.read_text(encoding="utf-8")
    assert str(served.folder) in text
    assert str(served.port) in text


def test_a_line_of_the_workshop_is_changed_and_taken_back(served: Served, page: Any) -> None:
    file = served.folder / "workshop.toml"
    before = file.read_text(encoding="utf-8")
    page.goto(f"{served.url}/workshop")
    types(page, "Warmest to coldest place", "9")
    stands(file, 'spread = "9 K" ', page)
    after = file.read_text(encoding="utf-8")
    assert after == before.replace('spread = "6 K" ', 'spread = "9 K" ')  # comments and order stay
    page.locator("figure svg", has_text="9 K").first.wait_for(timeout=WAIT)
    page.get_by_role("button", name="undo: Warmest to coldest place").click(timeout=WAIT)
    stands(file, 'spread = "6 K" ', page)
    assert file.read_text(encoding="utf-8") == before
    assert page.get_by_label("Warmest to coldest place", exact=True).input_value() in ("9", "6")


def test_what_cannot_be_is_refused_beside_its_line_and_nothing_is_written(served: Served, page: Any) -> None:
    file = served.folder / "workshop.toml"
    before = file.read_text(encoding="utf-8")
    page.goto(f"{served.url}/workshop")
    types(page, "Hottest air it holds", "150 mm")
    wrong = page.locator(".field.wrong")
    wrong.wait_for(timeout=WAIT)
    assert "is not of this kind: °C is wanted" in wrong.inner_text()
    assert page.get_by_label("Hottest air it holds", exact=True).get_attribute("aria-invalid") == "true"
    assert page.get_by_label("Hottest air it holds", exact=True).input_value() == "150 mm"  # to be mended
    assert file.read_text(encoding="utf-8") == before


def test_two_windows_do_not_write_over_each_other(served: Served, browser: Any) -> None:
    """The second window sees what the first has done before it can undo it unawares."""
    file = served.folder / "workshop.toml"
    contexts = [browser.new_context(locale="en-GB") for _ in range(2)]
    first, second = (c.new_page() for c in contexts)
    for one in (first, second):
        one.goto(f"{served.url}/workshop")
        one.get_by_label("Heaters", exact=True).wait_for(timeout=WAIT)
    types(first, "Heaters", "3.4")
    stands(file, 'power = "3.4 kW"', first)
    for _ in range(WAIT // 100):  # it looks every three seconds
        if second.get_by_label("Heaters", exact=True).input_value() == "3.4":
            break
        second.wait_for_timeout(200)
    else:
        raise AssertionError("the second window did not see the change")
    types(second, "Lost through its walls", "11")
    stands(file, 'loss = "11 W/K"', second)
    assert 'power = "3.4 kW"' in file.read_text(encoding="utf-8")
    for context in contexts:
        context.close()


def test_a_person_of_another_tongue_types_with_a_comma(served: Served, browser: Any) -> None:
    context = browser.new_context(locale="de-DE")
    page = context.new_page()
    page.goto(f"{served.url}/workshop")
    assert page.locator("h1").inner_text() == "Werkstatt"
    types(page, "Saugleistung", "6,5")
    stands(served.folder / "workshop.toml", 'flow = "6.5 m³/h"', page)
    context.close()


def test_a_data_sheet_is_typed_and_its_picture_kept(served: Served, page: Any, tmp_path: Path) -> None:
    page.goto(f"{served.url}/materials/new?kind=prepreg&to=/new")
    types(page, "Its name here", "Twill 245")
    types(page, "The data sheet", "Invented cloth, issue 3")
    page.get_by_role("button", name="Begin").click()
    page.wait_for_url(re.compile("/materials/prepreg/twill-245"), timeout=WAIT)
    file = served.folder / "materials" / "twill-245.toml"
    types(page, "Fibre only", "245")
    stands(file, 'areal_weight = "245 g/m²"', page)
    assert 'but = {areal_weight = "data sheet"}' in file.read_text(encoding="utf-8")
    page.get_by_label("Fibre only: rests on").select_option("measured here")
    stands(file, 'areal_weight = "measured here"', page)
    Image.new("RGB", (60, 40), "#dde").save(tmp_path / "sheet.png")
    page.set_input_files("input[type=file]", tmp_path / "sheet.png")
    page.locator("img.over").wait_for(timeout=WAIT)
    assert (served.folder / "materials" / "sheets" / "twill-245.png").read_bytes() == (
        tmp_path / "sheet.png"
    ).read_bytes()
    assert page.request.get(f"{served.url}/materials/sheets/..%2Ftwill-245.toml").status in (400, 404)
    page.goto(f"{served.url}/materials")
    row = page.get_by_role("row", name="twill-245")
    assert "245 g/m²" in row.inner_text()
    assert "own" in row.inner_text()


def test_a_mesh_is_dropped_its_unit_said_and_its_pages_open(served: Served, page: Any, tmp_path: Path) -> None:
    mesh = tmp_path / "shell.stl"
    demo_shop.MOULDS["jobs/right-thigh-brace/mould.stl"](mesh)
    page.goto(f"{served.url}/new")
    page.get_by_role("button", name="the mesh of a mould").click()
    place = page.locator(".drop")
    place.wait_for(timeout=WAIT)
    wrong = tmp_path / "shell.obj"
    wrong.write_bytes(mesh.read_bytes())
    page.set_input_files("input[type=file]", wrong)
    page.get_by_role("alert").wait_for(timeout=WAIT)
    assert "its name says OBJ" in page.get_by_role("alert").inner_text()
    page.set_input_files("input[type=file]", mesh)
    page.get_by_role("button", name="mm: 310 mm × 230 mm").click(timeout=WAIT)
    types(page, "What is the part called?", "Left shell")
    page.get_by_role("button", name="Make the job").click()
    page.wait_for_url("**/job/left-shell/mould", timeout=WAIT)
    folder = served.folder / "jobs" / "left-shell"
    assert (folder / "mould.stl").read_bytes() == mesh.read_bytes()
    assert 'unit = "mm"' in (folder / "job.toml").read_text(encoding="utf-8")
    assert not list((served.folder / "jobs").glob(".*"))


@pytest.mark.parametrize(
    "address", ["/workshop", "/materials", "/materials/new", "/materials/prepreg/twill-200", "/new"]
)
def test_nothing_of_it_keeps_people_out(served: Served, browser: Any, address: str) -> None:
    """No serious fault by WCAG 2.2 as axe-core reads it; nothing wider than the page down to 360 px (1.4.10)."""
    from axe_playwright_python.sync_playwright import Axe

    context = browser.new_context(viewport={"width": 1440, "height": 900}, locale="de-DE", color_scheme="dark")
    page = context.new_page()
    page.goto(served.url + address)
    page.locator("main h1").wait_for(timeout=WAIT)
    page.wait_for_timeout(800)
    faults = [v for v in Axe().run(page).response["violations"] if v["impact"] in ("serious", "critical")]
    assert not faults, [(v["id"], [n["html"][:160] for n in v["nodes"][:3]]) for v in faults]
    for width in (1024, 768, 390, 360):
        page.set_viewport_size({"width": width, "height": 800})
        page.wait_for_timeout(100)
        assert page.evaluate("document.documentElement.scrollWidth - window.innerWidth") <= 1, width
    context.close()
