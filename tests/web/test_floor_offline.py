"""The floor page without its server: ticks wait and arrive once and in order, timers outlive a reload.

In a real browser, because only that has IndexedDB, a service worker and a network that can be cut.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from bagside.ledger.bodies import Finished, Laid, Started, kind_of
from floorstand import BUILD, SETTLED, FloorServed, Stand, kept_on, named, opened, phone_of, presses, skip
from pageserver import CHROMIUM, FLAGS

PHONE = {"width": 390, "height": 844}


@pytest.fixture
def stand(floor_stand: Stand) -> Stand:
    return floor_stand


@pytest.fixture
def served(floor_served: FloorServed) -> FloorServed:
    return floor_served


@pytest.fixture
def phone(browser: Any, served: FloorServed) -> Iterator[Any]:
    with phone_of(browser, served, viewport=PHONE, timezone_id="Europe/Berlin") as page:
        yield page


def title(page: Any) -> str:
    return str(page.inner_text("h1"))


def lays(page: Any, ply: int, pieces: int = 1, boxes: int = 3) -> None:
    """Begin a ply, tick its pieces with both films, tick its boxes and finish it."""
    page.wait_for_selector(f"h1:text-matches('^Lay ply {ply}( |$|,)')")
    presses(page, "main")
    for _ in range(pieces):
        page.wait_for_selector("[data-key=film-0]")
        presses(page, "film-0", "film-1", "main")
    page.wait_for_selector(f"h1:text-is('Check ply {ply}')")
    for n in range(boxes):
        if page.get_attribute(f"[data-key=box-{n}]", "aria-pressed") == "false":
            presses(page, f"box-{n}")
    presses(page, "main")


def synced(page: Any) -> str:
    return str(page.inner_text("[data-key=sync]"))


def sent(page: Any) -> None:
    page.wait_for_selector("[data-key=sync]:text-matches('^sent')", timeout=60_000)


def told_by(stand: Stand) -> list[Any]:
    return [e.body for e in stand.events("phone-")]


TICKS: list[Any] = [
    Started(build=BUILD, step="ply-2"),
    Laid(build=BUILD, ply=2, piece="2", films=2),
    Finished(build=BUILD, step="ply-2", boxes=(0, 1, 2)),
    Started(build=BUILD, step="ply-3"),
    Laid(build=BUILD, ply=3, piece="3", films=2),
    Laid(build=BUILD, ply=3, piece="3", films=2),
    Finished(build=BUILD, step="ply-3", boxes=(0, 1, 2, 3)),
    Started(build=BUILD, step="ply-4"),
    Laid(build=BUILD, ply=4, piece="4", films=2),
    Finished(build=BUILD, step="ply-4", boxes=(0, 1, 2)),
]


def test_ten_ticks_without_network_or_server_arrive_once_and_in_order(
    phone: Any, served: FloorServed, stand: Stand
) -> None:
    """The network is cut, the server killed; the page is reloaded in between; both come back one after the other."""
    phone.context.set_offline(True)
    served.kill()
    lays(phone, 2)
    lays(phone, 3, pieces=2, boxes=4)
    phone.wait_for_selector("[data-key=sync]:text-is('7 waiting to send')")
    ready_for_reload(phone)
    phone.reload()
    phone.wait_for_selector("[data-key=main]")
    lays(phone, 4)
    phone.wait_for_selector("[data-key=sync]:text-is('10 waiting to send')")
    assert "No network. Go on working." in phone.inner_text("main")
    assert told_by(stand) == []
    phone.context.set_offline(False)  # the network is back, the server is not
    phone.wait_for_timeout(1200)
    assert synced(phone) == "10 waiting to send"
    served.start()
    sent(phone)
    assert told_by(stand) == TICKS
    times = [e.at for e in stand.events("phone-")]
    assert times == sorted(set(times))
    phone.reload()
    phone.wait_for_selector("h1:text-is('Lay ply 5')")
    phone.wait_for_timeout(500)
    assert told_by(stand) == TICKS


def ready_for_reload(page: Any) -> None:
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")


def test_an_answer_that_is_lost_costs_nothing(phone: Any, stand: Stand) -> None:
    """The server takes the events, and the network dies before it can say so: they are sent again and count once."""
    lost: list[int] = []

    def loses(route: Any) -> None:
        if len(lost) < 2:
            lost.append(route.fetch().status)
            route.abort()
        else:
            route.continue_()

    phone.route("**/floor/events", loses)
    lays(phone, 2)
    sent(phone)
    assert lost == [200, 200]
    assert told_by(stand) == TICKS[:3]


def test_the_server_killed_in_the_middle_of_sending_costs_nothing(
    phone: Any, served: FloorServed, stand: Stand
) -> None:
    phone.context.set_offline(True)
    lays(phone, 2)
    lays(phone, 3, pieces=2, boxes=4)
    phone.context.set_offline(False)
    served.kill()
    served.start()
    sent(phone)
    assert told_by(stand) == TICKS[:7]


def test_a_timer_outlives_a_reload_and_the_debulk_is_as_long_as_it_was(phone: Any, stand: Stand) -> None:
    stand.keep(*TICKS[:7], *lays_bodies(4), *lays_bodies(5), ago=30.0)
    phone.reload()
    phone.wait_for_selector("h1:text-is('Debulk under vacuum')")
    presses(phone, "main")
    phone.wait_for_selector(".clock")
    assert phone.inner_text(".clock") in ("10:00", "9:59", "9:58")
    assert phone.get_attribute("[data-key=main]", "aria-disabled") == "true"
    assert phone.inner_text("[data-key=main]") == "then: ply 6"
    ends = phone.inner_text(".time b")
    sent(phone)
    phone.context.set_offline(True)
    ready_for_reload(phone)
    phone.reload()
    phone.wait_for_selector(".clock")
    assert phone.inner_text(".time b") == ends
    left = phone.inner_text(".clock").split(":")
    assert 540 < 60 * int(left[0]) + int(left[1]) <= 600
    presses(phone, "gauge")
    phone.keyboard.type("45")
    phone.keyboard.press("Enter")
    phone.wait_for_selector(".clock")
    skip(phone, 11 * 60)  # the clock of the device goes on; the page is looked at again
    phone.wait_for_selector("[data-key=main]:not([aria-disabled])")
    assert phone.inner_text(".clock") == "0:00"
    presses(phone, "main")
    phone.wait_for_selector("h1:text-is('Lay ply 6')")
    told = kept_on(phone)
    assert [t["kind"] for t in told] == ["debulked", "finished"]
    assert told[0]["data"]["after"] == 5
    assert told[0]["data"]["pressure"] == pytest.approx(4500.0)
    assert 660 <= told[0]["data"]["seconds"] < 720


def lays_bodies(ply: int) -> list[Any]:
    return [
        Laid(build=BUILD, ply=ply, piece=str(ply), films=2), Finished(build=BUILD, step=f"ply-{ply}", boxes=(0, 1, 2)),
    ]  # fmt: skip


def test_what_is_refused_stays_on_the_device_until_a_person_decides(phone: Any, stand: Stand) -> None:
    """Somebody else ticked the same piece while this phone was away."""
    phone.context.set_offline(True)
    lays(phone, 2)
    stand.keep(Laid(build=BUILD, ply=2, piece="2", films=2), ago=1.0)
    phone.context.set_offline(False)
    phone.wait_for_selector("[data-key=sync]:text-is('1 refused')", timeout=60_000)
    presses(phone, "sync")
    assert "Ben ticked it" in phone.inner_text(".gate")
    phone.click(SETTLED + "button:text-is('keep as a note')")
    phone.wait_for_selector("text=Everything is sent.")
    assert [kind_of(b) for b in told_by(stand)] == ["started", "finished"]
    phone.keyboard.press("Escape")
    presses(phone, "note")
    assert "Ben ticked it" in phone.input_value("#note")


def test_a_tick_by_mistake_is_taken_back_before_and_after_it_is_sent(phone: Any, stand: Stand) -> None:
    phone.context.set_offline(True)
    presses(phone, "main")
    presses(phone, "film-0", "film-1", "main")
    presses(phone, "back", "mistake")
    phone.wait_for_selector("[data-key=film-0]")
    assert [t["kind"] for t in kept_on(phone)] == ["started"]
    phone.context.set_offline(False)
    for film in ("film-0", "film-1"):  # they are off as they were: only the tick was a mistake
        assert phone.get_attribute(f"[data-key={film}]", "aria-pressed") == "true"
    presses(phone, "main")
    sent(phone)
    presses(phone, "back", "mistake")
    phone.wait_for_selector("[data-key=film-0]")
    sent(phone)
    assert [kind_of(b) for b in told_by(stand)] == ["started", "laid", "corrected"]


def test_a_tick_taken_back_while_it_is_on_its_way_is_corrected(phone: Any, stand: Stand) -> None:
    """The server has it and the phone does not know yet: dropped from the phone alone, it would stay in the records."""
    presses(phone, "main")
    presses(phone, "film-0", "film-1")
    sent(phone)
    held: list[Any] = []

    def holds(route: Any) -> None:
        if held:
            route.continue_()
        else:
            held.append((route, route.fetch()))

    phone.route("**/floor/events", holds)
    with phone.expect_request("**/floor/events"):
        presses(phone, "main")
    presses(phone, "back", "mistake")
    phone.wait_for_selector("[data-key=film-0]")
    ((route, answer),) = held
    route.fulfill(response=answer)
    sent(phone)
    assert [kind_of(b) for b in told_by(stand)] == ["started", "laid", "corrected"]
    assert phone.inner_text("h1") == "Lay ply 2"


def test_a_note_is_kept_as_it_is_typed_and_goes_with_its_step(phone: Any, stand: Stand) -> None:
    presses(phone, "note")
    phone.fill("#note", "fold at the bow")
    phone.evaluate("""async () => {
      const { all } = await import("/floor/app/store.js");
      const kept = async () => (await all("drafts")).some((draft) => draft.text === "fold at the bow");
      while (!(await kept())) await new Promise((done) => setTimeout(done, 50));
    }""")
    phone.reload()  # the battery died before it was written down
    presses(phone, "note")
    assert phone.input_value("#note") == "fold at the bow"
    phone.click(SETTLED + ".go:text-is('write it down')")
    phone.wait_for_selector(".held:has-text('fold at the bow')")
    presses(phone, "main", "film-0", "film-1", "main")
    phone.wait_for_selector("h1:text-is('Check ply 2')")
    presses(phone, "main")  # the note says why boxes stay open
    phone.wait_for_selector("h1:text-is('Lay ply 3, piece 3, 1 of 2')")
    sent(phone)
    (finished,) = [body for body in told_by(stand) if isinstance(body, Finished)]
    assert (finished.note, finished.boxes) == ("fold at the bow", (0,)), "films that were ticked off tick their box"


def test_a_photo_waits_with_the_ticks_and_arrives_in_its_place(phone: Any, stand: Stand, tmp_path: Path) -> None:
    file = tmp_path / "ply.jpg"
    Image.new("RGB", (3000, 2000), "#336699").save(file, "JPEG")
    phone.context.set_offline(True)
    presses(phone, "main")
    phone.wait_for_selector("[data-key=film-0]")
    with phone.expect_file_chooser() as chooser:
        presses(phone, "photo")
    chooser.value.set_files(str(file))
    phone.wait_for_selector("[data-key=sync]:text-is('2 waiting to send')")
    presses(phone, "film-0", "film-1", "main")
    phone.wait_for_selector("[data-key=sync]:text-is('3 waiting to send')")
    phone.context.set_offline(False)
    sent(phone)
    told = told_by(stand)
    assert [kind_of(b) for b in told] == ["started", "photographed", "laid"]
    kept = stand.folder / "records-files" / told[1].file[:2] / told[1].file
    with Image.open(kept) as found:
        assert found.size == (2000, 1333)
    assert told[1].step == "ply-2"


def test_a_server_whose_disk_fails_keeps_everything_on_the_device(phone: Any, stand: Stand) -> None:
    """503 is no answer for any event."""
    answers = {"problems": [{"said": "the disk is full"}]}
    phone.route("**/floor/events", lambda route: route.fulfill(status=503, json=answers))
    presses(phone, "main")
    phone.wait_for_selector("[data-key=film-0]")
    presses(phone, "sync")
    phone.wait_for_selector("text=The server answers: the disk is full")
    assert [t["kind"] for t in kept_on(phone)] == ["started"]
    phone.unroute("**/floor/events")
    phone.keyboard.press("Escape")
    sent(phone)
    assert [kind_of(b) for b in told_by(stand)] == ["started"]


def test_a_device_that_is_no_longer_joined_keeps_its_ticks_and_says_so(phone: Any, stand: Stand) -> None:
    """The guard answers 401 to a device whose session ended."""
    phone.route("**/floor/**", lambda route: route.fulfill(status=401, json={"problems": [{"said": "join first"}]}))
    presses(phone, "main")
    phone.wait_for_selector("[data-key=sync]:text-is('Join again')")
    presses(phone, "sync")
    assert phone.get_attribute(".caution a", "href") == f"/join?to=%2Ffloor%2Fb%2F{BUILD}"
    assert [t["kind"] for t in kept_on(phone)] == ["started"]
    phone.unroute("**/floor/**")
    phone.keyboard.press("Escape")
    sent(phone)
    assert [kind_of(b) for b in told_by(stand)] == ["started"]


def test_a_phone_whose_clock_is_wrong_writes_the_time_of_the_workshop(
    browser: Any, served: FloorServed, stand: Stand
) -> None:
    """Nine days behind: the ledger would refuse what came before the build."""
    context = browser.new_context(viewport=PHONE, locale="en-GB")
    context.add_init_script("const real = Date.now.bind(Date); Date.now = () => real() - 9 * 864e5;")
    page = context.new_page()
    opened(page, served)
    presses(page, "main")
    page.wait_for_selector("[data-key=film-0]")
    sent(page)
    (event,) = stand.events("phone-")
    assert abs(event.at - datetime.now(UTC)) < timedelta(minutes=1)
    context.close()


def test_a_device_that_cannot_keep_a_tick_does_not_show_it(phone: Any, stand: Stand) -> None:
    """A full disk: what is not kept is not ticked, and the page says so."""
    phone.evaluate("""() => { IDBObjectStore.prototype.real = IDBObjectStore.prototype.put;
      IDBObjectStore.prototype.put = () => { throw new DOMException("the disk is full", "QuotaExceededError"); }; }""")
    presses(phone, "main")
    phone.wait_for_selector("[role=alert]")
    assert "This device could not keep that: the disk is full." in phone.inner_text("[role=alert]")
    assert phone.locator("[data-key=film-0]").count() == 0
    phone.evaluate("() => { IDBObjectStore.prototype.put = IDBObjectStore.prototype.real; }")
    presses(phone, "main")
    phone.wait_for_selector("[data-key=film-0]")
    sent(phone)
    assert [kind_of(b) for b in told_by(stand)] == ["started"]


def test_under_tls_the_page_opens_without_the_network_in_the_workshop_s_network_too(
    browser: Any, stand: Stand, tmp_path: Path
) -> None:
    """A name that is not this machine's, over TLS: a secure context, with the page kept on the device."""
    with remote(browser, stand, tmp_path, tls=True) as (page, served):
        assert page.evaluate("window.isSecureContext") is True
        presses(page, "builds")
        page.wait_for_selector("text=This page is kept on the device")
        page.keyboard.press("Escape")
        ready_for_reload(page)
        page.context.set_offline(True)
        served.kill()
        presses(page, "main")
        page.wait_for_selector("[data-key=film-0]")
        page.reload()
        page.wait_for_selector("[data-key=film-0]")
        assert [t["kind"] for t in kept_on(page)] == ["started"]
        kept = page.evaluate("""async () => {
          const found = await Promise.all((await caches.keys()).map(async (name) => (await caches.open(name)).keys()));
          return found.flat().map((request) => request.url);
        }""")
        assert kept
        assert all("/floor/build" not in address and "/events" not in address for address in kept)
        served.start()
        page.context.set_offline(False)
        sent(page)
        assert [kind_of(b) for b in told_by(stand)] == ["started"]


