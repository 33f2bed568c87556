"""The cutting table behind its page: pinned, nested, undone, taken off the stock once and only as agreed."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from bagside.errors import InputError
from bagside.findings import Basis, Finding, Severity
from bagside.planning.cut_jobs import cut_jobs
from bagside.planning.layouts import StoredCopy, StoredLayout
from bagside.planning.stages import Stages
from bagside.records.layout_file import read_layouts, write_layouts
from bagside.records.with_stock import opened_jobs
from bagside.spec.reading import load_toml, stated_from
from bagside.spec.stock import Stock
from bagside.web.model.cut_bench import CutBench, Put, cut_bench
from bagside.web.model.job_desk import JobDesk
from bagside.web.pages.cut.nest import put_from
from bagside.web.pages.cut.page import CutPage
from bagside.web.views.cut.shown import KitView
from bagside.web.views.cut.view import kit_view
from bagside.web.words.tongue import Tongue
from bagside.web.work.accept_task import Taken, take_off, what_it_takes
from bagside.web.work.child import Ended, Teller
from bagside.web.work.nest_task import Grown, Nested, nest_cloth
from tapeshop import written_in

PUT = Put(cloth="twill-200", piece="2", kit="1", turn=0.0, x=1.2, y=0.4)


class Hands:
    """A crew that works when it is told to, in this process."""

    def __init__(self) -> None:
        self.asked: list[tuple[str, Callable[..., Any], tuple[Any, ...], Any, Any]] = []
        self.stopped: list[str] = []

    def ask(self, key: str, function: Callable[..., Any], *arguments: Any, heard: Any, ended: Any, **_: Any) -> None:
        self.asked.append((key, function, arguments, heard, ended))

    def stop(self, key: str) -> None:
        self.stopped.append(key)

    def work(self) -> None:
        """Do the first thing that was asked for that is not a plan."""
        at = next(k for k, (key, *_) in enumerate(self.asked) if not key.startswith("plan:"))
        _, function, arguments, heard, ended = self.asked.pop(at)
        try:
            done = Ended(result=function(Teller(heard, threading.Event()), *arguments))
        except InputError as error:
            done = Ended(error=error)
        ended(done)

    @property
    def plans(self) -> int:
        return sum(key.startswith("plan:") for key, *_ in self.asked)


@pytest.fixture
def job(tmp_path: Path) -> Path:
    folder = written_in(tmp_path).parent
    found = cut_jobs(opened_jobs([folder], None), Stages(), seconds=0.0)
    write_layouts(folder, found.layouts(cut=False))
    return folder


@pytest.fixture
def kit(job: Path) -> KitView:
    (opened,) = opened_jobs([job], None)
    (found,) = cut_jobs([opened], Stages(), seconds=0.0, before=read_layouts(job)).kits
    return kit_view(found, opened.library)


@pytest.fixture
def hands() -> Hands:
    return Hands()


@pytest.fixture
def bench(job: Path, hands: Hands) -> CutBench:
    desk = JobDesk("plate", job, hands, lambda: None)  # type: ignore[arg-type]
    found = cut_bench(desk)
    assert cut_bench(desk) is found
    found.keeps = desk  # type: ignore[attr-defined]  # it does not hold the desk itself
    return found


def copy_of(layout: StoredLayout, piece: str, kit: str) -> StoredCopy:
    (found,) = (c for cloth in layout.cloths for c in cloth.copies if (c.piece, c.kit) == (piece, kit))
    return found


def test_the_view_tells_what_is_on_the_cloth(kit: KitView) -> None:
    (cloth,) = kit.cloths
    assert sorted((c.piece, c.kit) for c in cloth.copies) == [(p, k) for p in "123" for k in "12"]
    assert sorted(c.number for c in cloth.copies) == [1, 2, 3, 4, 5, 6]
    assert cloth.pull > 0.0
    assert kit.used == pytest.approx(kit.pieces_area / (cloth.pull * cloth.width))
    kept = sum(area for area, _ in cloth.left)
    assert kit.scrap == pytest.approx(cloth.pull * cloth.width - kit.pieces_area - kept)
    assert kit.parts == ("1", "2")


def test_a_copy_that_is_put_somewhere_is_nested_round_and_can_be_taken_back(
    job: Path, kit: KitView, bench: CutBench, hands: Hands
) -> None:
    before = (job / "layout.json").read_text(encoding="utf-8")
    heard: list[str] = []
    bench.watch(heard.append)
    bench.pin(kit, PUT, 1.0, "2 of part 1 pinned")
    assert bench.nesting == "twill-200"
    hands.work()
    assert not bench.nesting
    assert bench.trouble == ""
    (layout,) = read_layouts(job)
    copy = copy_of(layout, "2", "1")
    assert (copy.x, copy.y, copy.pinned) == (1.2, 0.4, True)
    assert hands.plans == 1
    assert "grown" in heard
    assert bench.curve["twill-200"]
    assert bench.done["twill-200"].stored == layout
    assert bench.undo_next == "2 of part 1 pinned"
    bench.undo()
    assert (job / "layout.json").read_text(encoding="utf-8") == before
    assert (bench.undo_next, bench.redo_next) == ("", "2 of part 1 pinned")
    bench.redo()
    assert read_layouts(job) == (layout,)


def after_a_restart(job: Path, hands: Hands) -> tuple[CutBench, JobDesk]:
    desk = JobDesk("plate", job, hands, lambda: None)  # type: ignore[arg-type]
    return CutBench(desk), desk


def test_a_restart_forgets_no_layout(job: Path, kit: KitView, bench: CutBench, hands: Hands) -> None:
    before = (job / "layout.json").read_text(encoding="utf-8")
    bench.pin(kit, PUT, 0.0, "2 of part 1 pinned")
    hands.work()
    pinned = (job / "layout.json").read_text(encoding="utf-8")
    bench, _desk = after_a_restart(job, hands)
    assert (bench.undo_next, bench.redo_next) == ("2 of part 1 pinned", "")
    bench.undo()
    assert (job / "layout.json").read_text(encoding="utf-8") == before
    bench, _desk = after_a_restart(job, hands)
    assert (bench.undo_next, bench.redo_next) == ("", "2 of part 1 pinned")
    bench.redo()
    assert (job / "layout.json").read_text(encoding="utf-8") == pinned


def test_a_layout_of_other_pieces_is_not_gone_back_to(
    job: Path, kit: KitView, bench: CutBench, hands: Hands
) -> None:
    bench.pin(kit, PUT, 0.0, "pinned")
    hands.work()
    (layout,) = read_layouts(job)
    fewer = [replace(c, copies=tuple(k for k in c.copies if k.piece != "3")) for c in layout.cloths]
    write_layouts(job, [replace(layout, cloths=tuple(fewer))])  # the plan lays a job that has lost a piece
    assert bench.undo_next == ""
    bench.undo()
    assert read_layouts(job)[0].cloths == tuple(fewer)


def test_a_layout_that_is_broken_is_told_and_never_written_over(
    job: Path, kit: KitView, bench: CutBench, hands: Hands
) -> None:
    (job / "layout.json").write_bytes(b"\xff\xfe\x00half")
    assert bench.undo_next == ""
    for act in (lambda: bench.pin(kit, PUT, 0.0, "x"), lambda: bench.loosen(kit, "2", "1", "x")):
        with pytest.raises(InputError, match=r"no stored layout|not UTF-8"):
            act()
    assert (job / "layout.json").read_bytes() == b"\xff\xfe\x00half"


def test_a_pin_is_taken_off_and_the_copy_stays(job: Path, kit: KitView, bench: CutBench, hands: Hands) -> None:
    bench.pin(kit, PUT, 0.0, "pinned")
    hands.work()
    bench.loosen(kit, "2", "1", "loosened")
    (layout,) = read_layouts(job)
    copy = copy_of(layout, "2", "1")
    assert (copy.x, copy.y, copy.pinned) == (1.2, 0.4, False)


def test_what_cannot_be_is_told_and_nothing_is_changed(job: Path, kit: KitView, bench: CutBench, hands: Hands) -> None:
    before = (job / "layout.json").read_text(encoding="utf-8")
    bench.pin(kit, replace(PUT, turn=0.5), 0.0, "turned")
    hands.work()
    assert isinstance(bench.trouble, InputError)
    assert "which its cloth does not allow" in str(bench.trouble)
    assert (job / "layout.json").read_text(encoding="utf-8") == before
    assert bench.undo_next == ""
    with pytest.raises(InputError, match="no longer there"):
        bench.pin(kit, replace(PUT, piece="99"), 0.0, "x")
    with pytest.raises(InputError, match="nothing lies on this cloth"):
        bench.pin(kit, replace(PUT, cloth="O-77"), 0.0, "x")


def test_a_copy_put_over_the_edge_goes_back_to_the_margin(
    job: Path, kit: KitView, bench: CutBench, hands: Hands
) -> None:
    bench.pin(kit, replace(PUT, x=-0.3, y=-0.2), 0.0, "put over two edges")
    hands.work()
    assert bench.trouble == ""
    (cloth,) = bench.done["twill-200"].cloths
    (own,) = (c for c in cloth.copies if c.pinned)
    low = own.loops[0].min(axis=0)
    (opened,) = opened_jobs([job], None)
    table, roll = opened.workshop.table, opened.workshop.stock[0]
    assert low == pytest.approx((table.margin, table.margin + roll.selvedge), abs=3e-4)


def test_the_task_grows_and_listens(job: Path) -> None:
    (layout,) = read_layouts(job)
    told: list[Grown] = []
    stop = threading.Event()

    def say(value: Grown) -> None:
        told.append(value)
        if len(told) == 2:
            stop.set()

    done = nest_cloth(Teller(say, stop), job / "job.toml", layout, 60.0)
    assert isinstance(done, Nested)
    assert len(told) == 2
    for grown in told:
        assert grown.material == "twill-200"
        if grown.cloths is not None:
            assert sum(len(c.copies) for c in grown.cloths) == 6
    assert done.kit.stored == read_layouts(job)[0]


def test_cutting_is_taken_off_once_and_only_as_agreed(job: Path) -> None:
    teller = Teller(lambda _: None, threading.Event())
    asked = what_it_takes(teller, job / "job.toml", "Ada", "desk")
    assert not (job.parents[1] / "stock.toml").exists()
    ((roll, length),) = asked.lengths
    assert roll == "twill-200"
    with pytest.raises(InputError, match="nested anew meanwhile"):
        take_off(teller, job / "job.toml", "Ada", "desk", "another")
    assert not (job.parents[1] / "stock.toml").exists()
    took = take_off(teller, job / "job.toml", "Ada", "desk", asked.digest)
    assert took == asked
    path = job.parents[1] / "stock.toml"
    stock = stated_from(load_toml(path), Stock, path.name)
    assert [(t.roll, t.length) for t in stock.taken] == [(roll, length)]
    assert [o.name for o in stock.offcuts] == [name for name, _, _ in asked.kept]
    assert read_layouts(job)[0].cut_on is not None
    with pytest.raises(InputError, match="all of it is cut already"):
        what_it_takes(teller, job / "job.toml", "Ada", "desk")


def test_what_was_asked_for_stands_until_it_is_agreed_to_or_left(job: Path, bench: CutBench, hands: Hands) -> None:
    bench.ask("Ada", "desk")
    assert bench.asking
    hands.work()
    assert isinstance(bench.taking, Taken)
    bench.leave()
    assert bench.taking is None
    bench.accept("Ada", "desk")
    assert not [key for key, *_ in hands.asked if key.startswith("off:")]
    bench.ask("Ada", "desk")
    hands.work()
    bench.accept("Ada", "desk")
    hands.work()
    assert bench.took is not None
    assert hands.plans == 1
    assert bench.undo_next == ""
    bench.ask("Ada", "desk")
    hands.work()
    assert "all of it is cut already" in str(bench.trouble)


@pytest.mark.parametrize(
    "told",
    [
        None,
        {},
        {"cloth": "R", "piece": "1", "kit": "1", "turn": 0, "x": "far", "y": 0, "flipped": False},
        {"cloth": "R", "piece": "1", "kit": "1", "turn": 0, "x": float("nan"), "y": 0, "flipped": False},
        {"cloth": "R", "piece": "1", "kit": "1", "turn": 0, "x": float("inf"), "y": 0, "flipped": False},
    ],
)
def test_what_a_browser_sends_is_looked_at(told: Any) -> None:
    with pytest.raises(InputError, match=r"place|where it was put"):
        put_from(told)
    good = {"cloth": "R", "piece": "1", "kit": "2", "turn": 3, "x": 1, "y": 2, "flipped": False}
    assert put_from(good) == Put(cloth="R", piece="1", kit="2", turn=3.0, x=1.0, y=2.0)



def test_records_take_what_is_cut_with_who_and_where(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from bagside.cli.app import outcome
    from bagside.ledger.bodies import Cut
    from bagside.ledger.things import Cloth
    from bagside.records.database import Ledger

    shop = job.parents[1]
    assert outcome(["stock", "begin", "--workshop", str(shop), "--who", "Ines"]) == 0
    teller = Teller(lambda _: None, threading.Event())
    asked = what_it_takes(teller, job / "job.toml", "Ada", "desk 2")
    assert asked.kits == ("P-1", "P-2")
    with Ledger.opened(shop) as ledger:
        before = len(list(ledger.events()))
    took = take_off(teller, job / "job.toml", "Ada", "desk 2", asked.digest)
    assert took == asked
    assert not (shop / "stock.toml").exists()
    with Ledger.opened(shop) as ledger:
        events = list(ledger.events())
        roll = next(t for t in ledger.things(there=None).values() if isinstance(t, Cloth) and t.name == "twill-200")
    cuts = [e for e in events if isinstance(e.body, Cut)]
    assert len(events) - before == len(cuts) == 1
    assert {(e.who, e.device) for e in cuts} == {("Ada", "desk 2")}
    assert roll.there
    with pytest.raises(InputError, match="all of it is cut already"):
        take_off(teller, job / "job.toml", "Ada", "desk 2", asked.digest)


def test_the_first_nest_is_stored_and_grows(job: Path, bench: CutBench) -> None:
    from bagside.planning.shaping import shaped_from
    from bagside.web.views.cut.view import early
    from bagside.web.work.child import Stopped
    from bagside.web.work.nest_task import nest_missing

    (job / "layout.json").unlink()
    (opened,) = opened_jobs([job], None)
    stages = Stages()
    shape = shaped_from(opened, stages, "job.toml")
    assert early(shape, opened, stages) is None
    halted = threading.Event()
    halted.set()
    with pytest.raises(Stopped):
        nest_missing(Teller(lambda _: None, halted), opened, shape, stages, ())
    assert not (job / "layout.json").exists()  # what was cut short is not kept for good
    desk = bench._desk()
    assert desk is not None
    told: list[Grown] = []

    def say(value: Grown) -> None:
        told.append(value)
        desk._heard(value, "revision")

    (layout,) = nest_missing(Teller(say, threading.Event()), opened, shape, stages, ())
    assert read_layouts(job) == (layout,)
    assert told
    assert bench.curve["twill-200"][-1][1] == told[-1].used
    first = early(shape, opened, stages)
    assert first is not None
    assert first.kits[0].stored == layout
    assert nest_missing(Teller(say, threading.Event()), opened, shape, stages, (layout,)) == (layout,)


def test_a_finding_of_the_cut_leads_to_what_can_be_done(kit: KitView) -> None:
    """Cloth that is wanted leads to the freezer; a poor nest is nested again, unless it is cut."""

    def offered(place: str, *, can: bool = True) -> list[str]:
        page = SimpleNamespace(sheet=SimpleNamespace(say=Tongue().say), kit=kit, _can=can, again=lambda: None)
        found = Finding(
            severity=Severity.WATCH, stage="cutting", place=place, what="a", why="b", do="c", basis=Basis.COMMON
        )
        return [text for text, _ in CutPage._verbs(page, found)]  # type: ignore[arg-type]

    assert offered(f"roll of {kit.material}") == ["receive a roll"]
    assert offered(f"nest of {kit.material}") == ["nest again"]
    assert offered(f"nest of {kit.material}", can=False) == []
    assert offered("piece 3A") == []
