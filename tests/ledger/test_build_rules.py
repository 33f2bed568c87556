"""What is refused of a build: one sentence each, with the cure."""

from dataclasses import replace

import pytest

from bagside.ledger.bodies import (
    Bagged,
    Begun,
    Body,
    Closed,
    Conceded,
    Cured,
    Debulked,
    Finished,
    Found,
    Laid,
    Measured,
    Passed,
    Photographed,
    Pulled,
    Started,
)
from bagside.ledger.builds.build_events import build_after
from bagside.ledger.builds.build_rules import build_problems
from bagside.ledger.event import new_event
from bagside.ledger.gates.before import gates_on_record, stopping
from bagside.ledger.things import Build, Mould
from buildcases import after, at, begun, event, plan, read, refused, shop

NAME = "L-1"
PLIES = [(1, "1A"), (1, "1B"), (2, "2"), (2, "2"), (3, "3")]


def one(build: Build, body: Body, hours: float = 1.0, who: str = "Ada") -> str:
    found = refused(build, body, hours, who)
    assert len(found) == 1, found
    return found[0]


def finished(build: Build, *besides: str) -> Build:
    """Return a build with every step finished but these, every piece ticked, cured, measured."""
    hours = 1.0
    for k, (number, piece) in enumerate(PLIES):
        body = Laid(build=build.name, ply=number, piece=piece, films=1 if number == 3 else 2)
        build = after(build, (body, hours + 0.01 * k))
    for post in (False, True):
        build = after(build, (Cured(builds=(build.name,), post=post, verdict="good"), 2.0))
    for k, place in enumerate(("middle", "middle 2", "middle 3", "middle 4", "rim")):
        thickness = 0.00205 if place == "rim" else 0.00102
        build = after(build, (read(Found.THICKNESS, thickness, place=place), 3.0 + 0.01 * k))
    build = after(build, (read(Found.HOLE, 0.0004, place="pivot"), 4.0))
    for k, step in enumerate(s for s in build.planned.steps if s.key not in besides):
        boxes = tuple(range(len(step.boxes)))
        build = after(build, (Finished(build=build.name, step=step.key, boxes=boxes), 5.0 + 0.01 * k))
    return build


def test_a_serial_number_is_never_used_twice() -> None:
    assert one(begun(), Begun(build=NAME, planned=plan())) == (
        'begun, build: "L-1" – this serial number is taken by a build of 2026-11-30; no two things ever share one '
        "(take a number not used before)"
    )
    mould = Mould(name=NAME, material="glass-epoxy", born=at(0), last=at(0))
    problems = build_problems(event(Begun(build=NAME, planned=plan()), 1.0), {NAME: mould})
    assert "taken by a mould" in str(problems[0])


def test_a_plan_without_steps_or_with_one_twice_is_none() -> None:
    empty = build_problems(event(Begun(build=NAME, planned=plan(steps=())), 1.0), {NAME: None})
    assert [str(p) for p in empty] == ["L-1, plan – there is no step in it (plan it anew)"]
    twice = plan(plies=(*plan().plies, plan().plies[0]))
    told = build_problems(event(Begun(build=NAME, planned=twice), 1.0), {NAME: None})
    assert [str(p) for p in told] == ["L-1, plan, plies: 1 – each may be there once"]


def test_what_happens_to_no_build_is_refused() -> None:
    problems = build_problems(event(Started(build="L-9", step="cut"), 1.0), {"L-9": None})
    assert [str(p) for p in problems] == [
        'started, build: "L-9" – there is no build of this serial number (begin it first, or look at the number)'
    ]
    assert build_problems(event(Photographed(subject="M-1", file="0", called="a"), 1.0), {"M-1": None}) == ()
    problems = build_problems(event(Cured(builds=()), 1.0), {})
    assert [str(p) for p in problems] == ["cured, builds – which parts were in the oven is wanted"]


