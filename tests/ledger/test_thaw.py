"""When a sealed bag may be opened: out since when, how warm its core, against the dew point of the room."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from bagside.errors import InputError
from bagside.findings import Basis, Severity
from bagside.finishing.climate import dew_point_magnus
from bagside.ledger.bodies import Found, Measured
from bagside.ledger.clocks.thaw import thaw_of
from bagside.planning.thawing import roll_pack, stack_pack, thaw_in
from lifeshop import FROZEN, HOUR, ROOM, at, cut_off, kit, library, log, place, roll, shop, stays

TWILL = library().prepreg["twill-200"]
EPOXY = library().resin["epoxy-120"]


def test_a_roll_in_the_freezer_stays_shut():
    r = roll(length=10.0)
    found = thaw_of(r, shop(r), at(100))
    assert (found.cold, found.openable, found.out_since) == (True, False, None)
    assert found.core == pytest.approx(FROZEN)
    assert found.dew_point == pytest.approx(dew_point_magnus(ROOM, 0.5))
    assert found.needed == pytest.approx(found.dew_point + 3.0)
    assert found.takes == pytest.approx(thaw_in(roll_pack(TWILL, EPOXY, 10.0), FROZEN, ROOM, 0.5), rel=1e-6)
    assert 3 * HOUR < found.takes < 8 * HOUR
    said = found.finding
    assert said is not None
    assert (said.severity, said.basis) == (Severity.STOP, Basis.COMMON)
    assert said.what == "it lies in the cold; taken out now, its core is above the dew point in 3.8 h"


def test_it_may_be_opened_when_its_core_is_three_kelvin_above_the_dew_point():
    r = roll(length=10.0, been=stays((0, "freezer"), (100, "room")))
    standing = shop(r)
    takes = thaw_of(r, standing, at(99)).takes / HOUR
    early, late = thaw_of(r, standing, at(100 + 0.5 * takes)), thaw_of(r, standing, at(100 + takes + 0.01))
    assert early.out_since == at(100)
    assert early.takes / HOUR == pytest.approx(0.5 * takes, rel=1e-3)
    assert (early.opens_at - at(100 + takes)).total_seconds() == pytest.approx(0.0, abs=5.0)
    assert FROZEN < early.core < early.needed
    assert not early.openable
    assert early.finding.what == (
        f"its core is at about {early.core - 273.15:.0f} °C, out since 06 Mar 11:00 UTC; the room has 21 °C and 50 %, "
        "dew point 10 °C"
    )
    assert late.openable
    assert late.finding is None
    assert late.core == pytest.approx(late.needed, abs=0.05)


def test_a_short_time_back_in_the_cold_is_not_forgotten():
    """Thawed, an hour in the freezer, out again: far sooner than from all cold, later than at once."""
    r = roll(length=10.0, been=stays((0, "freezer"), (100, "room"), (120, "freezer"), (121, "room")))
    found = thaw_of(r, shop(r), at(121))
    assert found.out_since == at(121)
    assert found.core > 280.0
    all_cold = thaw_in(roll_pack(TWILL, EPOXY, 10.0), FROZEN, ROOM, 0.5)
    assert 0.0 < found.takes < 0.5 * all_cold


def test_an_open_bag_waits_for_nothing_until_it_was_frozen_again():
    r = roll(been=stays((0, "freezer"), (100, "room")), opened=at(130))
    assert thaw_of(r, shop(r), at(140)).openable
    again = replace(r, stays=(*r.stays, *stays((150, "freezer"))), opened=None)
    assert not thaw_of(again, shop(again), at(151)).openable


def test_what_came_straight_into_the_room_is_taken_as_frozen():
    r = roll(length=25.0, been=stays((0, "room")))
    found = thaw_of(r, shop(r), at(1))
    assert found.core < 265.0
    assert not found.openable
    assert thaw_of(r, shop(r), at(48)).openable


def test_kits_and_offcuts_are_flat():
    r, o = cut_off(roll(been=stays((0, "freezer"), (100, "room"))), "O-1", 130, *stays((131, "freezer")))
    k = kit("K-1", *(("R-1", 140.0) for _ in range(6)), been=stays((140, "room"), (141, "freezer"), (300, "room")))
    standing = shop(r, o, k)
    assert 0.6 * HOUR <= thaw_of(o, standing, at(200)).takes <= 2 * HOUR
    kit_takes = thaw_of(k, standing, at(299)).takes
    assert kit_takes == pytest.approx(thaw_in(stack_pack(TWILL, EPOXY, 6), FROZEN, ROOM, 0.5), rel=1e-3)
    assert thaw_of(k, standing, at(300 + kit_takes / HOUR + 0.01)).openable
    # a piece that was just cut from warm cloth is warm
    assert thaw_of(k, standing, at(140.5)).openable


def test_the_logger_of_a_cold_room_is_believed():
    """The room was at 12 °C all night by its log, with the water of 50 % at 21 °C: its dew point is still 10 °C."""
    r = roll(length=5.0, been=stays((0, "freezer"), (100, "room")))
    chilly = place("room", ROOM, log([90, 120], [285.15, 285.15]))
    assert thaw_of(r, shop(r), at(104)).openable
    found = thaw_of(r, shop(r, chilly), at(104))
    assert found.room == pytest.approx(285.15)
    assert found.dew_point == pytest.approx(dew_point_magnus(ROOM, 0.5))
    assert (found.openable, found.opens_at) == (False, None)


def test_a_reading_of_today_is_the_air_that_counts():
    reading = Measured(subject="room", found=Found.CLIMATE, value=296.15, humidity=0.7)
    wet = replace(place("room", ROOM), readings=((at(95), reading),))
    r = roll(length=5.0, been=stays((0, "freezer"), (100, "room")))
    found = thaw_of(r, shop(r, wet), at(101))
    assert (found.room, found.humidity) == (296.15, 0.7)
    assert found.dew_point == pytest.approx(dew_point_magnus(296.15, 0.7))
    assert thaw_of(r, shop(r, wet), at(130)).humidity == 0.5  # that was yesterday's


def test_air_that_is_too_damp_opens_nothing():
    r = roll(been=stays((0, "freezer"), (100, "room")))
    found = thaw_of(r, shop(r, humidity=0.9), at(200))
    assert math.isinf(found.takes)
    assert (found.opens_at, found.openable) == (None, False)
    assert found.finding.what == "the room has 21 °C and 90 %: 3 K above its dew point is 22 °C"


def test_without_its_resin_nothing_is_reckoned():
    r = roll(material="no-such")
    with pytest.raises(InputError, match="there is no prepreg of this name with its resin in this workshop"):
        thaw_of(r, shop(r), at(0))
