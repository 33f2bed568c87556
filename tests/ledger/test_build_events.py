"""What events make of a build; read one by one it is the same as read all together."""

import json
from collections import Counter
from datetime import timedelta
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

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
    Passed,
    Photographed,
    Pulled,
    Released,
    Started,
)
from bagside.ledger.builds.build_events import build_after
from bagside.ledger.builds.build_rules import build_problems
from bagside.ledger.event import Event, new_event
from bagside.ledger.replay import replayed
from bagside.ledger.things import Build, thing_data, thing_from
from buildcases import after, at, begun, event, mass, plan, read

NAME = "L-1"


def test_a_build_begins_with_every_step_open() -> None:
    build = begun(mould="M-1")
    assert [s.key for s in build.steps] == [s.key for s in plan().steps]
    assert all(s.started is None and s.finished is None for s in build.steps)
    assert (build.begun_by, build.mould, build.born, build.next_step) == ("Ada", "M-1", at(0), "thaw")
    assert build.there


def test_a_step_keeps_its_first_start_and_everybody_who_was_at_it() -> None:
    build = after(begun(), (Started(build=NAME, step="thaw"), 1), (Started(build=NAME, step="thaw"), 2, "Ben"))
    build = after(build, (Finished(build=NAME, step="thaw", boxes=(0,), attended=300.0, note="dry"), 4, "Cem"))
    step = build.steps[0]
    assert (step.started, step.finished) == (at(1), at(4))
    assert step.who == ("Ada", "Ben", "Cem")
    assert (step.boxes, step.attended, step.note) == ((0,), 300.0, "dry")
    assert build.next_step == "cut"


def test_a_step_that_was_never_started_is_finished_without_a_made_up_start() -> None:
    step = after(begun(), (Finished(build=NAME, step="thaw", boxes=(0,)), 4)).steps[0]
    assert (step.started, step.finished, step.who) == (None, at(4), ("Ada",))


def test_everything_that_happens_is_noted_with_who_and_when() -> None:
    told: list[tuple[Body, float, str]] = [
        (Laid(build=NAME, ply=1, piece="1A", films=2), 1, "Ada"),
        (Debulked(build=NAME, after=1, seconds=1200.0, pressure=3000.0), 2, "Ben"),
        (Bagged(build=NAME, items=("B-1",)), 3, "Ada"),
        (Cured(builds=(NAME, "L-2"), verdict="good"), 4, "Ada"),
        (Pulled(build=NAME, mould="M-1", temperature=310.0), 5, "Ben"),
        (mass("raw", 205.0), 6, "Ben"),
        (Photographed(subject=NAME, file="0" * 64, called="a.jpg"), 7, "Ada"),
        (Conceded(build=NAME, what="a pinhole", why="dust", effect="none", by="Ada"), 8, "Ada"),
        (Passed(build=NAME, gate="room", step="ply-1", by="Ben", why="five minutes"), 9, "Ada"),
        (Closed(build=NAME, verdict="scrap", why="dropped"), 10, "Ada"),
    ]
    build: Build | None = begun()
    for body, hours, who in told:
        build = build_after(build, event(body, hours, who), NAME)
    assert build is not None
    assert build.pulled is not None
    assert build.closed is not None
    noted = [
        build.laid[0], build.debulks[0], build.bagged[0], build.cures[0], build.pulled, build.measured[0],
        build.photos[0], build.conceded[0], build.passed[0], build.closed,
    ]  # fmt: skip
    assert [(n.what, n.at, n.who) for n in noted] == [(b, at(h), w) for b, h, w in told]
    assert build.last == at(10)
    assert not build.there


def test_an_event_of_another_sort_leaves_a_build_as_it_was_but_for_its_last_moment() -> None:
    build = begun()
    later = build_after(build, event(Released(mould="M-1", agent="wax"), 1), NAME)
    assert later is not None
    assert later.last == at(1)
    assert thing_data(later) | {"last": None} == thing_data(build) | {"last": None}


def test_nothing_is_known_of_a_build_before_it_is_begun() -> None:
    assert build_after(None, event(Started(build=NAME, step="thaw"), 1), NAME) is None
    assert build_after(None, event(Begun(build="L-2", planned=plan()), 1), NAME) is None


