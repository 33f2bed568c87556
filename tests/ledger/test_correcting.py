"""Corrections: what counts after them, what they may not break, and what nothing of them can break."""

# ruff: noqa: E501 - sentences stand whole

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone

import pytest

from bagside.errors import InputError
from bagside.ledger.bodies import (
    Body,
    Corrected,
    Counted,
    Cut,
    CutPiece,
    Discarded,
    Logged,
    Moved,
    NewOffcut,
    Received,
    Released,
    Sort,
    Spent,
)
from bagside.ledger.correcting import as_corrected, broken_by, correction, origin
from bagside.ledger.event import Event, new_event
from bagside.ledger.replay import effective, replayed
from bagside.ledger.stock.as_stands import cut_from
from memory import Memory, hours, shop, square


def put_right(memory: Memory, event: Event, at: float, body: Body | None = None, **more: datetime) -> Event:
    """Keep a correction that is taken."""
    return memory.tell(correction(event, memory.history, why="mistyped", body=body, at=more.get("then")), at)


def against(memory: Memory, event: Event, at: float, body: Body | None = None, **more: datetime) -> list[str]:
    """Return why a correction is refused."""
    return memory.no(correction(event, memory.history, why="mistyped", body=body, at=more.get("then")), at)


def test_a_length_is_put_right() -> None:
    memory = shop()
    cut = memory.tell(cut_from(memory.cloth("R-1"), length=2.0), 3)
    put_right(memory, cut, 4, cut_from(memory.cloth("R-1"), length=1.5))
    assert memory.cloth("R-1").left == 8.5
    assert as_corrected(cut, memory.history).body.length == 1.5  # type: ignore[union-attr]


def test_what_never_happened_is_gone_with_what_came_of_it() -> None:
    memory = shop()
    cut = memory.tell(cut_from(memory.cloth("R-1"), length=2.0, offcuts=[NewOffcut(name="O-1", outline=square(0.5))]), 3)
    put_right(memory, cut, 4)
    assert memory.cloth("R-1").left == 10.0
    assert memory.thing("O-1") is None
    assert as_corrected(cut, memory.history) is None
    with pytest.raises(InputError, match="said already never to have happened"):
        correction(cut, memory.history, why="again")


def test_an_offcut_that_was_used_keeps_its_cut() -> None:
    memory = shop()
    cut = memory.tell(cut_from(memory.cloth("R-1"), length=2.0, offcuts=[NewOffcut(name="O-1", outline=square(0.5))]), 3)
    kit = memory.tell(cut_from(memory.cloth("O-1"), kits={"K-1": [CutPiece(label="1A", ply=1, area=0.1)]}), 4)
    assert against(memory, cut, 5) == [
        'cut, source, 2026-03-02 12:00 UTC: "O-1" – this would no longer hold: there was nothing of this name on '
        f"2026-03-02 12:00 UTC (correct event {kit.id[:8]} of Anna first, or with it)"
    ]
    put_right(memory, kit, 5)  # now it was never used
    put_right(memory, cut, 6)
    assert memory.thing("O-1") is None
    assert memory.thing("K-1") is None


def test_a_shorter_roll_must_still_give_what_was_cut() -> None:
    memory = shop()
    received = memory.history("R-1")[0]
    memory.tell(cut_from(memory.cloth("R-1"), length=6.0), 3)
    memory.tell(cut_from(memory.cloth("R-1"), length=3.0), 4)
    short = replace(received.body, length=8.0)  # type: ignore[type-var]
    (only,) = against(memory, received, 5, short)
    assert only.startswith("cut, length, 2026-03-02 12:00 UTC: 3.000 m – this would no longer hold: only 2.000 m is left of R-1")
    put_right(memory, received, 5, replace(received.body, length=9.5))  # type: ignore[type-var]
    assert memory.cloth("R-1").left == 0.5


