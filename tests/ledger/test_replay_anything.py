"""Anything at all, in any order: replay, rules and corrections answer; none of them raises, and all of them agree.

Bodies are drawn field by field from few names and few values, so that events meet: most of what they say together
cannot be true. What can never be kept is given to replay all the same.
"""

from __future__ import annotations

import dataclasses
import json
import random
import types
import typing
from datetime import UTC, date, datetime
from enum import StrEnum
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.ledger import bodies
from bagside.ledger.bodies import KINDS, Begun, Corrected, Received, asks, body_data, body_from
from bagside.ledger.builds.build_rules import build_problems
from bagside.ledger.correcting import as_corrected, broken_by, correction
from bagside.ledger.event import Event, new_event
from bagside.ledger.following import corrections
from bagside.ledger.planned import Planned, PlannedPly, PlannedStep
from bagside.ledger.replay import after, effective, replayed
from bagside.ledger.stock.stock_rules import stock_problems
from bagside.ledger.things import Thing, thing_data, thing_from
from memory import Memory, hours, square

NAMES = ("A", "B", "C")
NAMING = {
    "name", "thing", "things", "to", "source", "place", "kit", "mould", "build", "builds", "moulds", "bag", "items",
    "subject", "subjects",
}  # fmt: skip
PLANNED = Planned(
    job="hatch", part="hatch", revision="1", number=1, quantity=1,
    steps=(PlannedStep(key="x", name="x", stage="lay"), PlannedStep(key="y", name="y", stage="cure")),
    plies=(PlannedPly(number=1, material="t", pieces=("x",), films=1, area=1.0, mass=0.3, scatter=0.02),),
)  # fmt: skip
LOOPS = ((), square(0.5), square(2.0), ((0.0, 0.0), (1.0, 1.0), (1.0, 0.0), (0.0, 1.0)), ((0.0, 0.0),))


def of_type(hint: Any, name: str) -> st.SearchStrategy[Any]:
    """Return a few values of a field."""
    origin, args = typing.get_origin(hint), typing.get_args(hint)
    if hint == bodies.Loop:
        return st.sampled_from(LOOPS)
    if origin in (typing.Union, types.UnionType):
        return st.one_of(*(of_type(a, name) for a in args))
    if origin is tuple and len(args) == 2 and args[1] is Ellipsis:
        return st.lists(of_type(args[0], name), max_size=3).map(tuple)
    if origin is tuple:
        return st.tuples(*(of_type(a, name) for a in args))
    if origin is dict and name == "kits":
        return st.dictionaries(st.sampled_from(NAMES), of_type(args[1], name), max_size=2)
    if origin is dict:
        return st.just({})
    if hint is Planned:
        return st.just(PLANNED)
    if dataclasses.is_dataclass(hint):
        return of_class(typing.cast(Any, hint))
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        return st.sampled_from(list(hint))
    plain: dict[Any, st.SearchStrategy[Any]] = {
        type(None): st.none(),
        bool: st.booleans(),
        int: st.sampled_from([1, 1, 2, 0, -1]),
        float: st.sampled_from([0.0, 0.5, 2.0, 300.0, 3600.0, -1.0, 1e300]),
        date: st.just(date(2026, 3, 2)),
        datetime: st.sampled_from([hours(0), hours(2)]),
        str: st.sampled_from(NAMES) if name in NAMING else st.sampled_from(["x", "y", ""]),
    }
    return plain[hint]


def of_class(cls: type[Any]) -> st.SearchStrategy[Any]:
    hints = typing.get_type_hints(cls)
    return st.builds(cls, **{f.name: of_type(hints[f.name], f.name) for f in dataclasses.fields(cls)})


BODIES = st.one_of(*(of_class(c) for c in KINDS.values() if c is not Corrected))
MORE = st.lists(st.tuples(BODIES, st.integers(0, 3)), min_size=1, max_size=16)
BORN = st.tuples(*(st.one_of(of_class(Received), of_class(Received), of_class(Begun)) for _ in NAMES))


