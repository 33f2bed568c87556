"""What devices send: each event once and in order, an answer for each, and nothing that is not for the floor to say."""

from __future__ import annotations

import secrets
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from bagside.errors import InputError
from bagside.ledger.bodies import Closed, Conceded, Passed, body_data
from bagside.ledger.things import Build
from bagside.records.desk import Desk, desk
from bagside.web.floor.taking import KINDS, MOST, answers_for
from floorstand import BUILD, Stand


@pytest.fixture
def stand(floor_stand: Stand) -> Stand:
    return floor_stand


@pytest.fixture
def here(stand: Stand) -> Iterator[Desk]:
    with desk(stand.folder, "floor", "phone-1") as opened:
        yield opened


def said(kind: str, data: dict[str, Any], *, ago: float = 1.0, id: str = "", who: str = "Ann") -> dict[str, Any]:
    """Return an event as a device sends it, some minutes old."""
    at = datetime.now(UTC) - timedelta(minutes=ago)
    return {
        "id": id or secrets.token_hex(16), "kind": kind, "data": data, "at": at.isoformat(), "zone": "Europe/Berlin",
        "who": who,
    }  # fmt: skip


def laid(ply: int, piece: str, **more: Any) -> dict[str, Any]:
    return said("laid", {"build": BUILD, "ply": ply, "piece": piece, "films": 2}, **more)


def build_of(here: Desk) -> Build:
    found = here.ledger.thing(BUILD)
    assert isinstance(found, Build)
    return found


def test_events_are_taken_in_the_order_in_which_they_are_sent(here: Desk) -> None:
    sent = [
        said("started", {"build": BUILD, "step": "ply-2"}, ago=3.0), laid(2, "2", ago=2.0),
        said("finished", {"build": BUILD, "step": "ply-2", "boxes": [0, 1, 2]}, ago=1.0),
    ]  # fmt: skip
    assert [a["answer"] for a in answers_for(here, sent)] == ["taken"] * 3
    kept = list(here.ledger.events(BUILD))[-3:]
    assert [e.id for e in kept] == [s["id"] for s in sent]
    assert {(e.who, e.device, e.zone) for e in kept} == {("Ann", "phone-1", "Europe/Berlin")}
    step = next(s for s in build_of(here).steps if s.key == "ply-2")
    assert step.started is not None
    assert step.finished is not None


def test_what_is_sent_twice_counts_once_even_when_the_answer_was_lost(here: Desk) -> None:
    sent = [said("started", {"build": BUILD, "step": "ply-2"}, ago=3.0), laid(2, "2", ago=2.0)]
    answers_for(here, sent[:1])
    before = here.ledger.count
    assert [a["answer"] for a in answers_for(here, sent)] == ["known", "taken"]
    assert [a["answer"] for a in answers_for(here, sent * 2)] == ["known"] * 4
    assert here.ledger.count == before + 1


def test_one_that_cannot_be_true_is_refused_with_a_sentence_and_the_others_are_taken(here: Desk) -> None:
    sent = [laid(2, "2", ago=3.0), laid(2, "2", ago=2.0), laid(3, "3", ago=1.0)]
    answers = answers_for(here, sent)
    assert [a["answer"] for a in answers] == ["taken", "refused", "taken"]
    assert answers[1]["said"] == [
        f'{BUILD}, ply 2, piece: "2" – Ann ticked it {_minute(sent[0])} UTC (one of the two ticks is another piece: '
        "look, and correct it)"
    ]
    assert here.ledger.event(sent[1]["id"]) is None


def _minute(sent: dict[str, Any]) -> str:
    return f"{datetime.fromisoformat(sent['at']):%Y-%m-%d %H:%M}"


def test_what_looks_wrong_is_taken_and_told(here: Desk) -> None:
    (answer,) = answers_for(here, [laid(4, "4")])
    assert answer["answer"] == "taken"
    told = [n["what"] for n in answer["noticed"]]
    assert "it is laid over ply 2, 3, which is not ticked whole" in told
    assert any("not ticked" in what for what in told[1:]), "the gate of the films that should have stopped it"