def test_a_time_is_put_right_within_what_is_known() -> None:
    memory = shop()
    moved = memory.tell(Moved(things=("R-1",), to="cutting room"), 3)
    memory.tell(Moved(things=("R-1",), to="freezer"), 8)
    put_right(memory, moved, 9, moved.body, then=hours(5).astimezone(timezone(timedelta(hours=1))))
    assert [s.since for s in memory.cloth("R-1").stays] == [hours(1), hours(5), hours(8)]
    (only,) = against(memory, moved, 10, moved.body, then=hours(0.5))
    assert "there was nothing of this name on 2026-03-02 08:30 UTC" in only
    (only,) = against(memory, moved, 10, moved.body, then=hours(30))
    assert only.startswith("corrected, at: 2026-03-03 14:00 UTC – it is corrected on 2026-03-02 18:00 UTC: it had not")


def test_a_corrected_time_stays_when_only_the_rest_is_corrected_again() -> None:
    memory = shop()
    moved = memory.tell(Moved(things=("R-1",), to="cutting room"), 3)
    put_right(memory, moved, 4, moved.body, then=hours(2))
    put_right(memory, moved, 5, replace(moved.body, temperature=290.0))  # type: ignore[type-var]
    assert memory.cloth("R-1").stays[-1].since == hours(2)
    put_right(memory, moved, 6, moved.body, then=hours(3))  # back to what was told first
    assert memory.cloth("R-1").stays[-1].since == hours(3)


def test_another_roll_was_meant() -> None:
    memory = shop()
    memory.tell(Received(name="R-2", sort=Sort.ROLL, material="twill-200", length=5.0, width=1.25, batch="B7"), 2)
    cut = memory.tell(cut_from(memory.cloth("R-1"), length=2.0), 3)
    fixed = put_right(memory, cut, 4, cut_from(memory.cloth("R-2"), length=2.0))
    assert (memory.cloth("R-1").left, memory.cloth("R-2").left) == (10.0, 3.0)
    assert set(fixed.subjects) == {"R-1", "R-2"}
    (only,) = against(memory, cut, 5, Cut(source="R-9", length=1.0))
    assert 'cut, source, 2026-03-02 11:00 UTC: "R-9"' in only


def test_a_correction_can_be_corrected_and_taken_back() -> None:
    memory = shop()
    counted = memory.tell(Counted(thing="R-1", length=9.0), 3)
    first = put_right(memory, counted, 4, Counted(thing="R-1", length=8.0))
    put_right(memory, first, 5, Counted(thing="R-1", length=7.0))
    assert memory.cloth("R-1").left == 7.0
    second = put_right(memory, counted, 6, Counted(thing="R-1", length=6.0))
    assert memory.cloth("R-1").left == 6.0
    put_right(memory, second, 7)  # the second was never right: the first stands again, as it was corrected
    assert memory.cloth("R-1").left == 7.0
    put_right(memory, first, 8)
    assert memory.cloth("R-1").left == 9.0


def test_only_the_correction_that_stands_can_be_corrected() -> None:
    memory = shop()
    counted = memory.tell(Counted(thing="R-1", length=9.0), 3)
    first = put_right(memory, counted, 4, Counted(thing="R-1", length=8.0))
    put_right(memory, counted, 5, Counted(thing="R-1", length=7.0))
    with pytest.raises(InputError, match="another correction stands in its place"):
        correction(first, memory.history, why="x")
    by_hand = Corrected(corrects=first.id, subjects=("R-1",), why="x")
    assert memory.no(by_hand, 6) == [
        f'corrected, corrects: "{first.id[:8]}" – another correction stands in its place '
        "(correct that one, or the event itself)"
    ]


