"""Moulds by hand: pulls, release coats, heat, repairs and tests."""

from __future__ import annotations

from dataclasses import replace

from bagside.ledger.bodies import (
    Cured,
    Discarded,
    Found,
    Measured,
    Photographed,
    Pulled,
    Received,
    Released,
    Repaired,
    Sort,
    Spent,
)
from bagside.ledger.event import new_event
from bagside.ledger.replay import after
from bagside.ledger.things import Mould
from memory import hours, shop


def told(*bodies: object) -> Mould:
    """Return a mould after what happens one hour apart, without asking whether the builds named are known."""
    memory = shop()
    memory.tell(Received(name="M-1", sort=Sort.MOULD, material="tool", limit=453.15, coats_last=6), 2)
    thing = memory.thing("M-1")
    for k, body in enumerate(bodies):
        thing = after(thing, new_event(body, who="A", device="b", at=hours(10 + k)), "M-1")  # type: ignore[arg-type]
    assert isinstance(thing, Mould)
    return thing


def test_pulls_count_since_the_last_release() -> None:
    pulls = [Pulled(build=f"FP-{k}", mould="M-1", stuck=k == 3) for k in (1, 2, 3)]
    mould = told(Released(mould="M-1", agent="wax", coats=4, sealed=True), *pulls)
    assert mould.pulls == ("FP-1", "FP-2", "FP-3")
    assert mould.pulled == hours(13)
    assert (mould.pulls_since_release, mould.stuck, mould.coats) == (3, 1, (("wax", 4, 0),))
    mould = told(*pulls, Released(mould="M-1", agent="wax"), Pulled(build="FP-4", mould="M-1"))
    assert mould.pulls_since_release == 1
    assert mould.coats == (("wax", 1, 3),)
    assert mould.released == hours(13)
    assert told(*pulls).pulls_since_release == 3  # never released


def test_each_mould_in_the_oven_keeps_its_own_build_and_the_hottest_it_saw() -> None:
    both = Cured(builds=("FP-1", "FP-2"), moulds=("M-0", "M-1"), hottest_tool=393.0, hottest_part=400.0, seconds=7200.0)
    mould = told(both, Cured(builds=("FP-3",), moulds=("M-1",), hottest_tool=380.0, seconds=60.0))
    assert mould.heats == (("FP-2", 393.0, 7200.0), ("FP-3", 380.0, 60.0))
    assert mould.hottest == 393.0


def test_the_part_stands_for_a_mould_without_a_reading() -> None:
    mould = told(Cured(builds=("FP-1",), moulds=("M-1",), hottest_part=390.0))
    assert mould.hottest == 390.0
    mould = told(Cured(builds=("FP-1", "FP-2"), moulds=("M-1",)))
    assert mould.heats == (("FP-1, FP-2", None, 0.0),)
    assert mould.hottest is None


def test_a_cure_that_did_not_hold_the_mould_leaves_it() -> None:
    assert told(Cured(builds=("M-1",), hottest_tool=500.0)).hottest is None


def test_repairs_tests_and_photos_stay_told() -> None:
    leak = Measured(subject="M-1", found=Found.LEAK, value=2.0)
    photo = Photographed(subject="M-1", file="f", called="m.jpg")
    mould = told(Repaired(mould="M-1", what="filled a chip", where="bow"), leak, photo)
    assert mould.repairs == ((hours(10), "filled a chip", "bow"),)
    assert mould.tests == ((hours(11), leak),)
    assert mould.photos == (photo,)


def test_a_mould_that_is_given_up_stays_gone_for_the_first_reason() -> None:
    mould = told(Discarded(thing="M-1", why="cracked"), Discarded(thing="M-1", why="sold"))
    assert (mould.there, mould.gone, mould.why) == (False, hours(10), "cracked")


def test_what_means_nothing_for_a_mould_leaves_it() -> None:
    assert told(Spent(thing="M-1")) == replace(told(), last=hours(10))
    event = new_event(Released(mould="Z", agent="wax"), who="A", device="b", at=hours(1))
    assert after(None, event, "Z") is None
