"""Gates of kit and life, with rolls and kits as the ledger's events make them."""

from collections.abc import Sequence
from dataclasses import replace

import pytest

from bagside.ledger.bodies import Body, CutPiece, Finished, Found, Laid, Measured, Moved, Opened, Received, Sort
from bagside.ledger.gates.before import gates_before
from bagside.ledger.gates.gate import Gate
from bagside.ledger.gates.kits_for import kits_for
from bagside.ledger.replay import replayed
from bagside.ledger.stock.as_stands import cut_from
from bagside.ledger.things import Build, Cloth, Thing
from buildcases import DAY, after, at, begun, event, plan, shop

NAME = "L-1"
HOUR, DAYS = 3600.0, 86400.0
WHOLE = 30 * DAYS
"""Out-life of the generic cloth at 21 °C; its tack is half of it."""


def stock(*told: tuple[Body, float]) -> dict[str, Thing]:
    """Return things as events make them."""
    events = [event(body, hours) for body, hours in told]
    names = dict.fromkeys(name for e in events for name in e.subjects)
    return {n: t for n in names if (t := replayed([e for e in events if n in e.subjects], n)) is not None}


def received(name: str, material: str, used: float = 0.0, tack: float = 0.0) -> Received:
    return Received(
        name=name, sort=Sort.ROLL, material=material, length=10.0, price=40.0, place="bench", life_used=used,
        tack_used=tack,
    )  # fmt: skip


def cut(things: dict[str, Thing], roll: str, kits: dict[str, Sequence[tuple[int, str]]], job: str = "Lid") -> Body:
    """Return a cut of kits from a roll; a label that comes again is another copy."""
    source = things[roll]
    assert isinstance(source, Cloth)
    made = {
        kit: [
            CutPiece(label=label, ply=ply, area=0.05, copy=1 + list(pieces[:k]).count((ply, label)))
            for k, (ply, label) in enumerate(pieces)
        ]
        for kit, pieces in kits.items()
    }
    return cut_from(source, length=0.5, kits=made, job=job)


TWILL, HEAVY = [(1, "1A"), (1, "1B"), (3, "3")], [(2, "2"), (2, "2")]
ROLLS: list[tuple[Body, float]] = [
    (Received(name="bench", sort=Sort.PLACE, temperature=294.15), -50.0),
    (received("R-1", "twill-200"), -48.0),
    (received("R-2", "twill-400"), -48.0),
]


def kitted(*more: tuple[str, dict[str, Sequence[tuple[int, str]]], str]) -> dict[str, Thing]:
    """Return rolls and kits: (roll, kits, job)."""
    told = list(ROLLS)
    for k, (roll, kits, job) in enumerate(more):
        told.append((cut(stock(*ROLLS), roll, kits, job), -2.0 + 0.1 * k))
    return stock(*told)


WHOLE_KITS = (("R-1", {"L-1-a": TWILL}, "Lid"), ("R-2", {"L-1-b": HEAVY}, "Lid"))


def gates(step: str, build: Build, things: dict[str, Thing], hours: float = 1.0) -> dict[str, Gate]:
    return {g.key: g for g in gates_before(build, step, shop(*things.values()), at(hours))}


def test_a_complete_kit_holds_every_piece_and_every_copy() -> None:
    found = gates("ply-1", begun(), kitted(*WHOLE_KITS))["kit"]
    assert (found.holds, found.what) == (True, "L-1-a, L-1-b: 5 pieces, none missing")


def test_a_kit_that_lacks_a_piece_names_it() -> None:
    things = kitted(("R-1", {"L-1-a": TWILL[:2]}, "Lid"), ("R-2", {"L-1-b": HEAVY[:1]}, "Lid"))
    found = gates("ply-1", begun(), things)["kit"]
    assert (found.holds, found.what) == (False, "L-1-a, L-1-b: 2 (ply 2), 3 (ply 3) missing")


def test_a_piece_that_was_cut_again_completes_the_kit() -> None:
    things = kitted(
        ("R-1", {"L-1-a": TWILL[:2]}, "Lid"), ("R-2", {"L-1-b": HEAVY}, "Lid"), ("R-1", {"again": TWILL[2:]}, "Lid")
    )
    assert gates("ply-1", begun(), things)["kit"].holds