def test_over_plain_http_the_page_says_that_a_reload_offline_is_impossible(
    stand: Stand, browser: Any, tmp_path: Path
) -> None:
    """A name that is not this machine's is no secure context: no service worker, ticks wait all the same."""
    with remote(browser, stand, tmp_path) as (page, served):
        assert page.evaluate("window.isSecureContext") is False
        assert page.evaluate("'serviceWorker' in navigator") is False
        presses(page, "builds")
        page.wait_for_selector("text=Without the network do not reload this page")
        page.keyboard.press("Escape")
        page.context.set_offline(True)
        served.kill()
        presses(page, "main")
        page.wait_for_selector("[data-key=film-0]")
        assert "No network. Go on working; do not reload this page." in page.inner_text("main")
        served.start()
        page.context.set_offline(False)
        sent(page)
        assert [kind_of(b) for b in told_by(stand)] == ["started"]


@contextmanager
def remote(browser: Any, stand: Stand, root: Path, *, tls: bool = False) -> Iterator[tuple[Any, FloorServed]]:
    """Give a page under a name that is not this machine's, over plain http or TLS."""
    served = FloorServed(stand, root, bare=True, tls=tls)
    served.start()
    flags = [*FLAGS, "--host-resolver-rules=MAP floor.test 127.0.0.1"]
    flags += ["--ignore-certificate-errors"] if tls else []
    own = browser.browser_type.launch(executable_path=shutil.which(CHROMIUM) or None, args=flags)
    page = own.new_context(viewport=PHONE, locale="en-GB").new_page()
    try:
        page.goto(f"{'https' if tls else 'http'}://floor.test:{served.port}/floor/b/{BUILD}")
        named(page)
        yield page, served
    finally:
        own.close()
        served.stop()