@pytest.mark.parametrize(
    "body",
    [
        Passed(build=BUILD, gate="life", step="ply-2", by="Ann", why="so"),
        Conceded(build=BUILD, what="a", why="b", effect="c", by="Ann"),
        Closed(build=BUILD, verdict="good"),
    ],
)
def test_what_decides_is_not_for_the_floor_to_say(here: Desk, body: Any) -> None:
    kind = type(body).__name__.lower()
    assert kind not in KINDS
    before = here.ledger.count
    (answer,) = answers_for(here, [said(kind, body_data(body))])
    assert answer["said"] == [f'event, kind: "{kind}" – this is not for the floor to say (say it at the desk)']
    assert here.ledger.count == before


def test_a_tick_is_taken_back_and_the_record_keeps_both(here: Desk) -> None:
    tick = laid(2, "2", ago=3.0)
    answers_for(here, [tick])
    (answer,) = answers_for(here, [said("taken-back", {"event": tick["id"], "why": "ticked by mistake"})])
    assert answer["answer"] == "taken"
    assert all(n.what.ply != 2 for n in build_of(here).laid)
    assert here.ledger.event(tick["id"]) is not None
    assert [a["answer"] for a in answers_for(here, [laid(2, "2", ago=0.5)])] == ["taken"]


def test_only_what_the_floor_said_is_taken_back(here: Desk) -> None:
    begun = next(iter(here.ledger.events(BUILD, kinds=["begun"])))
    (answer,) = answers_for(here, [said("taken-back", {"event": begun.id, "why": "no"})])
    assert answer["said"] == ["taken back, event: begun – this is not for the floor to take back"]
    (answer,) = answers_for(here, [said("taken-back", {"event": "0" * 32, "why": "no"})])
    assert answer["said"] == [f'taken back, event: "{"0" * 32}" – the records have no such event']


@pytest.mark.parametrize(
    ("change", "problem"),
    [
        ({"id": "7"}, 'event, id: "7" – 32 hexadecimal digits are wanted'),
        ({"data": 3}, "event, data: int – an object is wanted"),
        ({"at": "noon"}, 'event, at: "noon" – a time with its zone is wanted, as in 2026-11-26T14:05:00Z'),
        ({"at": "2026-11-26T14:05"}, 'event, at: "2026-11-26T14:05" – a time with its zone is wanted, as in '
         "2026-11-26T14:05:00Z"),
        ({"who": " "}, 'event, who: "" – a name of 1 to 120 letters is wanted'),
        ({"data": {"build": BUILD, "step": "x" * 2001}}, "started, step: 2001 letters – at most 2000 are wanted"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_refused_in_one_sentence(here: Desk, change: dict[str, Any], problem: str) -> None:
    (answer,) = answers_for(here, [said("started", {"build": BUILD, "step": "ply-2"}) | change])
    assert (answer["answer"], answer["said"]) == ("refused", [problem])


def test_an_old_event_is_refused_and_a_late_one_of_this_week_is_not(here: Desk) -> None:
    (old,) = answers_for(here, [laid(2, "2", ago=31 * 24 * 60.0)])
    assert old["said"][0].endswith(
        "that is more than a month ago (look at the clock of this device; what did happen then is written down at the "
        "desk)"
    )
    assert [a["answer"] for a in answers_for(here, [laid(2, "2", ago=30.0)])] == ["taken"]


def test_no_list_and_too_long_a_list_are_refused_whole(here: Desk) -> None:
    with pytest.raises(InputError, match="a list of events is wanted"):
        answers_for(here, {"id": 1})
    with pytest.raises(InputError, match=f"at most {MOST} at once"):
        answers_for(here, [{}] * (MOST + 1))


@pytest.mark.parametrize("junk", [None, 3, "laid", [], {"id": None}, {"kind": "laid"}])
def test_junk_is_answered_like_anything_else(here: Desk, junk: Any) -> None:
    before = here.ledger.count
    (answer,) = answers_for(here, [junk])
    assert answer["answer"] == "refused"
    assert answer["said"]
    assert here.ledger.count == before