def begun(drawn: tuple[tuple[Any, ...], list[tuple[Any, int]]]) -> list[tuple[Any, int]]:
    """Return what was said, led by what makes each name a thing."""
    made = (
        dataclasses.replace(b, **{"build" if isinstance(b, Begun) else "name": n})
        for n, b in zip(NAMES, drawn[0], strict=True)
    )
    return [*((b, 0) for b in made), *drawn[1]]


TOLD = st.tuples(BORN, MORE).map(begun)
WRONG = st.lists(st.tuples(st.integers(0, 20), st.one_of(st.none(), BODIES), st.integers(-1, 3)), max_size=4)


def told(said: list[tuple[Any, int]], wrong: list[tuple[int, Any, int]]) -> Memory:
    """Return what was said, and corrections of any of it, kept without being asked whether it can be true."""
    memory = Memory()
    for k, (body, at) in enumerate(said):
        memory.put(new_event(body, who="A", device="b", at=hours(at), id=f"{k:032x}"))
    for k, (which, body, at) in enumerate(wrong, len(said)):
        event = memory.events[which % len(memory.events)]
        then = None if at < 0 else hours(at)
        try:
            instead = correction(event, memory.history, why="x", body=body, at=then)
        except InputError:
            instead = Corrected(corrects=event.id, subjects=(*event.subjects, *NAMES), why="")
        memory.put(new_event(instead, who="A", device="b", at=hours(4), id=f"{k:032x}"))
    return memory


@settings(max_examples=150, deadline=None)
@given(said=TOLD, wrong=WRONG)
def test_replay_answers_and_agrees_with_itself(said: list[tuple[Any, int]], wrong: list[tuple[int, Any, int]]) -> None:
    memory = told(said, wrong)
    shuffled = list(memory.events)
    random.Random(len(said)).shuffle(shuffled)
    for name in NAMES:
        thing = memory.thing(name)
        mine = {e.id for e in memory.history(name)}
        assert replayed([e for e in shuffled if e.id in mine], name) == thing
        step: Thing | None = None
        for event in effective(memory.history(name)):
            if name in event.subjects:
                step = after(step, event, name)
        assert step == thing
        if thing is not None:
            assert thing_from(thing.sort, json.loads(json.dumps(thing_data(thing)))) == thing
            assert thing.name == name


@settings(max_examples=150, deadline=None)
@given(said=TOLD, wrong=WRONG, last=BODIES, at=st.integers(0, 5))
def test_rules_answer(said: list[tuple[Any, int]], wrong: list[tuple[int, Any, int]], last: Any, at: int) -> None:
    memory = told(said, wrong)
    things = {name: memory.thing(name) for name in NAMES}
    event = new_event(last, who="A", device="b", at=hours(at))
    before = {name: things.get(name) for name in (*event.subjects, *asks(last))}
    for problem in (*stock_problems(event, before), *build_problems(event, before), *broken_by(event, memory.history)):
        assert problem.place
        assert problem.wanted
        assert "\n" not in str(problem)


@settings(max_examples=100, deadline=None)
@given(said=TOLD, wrong=WRONG, which=st.integers(0, 20), instead=BODIES)
def test_corrections_answer_and_leave_what_was_true(
    said: list[tuple[Any, int]], wrong: list[tuple[int, Any, int]], which: int, instead: Any
) -> None:
    memory = told(said, wrong)
    event = memory.events[which % len(memory.events)]
    as_corrected(event, memory.history)
    try:
        group = corrections(event, memory.history, why="x", body=instead)
    except InputError:
        return
    assert group[0].corrects == event.id
    assert set(group[0].subjects) >= set(event.subjects)
    memory.together(group, 5)
    for name in NAMES:
        memory.thing(name)


@settings(max_examples=200, deadline=None)
@given(body=BODIES)
def test_a_body_is_read_as_it_was_written(body: Any) -> None:
    event = new_event(body, who="A", device="b", at=datetime(2026, 3, 2, tzinfo=UTC))
    assert body_from(event.kind, json.loads(json.dumps(body_data(body)))) == body
    assert isinstance(event, Event)
