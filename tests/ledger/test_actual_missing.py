"""What nobody recorded is said: sentence by sentence, and only of what is behind."""

from __future__ import annotations

from dataclasses import replace

from bagside.ledger.actual.compared import compared
from bagside.ledger.actual.missing import runs
from bagside.ledger.bodies import Begun, Closed, Cured, Finished, Laid, Started
from madeparts import Story, made, plan, shop, stocked

NAME = "DHL-007"


def missing(told: Story) -> tuple[str, ...]:
    stands = shop(told)
    return compared(stands.build(NAME), stands, told.at).missing


def test_a_whole_part_lacks_only_what_was_not_told() -> None:
    told = Story()
    stocked(told)
    made(told, NAME, plan(), log="ab" * 32, photo="cd" * 32)
    assert missing(told) == (
        "5 steps have an end and no start: Cut 4 kits, Debulk after ply 1, Test for leaks, Cure and 1 more",
        "one step has no hands-on time: Clean and release the mould",
    )


def test_without_log_photo_and_room_it_says_so() -> None:
    told = Story()
    stocked(told)
    made(told, NAME, plan(), humidity=0.0)
    said = missing(told)
    assert "the cure has no log" in said
    assert "there is no photo" in said
    assert "the room was never read" in said


def test_a_part_that_was_just_begun_lacks_nothing() -> None:
    told = Story()
    told.tell(Begun(build=NAME, planned=plan()), 1)
    assert missing(told) == ()


def test_while_a_ply_is_laid_its_other_piece_is_not_missing() -> None:
    told = Story()
    told.tell(Begun(build=NAME, planned=plan()), 1)
    told.tell(Laid(build=NAME, ply=2, piece="2A", films=2, kit="k-9"), 1)
    said = missing(told)
    assert "2 pieces were never ticked: 1A, 1B" in said
    assert "one kit is not in the ledger: k-9" in said


def test_what_was_skipped_is_told_once_later_steps_are_done() -> None:
    told = Story()
    told.tell(Begun(build=NAME, planned=plan()), 1)
    told.tell(Started(build=NAME, step="bag"), 1)
    told.tell(Finished(build=NAME, step="demould", attended=60.0), 1)
    said = missing(told)
    assert "the debulk after ply 1 was never recorded" in said
    assert "no leak test was recorded" in said
    assert "no cure was recorded" in said
    assert "one step was started and never finished: Bag the part" in said
    never = "8 steps were never started or finished: Clean and release the mould; Lay ply 1: 1A and 1B, twill-200; "
    assert any(s.startswith(never) for s in said)


def test_an_unjudged_log_and_a_kit_without_name_are_told() -> None:
    told = Story()
    told.tell(Begun(build=NAME, planned=replace(plan(), thermocouples=("air", "keel"))), 1)
    for n in (1, 2, 4):
        told.tell(Laid(build=NAME, ply=n, piece=f"{n}A", films=2), 1)
    told.tell(Cured(builds=(NAME,), file="ab" * 32, called="x.csv"), 1)
    told.tell(Closed(build=NAME, verdict="scrap", why="dropped"), 1)
    said = missing(told)
    assert "the log of the cure was not judged" in said
    assert "no kit was named for plies 1, 2, 4: batch and life of that cloth are not known" in said
    assert "nobody wrote where the thermocouples were: air; keel" in said
    assert "no mass was written down for: kit, raw, trimmed" in said
    assert "when it came off the mould was not recorded" in said
    assert "nobody counted pinholes" in said


def test_numbers_in_runs() -> None:
    assert runs([1, 2, 3, 4, 6]) == "1 to 4, 6"
    assert runs([1, 2]) == "1, 2"
    assert runs([]) == ""