def test_each_build_of_one_cure_is_looked_at() -> None:
    body = Cured(builds=(NAME, "L-9"), verdict="good")
    problems = build_problems(event(body, 1.0), {NAME: begun(), "L-9": None})
    assert [p.came for p in problems] == ['"L-9"']


def test_nothing_happens_before_it_is_begun() -> None:
    assert one(begun(), Started(build=NAME, step="cut"), -1.0) == (
        "L-1, started: 2026-11-30 07:00 UTC – it was begun 2026-11-30 08:00 UTC, which is later "
        "(look at the time, or correct when it was begun)"
    )


def test_nothing_happens_after_it_is_closed_but_what_was_before_may_be_told_late() -> None:
    build = after(begun(), (Closed(build=NAME, verdict="scrap", why="dropped"), 5.0))
    assert one(build, Started(build=NAME, step="cut"), 6.0) == (
        "L-1, started: 2026-11-30 14:00 UTC – it was closed as scrap by Ada, 2026-11-30 13:00 UTC "
        "(correct the event that closed it, then write this down)"
    )
    assert refused(build, read(Found.PINHOLES, 3.0), 4.0) == []
    assert one(build, Closed(build=NAME, verdict="scrap", why="lost"), 4.0) == (
        "L-1, close: scrap – Ada closed it as scrap 2026-11-30 13:00 UTC (correct that event if it was wrong)"
    )


def test_a_step_that_is_not_in_the_plan_names_the_one_that_was_meant() -> None:
    assert one(begun(), Started(build=NAME, step="debulk1")) == (
        'L-1, step: "debulk1" – there is no such step in its plan (did you mean "debulk-1"?)'
    )
    assert refused(begun(), Photographed(subject=NAME, file="0", called="a.jpg", step="cutt"), 1.0)
    assert refused(begun(), Photographed(subject=NAME, file="0", called="a.jpg"), 1.0) == []


def test_a_step_is_started_once_by_each_and_not_after_its_end() -> None:
    build = after(begun(), (Started(build=NAME, step="thaw"), 1.0))
    assert one(build, Started(build=NAME, step="thaw"), 2.0) == (
        "L-1, step thaw: 2026-11-30 10:00 UTC – Ada has been at it since 2026-11-30 09:00 UTC "
        "(finish it when it is done)"
    )
    assert refused(build, Started(build=NAME, step="thaw"), 2.0, "Ben") == []
    build = after(build, (Finished(build=NAME, step="thaw", boxes=(0,)), 3.0))
    assert one(build, Started(build=NAME, step="thaw"), 4.0, "Ben") == (
        "L-1, step thaw: 2026-11-30 12:00 UTC – it was finished 2026-11-30 11:00 UTC and cannot be started after that "
        "(correct that event if it was wrong)"
    )


def test_a_step_is_finished_once_and_after_its_start() -> None:
    build = after(begun(), (Started(build=NAME, step="thaw"), 2.0))
    assert one(build, Finished(build=NAME, step="thaw", boxes=(0,)), 1.0) == (
        "L-1, step thaw: 2026-11-30 09:00 UTC – it was started 2026-11-30 10:00 UTC, which is later (look at the time)"
    )
    build = after(build, (Finished(build=NAME, step="thaw", boxes=(0,)), 3.0, "Ben"))
    assert one(build, Finished(build=NAME, step="thaw", boxes=(0,)), 4.0) == (
        "L-1, step thaw: 2026-11-30 12:00 UTC – it was finished 2026-11-30 11:00 UTC by Ada and Ben "
        "(correct that event if it was wrong)"
    )
    assert refused(begun(), Finished(build=NAME, step="thaw", boxes=(0,)), 4.0) == []  # without a start: allowed


