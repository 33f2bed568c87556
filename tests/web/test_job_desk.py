"""One job as several windows see it: edits, faults, conflicts, and what is planned anew."""

from __future__ import annotations

import queue
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from bagside.errors import InputError
from bagside.spec.library import workshop_library
from bagside.web.house import House
from bagside.web.model.job_desk import JobDesk
from bagside.web.model.text_file import Conflict
from bagside.web.work.crew import Crew


class Loop:
    """Stands for the event loop: what child processes say waits here until the test looks."""

    def __init__(self) -> None:
        self.calls: queue.Queue[tuple[Callable[..., object], tuple[Any, ...]]] = queue.Queue()

    def back(self, function: Callable[..., object], *arguments: Any) -> None:
        self.calls.put((function, arguments))

    def until(self, done: Callable[[], bool], seconds: float = 60.0) -> None:
        end = time.monotonic() + seconds
        while not done():
            function, arguments = self.calls.get(timeout=max(end - time.monotonic(), 0.01))
            function(*arguments)


@pytest.fixture(scope="module")
def loop() -> Iterator[tuple[Loop, Crew]]:
    found = Loop()
    crew = Crew(found.back)
    yield found, crew
    crew.close()


@pytest.fixture
def desk(loop: tuple[Loop, Crew], shop: Path) -> JobDesk:
    library = workshop_library(shop)
    return JobDesk("footrest-plate", shop / "jobs" / "footrest-plate", loop[1], lambda: library)


def quantity(number: int) -> Callable[[Any], None]:
    def change(document: Any) -> None:
        document["quantity"] = number

    return change


def test_planning_tells_what_each_page_shows_and_ends_fresh(loop: tuple[Loop, Crew], desk: JobDesk) -> None:
    told: list[str] = []
    desk.watch(told.append)
    desk.look()
    assert desk.working is not None
    loop[0].until(lambda: desk.planned is not None)
    assert desk.trouble == ""
    assert desk.fresh
    assert desk.is_fresh("time")
    assert "view:time" in told
    assert desk.planned is not None
    assert desk.planned.quantity == 6
    before = desk.shown["time"].digest
    desk.edit("three off", quantity(3), seen=desk.file.revision)
    assert not desk.fresh
    loop[0].until(lambda: desk.fresh)
    assert desk.planned.quantity == 3
    assert desk.shown["time"].digest != before
    desk.undo()
    loop[0].until(lambda: desk.fresh)
    assert desk.planned.quantity == 6


def test_a_fault_is_refused_and_nothing_is_written(desk: JobDesk) -> None:
    text = desk.file.text
    with pytest.raises(InputError, match="quantity"):
        desk.edit("none off", quantity(0))
    assert desk.file.path.read_text(encoding="utf-8") == text
    assert desk.file.undone_next is None


def test_a_job_that_is_not_whole_yet_may_be_worked_on(loop: tuple[Loop, Crew], shop: Path) -> None:
    folder = shop / "jobs" / "begun"
    folder.mkdir()
    (folder / "job.toml").write_text('name = "begun"\nquantity = 1\n', encoding="utf-8")
    library = workshop_library(shop)
    desk = JobDesk("begun", folder, loop[1], lambda: library)
    assert desk.problems
    desk.edit("two off", quantity(2))
    assert "quantity = 2" in desk.file.text
    assert desk.working is None  # nothing is planned while something is missing
    with pytest.raises(InputError, match="quantity"):
        desk.edit("many off", lambda document: document.update(quantity="many"))


def test_a_change_that_lays_bare_what_was_hidden_passes(loop: tuple[Loop, Crew], shop: Path) -> None:
    """A ply of a region that is not stated cannot be told while the file lacks its table of the cure."""
    folder = shop / "jobs" / "footrest-plate"
    text = (folder / "job.toml").read_text(encoding="utf-8")
    hidden = text.replace('region = "corners"', 'region = "korners"').replace("[cure]", "[kure]")
    assert hidden.count("korners") == 1
    (folder / "job.toml").write_text(hidden, encoding="utf-8")
    library = workshop_library(shop)
    desk = JobDesk("footrest-plate", folder, loop[1], lambda: library)
    assert not any("korners" in str(p) for p in desk.problems)

    def mended(document: Any) -> None:
        document["cure"] = document.pop("kure")

    desk.edit("the cure stated", mended)
    assert any("korners" in str(p) for p in desk.problems)  # and now it is told


