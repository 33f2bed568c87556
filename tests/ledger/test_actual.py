"""Plan against actual of one part: every figure by hand from the events that were told."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from bagside.ledger.actual.compared import PlanAgainstActual, compared
from bagside.ledger.actual.laid import debulks_of
from bagside.ledger.bodies import (
    Begun,
    Body,
    Cut,
    CutPiece,
    Debulked,
    Finished,
    Found,
    Label,
    Laid,
    MassStage,
    Measured,
    NewOffcut,
    Spent,
    Started,
)
from bagside.ledger.clocks.life import life_of
from bagside.ledger.replay import replayed
from bagside.ledger.things import Build
from madeparts import PULL, WIDTH, Story, conceded, made, plan, shop, stocked

NAME = "DHL-007"


@pytest.fixture(scope="module")
def story() -> Story:
    told = Story()
    stocked(told)
    made(told, NAME, plan(), log="ab" * 32, photo="cd" * 32)
    return told


@pytest.fixture(scope="module")
def found(story: Story) -> PlanAgainstActual:
    stands = shop(story)
    return compared(stands.build(NAME), stands, story.at)


def built(*bodies: Body) -> Build:
    told = Story()
    told.tell(Begun(build=NAME, planned=plan()), 1)
    for body in bodies:
        told.tell(body, 30)
    build = replayed(told.events, NAME)
    assert isinstance(build, Build)
    return build


def test_hands_on_time_is_what_was_stated_or_from_start_to_finish(found: PlanAgainstActual) -> None:
    steps = {s.key: s for s in found.steps}
    ply = steps["ply-1"]  # started, two pieces after 6 min each, finished 2 min later: 14 min, nobody stated a time
    assert (ply.attended, ply.elapsed, ply.stated, ply.who) == (840.0, 840.0, False, ("Ada", "Ben"))
    assert ply.boxes == (("4 films off", True), ("corners pressed down", True))
    cure = steps["cure"]  # its end alone was told, with 8 min of hands-on time
    assert (cure.attended, cure.elapsed, cure.stated) == (480.0, None, True)
    release = steps["release"]  # 25 min from start to finish, of which 30 min were planned to pass by themselves
    assert release.elapsed == 1500.0
    assert release.attended is None
    assert steps["trim"].attended == 33 * 60.0


def test_what_is_done_for_all_parts_counts_by_its_share(found: PlanAgainstActual) -> None:
    cut = next(c for c in found.chapters if c.stage == "Cut")
    assert (cut.planned, cut.actual) == (7200.0 / 4, 6600.0 / 4)
    # 27.5 min of cutting, 4 × 14 of plies, debulk 4, bag 38, leak 9, cure 8, demould 23.33, trim 33; release unknown
    assert found.hours == pytest.approx(60 * (27.5 + 56 + 4 + 38 + 9 + 8 + 33) + 1400.0)
    assert found.planned_hours == pytest.approx(60 * (30 + 60 + 4 + 40 + 10 + 10 + 25 + 30))


def test_hours_measured_at_a_step_are_its_hands_on_time() -> None:
    build = built(
        Started(build=NAME, step="cure"),
        Finished(build=NAME, step="cure"),
        Measured(subject=NAME, found=Found.HOURS, value=1200.0, place="cure"),
    )
    story = Story()
    step = next(s for s in compared(build, shop(story), build.last).steps if s.key == "cure")
    assert (step.attended, step.stated, step.elapsed) == (1200.0, True, 1800.0)


def test_a_step_that_ran_over_night_has_no_hands_on_time() -> None:
    told = Story()
    told.tell(Begun(build=NAME, planned=plan()), 1)
    told.tell(Started(build=NAME, step="bag"), 1)
    told.tell(Finished(build=NAME, step="bag"), 15 * 60)
    stands = shop(told)
    step = next(s for s in compared(stands.build(NAME), stands, told.at).steps if s.key == "bag")
    assert (step.attended, step.elapsed) == (None, 15 * 3600.0)


def test_every_ply_has_its_ticks_and_films(found: PlanAgainstActual) -> None:
    assert [p.number for p in found.plies] == [1, 2, 3, 4]
    assert all(p.laid and p.films == p.films_planned == 4 for p in found.plies)
    assert found.films == (16, 16)
    first = found.plies[0]
    assert [x.label for x in first.pieces] == ["1A", "1B"]
    assert first.ticks[1].at - first.ticks[0].at == timedelta(minutes=6)


def test_a_card_that_is_laid_twice_takes_a_tick_each() -> None:
    planned = plan()
    twice = replace(planned, plies=(replace(planned.plies[0], pieces=("C", "C", "C")),))
    told = Story()
    told.tell(Begun(build=NAME, planned=twice), 1)
    told.tell(Laid(build=NAME, ply=1, piece="C", films=2), 1)
    told.tell(Laid(build=NAME, ply=1, piece="C", films=1), 1)
    stands = shop(told)
    ply = compared(stands.build(NAME), stands, told.at).plies[0]
    assert [x.tick is not None for x in ply.pieces] == [True, True, False]
    assert (ply.films, ply.films_planned, ply.laid) == (3, 6, False)


def test_debulks_stand_against_the_plan() -> None:
    build = built(
        Debulked(build=NAME, after=1, seconds=600.0, pressure=4000.0),
        Debulked(build=NAME, after=1, seconds=1300.0, pressure=15_000.0),
        Debulked(build=NAME, after=3, seconds=900.0, pressure=4000.0),
    )
    first, again, third = debulks_of(build)
    assert (first.after, first.long_enough, first.deep_enough) == (1, True, False)  # 1300 of 1200 s, 150 of 100 mbar
    assert again.done is not None
    assert (again.planned, again.done.what.seconds) == (None, 600.0)
    assert (third.after, third.planned, third.long_enough) == (3, None, None)
    never = debulks_of(built())[0]
    assert (never.after, never.done, never.long_enough) == (1, None, None)


def test_a_leak_test_is_a_rise_over_its_time(found: PlanAgainstActual) -> None:
    (test,) = found.leaks
    assert test.rise == pytest.approx(1.0)  # 300 Pa in 300 s
    assert test.limit == pytest.approx(500.0 / 300.0)
    assert test.kept is True


def test_cloth_comes_with_batch_roll_and_life_at_the_cure(found: PlanAgainstActual, story: Story) -> None:
    (kit,) = found.cloth
    assert (kit.kit, kit.plies, kit.batches) == ("kit-1", (1, 2, 3, 4), ("B7",))
    assert (kit.sources, kit.rolls) == (("K-114",), ("K-114",))
    assert kit.cured
    assert kit.at == found.cures[0].at
    then = life_of("kit-1", shop(story), found.cures[0].at)
    assert kit.out == then.out
    assert kit.tack == then.tack
    assert kit.out is not None
    later = life_of("kit-1", shop(story), found.cures[0].at + timedelta(days=30)).out
    assert kit.out.share < later.share


def test_cloth_that_was_cut_is_what_was_pulled_less_what_was_kept(found: PlanAgainstActual) -> None:
    kit = found.cloth[0]
    assert kit.area == pytest.approx(4 * 0.12)
    assert kit.taken == pytest.approx(PULL * WIDTH)
    assert kit.cost == pytest.approx(PULL * WIDTH * 46.0)
    assert found.money is not None
    assert found.money.waste == pytest.approx(1.0 - 0.48 / (PULL * WIDTH))


def test_a_cut_for_two_kits_is_shared_by_the_area_of_their_pieces() -> None:
    told = Story()
    stocked(told)
    one = (CutPiece(label="1A", ply=1, area=0.1),)
    two = (CutPiece(label="1A", ply=1, area=0.3),)
    kept = ((0.0, 0.0), (0.5, 0.0), (0.5, 0.4), (0.0, 0.4))
    told.tell(
        Cut(source="K-114", length=1.0, kits={"k-1": one, "k-2": two}, offcuts=(NewOffcut(name="O-1", outline=kept),),
            of=Label(material="twill-200", batch="B7", price=46.0)),
        5,
    )  # fmt: skip
    told.tell(
        Cut(source="O-1", kits={"k-3": (CutPiece(label="1B", ply=1, area=0.05),)}, of=Label(material="twill-200")), 5
    )
    told.tell(Begun(build=NAME, planned=plan()), 5)
    told.tell(Laid(build=NAME, ply=1, piece="1A", films=2, kit="k-1"), 5)
    told.tell(Laid(build=NAME, ply=1, piece="1B", films=2, kit="k-3"), 5)
    stands = shop(told)
    taken = {u.kit: u.taken for u in compared(stands.build(NAME), stands, told.at).cloth}
    assert taken["k-1"] == pytest.approx((1.0 * WIDTH - 0.2) * 0.1 / 0.4)
    assert taken["k-3"] == pytest.approx(0.2)  # all of the offcut, of which nothing was kept


def test_labour_is_the_time_that_is_known_at_todays_rate(found: PlanAgainstActual) -> None:
    assert found.money is not None
    rate = 42.0 * 1.18 / 3600.0  # the demo's labour and overhead
    planned = 1800.0 + 1500 + 4 * 900 + 240 + 2400 + 600 + 600 + 1500 + 1800
    assert found.money.labour_planned == pytest.approx(rate * planned)
    assert found.money.labour == pytest.approx(rate * (found.hours + 1500.0))  # releasing counts as planned
    assert found.money.unknown_steps == 1
    assert found.money.price == 412.0


def test_masses_thickness_pinholes_and_room(found: PlanAgainstActual) -> None:
    assert [m.stage for m in found.masses] == [MassStage.KIT, MassStage.RAW, MassStage.TRIMMED]
    assert [p.place for p in found.points] == ["plies 1, 2, 3, 4", "bow", "stern", "port", "starboard"]
    assert all(p.inside for p in found.points)
    assert found.points[4].thickness == pytest.approx(0.0009)
    assert [(p.place, p.count) for p in found.pinholes] == [("weave crossings all over", 3)]
    assert [c.laying for c in found.climate] == [True]
    assert [m.what.found for m in found.others] == [Found.THERMOCOUPLES]


def test_the_last_reading_of_a_place_counts_and_other_places_stand_alone_between_zones() -> None:
    planned = plan()
    zones = replace(planned, points=(*planned.points, replace(planned.points[0], place="doubler", thickness=0.002)))
    told = Story()
    told.tell(Begun(build=NAME, planned=zones), 1)
    for value, place in ((0.001, "doubler"), (0.00201, "doubler"), (0.0009, "bow")):
        told.tell(Measured(subject=NAME, found=Found.THICKNESS, value=value, place=place), 1)
    stands = shop(told)
    points = {p.place: p for p in compared(stands.build(NAME), stands, told.at).points}
    assert (points["doubler"].thickness, points["doubler"].readings, points["doubler"].inside) == (0.00201, 2, True)
    assert (points["bow"].planned, points["bow"].inside) == (None, None)
    assert points["plies 1, 2, 3, 4"].thickness is None


def test_the_mould_is_told_as_it_was(found: PlanAgainstActual) -> None:
    m = found.mould
    assert m is not None
    assert (m.name, m.pull, m.since_release, m.agent, m.stuck) == ("M-14", 1, 1, "semi-permanent", False)
    assert (m.hottest, m.limit) == (387.15, 393.15)


def test_goods_with_what_they_were_for(story: Story) -> None:
    told = Story()
    told.events, told.at = list(story.events), story.at
    glue = told.tell(Spent(thing="glue-2", mass=0.03, build=NAME))
    other = told.tell(Spent(thing="glue-2", mass=0.05, build="another"))
    stands = shop(story)
    goods = compared(stands.build(NAME), stands, told.at, [glue, other]).goods
    shown = [(g.name, g.what_for, g.mass, g.heats) for g in goods]
    assert shown == [("bag-9", "bag", None, 1), ("glue-2", "used", 0.03, 0)]


def test_concessions_and_gates_are_kept_in_order() -> None:
    told = Story()
    told.tell(Begun(build=NAME, planned=plan()), 1)
    conceded(told, NAME, customer="R. Holm")
    stands = shop(told)
    found = compared(stands.build(NAME), stands, told.at)
    assert [c.what.customer for c in found.conceded] == ["R. Holm"]
    assert [p.what.gate for p in found.passed] == ["room"]
