"""Laying from the command line: steps, gates that stop, ticks and films, two people, wrong input."""

from __future__ import annotations

import re

import pytest

from buildshop import Floor


def test_the_first_step_is_told_with_its_cautions_and_boxes(floor: Floor) -> None:
    said = floor("start", "fp26-1")
    assert said.startswith("Heavy and cold. Two people or a trolley above 25 kg; gloves at the freezer.")
    assert "Safety data sheets, local rules and licensed practice come first." in said
    assert "1 ☐ time out written 2 ☐ bag dry before it is opened" in said
    assert re.search(r"FP26-1: 1 Thaw the cloth, sealed – started \d\d \w+ 08:01\.$", said)
    assert "Running since" in floor("finish", "fp26-1", "temp", "--tick", "all")


def test_a_step_is_not_done_while_boxes_are_open(floor: Floor) -> None:
    floor("start", 1)
    said = floor.refused("finish", 1)
    assert said == (
        '--tick – FP26-1, thaw: not ticked yet: 1 "time out written", 2 "bag dry before it is opened" '
        "(--tick all when all of it is done, or say in a --note why not)"
    )
    assert '2 "bag dry' in floor.refused("finish", 1, "--tick", "1")
    assert floor.refused("finish", 1, "--tick", "1,7") == (
        '--tick: "7" – this step has boxes 1 to 2: "all" or numbers are wanted, as in "1,3"'
    )
    found = floor.data("finish", 1, "--tick", "1", "--note", "bag was open already")
    assert [f["severity"] for f in found["findings"]] == ["seen"]
    assert found["kept"][0]["body"] == {"build": "FP26-1", "step": "thaw", "boxes": [0], "note": "bag was open already"}
    assert found["next"]["key"] == "templates"


def test_the_gates_of_a_step_stop_it_and_say_why(floor: Floor) -> None:
    said = floor.refused("start", 1, "ply-1", code=1)
    assert "stop: before ply-1, release: nothing says that it is on" in said
    assert "stop: before ply-1, room: no reading of the last 4 h; 15 °C to 25 °C, under 70 % wanted" in said
    assert "Nothing was written. To start all the same, somebody takes it on, with --by NAME --why REASON:" in said
    found = floor.data("gates", 1, "--step", "ply-1", code=1)
    asked = {g["key"]: g["holds"] for g in found["gates"]}
    assert asked.keys() >= {"release", "kit", "life", "room"}
    assert set(asked.values()) == {None}  # nobody has looked, which stops as well
    assert f"bagside build pass FP26-1 {','.join(asked)} --step ply-1" in said
    stopped = floor.data("lay", 1, 1, "--films", 2, code=1)
    assert [g["key"] for s in stopped["stopped"] for g in s["gates"]] == list(asked)
    assert stopped["kept"] == []


def test_a_gate_is_passed_by_a_named_person_with_a_reason(floor: Floor) -> None:
    nobody = floor.refused("pass", 1, "room", "--step", "ply-1")
    assert "--by – the name of who takes it on is wanted" in nobody
    assert "--why – their reason is wanted, in a sentence" in nobody
    told = floor.refused("pass", 1, "rooom", "--step", "ply-1", "--by", "Ben", "--why", "x")
    assert told == 'GATE: "rooom" – there is no such gate before Lay ply 1: 1, twill-200 (ply-1) (did you mean "room"?)'
    said = floor("pass", 1, "room,kit", "--step", "ply-1", "--by", "Ben", "--why", "heated since noon, counted twice")
    assert "gates room and kit before Lay ply 1: 1, twill-200 (ply-1) passed by Ben: heated since noon" in said
    again = floor.refused("pass", 1, "room", "--step", "ply-1", "--by", "Cas", "--why", "me too")
    assert "Ben has passed it already" in again
    found = floor.data("gates", 1, "--step", "ply-1", code=1)
    passed = {g["key"]: g["passed"] for g in found["gates"]}
    assert passed["room"]["by"] == "Ben"
    assert passed["release"] is None
    stops = {f["place"] for f in found["findings"] if f["severity"] == "stop"}
    assert {"before ply-1, release", "before ply-1, life"} <= stops
    assert not stops & {"before ply-1, room", "before ply-1, kit"}


def test_plies_are_ticked_and_films_counted(ready: Floor) -> None:
    ready("start", 1)
    said = ready.refused("lay", 1, 1)
    assert said == "--films – count the backing films in your hand and say how many (--films 2 is planned)"
    said = ready("lay", 1, 1, "--films", 2)
    assert said.startswith("FP26-1: ply 1 laid, 2 films off; 20 films still to come off.")
    assert "done, 3 min (planned 8 min). Next: 6 Debulk after ply 1 (debulk-1)" in ready("finish", 1, "--tick", "all")


