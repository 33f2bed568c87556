"""The calendar is feasible, and its checker catches what is not."""

from dataclasses import replace
from datetime import datetime, time, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.errors import InputError, NotSolved
from bagside.planning.calendar import Calendar, Shift, Task, feasible_calendar, verify

HOUR = 3600.0
MONDAY = datetime(2026, 11, 30, 8, 0)
SHIFT = Shift(begins=time(8), ends=time(17), days=("Mon", "Tue", "Wed", "Thu", "Fri"), people=1)


def test_an_oven_run_goes_through_the_night() -> None:
    tasks = [
        Task(name="lay", attended=6 * HOUR, needs=frozenset({"mould"})),
        Task(
            name="cure", attended=0.5 * HOUR, unattended=10 * HOUR, after=("lay",), needs=frozenset({"oven", "mould"})
        ),
        Task(name="demould", attended=1 * HOUR, after=("cure",), needs=frozenset({"mould"})),
    ]
    slots = {s.task: s for s in feasible_calendar(tasks, start=MONDAY, shift=SHIFT).slots}
    assert slots["cure"].start == MONDAY + timedelta(hours=6)
    assert slots["cure"].end == datetime(2026, 12, 1, 0, 30)
    assert slots["demould"].start == datetime(2026, 12, 1, 8, 0)


def test_friday_evening_waits_for_monday() -> None:
    friday = datetime(2026, 12, 4, 16, 0)
    calendar = feasible_calendar([Task(name="trim", attended=2 * HOUR)], start=friday, shift=SHIFT)
    assert calendar.slots[0].start == datetime(2026, 12, 7, 8, 0)


def test_work_longer_than_a_day_is_split() -> None:
    calendar = feasible_calendar([Task(name="polish", attended=12 * HOUR)], start=MONDAY, shift=SHIFT)
    assert [((b - a).total_seconds() / HOUR) for a, b in calendar.slots[0].spells] == [9.0, 3.0]


def test_a_claimed_mould_is_kept_through_the_chain() -> None:
    tasks = []
    for n in (1, 2):
        tasks += [
            Task(name=f"lay {n}", attended=HOUR, claims=frozenset({"mould"})),
            Task(name=f"bag {n}", attended=HOUR, after=(f"lay {n}",)),
            Task(name=f"off {n}", attended=HOUR, after=(f"bag {n}",), frees=frozenset({"mould"})),
        ]
    slots = {s.task: s for s in feasible_calendar(tasks, start=MONDAY, shift=replace(SHIFT, people=2)).slots}
    assert slots["lay 2"].start >= slots["off 1"].end


def test_two_people_work_side_by_side_where_one_cannot() -> None:
    tasks = [Task(name=f"fill {n}", attended=4 * HOUR) for n in range(4)]
    alone = feasible_calendar(tasks, start=MONDAY, shift=SHIFT)
    pair = feasible_calendar(tasks, start=MONDAY, shift=replace(SHIFT, people=2))
    assert alone.finish == datetime(2026, 12, 1, 16, 0)
    assert pair.finish == datetime(2026, 11, 30, 16, 0)


def test_a_hold_that_cannot_be_kept_is_said() -> None:
    tasks = [
        Task(name="abrade", attended=8 * HOUR),
        Task(name="bond", attended=2 * HOUR, after=("abrade",), hold=4 * HOUR),
    ]
    found = feasible_calendar(tasks, start=MONDAY, shift=SHIFT).findings
    assert [f.what for f in found] == ["it starts 16.0 h after what goes before; 4.0 h is the most"]


def test_what_goes_stale_overnight_is_put_off_to_the_morning() -> None:
    tasks = [
        Task(name="trim", attended=7 * HOUR),
        Task(name="abrade", attended=1.5 * HOUR, after=("trim",)),
        Task(name="bond", attended=HOUR, unattended=14 * HOUR, after=("abrade",), hold=4 * HOUR),
    ]
    calendar = feasible_calendar(tasks, start=MONDAY, shift=SHIFT)
    slots = {s.task: s for s in calendar.slots}
    assert calendar.findings == ()
    assert slots["abrade"].start == datetime(2026, 12, 1, 8, 0)
    assert slots["bond"].start == datetime(2026, 12, 1, 9, 30)


def test_a_chain_of_holds_is_put_off_whole() -> None:
    # Over the weekend: c would wait for Monday, so b must, so a must.
    friday = datetime(2026, 12, 4, 8, 0)
    tasks = [
        Task(name="before", attended=6 * HOUR),
        Task(name="a", attended=HOUR, after=("before",)),
        Task(name="b", attended=HOUR, after=("a",), hold=2 * HOUR),
        Task(name="c", attended=2 * HOUR, after=("b",), hold=2 * HOUR),
    ]
    calendar = feasible_calendar(tasks, start=friday, shift=SHIFT)
    slots = {s.task: s for s in calendar.slots}
    assert calendar.findings == ()
    assert [slots[n].start for n in "abc"] == [datetime(2026, 12, 7, h, 0) for h in (8, 9, 10)]


