"""What comes next in a build, and that no state of a build breaks its gates."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.ledger.bodies import Bagged, Closed, Cured, Debulked, Finished, Found, Laid, MassStage, Started
from bagside.ledger.builds.build_events import build_after
from bagside.ledger.builds.next_up import next_up
from bagside.ledger.event import new_event
from bagside.ledger.gates.before import gate_findings, gates_before, stopping
from bagside.ledger.gates.gate import CLOSING, GATES
from bagside.ledger.things import Build
from buildcases import after, at, begun, plan, read, shop

NAME = "L-1"


def test_the_first_step_that_is_not_finished_comes_next() -> None:
    build = after(begun(), (Finished(build=NAME, step="thaw", boxes=(0,)), 1.0))
    up = next_up(build, shop(), at(2))
    assert up.step is not None
    assert (up.step.key, up.number, up.of, up.under_way) == ("cut", 2, 20, False)
    assert [g.key for g in up.stopping] == ["thawed", "life"]
    assert not up.open


def test_a_step_that_is_under_way_has_its_gates_behind_it() -> None:
    build = after(begun(), (Finished(build=NAME, step="thaw", boxes=(0,)), 1.0), (Started(build=NAME, step="cut"), 2.0))
    up = next_up(build, shop(), at(3))
    assert up.under_way
    assert (up.gates, up.open) == ((), True)


def test_when_all_steps_are_finished_the_end_has_its_gates() -> None:
    build = begun()
    for k, step in enumerate(build.planned.steps):
        boxes = tuple(range(len(step.boxes)))
        build = after(build, (Finished(build=NAME, step=step.key, boxes=boxes), 1.0 + 0.1 * k))
    up = next_up(build, shop(), at(9))
    assert (up.step, up.done, up.number) == (None, None, 21)
    assert {g.key for g in up.stopping} == {"films", "cured", "post-cured", "thickness", "holes", "mass"}
    assert all(g.step == CLOSING for g in up.gates)
    closed = after(build, (Closed(build=NAME, verdict="scrap", why="dropped"), 9.5))
    up = next_up(closed, shop(), at(10))
    assert (up.over, up.open, up.gates) == (True, False, ())


def test_a_step_that_is_not_in_the_plan_has_no_gates() -> None:
    told = r'L-1, step: "ply3" – there is no such step in its plan \(did you mean "ply-3"'
    with pytest.raises(InputError, match=told):
        gates_before(begun(), "ply3", shop(), at(1))


NUMBER = st.floats(1e-6, 1e5, allow_nan=False)
BODIES = st.one_of(
    st.builds(Laid, build=st.just(NAME), ply=st.integers(1, 3), piece=st.sampled_from(["1A", "2", "3"]),
              films=st.integers(0, 3)),
    st.builds(Debulked, build=st.just(NAME), after=st.integers(1, 3), seconds=NUMBER, pressure=NUMBER),
    st.builds(Bagged, build=st.just(NAME), items=st.sampled_from([(), ("B-1",)])),
    st.builds(Cured, builds=st.just((NAME,)), post=st.booleans(), verdict=st.sampled_from(["", "good", "scrap"]),
              cure=st.none() | st.floats(0.0, 1.0), tg=st.none() | st.floats(200.0, 600.0)),
    st.builds(Started, build=st.just(NAME), step=st.sampled_from([s.key for s in plan().steps])),
    st.builds(Finished, build=st.just(NAME), step=st.sampled_from([s.key for s in plan().steps])),
    st.builds(lambda start, end, seconds, ambient, volume: read(
        Found.LEAK, 1.0, start=start, end=end, seconds=seconds, ambient=ambient, volume=volume),
        NUMBER, NUMBER, st.none() | NUMBER, st.none() | st.floats(5e4, 1.1e5), st.none() | st.floats(1e-5, 1.0)),
    st.builds(lambda f, v, h, p: read(f, v, humidity=h, place=p),
              st.sampled_from([f for f in Found if f is not Found.LEAK]), st.floats(230.0, 330.0), st.floats(0.0, 1.0),
              st.sampled_from(["", "air", "pivot", "rim"])),
    st.builds(lambda s, v: read(Found.MASS, v, stage=s), st.sampled_from(MassStage), st.floats(1e-3, 10.0)),
)  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(st.lists(BODIES, max_size=15), st.booleans(), st.booleans())
def test_no_state_of_a_build_breaks_its_gates(told: list[Any], rule: bool, bare: bool) -> None:
    """Any events in any order, allowed or not: each gate of each step says yes, no or unknown in whole sentences."""
    changes = {} if rule else {"leak_rule": "of long ago", "leak_volume": 0.0}
    build: Build | None = begun(plan(**changes, **({"points": (), "holes": (), "coats": ()} if bare else {})))
    for k, body in enumerate(told):
        happened = new_event(body, who="Ada", device="d", at=at(0.1 * k), zone="UTC")
        build = build_after(build, happened, NAME)
    assert build is not None
    for step in (*(s.key for s in build.planned.steps), CLOSING):
        gates = gates_before(build, step, shop(), at(2))
        assert len({g.key for g in gates}) == len(gates)
        assert all(g.step == step and g.key in GATES for g in gates)
        assert all(g.what and g.why for g in gates)
        assert all(g.do for g in stopping(gates))
        assert len(gate_findings(gates)) == len([g for g in gates if not g.holds])
    assert next_up(build, shop(), at(2)).of == len(build.planned.steps)