def test_two_people_tick_the_same_ply(ready: Floor) -> None:
    ready("lay", 1, 1, "--films", 2)
    ready.who = "Ben"
    said = ready.refused("lay", 1, 1, "--films", 2)
    assert said.startswith('PLY: "1" – ply 1 is laid already: Ann ticked it at ')
    assert said.endswith("(nothing is ticked twice; a wrong tick is corrected with bagside build correct)")
    assert "Ann ticked it" in ready.refused("lay", 1, "1:1", "--films", 2)  # by the ledger itself


def test_a_ply_that_is_not_there(ready: Floor) -> None:
    assert ready.refused("lay", 1, 11, "--films", 2) == (
        'PLY: "11" – there is no such ply or piece: FP26-1 has plies 1 to 10'
    )
    assert ready.refused("lay", 1, "3:3B", "--films", 2) == (
        'PLY: "3B" – ply 3 has no such piece (did you mean "3"?)'
    )


def test_a_debulk_that_is_too_short_stops_the_next_ply_until_it_is_long_enough(ready: Floor) -> None:
    ready("lay", 1, 1, "--films", 2)
    ready("finish", 1, "ply-1", "--tick", "all")
    ready("start", 1)
    said = ready("debulk", 1, "--time", "12 min", "--vacuum", "40 mbar")
    assert said.startswith("FP26-1: debulked after ply 1, 12 min at 40 mbar absolute; 20 min under 100 mbar is plan")
    said = ready("finish", 1, "--tick", "all")
    assert "after ply 1: 12 min at 40 mbar, 20 min under 100 mbar wanted" in said
    ready("pass", 1, "life", "--step", "ply-2", "--by", "Ben", "--why", "roll opened today")
    told = ready.refused("start", 1, code=1)
    assert "stop: before ply-2, debulk: after ply 1: 12 min at 40 mbar, 20 min under 100 mbar wanted" in told
    ready("debulk", 1, "--after", 1, "--time", "8 min", "--vacuum", "973 mbar", "--below", "--ambient", "1013 mbar")
    assert "started" in ready("start", 1)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (
            ("--time", "10", "--vacuum", "40 mbar"),
            '--time – "10" has no unit; a number with a unit is wanted, as in "4 h"',
        ),
        (
            ("--time", "10 min", "--vacuum", "40 g"),
            '--vacuum – "40 g" is not a pressure; a number with a unit is wanted, as in "20 mbar"',
        ),
        (
            ("--time", "10 min", "--vacuum", "-970 mbar"),
            '--vacuum: "-970 mbar" – an absolute pressure cannot be negative (when the gauge shows pressure below '
            "ambient, say so with --below)",
        ),
        (
            ("--time", "10 min", "--vacuum", "1100 mbar", "--below"),
            '--vacuum: "1100 mbar" – that is more vacuum than there is air today, 1 008 mbar (state the barometer with '
            "--ambient, or leave --below out when the gauge shows absolute pressure)",
        ),
    ],
)
def test_wrong_units_of_a_debulk(ready: Floor, arguments: tuple[str, ...], message: str) -> None:
    ready("lay", 1, 1, "--films", 2)
    assert ready.refused("debulk", 1, *arguments) == message


def test_a_film_that_is_missing_stops(ready: Floor) -> None:
    said = ready("lay", 1, 1, "--films", 1, code=1)  # it is written down: it is laid
    assert "stop: FP26-1: 1 backing film is not accounted for (ply 1 piece 1: 1 of 2)" in said
    assert ready.data("show", 1, code=1)["plies"][0]["ticks"][0]["films"] == 1
    event = ready.data("show", 1, code=1)["plies"][0]["ticks"][0]["event"]
    said = ready("correct", event[:8], "films=2", "--why", "it stuck to the glove")
    assert "It was: ply 1, piece 1 laid, 1 film off" in said
    assert "It is: ply 1, piece 1 laid, 2 films off" in said
    assert "corrected by" in ready("show", 1, "--history")
    assert ready.data("show", 1)["plies"][0]["ticks"][0]["films"] == 2


def test_a_clock_that_jumps_back_and_what_is_written_down_late(ready: Floor) -> None:
    ready("lay", 1, 1, "--films", 2)
    ready.later(hours=-1)
    said = ready.refused("finish", 1, "ply-1", "--tick", "all")
    assert "its clock has jumped back, or this is written down late" in said
    assert "when it did happen then, say that it is late (--late)" in said
    ready.later(hours=1)
    early = f"{ready.now.replace(hour=8, minute=5):%Y-%m-%d %H:%M}"
    assert "jumped back" in ready.refused("climate", "20 °C", "50 %", "--at", early)
    ready("climate", "20 °C", "50 %", "--at", early, "--late")
    lines = [line for line in ready_history(ready) if "20.0 °C" in line]
    assert len(lines) == 1
    assert "(written down late)" in lines[0]


def ready_history(floor: Floor) -> list[str]:
    floor("show", 1, "--history")
    return floor.out.splitlines()