def test_boxes_are_those_of_the_step_and_open_ones_want_a_note() -> None:
    assert one(begun(), Finished(build=NAME, step="cut", boxes=(0,))) == (
        'L-1, step cut, boxes: "roll back" – not ticked yet (tick them, or say in a note why not)'
    )
    assert refused(begun(), Finished(build=NAME, step="cut", boxes=(0,), note="cut from offcuts"), 1.0) == []
    assert one(begun(), Finished(build=NAME, step="cut", boxes=(0, 1, 2))) == (
        "L-1, step cut, boxes: 3 – its boxes are 1 to 2"
    )
    assert "a time not below zero" in one(begun(), Finished(build=NAME, step="thaw", boxes=(0,), attended=-1.0))


def test_a_tick_for_a_ply_that_is_not_in_the_build() -> None:
    assert one(begun(), Laid(build=NAME, ply=4, piece="4A", films=2)) == (
        "L-1, ply: 4 – this ply is not in the build: it has 1, 2, 3"
    )
    four = begun(plan(plies=(*plan().plies, replace(plan().plies[0], number=4))))
    assert one(four, Laid(build=NAME, ply=0, piece="4A", films=2)) == (
        "L-1, ply: 0 – this ply is not in the build: it has 1 to 4"
    )


def test_a_tick_for_a_piece_that_is_not_of_the_ply() -> None:
    assert one(begun(), Laid(build=NAME, ply=1, piece="3", films=2)) == (
        'L-1, ply 1, piece: "3" – it is a piece of ply 3 (known here: 1A, 1B)'
    )
    assert one(begun(), Laid(build=NAME, ply=1, piece="1C", films=2)) == (
        'L-1, ply 1, piece: "1C" – this ply has no such piece (known here: 1A, 1B)'
    )
    assert one(begun(), Laid(build=NAME, ply=1, piece="1A", films=-1)) == (
        "L-1, ply 1, films: -1 – a number of films from 0 is wanted"
    )


def test_two_people_ticking_the_same_piece_learn_of_each_other() -> None:
    build = after(begun(), (Laid(build=NAME, ply=1, piece="1A", films=2), 1.0, "Ben"))
    assert one(build, Laid(build=NAME, ply=1, piece="1A", films=2), 1.5) == (
        'L-1, ply 1, piece: "1A" – Ben ticked it 2026-11-30 09:00 UTC '
        "(one of the two ticks is another piece: look, and correct it)"
    )
    # A card that is cut twice for one part is ticked twice.
    again = Laid(build=NAME, ply=2, piece="2", films=2)
    build = after(build, (again, 2.0), (again, 2.1))
    assert "Ada ticked it" in one(build, again, 3.0)


def test_a_debulk_that_cannot_be() -> None:
    assert one(begun(), Debulked(build=NAME, after=4, seconds=600.0, pressure=2e3)) == (
        "L-1, debulk, after ply: 4 – no such ply: it has plies 1 to 3"
    )
    assert one(begun(), Debulked(build=NAME, after=1, seconds=0.0, pressure=2e3)) == (
        "L-1, debulk, time: 0 s – a time above zero is wanted"
    )
    assert one(begun(), Debulked(build=NAME, after=1, seconds=600.0, pressure=-95e3)) == (
        "L-1, debulk, pressure: −950 mbar – absolute pressure is wanted: ambient less what a gauge below ambient shows"
    )
    assert one(begun(), Debulked(build=NAME, after=1, seconds=600.0, pressure=106e3)) == (
        "L-1, debulk, pressure: 1 060 mbar – that is above ambient, 1 000 mbar; absolute pressure is wanted: "
        "ambient less what a gauge below ambient shows"
    ).replace("1 0", "1\u20090")
    fine = Debulked(build=NAME, after=1, seconds=600.0, pressure=103e3)  # a day of high pressure
    assert refused(begun(), fine, 1.0) == []


def leak(**changes: object) -> Measured:
    values = {"start": 2e3, "end": 2.4e3, "seconds": 300.0, "ambient": 100e3} | changes
    return read(Found.LEAK, 1.0, **values)