STEP = st.sampled_from(["thaw", "cut", "ply-1", "ply-2", "bag"])
BODIES = st.one_of(
    st.builds(Started, build=st.just(NAME), step=STEP),
    st.builds(Finished, build=st.just(NAME), step=STEP, boxes=st.sampled_from([(), (0,), (0, 1)]),
              note=st.sampled_from(["", "no need"])),
    st.builds(Laid, build=st.just(NAME), ply=st.integers(1, 4), piece=st.sampled_from(["1A", "1B", "2", "3"]),
              films=st.integers(-1, 2)),
    st.builds(Debulked, build=st.just(NAME), after=st.integers(0, 4), seconds=st.sampled_from([0.0, 600.0, 1200.0]),
              pressure=st.sampled_from([-900.0, 2000.0, 3e5])),
    st.builds(lambda k: read(Found.PINHOLES, float(k)), st.integers(-1, 9)),
    st.builds(Passed, build=st.just(NAME), gate=st.sampled_from(["room", "rom"]), step=STEP,
              by=st.sampled_from(["Ben", ""]), why=st.just("it is fine")),
    st.builds(Pulled, build=st.just(NAME), mould=st.just("M-1")),
    st.builds(Closed, build=st.just(NAME), verdict=st.sampled_from(["good", "scrap", "lost"]),
              why=st.sampled_from(["", "dropped"])),
)  # fmt: skip


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(st.tuples(BODIES, st.integers(0, 600), st.booleans(), st.sampled_from(["Ada", "Ben"])), max_size=40))
def test_one_by_one_is_the_same_as_all_together(told: list[tuple[Any, int, bool, str]]) -> None:
    """Events that rules let pass, some of them written down late: a state that goes through JSON each time is the
    replay of all of them, and what a tiny count of them says holds."""
    kept: list[Event] = [_kept(Begun(build=NAME, planned=plan(), mould=""), 0, "Ada", 1)]
    state: Build = begun()
    clock = 0
    for body, minutes, late, who in told:
        moment = minutes if late else clock + minutes % 60
        happened = _kept(body, moment, who, len(kept) + 1)
        earlier = [e for e in kept if (e.at, e.order) <= (happened.at, happened.order)]
        if build_problems(happened, {NAME: replayed(earlier, NAME)}):
            continue
        before = kept
        kept = [*kept, happened]
        if happened.at >= state.last:
            made = build_after(_through_json(state), happened, NAME)
        else:
            if _breaks(kept, before):
                kept = before
                continue
            made = replayed(kept, NAME)  # type: ignore[assignment]
        assert isinstance(made, Build)
        state = made
        clock = max(clock, moment)
    assert state == replayed(kept, NAME)
    assert _through_json(state) == state
    bodies = [e.body for e in kept]
    pieces = Counter((p.number, piece) for p in plan().plies for piece in p.pieces)
    assert Counter((t.what.ply, t.what.piece) for t in state.laid) <= pieces
    assert len(state.laid) == sum(isinstance(b, Laid) for b in bodies)
    finished = [b.step for b in bodies if isinstance(b, Finished)]
    assert len(finished) == len(set(finished))
    assert {s.key for s in state.steps if s.finished is not None} == set(finished)
    assert all(e.at <= state.closed.at for e in kept) if state.closed is not None else True
    assert sum(isinstance(b, Pulled | Closed) for b in bodies) <= 2


def _kept(body: Body, minutes: int, who: str, order: int) -> Event:
    made = new_event(body, who=who, device="desk", at=at(0) + timedelta(minutes=minutes), zone="UTC")
    return Event(
        id=made.id, at=made.at, zone=made.zone, who=made.who, device=made.device, body=made.body, order=order
    )


def _breaks(kept: list[Event], before: list[Event]) -> bool:
    """Return whether an event that was told late makes a later one impossible: the ledger refuses it then."""
    ordered = sorted(kept, key=lambda e: (e.at, e.order))
    for k, one in enumerate(ordered):
        if one in before and k and build_problems(one, {NAME: replayed(ordered[:k], NAME)}):
            return True
    return False


def _through_json(build: Build) -> Build:
    again = thing_from("build", json.loads(json.dumps(thing_data(build))))
    assert isinstance(again, Build)
    return again