def test_the_kit_with_the_number_of_the_part_comes_first_and_no_other_is_robbed() -> None:
    both = ("R-1", {"LID-1": TWILL, "LID-2": TWILL}, "Lid"), ("R-2", {"LIH-1": HEAVY, "LIH-2": HEAVY}, "Lid")
    first = kits_for(begun(), shop(*kitted(*both).values()))
    second = kits_for(begun(plan(number=2)), shop(*kitted(*both).values()))
    assert [k.name for k in first.kits] == ["LID-1", "LIH-1"]
    assert [k.name for k in second.kits] == ["LID-2", "LIH-2"]
    # One piece of kit 1 was spoiled: it is missing, although kit 2 holds one like it, which belongs to part 2.
    spoiled = kitted(("R-1", {"LID-1": TWILL[:2], "LID-2": TWILL}, "Lid"), both[1])
    build = after(begun(), (Laid(build=NAME, ply=1, piece="1A", films=2, kit="LID-1"), 0.5))
    things = {**spoiled, "LID-1": _laid(spoiled["LID-1"])}
    found = kits_for(build, shop(*things.values()))
    assert found.missing == ((3, "3"),)
    assert [k.name for k in found.kits] == ["LID-1", "LIH-1"]


def _laid(kit: Thing) -> Thing:
    """Return a kit of which the piece 1A is laid."""
    assert isinstance(kit, Cloth)
    return replace(kit, pieces=tuple(replace(p, laid_in=NAME if p.piece.label == "1A" else "") for p in kit.pieces))


def test_a_kit_of_another_job_is_none_of_its() -> None:
    found = gates("ply-1", begun(), kitted(("R-1", {"X-1": TWILL}, "Hatch"), ("R-2", {"X-2": HEAVY}, "Hatch")))["kit"]
    assert (found.holds, found.what) == (None, 'no kit of it is in the ledger; "kit 1 complete" is not ticked')


def test_kits_of_two_jobs_cut_from_one_pull_go_by_their_names() -> None:
    both = "Lid, Hatch"
    things = kitted(("R-1", {"L-1": TWILL, "H-1": TWILL}, both), ("R-2", {"Lb-1": HEAVY, "Hb-1": HEAVY}, both))
    assert [k.name for k in kits_for(begun(), shop(*things.values())).kits] == ["L-1", "Lb-1"]
    other = begun(plan(job="Hatch"))
    assert [k.name for k in kits_for(other, shop(*things.values())).kits] == ["H-1", "Hb-1"]
    # Loop's kits begin with an L, too: a kit that holds what is no piece of the part is another job's.
    alike = kitted(("R-1", {"L-1": TWILL, "L-2": [(1, "1A"), (7, "7")]}, "Lid, Loop"))
    assert [k.name for k in kits_for(begun(plan(number=2)), shop(*alike.values())).kits] == ["L-1"]


def aged(used: float, tack: float = 0.0) -> dict[str, Thing]:
    """Return kits from a roll that had used so much when it was received [s], and lay on the bench for 3 h since."""
    told = [
        ROLLS[0],
        (received("R-1", "twill-200", used, tack), -3.0),
        (received("R-2", "twill-400"), -3.0),
    ]
    things = stock(*told)
    cuts = [(cut(things, roll, kits, job), -2.0 + 0.1 * k) for k, (roll, kits, job) in enumerate(WHOLE_KITS)]
    return stock(*told, *cuts)


@pytest.mark.parametrize(("left", "holds"), [(11.0, True), (7.0, False)])
def test_life_left_covers_what_is_still_needed_and_a_fifth_more(left: float, holds: bool) -> None:
    """Ply 1 begins 6 h before the heat: 7.2 h are wanted. The roll lay on the bench at 21 °C, where its sheet counts,
    for 4 h until the ply is laid; in a room of 20 °C what is left lasts about 5 % longer."""
    found = gates("ply-1", begun(), aged(WHOLE - left * HOUR))["life"]
    assert found.holds is holds, found.what
    if not holds:
        assert found.what.startswith("L-1-a: 3.")  # 7 h less 4 h, in a cooler room
        assert found.what.endswith(" of out-life left in the room, 7.2 h wanted")


def test_tack_is_wanted_until_the_bag_and_not_after() -> None:
    """Ply 3 begins 1.5 h before the bag: 1.8 h of tack are wanted; 5 h less 4 h are left of it."""
    things = aged(0.0, 15 * DAYS - 5 * HOUR)
    found = gates("ply-3", begun(), things)["life"]
    assert found.holds is False
    assert "of tack left in the room, 1.8 h wanted" in found.what
    assert gates("bag", begun(), things)["life"].holds


def test_before_cutting_one_roll_of_each_cloth_must_live() -> None:
    """12 h are wanted."""
    old = (received("R-3", "twill-200", WHOLE - 6 * HOUR, 0.0), -3.0)
    things = stock(*ROLLS, old)
    assert gates("cut", begun(), things)["life"].holds
    only_old = stock(ROLLS[0], old, ROLLS[2])
    found = gates("cut", begun(), only_old)["life"]
    assert found.holds is False
    assert found.what.startswith("R-3: 2.")
    none = gates("cut", begun(), stock(ROLLS[0], ROLLS[1]))["life"]
    assert (none.holds, none.what[:33]) == (None, "no twill-400 is in the ledger; 12")