@pytest.mark.parametrize(
    ("body", "said"),
    [
        (leak(start=None), "L-1, leak, start – the pressure is wanted; absolute pressure is wanted"),
        (leak(seconds=None), "L-1, leak, time – how long the pump was shut off is wanted, more than zero"),
        (leak(seconds=0.0), "L-1, leak, time: 0 s – how long the pump was shut off"),
        (leak(end=-5e3), "L-1, leak, end, pressure: −50 mbar – absolute pressure is wanted"),
        (leak(ambient=3e3), "L-1, leak, ambient: 30 mbar – no weather is like that"),
        (leak(volume=0.0), "L-1, leak, volume: 0.0 L – more than zero is wanted"),
        (leak(start=9e3, end=2e3), "L-1, leak: 90 mbar to 20 mbar – a bag that is shut off does not get better"),
        (read(Found.MASS, 0.0, stage="raw"), "L-1, mass: 0.0 g – more than zero is wanted"),
        (read(Found.MASS, 0.2), "L-1, mass, stage – at which moment it was weighed is wanted"),
        (read(Found.THICKNESS, -0.001), "L-1, thickness: −1.0 mm – more than zero is wanted"),
        (read(Found.PINHOLES, 2.5), "L-1, pinholes: 2.5 – a whole number is wanted"),
        (read(Found.PINHOLES, -1.0), "L-1, pinholes: -1 – zero or more is wanted"),
        (read(Found.WATER_BREAK, 30.0), "L-1, water break: 30 – passed or not is wanted"),
        (read(Found.CLIMATE, 293.0), "L-1, climate, humidity – the humidity is wanted with the temperature"),
        (read(Found.CLIMATE, 293.0, humidity=52.0), "L-1, climate, humidity: 5200 % – 0 to 100 % is wanted"),
        (read(Found.DEMOULD, -3.0), "L-1, demould temperature, temperature: −276 °C – nothing is colder"),
        (read(Found.HOURS, 1.0, sigma=-1.0), "L-1, hours, spread: -1 – zero or more is wanted"),
    ],
)  # fmt: skip
def test_readings_that_cannot_be(body: Measured, said: str) -> None:
    assert one(begun(), body).startswith(said)


def test_readings_that_may_be() -> None:
    assert refused(begun(), leak(), 1.0) == []
    assert refused(begun(), leak(end=1.8e3), 1.0) == []  # it cooled: 2 mbar less
    assert refused(begun(), read(Found.DISTORTION, -0.01), 1.0) == []
    assert refused(begun(), read(Found.HOLE, -0.001), 1.0) == []


def test_a_cure_that_cannot_be() -> None:
    assert "0 to 100 %" in one(begun(), Cured(builds=(NAME,), cure=92.0))
    assert "nothing is colder" in one(begun(), Cured(builds=(NAME,), tg=-80.0))
    assert "a time not below zero" in one(begun(), Cured(builds=(NAME,), seconds=-1.0))
    assert "above ambient" in one(begun(), Cured(builds=(NAME,), pressure=2e5))


def test_a_part_is_pulled_once() -> None:
    build = after(begun(), (Pulled(build=NAME, mould="M-1"), 1.0, "Ben"))
    assert one(build, Pulled(build=NAME, mould="M-1"), 2.0) == (
        'L-1, demould: "M-1" – Ben pulled it off M-1 2026-11-30 09:00 UTC (correct that event if it was wrong)'
    )


def test_a_concession_says_what_why_what_it_means_and_who() -> None:
    assert refused(begun(), Conceded(build=NAME, what="a dry spot", why=" ", effect="", by=""), 1.0) == [
        "L-1, concession, why – the reason is wanted",
        "L-1, concession, effect – what it means for the part is wanted",
        "L-1, concession, by – the name of who takes it on is wanted",
    ]