def test_a_thing_that_only_an_older_correction_named_learns_of_the_newer() -> None:
    memory = shop()
    memory.tell(Received(name="R-2", sort=Sort.ROLL, material="t", length=5.0), 1)
    memory.tell(Received(name="R-3", sort=Sort.ROLL, material="t", length=5.0), 1)
    counted = memory.tell(Counted(thing="R-1", length=4.0), 3)
    put_right(memory, counted, 4, Counted(thing="R-2", length=4.0))
    last = put_right(memory, counted, 5, Counted(thing="R-3", length=4.0))
    assert [memory.cloth(f"R-{k}").left for k in (1, 2, 3)] == [10.0, 5.0, 4.0]
    assert set(last.subjects) == {"R-1", "R-2", "R-3"}
    lacking = Corrected(corrects=counted.id, subjects=("R-1",), why="x")
    assert memory.no(lacking, 6) == [
        "corrected, subjects: R-1 – it touched, or touches now, R-2, R-3 as well (name everything)"
    ]


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (Corrected(corrects="0" * 32, subjects=("R-1",), why="x"), "no event of this id touches what is named here"),
        (Corrected(corrects="", subjects=("R-1",), why=" "), "say what was wrong"),
        (Corrected(corrects="", subjects=("R-1",), kind="corrected", why="x"), "state what happened, not another correction"),
        (Corrected(corrects="", subjects=("R-1",), kind="moved", data={"to": 3}, why="x"), "corrected, data, moved, things"),
        (Corrected(corrects="", subjects=("R-1",), kind="sung", why="x"), 'corrected, data, kind: "sung"'),
        (Corrected(corrects="", subjects=("R-1",), at=datetime(2026, 3, 2, tzinfo=timezone(timedelta(hours=2))), why="x"),
         "a time in UTC is wanted"),
    ],
)  # fmt: skip
def test_corrections_that_are_none(body: Corrected, words: str) -> None:
    memory = shop()
    moved = memory.tell(Moved(things=("R-1",), to="cutting room"), 3)
    body = body if body.corrects else replace(body, corrects=moved.id)
    assert words in memory.no(body, 5)[0]
    memory.put(new_event(body, who="A", device="b", at=hours(5)))  # were it kept all the same, nothing would raise
    assert memory.cloth("R-1").born == hours(1)


def test_what_cannot_be_said() -> None:
    memory = shop()
    moved = memory.tell(Moved(things=("R-1",), to="cutting room"), 3)
    for more, words in (
        ({"why": " "}, "say what was wrong"),
        ({"why": "x", "body": moved.body}, "it says the same as before"),
        ({"why": "x", "body": Corrected(corrects="", subjects=())}, "state what happened, not another correction"),
        ({"why": "x", "at": datetime(2026, 3, 2)}, "a time with its zone is wanted"),
    ):
        with pytest.raises(InputError, match=words):
            correction(moved, memory.history, **more)  # type: ignore[arg-type]


def test_places_and_moulds_keep_their_names() -> None:
    memory = shop()
    memory.tell(Received(name="M-1", sort=Sort.MOULD, material="tool"), 1)
    for name in ("freezer", "M-1"):
        received = memory.history(name)[0]
        sentence = "keeps its name and cannot be taken back: others name it"
        assert sentence in against(memory, received, 3)[0]
        assert sentence in against(memory, received, 3, replace(received.body, name="X-1"))[0]  # type: ignore[type-var]
    received = memory.history("freezer")[0]
    put_right(memory, received, 3, replace(received.body, temperature=253.15))  # type: ignore[type-var]
    assert memory.place("freezer").temperature == 253.15


def test_something_told_late_must_leave_what_is_known() -> None:
    memory = shop()
    memory.tell(cut_from(memory.cloth("R-1"), length=6.0), 5)
    memory.tell(cut_from(memory.cloth("R-1"), length=3.0), 3)
    assert memory.cloth("R-1").left == 1.0
    (only,) = memory.no(cut_from(memory.cloth("R-1"), length=2.0), 4)
    assert "cut, length, 2026-03-02 13:00 UTC: 6.000 m – this would no longer hold: only 5.000 m is left" in only
    (only,) = memory.no(Discarded(thing="R-1", why="sold"), 4)
    assert "this would no longer hold: it is gone since 2026-03-02 12:00 UTC: sold" in only


def test_a_group_is_judged_as_a_whole() -> None:
    memory = shop()
    cuts = [memory.tell(cut_from(memory.cloth("R-1"), length=5.0), 3 + k) for k in range(2)]
    received = memory.history("R-1")[0]
    roll = memory.cloth("R-1")
    short = correction(received, memory.history, why="it was 8 m", body=replace(received.body, length=8.0))  # type: ignore[type-var]
    less = [correction(c, memory.history, why="it was 4 m", body=cut_from(roll, length=4.0)) for c in cuts]
    assert memory.together([short], 6)
    assert memory.together([short, less[0]], 6)
    assert memory.together([short, *less], 6) == ()
    assert memory.cloth("R-1").left == 0.0


