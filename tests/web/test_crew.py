"""Child processes: the newest question wins, a stop is heard or enforced, a crash is told and mended."""

from __future__ import annotations

import multiprocessing
import os
import queue
import time
from collections.abc import Iterator
from multiprocessing.context import SpawnProcess
from typing import Any

import pytest

from bagside.errors import InputError
from bagside.web.work.child import Ended, Teller
from bagside.web.work.crew import Crew, Lane


def counted(tell: Teller, upto: int, pause: float) -> int:
    for k in range(upto):
        if tell.stopping:
            return k
        tell(k)
        time.sleep(pause)
    return upto


def deaf(tell: Teller) -> int:
    time.sleep(60.0)
    return 1


def refusing(tell: Teller) -> None:
    raise InputError.one("job.toml, name", '"x"', "another is wanted")


def faulty(tell: Teller) -> None:
    raise ZeroDivisionError("here")


def killed(tell: Teller) -> None:
    os.kill(os.getpid(), 9)


def unsendable(tell: Teller) -> Any:
    return lambda: 1


def process(tell: Teller) -> int:
    return os.getpid()


class Heard:
    """What came back, in the order it came."""

    def __init__(self) -> None:
        self.said: list[Any] = []
        self.ends: queue.Queue[Ended] = queue.Queue()

    def end(self, seconds: float = 20.0) -> Ended:
        return self.ends.get(timeout=seconds)


@pytest.fixture(scope="module")
def crew() -> Iterator[Crew]:
    found = Crew(lambda function, *arguments: function(*arguments))
    yield found
    found.close()


def ask(crew: Crew, key: str, function: Any, *arguments: Any, lane: Lane = Lane.QUICK) -> Heard:
    heard = Heard()
    crew.ask(key, function, *arguments, heard=heard.said.append, ended=heard.ends.put, lane=lane)
    return heard


def test_what_a_task_says_comes_in_order_and_then_its_end(crew: Crew) -> None:
    heard = ask(crew, "count", counted, 50, 0.0)
    assert heard.end() == Ended(result=50)
    assert heard.said == list(range(50))


def test_a_stopped_task_hands_over_its_best(crew: Crew) -> None:
    heard = ask(crew, "count", counted, 1000, 0.02)
    while not heard.said:
        time.sleep(0.01)
    assert crew.busy("count")
    crew.stop("count")
    result = heard.end().result
    assert 0 < result < 1000
    assert not crew.busy("count")


def test_a_task_that_does_not_listen_is_ended(crew: Crew, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("bagside.web.work.crew.GRACE", 0.3)
    heard = ask(crew, "deaf", deaf)
    time.sleep(0.3)
    crew.stop("deaf")
    assert heard.end() == Ended()
    assert isinstance(ask(crew, "next", process).end().result, int)


def test_the_newest_question_takes_the_place_of_the_old_one(crew: Crew) -> None:
    first = ask(crew, "drag", counted, 1000, 0.02)
    while not first.said:
        time.sleep(0.01)
    later = [ask(crew, "drag", counted, k, 0.0) for k in (3, 4, 5)]
    assert later[-1].end().result == 5
    time.sleep(0.3)
    assert first.ends.empty()
    assert all(h.ends.empty() for h in later[:-1])  # and nobody hears of the others any more


def test_a_task_that_waits_can_be_stopped(crew: Crew) -> None:
    long = ask(crew, "a", counted, 1000, 0.02)
    while not long.said:
        time.sleep(0.01)
    waits = ask(crew, "b", counted, 3, 0.0)
    crew.stop("b")
    assert waits.end() == Ended()
    crew.stop("a")
    assert long.end().result < 1000


def test_an_error_of_the_package_comes_back_whole(crew: Crew) -> None:
    error = ask(crew, "x", refusing).end().error
    assert isinstance(error, InputError)
    assert str(error) == 'job.toml, name: "x" – another is wanted'


def test_a_fault_is_told_with_its_place(crew: Crew) -> None:
    assert ask(crew, "x", faulty).end().fault.rstrip().endswith("ZeroDivisionError: here")


def test_a_result_that_cannot_be_sent_is_told(crew: Crew) -> None:
    assert "pickle" in ask(crew, "x", unsendable).end().fault.lower()


def test_a_process_that_dies_is_told_and_replaced(crew: Crew) -> None:
    assert "ended by itself" in ask(crew, "x", killed).end().fault
    assert isinstance(ask(crew, "y", process).end().result, int)


def test_lanes_do_not_wait_for_each_other(crew: Crew) -> None:
    long = ask(crew, "long", counted, 1000, 0.02, lane=Lane.LONG)
    while not long.said:
        time.sleep(0.01)
    begin = time.monotonic()
    assert isinstance(ask(crew, "quick", process).end().result, int)
    assert time.monotonic() - begin < 15.0
    crew.stop("long")
    assert 0 <= long.end().result < 1000


def warm(tell: Teller) -> None:
    time.sleep(0.2)


def test_a_process_that_waits_takes_the_place_of_one_that_was_ended() -> None:
    """The spare has done what every process does first, so the next answer does not wait for that."""
    crew = Crew(lambda function, *arguments: function(*arguments), warm)
    try:
        first = ask(crew, "who", process, lane=Lane.LONG).end().result
        assert ask(crew, "who", process, lane=Lane.LONG).end().result == first
        assert "ended by itself" in ask(crew, "x", killed, lane=Lane.LONG).end().fault
        second = ask(crew, "who", process, lane=Lane.LONG).end().result
        assert second != first
        assert "ended by itself" in ask(crew, "x", killed, lane=Lane.LONG).end().fault
        assert ask(crew, "who", process, lane=Lane.LONG).end().result not in (first, second)
    finally:
        crew.close()


def ends_itself(tell: Teller) -> None:
    while True:
        tell.go_on()
        time.sleep(0.01)


def test_a_task_may_end_itself_where_it_is_asked_to(crew: Crew) -> None:
    before = ask(crew, "who", process).end().result
    heard = ask(crew, "x", ends_itself)
    time.sleep(0.2)
    crew.stop("x")
    assert heard.end() == Ended()
    assert ask(crew, "who", process).end().result == before  # the process goes on


@pytest.mark.parametrize("after", [0.0, 0.1, 0.4])
def test_a_crew_that_is_closed_while_it_starts_leaves_no_process(after: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """A child that is left would keep the program from ending: its end waits for all of them."""
    start = SpawnProcess.start

    def slow(self: SpawnProcess) -> None:
        time.sleep(0.2)  # a busy machine
        start(self)

    monkeypatch.setattr(SpawnProcess, "start", slow)
    here = {p.pid for p in multiprocessing.active_children()}
    crew = Crew(lambda function, *arguments: function(*arguments), process)
    time.sleep(after)
    crew.close()
    time.sleep(0.5)
    end = time.monotonic() + 20.0
    while {p.pid for p in multiprocessing.active_children()} - here:
        assert time.monotonic() < end, "a process outlasts the crew"
        time.sleep(0.05)