def test_a_gate_is_passed_by_name_with_a_reason_at_a_step_that_is_there() -> None:
    assert refused(begun(), Passed(build=NAME, gate="rom", step="ply-9", by="", why=""), 1.0) == [
        "L-1, gate rom, by – the name of who takes it on is wanted",
        "L-1, gate rom, why – the reason is wanted",
        'L-1, gate: "rom" – there is no such gate (did you mean "room"?)',
        'L-1, step: "ply-9" – there is no such step in its plan (did you mean "ply-3"?)',
    ]
    assert refused(begun(), Passed(build=NAME, gate="mass", step="close", by="Ben", why="weighed twice"), 1.0) == []


def test_scrap_wants_a_reason_and_no_verdict_is_made_up() -> None:
    assert one(begun(), Closed(build=NAME, verdict="scrap")) == (
        "L-1, close, why – what the part is scrapped for is wanted"
    )
    assert one(begun(), Closed(build=NAME, verdict="goood")) == (
        'L-1, close: "goood" – good, conceded or scrap is wanted (did you mean "good"?)'
    )
    assert refused(begun(), Closed(build=NAME, verdict="scrap", why="dropped"), 1.0) == []


def test_a_part_is_not_good_while_steps_are_open_or_gates_stop() -> None:
    steps, gates = refused(begun(), Closed(build=NAME, verdict="good"), 1.0)
    assert steps.startswith("L-1, close as good, steps: thaw, cut, release, ply-1, ")
    assert steps.endswith("– these steps are not finished (finish them, or close it as scrap)")
    assert gates.startswith(
        "L-1, close as good, gates: films (ply 1: piece 1A, piece 1B not ticked; ply 2: piece 2, piece 2 not ticked; "
        "ply 3: piece 3 not ticked); cured (no cure is written down); post-cured (no post-cure is written down); "
        "thickness (0 of 5 places measured; none at rim, middle); holes (not measured: pivot) – these stop"
    )
    assert refused(finished(begun()), Closed(build=NAME, verdict="good"), 9.0) == []
    left = one(finished(begun(), "fit"), Closed(build=NAME, verdict="good"), 9.0)
    assert left.startswith("L-1, close as good, steps: fit –")


def test_a_gate_that_somebody_has_passed_does_not_keep_a_part_open() -> None:
    build = finished(begun())
    build = after(build, (read(Found.HOLE, 0.004, place="pivot"), 8.0))
    assert one(build, Closed(build=NAME, verdict="good"), 9.0).startswith(
        "L-1, close as good, gates: holes (pivot: 4.0 mm off, 1.0 mm allowed) – these stop"
    )
    build = after(build, (Passed(build=NAME, gate="holes", step="fit", by="Ben", why="slotted"), 8.5))
    assert stopping(gates_on_record(build)) == ()
    assert refused(build, Closed(build=NAME, verdict="good"), 9.0) == []


def test_conceded_wants_a_concession() -> None:
    build = finished(begun())
    assert one(build, Closed(build=NAME, verdict="conceded"), 9.0).startswith(
        "L-1, close as conceded – no concession is written down"
    )
    build = after(build, (Conceded(build=NAME, what="a scratch", why="dropped", effect="looks", by="Ben"), 8.0))
    assert refused(build, Closed(build=NAME, verdict="conceded"), 9.0) == []


def test_what_is_bagged_may_be_bagged_again() -> None:
    build = after(begun(), (Bagged(build=NAME, items=("B-1",)), 1.0), (Bagged(build=NAME, items=("B-2",)), 2.0))
    assert [b.what.items for b in build.bagged] == [("B-1",), ("B-2",)]


def test_a_build_that_nobody_asked_about_is_not_judged() -> None:
    made = new_event(Started(build=NAME, step="nothing"), who="Ada", device="d", at=at(1), zone="UTC")
    assert build_problems(made, {}) == ()
    assert build_after(begun(), made, NAME) is not None
    assert shop().things == {}