def test_a_hopeless_hold_delays_nothing() -> None:
    tasks = [
        Task(name="abrade", attended=8 * HOUR),
        Task(name="bond", attended=2 * HOUR, after=("abrade",), hold=4 * HOUR),
    ]
    calendar = feasible_calendar(tasks, start=MONDAY, shift=SHIFT)
    assert [f.place for f in calendar.findings] == ["bond"]
    assert calendar.slots[0].start == MONDAY


# Fisher and Thompson 1963, 6 jobs on 6 machines: (machine, hours) in order; the instance is written down from memory.
FT06 = (
    ((2, 1), (0, 3), (1, 6), (3, 7), (5, 3), (4, 6)),
    ((1, 8), (2, 5), (4, 10), (5, 10), (0, 10), (3, 4)),
    ((2, 5), (3, 4), (5, 8), (0, 9), (1, 1), (4, 7)),
    ((1, 5), (0, 5), (2, 5), (3, 3), (4, 8), (5, 9)),
    ((2, 9), (1, 3), (4, 5), (5, 4), (0, 3), (3, 1)),
    ((1, 3), (3, 3), (5, 9), (0, 10), (4, 4), (2, 1)),
)


@pytest.mark.published("job shop ft06 (Fisher, Thompson 1963): no calendar is shorter than 55")
def test_no_calendar_beats_the_shortest_there_is() -> None:
    tasks = [
        Task(name=f"{j}.{k}", attended=0.0, unattended=hours * HOUR, after=(f"{j}.{k - 1}",) if k else (),
             needs=frozenset({f"machine {machine}"}))
        for j, job in enumerate(FT06)
        for k, (machine, hours) in enumerate(job)
    ]  # fmt: skip
    calendar = feasible_calendar(tasks, start=MONDAY, shift=SHIFT)
    hours = (calendar.finish - MONDAY).total_seconds() / HOUR
    assert 55 <= hours <= 1.5 * 55


def test_what_makes_no_sense_is_refused_at_once() -> None:
    tasks = [
        Task(name="lay", attended=HOUR, claims=frozenset({"mould"})),
        Task(name="wipe", attended=HOUR, needs=frozenset({"mould"})),
        Task(name="off", attended=-HOUR, frees=frozenset({"oven"})),
    ]
    with pytest.raises(InputError) as caught:
        feasible_calendar(tasks, start=MONDAY, shift=SHIFT)
    assert str(caught.value).splitlines() == [
        "task off – times must be finite and not negative",
        "task wipe: mould – a resource that a chain claims cannot be needed for one task as well",
        "task off, frees: oven – no task claims it",
    ]


def test_a_calendar_that_is_stuck_says_so() -> None:
    tasks = [
        Task(name="lay", attended=HOUR, claims=frozenset({"mould"})),
        Task(name="lay again", attended=HOUR, claims=frozenset({"mould"}), after=("lay",)),
    ]
    with pytest.raises(NotSolved) as caught:
        feasible_calendar(tasks, start=MONDAY, shift=SHIFT)
    assert str(caught.value) == (
        "the calendar is stuck: every task left waits for something another one keeps (lay again)"
    )


def test_rings_and_strangers_are_refused() -> None:
    ring = [Task(name="a", attended=1, after=("b",)), Task(name="b", attended=1, after=("a",))]
    with pytest.raises(InputError) as caught:
        feasible_calendar(ring, start=MONDAY, shift=SHIFT)
    assert str(caught.value) == "tasks: a, b – these wait for each other in a ring; one must not follow another"
    with pytest.raises(InputError) as caught:
        feasible_calendar([Task(name="bond", attended=1, after=("abrad",))], start=MONDAY, shift=SHIFT)
    assert str(caught.value) == 'task bond, after: "abrad" – there is no such task (known here: bond)'


@st.composite
def plans(draw: st.DrawFn) -> list[Task]:
    count = draw(st.integers(1, 9))
    return [
        Task(
            name=f"t{k}",
            attended=draw(st.sampled_from([0.0, 0.3, 1.0, 5.0, 11.0])) * HOUR,
            unattended=draw(st.sampled_from([0.0, 0.5, 14.0])) * HOUR,
            after=tuple(f"t{j}" for j in draw(st.sets(st.integers(0, k - 1), max_size=2))) if k else (),
            needs=frozenset(draw(st.sets(st.sampled_from(["oven", "mould", "freezer"]), max_size=2))),
        )
        for k in range(count)
    ]


@given(plans(), st.integers(1, 3), st.integers(0, 167))
@settings(max_examples=60, deadline=None)
def test_every_calendar_keeps_everything(tasks: list[Task], people: int, hours: int) -> None:
    shift = replace(SHIFT, people=people)
    calendar = feasible_calendar(tasks, start=MONDAY + timedelta(hours=hours), shift=shift)
    verify(calendar, tasks, shift)