def test_the_second_of_two_windows_is_told(desk: JobDesk) -> None:
    seen = desk.file.revision
    desk.edit("three off", quantity(3), seen=seen, who="Ada", plan=False)
    with pytest.raises(Conflict, match="Ada"):
        desk.edit("four off", quantity(4), seen=seen, who="Bo", plan=False)
    assert "quantity = 3" in desk.file.text


def test_a_file_changed_outside_is_seen_by_every_window(desk: JobDesk) -> None:
    told: list[str] = []
    desk.watch(told.append)
    path = desk.file.path
    path.write_text(path.read_text(encoding="utf-8").replace("Footrest", "Foot rest"), encoding="utf-8")
    desk.look()
    assert "text" in told
    assert "Foot rest" in desk.file.text
    desk.stop()


def test_a_window_that_is_closed_hears_no_more(desk: JobDesk) -> None:
    told: list[str] = []
    unwatch = desk.watch(told.append)
    unwatch()
    unwatch()
    desk.edit("three off", quantity(3), plan=False)
    assert told == []


def test_a_house_shares_one_desk_and_refuses_other_names(shop: Path) -> None:
    house = House(shop)
    try:
        assert house.jobs() == ("footrest-plate",)
        assert house.job("footrest-plate") is house.job("footrest-plate")
        for name in ("../shop", "", "nowhere", "footrest-plate/.."):
            with pytest.raises(InputError):
                house.job(name)
        for name in ("materials/../workshop.toml", "materials/.toml", "jobs/x.toml", "/etc/passwd", "stock.toml"):
            with pytest.raises(InputError):
                house.file(name)
        assert house.file("workshop.toml").document()["currency"] == "EUR"
    finally:
        house.close()


def test_blobs_do_not_grow_without_end(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("bagside.web.house.MOST_BLOBS", 1000)
    house = House(shop)
    try:
        first = house.blob(b"a" * 600)
        assert house.blob(b"a" * 600) == first
        house.blob(b"b" * 600)
        assert sum(map(len, house.blobs.values())) == 600
    finally:
        house.close()


class Idle:
    """A crew that is asked and does nothing."""

    def __init__(self) -> None:
        self.asked = 0

    def ask(self, *_: Any, **__: Any) -> None:
        self.asked += 1

    def stop(self, *_: Any) -> None:
        pass


def test_a_file_that_a_hand_has_spoilt_is_told_once_and_taken_up_when_it_is_mended(shop: Path) -> None:
    crew, folder = Idle(), shop / "jobs" / "footrest-plate"
    desk = JobDesk("footrest-plate", folder, crew, lambda: None)  # type: ignore[arg-type]
    path = folder / "job.toml"
    good = path.read_bytes()
    told: list[str] = []
    desk.watch(told.append)
    desk.look()
    for spoilt, says in ((b"\xff\xfe\x00", "this is not UTF-8 text"), (good + b"\n[[plies\n", "this is not TOML")):
        path.write_bytes(spoilt)
        asked = crew.asked
        told.clear()
        desk.look()
        desk.look()
        assert told.count("text") == 1
        assert says in str(desk.problems[0])
        assert crew.asked == asked  # nothing is planned
        path.write_bytes(good)
        desk.look()
        assert desk.problems == ()
        assert crew.asked == asked + 1


def test_a_folder_that_was_renamed_is_told_and_never_made_anew(shop: Path) -> None:
    folder = shop / "jobs" / "footrest-plate"
    desk = JobDesk("footrest-plate", folder, Idle(), lambda: None)  # type: ignore[arg-type]
    desk.edit("three off", quantity(3), plan=False)
    folder.rename(shop / "jobs" / "other")
    desk.look()
    assert "it is no longer there: deleted, or renamed" in str(desk.problems[0])
    for act in (desk.undo, lambda: desk.edit("two off", quantity(2))):
        with pytest.raises(InputError):
            act()
    assert not folder.exists()
    (shop / "jobs" / "other").rename(folder)
    desk.look()
    assert desk.problems == ()


def test_a_page_that_cannot_show_a_spoilt_file_keeps_no_other_from_hearing(shop: Path) -> None:
    folder = shop / "jobs" / "footrest-plate"
    desk = JobDesk("footrest-plate", folder, Idle(), lambda: None)  # type: ignore[arg-type]

    def shows(_: str) -> None:
        desk.file.document()

    told: list[str] = []
    desk.watch(shows)
    desk.watch(told.append)
    (folder / "job.toml").write_text("[[plies", encoding="utf-8")
    desk.look()
    assert "text" in told
