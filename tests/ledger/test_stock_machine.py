"""Any sequence of events about cloth: what is taken, what is there, what is conserved, what life is handed on.

The walk itself asserts, at every step: the ledger refuses exactly what the model of plain numbers cannot run through;
the same things are there, gone or not, born when the model says; what stands, advanced event by event, is what a replay
gives; what came onto a roll went off it or is left; the pieces of a kit and what was cut off are those that were said;
nothing cut is larger than its cloth; life is handed on from cloth to kit and offcut and never goes down; and at the end
that events read in any order say the same.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import Phase, settings
from hypothesis.stateful import run_state_machine_as_test

import stockwalk
from bagside.ledger.things import Cloth, Thing
from memory import Memory
from stockwalk import Stock


class Walk(Stock):
    """In memory."""


Walk.TestCase.settings = settings(max_examples=100, stateful_step_count=45, deadline=None)
TestWalk = Walk.TestCase


def the_last_cut_forgotten(thing: Callable[[Memory, str], Thing | None]) -> Callable[[Memory, str], Thing | None]:
    def found(memory: Memory, name: str) -> Thing | None:
        cloth = thing(memory, name)
        return replace(cloth, pulled=cloth.pulled[:-1]) if isinstance(cloth, Cloth) else cloth

    return found


def fresh_from_the_knife(stays_of: Callable[..., Any]) -> Callable[..., Any]:
    return lambda cloth, things: stays_of(cloth, things)[:1]


@pytest.mark.parametrize(
    ("place", "name", "broken"),
    [
        (Memory, "refused", lambda _: lambda memory, event: ()),
        (Memory, "thing", the_last_cut_forgotten),
        (stockwalk, "stays_of", fresh_from_the_knife),
    ],
    ids=["takes what cannot be true", "forgets what was cut off", "forgets where cloth was moved"],
)
def test_a_ledger_that_is_wrong_is_found_out(
    place: Any, name: str, broken: Callable[[Any], Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(place, name, broken(getattr(place, name)))
    few = settings(max_examples=40, stateful_step_count=20, deadline=None, phases=(Phase.generate,), database=None)
    with pytest.raises(AssertionError):
        run_state_machine_as_test(Walk, settings=few)