def test_cloth_past_its_last_day_stops() -> None:
    made, last = DAY.date().replace(day=1), DAY.date().replace(day=29)
    roll = Received(
        name="R-1", sort=Sort.ROLL, material="twill-200", length=9.0, place="bench", life_used=0.0, tack_used=0.0,
        made=made, use_by=last,
    )  # fmt: skip
    things = stock(ROLLS[0], (roll, -3.0), ROLLS[2])
    found = gates("cut", begun(), things)["life"]
    assert (found.holds, found.what) == (False, "R-1: its maker allows it until 2026-11-29")


def test_cloth_whose_sheet_is_gone_stops_with_its_name() -> None:
    other = plan(plies=tuple(p.__class__(number=p.number, material="satin-999", pieces=p.pieces, films=2, area=0.1,
                                         mass=0.03, scatter=0.02) for p in plan().plies))  # fmt: skip
    things = stock(ROLLS[0], (received("R-9", "satin-999"), -3.0))
    found = gates("cut", begun(other), things)["life"]
    assert found.holds is None
    assert "satin-999" in found.what


def test_a_reading_of_the_place_where_the_kit_lies_counts() -> None:
    told = [*ROLLS, (Measured(subject="bench", found=Found.CLIMATE, value=294.0, humidity=0.5), 0.5)]
    things = stock(*told, *[(cut(stock(*ROLLS), r, k, j), -2.0) for r, k, j in WHOLE_KITS])
    found = gates("ply-1", begun(), things)["room"]
    assert found.holds
    assert found.what.startswith("20.9 °C and 50 % in bench;")
    gone = stock(*told, *[(cut(stock(*ROLLS), r, k, j), -2.0) for r, k, j in WHOLE_KITS],
                 (Received(name="freezer", sort=Sort.PLACE, temperature=255.15), -49.0),
                 (Moved(things=("L-1-a", "L-1-b"), to="freezer", sealed=True), 0.6))  # fmt: skip
    assert gates("ply-1", begun(), gone)["room"].holds is None


FREEZER: tuple[Body, float] = (Received(name="freezer", sort=Sort.PLACE, temperature=255.15), -300.0)
FROZEN = Received(name="R-1", sort=Sort.ROLL, material="twill-200", length=20.0, place="freezer", life_used=0.0)


def test_a_roll_out_of_the_freezer_stays_shut_until_it_is_warm_through() -> None:
    """A roll thaws in hours and not in minutes: 12 to 24 h for 25 m, 4 to 8 h for 5 to 10 m (common practice)."""

    def out(hours: float) -> Gate:
        move = Moved(things=("R-1",), to="bench")
        things = stock(FREEZER, ROLLS[0], (FROZEN, -299.0), ROLLS[2], (Opened(thing="R-2"), -9.0), (move, 1.0 - hours))
        return gates("cut", begun(), things)["thawed"]

    found = out(1.5)
    assert found.holds is False
    assert found.what.startswith("R-1: its core is at about ")
    assert found.do.startswith("leave the bag sealed for ")
    assert out(48.0).holds


def test_a_roll_in_the_freezer_is_not_cut() -> None:
    found = gates("cut", begun(), stock(FREEZER, ROLLS[0], ROLLS[2], (FROZEN, -299.0)))["thawed"]
    assert found.holds is False
    assert "it lies in the cold" in found.what


def test_a_kit_that_was_cut_on_the_bench_is_not_asked_to_thaw() -> None:
    assert gates("ply-1", begun(), kitted(*WHOLE_KITS))["thawed"].holds
    assert gates("ply-2", begun(), kitted(*WHOLE_KITS))["thawed"].what.startswith("L-1-b: ")


def test_without_cloth_in_the_ledger_the_box_of_the_thawing_step_counts() -> None:
    boxes = ("time out written", "bag dry before it is opened")
    steps = tuple(replace(s, boxes=boxes) if s.key == "thaw" else s for s in plan().steps)
    assert gates("cut", begun(plan(steps=steps)), {})["thawed"].holds is None
    build = after(begun(plan(steps=steps)), (Finished(build=NAME, step="thaw", boxes=(0, 1)), 0.5))
    assert gates("cut", build, {})["thawed"].holds


def test_cloth_whose_sheet_has_no_tack_is_asked_for_its_out_life_alone() -> None:
    made = shop(*aged(WHOLE - 11.0 * HOUR).values())
    prepregs = {name: replace(p, tack_life=()) for name, p in made.library.prepreg.items()}
    bare = replace(made, library=replace(made.library, prepreg=prepregs))
    gate = {g.key: g for g in gates_before(begun(), "ply-1", bare, at(1.0))}["life"]
    assert (gate.holds, "tack" in gate.what) == (True, False)
    gate = {g.key: g for g in gates_before(begun(), "ply-1", bare, at(3.0))}["life"]
    assert gate.holds is False