@st.composite
def chains(draw: st.DrawFn) -> list[Task]:
    """Parts made one after the other on one mould, each a chain with holds."""
    tasks: list[Task] = []
    for part in range(draw(st.integers(1, 3))):
        length = draw(st.integers(2, 5))
        for k in range(length):
            tasks.append(
                Task(
                    name=f"{part}.{k}",
                    attended=draw(st.sampled_from([0.0, 0.5, 2.0, 7.0])) * HOUR,
                    unattended=draw(st.sampled_from([0.0, 0.0, 3.0, 12.0])) * HOUR,
                    after=(f"{part}.{k - 1}",) if k else (),
                    needs=frozenset(draw(st.sets(st.sampled_from(["oven"])))),
                    claims=frozenset({"mould"}) if k == 0 else frozenset(),
                    frees=frozenset({"mould"}) if k == length - 1 else frozenset(),
                    hold=draw(st.sampled_from([None, 0.0, 1.0, 4.0, 20.0])),
                )
            )
    return [replace(t, hold=None if t.hold is None else t.hold * HOUR) for t in tasks]


def broken_holds(calendar: Calendar, tasks: list[Task]) -> set[str]:
    slots = {s.task: s for s in calendar.slots}
    return {
        t.name
        for t in tasks
        if t.hold is not None
        and t.after
        and slots[t.name].start - max(slots[a].end for a in t.after) > timedelta(seconds=t.hold + 0.001)
    }


@given(chains(), st.integers(1, 2))
@settings(max_examples=60, deadline=None)
def test_holds_are_kept_or_said(tasks: list[Task], people: int) -> None:
    shift = replace(SHIFT, people=people)
    calendar = feasible_calendar(tasks, start=MONDAY, shift=shift)
    verify(calendar, tasks, shift, start=MONDAY)
    broken = broken_holds(calendar, tasks)
    assert {f.place for f in calendar.findings} == broken
    careless = feasible_calendar([replace(t, hold=None) for t in tasks], start=MONDAY, shift=shift)
    assert len(broken) <= len(broken_holds(careless, tasks))


@pytest.mark.parametrize(
    ("spoil", "message"),
    [
        (lambda s: replace(s, spells=tuple((a - timedelta(hours=3), b - timedelta(hours=3)) for a, b in s.spells)),
         "bond: its stretches of work are not in order"),
        (lambda s: replace(s, start=s.start + timedelta(hours=1),
                           spells=tuple((a + timedelta(hours=1), b + timedelta(hours=1)) for a, b in s.spells)),
         "bond: it does not run by itself as long as it must"),
        (lambda s: replace(s, spells=((s.start, s.start + timedelta(minutes=30)),
                                      (s.start + timedelta(minutes=60), s.start + timedelta(minutes=90))),
                           end=s.start + timedelta(minutes=150)), "bond: it fits in a day and is split"),
        (lambda s: replace(s, spells=s.spells[:0], end=s.end), "bond: 0 s of work are planned, 3600 s are needed"),
        (lambda s: replace(s, start=s.start - timedelta(hours=5),
                           spells=tuple((a - timedelta(hours=5), b - timedelta(hours=5)) for a, b in s.spells),
                           end=s.end - timedelta(hours=5)), "bond: work is planned outside working hours"),
        (lambda s: replace(s, start=s.start - timedelta(hours=1),
                           spells=tuple((a - timedelta(hours=1), b - timedelta(hours=1)) for a, b in s.spells),
                           end=s.end - timedelta(hours=1)), "bond: it starts before sand has ended"),
    ],
)  # fmt: skip
def test_the_checker_catches_a_broken_calendar(spoil: object, message: str) -> None:
    tasks = [Task(name="sand", attended=2 * HOUR), Task(name="bond", attended=HOUR, unattended=HOUR, after=("sand",))]
    good = feasible_calendar(tasks, start=MONDAY, shift=SHIFT)
    slots = tuple(spoil(s) if s.task == "bond" else s for s in good.slots)  # type: ignore[operator]
    with pytest.raises(NotSolved) as caught:
        verify(Calendar(slots=slots), tasks, SHIFT)
    assert str(caught.value) == message


def test_the_checker_catches_two_in_one_oven_and_one_person_twice() -> None:
    oven = [Task(name=n, attended=HOUR, needs=frozenset({"oven"})) for n in ("a", "b")]
    good = feasible_calendar(oven, start=MONDAY, shift=replace(SHIFT, people=2))
    moved = tuple(
        replace(s, start=MONDAY, spells=((MONDAY, MONDAY + timedelta(hours=1)),), end=MONDAY + timedelta(hours=1))
        for s in good.slots
    )
    with pytest.raises(NotSolved, match="a and b both keep the oven busy"):
        verify(Calendar(slots=moved), oven, replace(SHIFT, people=2))
    with pytest.raises(NotSolved, match="more than 1 people are needed at once"):
        verify(Calendar(slots=moved), oven, SHIFT)
