"""Gates of laying: films, debulks, the room. The limits are common practice and the resin maker's guide."""

import pytest

from bagside.findings import Basis, Severity
from bagside.ledger.bodies import Debulked, Finished, Found, Laid, Measured, Passed
from bagside.ledger.gates.before import gate_findings, gates_before, stopping
from bagside.ledger.gates.gate import Gate
from bagside.ledger.things import Build
from buildcases import after, at, begun, plan, read, refused, shop

NAME = "L-1"


def gate(key: str, step: str, build: Build, hours: float = 10.0) -> Gate:
    return {g.key: g for g in gates_before(build, step, shop(), at(hours))}[key]


def laid(*pieces: tuple[int, str, int], build: Build | None = None) -> Build:
    build = build or begun()
    for k, (number, piece, films) in enumerate(pieces):
        build = after(build, (Laid(build=NAME, ply=number, piece=piece, films=films), 1.0 + 0.1 * k))
    return build


def test_every_film_of_the_plies_so_far_is_off() -> None:
    found = gate("films", "ply-2", laid((1, "1A", 2), (1, "1B", 2)))
    assert (found.holds, found.what) == (True, "4 of 4 films off, every piece ticked")
    found = gate("films", "debulk-1", laid((1, "1A", 2)))
    assert (found.holds, found.what) == (None, "ply 1: piece 1B not ticked")
    found = gate("films", "ply-2", laid((1, "1A", 1), (1, "1B", 2)))
    assert (found.holds, found.what) == (False, "ply 1: 3 of 4 films off")
    found = gate("films", "ply-2", laid((1, "1A", 2), (1, "1B", 3)))
    assert (found.holds, found.what) == (False, "ply 1: 5 of 4 films off, which is too many")


def test_before_the_bag_every_ply_is_asked_for() -> None:
    some = laid((1, "1A", 2), (1, "1B", 2), (2, "2", 2))
    assert gate("films", "bag", some).what == "ply 2: piece 2 not ticked; ply 3: piece 3 not ticked"
    whole = laid((2, "2", 2), (3, "3", 1), build=some)
    assert gate("films", "bag", whole).what == "9 of 9 films off, every piece ticked"


def test_many_plies_are_counted_and_not_named() -> None:
    many = plan(plies=tuple(
        plan().plies[2].__class__(number=n, material="twill-200", pieces=(f"{n}",), films=2, area=0.1, mass=0.03,
                                  scatter=0.02) for n in range(1, 8)
    ))  # fmt: skip
    assert gate("films", "bag", begun(many)).what.endswith("ply 4: piece 4 not ticked; and 3 more plies")


def debulked(*told: tuple[float, float], build: Build | None = None) -> Build:
    build = build or laid((1, "1A", 2), (1, "1B", 2))
    for k, (minutes, mbar) in enumerate(told):
        body = Debulked(build=NAME, after=1, seconds=60.0 * minutes, pressure=100.0 * mbar)
        build = after(build, (body, 2.0 + 0.1 * k))
    return build


@pytest.mark.parametrize(
    ("told", "holds", "what"),
    [
        ((), None, "after ply 1: no debulk is written down, 20 min under 100 mbar wanted"),
        (((20.0, 30.0),), True, "after ply 1: 20 min at 30 mbar, 20 min under 100 mbar wanted"),
        (((12.0, 30.0),), False, "after ply 1: 12 min at 30 mbar, 20 min under 100 mbar wanted"),
        (((12.0, 30.0), (8.0, 50.0)), True, "after ply 1: 20 min at 50 mbar, 20 min under 100 mbar wanted"),
        (((30.0, 250.0),), False, "after ply 1: 250 mbar, 20 min under 100 mbar wanted"),
        (((30.0, 250.0), (19.0, 40.0)), False, "after ply 1: 19 min at 40 mbar, 20 min under 100 mbar wanted"),
    ],
)  # fmt: skip
def test_the_debulk_was_long_and_deep_enough(
    told: tuple[tuple[float, float], ...], holds: bool | None, what: str
) -> None:
    found = gate("debulk", "ply-2", debulked(*told))
    assert (found.holds, found.what) == (holds, what)


def test_no_debulk_is_asked_for_before_one_is_due() -> None:
    none = {g.key for g in gates_before(begun(plan(debulks=())), "ply-2", shop(), at(1))}
    assert "debulk" not in none
    assert "debulk" in {g.key for g in gates_before(begun(), "bag", shop(), at(1))}