def test_only_what_can_change_is_looked_up() -> None:
    memory = shop()
    for k in range(5):
        memory.tell(cut_from(memory.cloth("R-1"), length=1.0, offcuts=[NewOffcut(name=f"O-{k}", outline=square(0.5))]), 3 + k)
    asked: list[str] = []

    def history(name: str) -> list[Event]:
        asked.append(name)
        return memory.history(name)

    late = new_event(Moved(things=("R-1",), to="cutting room"), who="A", device="b", at=hours(6.5))
    assert broken_by(late, history) == ()
    assert set(asked) == {"R-1", "O-4", "cutting room"}
    asked.clear()
    cut = memory.history("O-3")[0]
    event = new_event(correction(cut, memory.history, why="x", body=cut.body, at=hours(5.5)), who="A", device="b", at=hours(9))
    assert broken_by(event, history) == ()
    assert set(asked) == {"R-1", "O-3", "O-4"}


def test_what_the_ledger_holds_already_makes_no_difference() -> None:
    memory = shop()
    cut = memory.tell(cut_from(memory.cloth("R-1"), length=2.0, offcuts=[NewOffcut(name="O-1", outline=square(0.5))]), 3)
    memory.tell(Spent(thing="O-1"), 4)
    event = new_event(correction(cut, memory.history, why="x"), who="A", device="b", at=hours(5))
    alone = broken_by(event, memory.history)
    kept = memory.put(event)
    assert broken_by(kept, memory.history) == alone != ()


def test_a_log_that_was_wrong_is_taken_back() -> None:
    memory = shop()
    body = Logged(place="freezer", file="a", called="a.csv", times=(0.0, 3600.0), temperatures=(290.0, 290.0))
    log = memory.tell(body, 2)
    right = replace(body, file="b", temperatures=(255.0, 255.0))
    assert memory.no(right, 2)
    put_right(memory, log, 4)
    memory.tell(right, 2)
    assert [p.file for p in memory.place("freezer").logs] == ["b"]


def test_replay_never_raises_on_what_is_kept() -> None:
    memory = shop()
    moved = memory.tell(Moved(things=("R-1",), to="cutting room"), 3)
    odd: list[Body] = [
        Corrected(corrects=moved.id, subjects=("R-1",), kind="moved", data={"nothing": 1}),
        Corrected(corrects=moved.id, subjects=("R-1",), kind="moved", data={"things": ["R-1"], "to": "x"},
                  at=datetime(2026, 3, 2)),
        Corrected(corrects="f" * 32, subjects=("R-1",)),
        Received(name="R-1", sort=Sort.PLACE),
        Cut(source="R-1", kits={"R-1": ()}, length=99.0),
        Released(mould="R-1", agent="x"),
    ]  # fmt: skip
    for body in odd:
        memory.put(new_event(body, who="A", device="b", at=hours(4)))
    itself = new_event(Corrected(corrects="e" * 32, subjects=("R-1",)), who="A", device="b", at=hours(4), id="e" * 32)
    memory.put(itself)
    assert memory.cloth("R-1").left == -89.0
    assert origin(itself, {itself.id: itself}) is itself
    long = memory.events[-1]
    for _ in range(3000):  # a correction of a correction of a …
        long = memory.put(new_event(Corrected(corrects=long.id, subjects=("R-1",)), who="A", device="b", at=hours(5)))
    assert memory.cloth("R-1").left == -89.0


def test_order_at_one_moment_is_that_of_the_ledger_and_new_comes_last() -> None:
    memory = shop()
    counts = [memory.tell(Counted(thing="R-1", length=float(k)), 3) for k in (5, 4)]
    new = new_event(Counted(thing="R-1", length=3.0), who="A", device="b", at=hours(3))
    shuffled = [new, *reversed(counts), *memory.history("R-1")[:1]]
    assert [e.body.length for e in effective(shuffled)] == [10.0, 5.0, 4.0, 3.0]  # type: ignore[union-attr]
    assert replayed(shuffled, "R-1").left == 3.0  # type: ignore[union-attr]
    assert hours(3).tzinfo is UTC