def test_a_gate_on_plies_that_was_passed_is_not_asked_again_for_the_same_plies() -> None:
    build = laid((1, "1A", 1), (1, "1B", 2))
    build = after(build, (Passed(build=NAME, gate="films", step="ply-2", by="Ben", why="it tore, all is out"), 3.0))
    build = after(build, (Passed(build=NAME, gate="debulk", step="ply-2", by="Ben", why="the pump failed"), 3.1))
    assert gate("films", "ply-2", build).passed is not None
    assert not gate("films", "ply-2", build).stops
    build = laid((2, "2", 2), (2, "2", 2), build=after(build, (read(Found.PINHOLES, 0.0), 3.2)))
    found = gate("films", "ply-3", build)
    assert (found.holds, found.what) == (True, "4 of 4 films off, every piece ticked")
    assert "debulk" not in {g.key for g in gates_before(build, "ply-3", shop(), at(5))}


@pytest.mark.published("a resin maker's guide to processing prepreg: 15 to 25 °C, under 70 % humidity, for laying")
@pytest.mark.parametrize(
    ("celsius", "humidity", "holds"),
    [(20.0, 0.55, True), (15.0, 0.55, True), (14.5, 0.55, False), (25.0, 0.55, True), (26.0, 0.55, False),
     (20.0, 0.69, True), (20.0, 0.70, False)],
)  # fmt: skip
def test_the_room_is_fit_for_laying(celsius: float, humidity: float, holds: bool) -> None:
    build = after(begun(plan(lay_source="a guide")), (read(Found.CLIMATE, celsius + 273.15, humidity=humidity), 8.0))
    found = gate("room", "ply-2", build)
    assert found.holds is holds
    assert found.what.endswith("15 °C to 25 °C, under 70 % wanted")
    assert found.basis is Basis.PUBLISHED


def test_a_reading_of_the_room_grows_old() -> None:
    build = after(begun(), (read(Found.CLIMATE, 293.15, humidity=0.5), 1.0))
    assert gate("room", "ply-1", build, 4.9).holds
    found = gate("room", "ply-1", build, 5.1)
    assert (found.holds, found.what) == (None, "no reading of the last 4 h; 15 °C to 25 °C, under 70 % wanted")
    assert gate("room", "ply-1", build, 0.5).holds is None  # it was not read yet then


def test_without_a_kit_in_the_ledger_the_box_of_the_cutting_step_counts() -> None:
    found = gate("kit", "ply-1", begun())
    assert (found.holds, found.what) == (None, 'no kit of it is in the ledger; "kit 1 complete" is not ticked')
    build = after(begun(), (Finished(build=NAME, step="cut", boxes=(0,), note="roll stays out"), 1.0))
    assert gate("kit", "ply-1", build).holds
    second = after(begun(plan(number=2)), (Finished(build=NAME, step="cut", boxes=(0, 1)), 1.0))
    assert gate("kit", "ply-1", second).holds is None  # kit 2 has no box in this plan


def test_what_stops_is_told_as_a_finding_and_what_was_passed_too() -> None:
    build = after(begun(), (Passed(build=NAME, gate="room", step="ply-1", by="Ben", why="the meter is broken"), 1.0))
    gates = gates_before(build, "ply-1", shop(), at(2))
    assert [g.key for g in gates] == ["release", "kit", "thawed", "life", "room"]
    assert [g.key for g in stopping(gates)] == ["release", "kit", "thawed", "life"]
    told = {f.place: f for f in gate_findings(gates)}
    assert told["before ply-1, room"].severity is Severity.WATCH
    assert told["before ply-1, room"].do == "Ben has taken it on, 2026-11-30: the meter is broken"
    assert told["before ply-1, kit"].severity is Severity.STOP
    assert all(f.why and f.do and f.what for f in told.values())


def test_a_pass_counts_for_its_step_alone() -> None:
    build = after(begun(), (Passed(build=NAME, gate="room", step="ply-1", by="Ben", why="once"), 1.0))
    assert gate("room", "ply-2", build).passed is None


def test_a_measurement_of_something_else_is_none_of_the_room() -> None:
    assert refused(begun(), Measured(subject=NAME, found=Found.CORE, value=290.0), 1.0) == []
    build = after(begun(), (Measured(subject=NAME, found=Found.CORE, value=290.0), 1.0))
    assert gate("room", "ply-1", build, 1.5).holds is None


def test_a_pass_settles_its_own_gate_and_no_other() -> None:
    build = laid((1, "1A", 1), (1, "1B", 2), (2, "2", 2), (2, "2", 2))
    films = after(build, (Passed(build=NAME, gate="films", step="ply-2", by="Ben", why="both are out"), 3.0))
    assert gate("films", "ply-3", films).holds
    assert gate("debulk", "ply-3", films).holds is None
    bulk = after(build, (Passed(build=NAME, gate="debulk", step="ply-2", by="Ben", why="the pump failed"), 3.0))
    assert gate("films", "ply-3", bulk).holds is False
    assert "debulk" not in {g.key for g in gates_before(bulk, "ply-3", shop(), at(5))}
