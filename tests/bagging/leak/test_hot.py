"""The check of the warm bag beside the cold one."""

import math

import pytest

from bagside.bagging.leak import Gauge, LeakTest, Reading, hot_check, hot_findings, hot_limit, leak_test, stated_volume
from bagside.findings import Severity

NAME = "cosmetic oven cure"


def dropping(drop: float, celsius: float, *, start: float = 20.0, step: float = 0.1) -> LeakTest:
    """Return a test of ten minutes; drop in mbar."""
    rows = tuple(
        Reading(
            time=t, shows=100 * p, gauge=Gauge.ABSOLUTE, step=100 * step, ambient=101300.0, temperature=celsius + 273.15
        )
        for t, p in ((0.0, start), (600.0, start + drop))
    )
    return leak_test(rows, stated_volume(0.002))


def test_limits_go_with_the_temperature() -> None:
    """Derived: 10 mbar at 20 °C, times 333.15 / 293.15."""
    assert hot_limit(1000.0, 293.15, 333.15) == pytest.approx(1136.4, abs=0.1)


def test_the_same_air_warm_is_the_same_leak() -> None:
    check = hot_check(dropping(6.0, 20.0), dropping(6.0 * 333.15 / 293.15, 60.0), NAME)
    assert check.ratio == pytest.approx(1.0)
    assert check.opened is False
    assert check.passed is True
    assert [f.place for f in hot_findings(check)] == ["check at 60 °C"]


def test_a_seam_that_opens() -> None:
    check = hot_check(dropping(4.0, 20.0), dropping(30.0, 60.0), NAME)
    assert check.ratio == pytest.approx(30.0 / 4.0 * 293.15 / 333.15)
    assert check.opened is True
    assert check.passed is False
    told = hot_findings(check)
    assert [f.severity for f in told] == [Severity.SEEN, Severity.DECIDE]
    assert told[1].what == "it loses 30.0 mbar, 11.4 mbar are allowed warm, 6.6 times the cold leak"


def test_a_cold_bag_that_lost_nothing_gives_no_ratio() -> None:
    opened = hot_check(dropping(0.0, 20.0, step=1.0), dropping(25.0, 60.0, step=1.0), NAME)
    assert math.isnan(opened.ratio)
    assert opened.opened is True
    quiet = hot_check(dropping(0.0, 20.0, step=1.0), dropping(0.0, 60.0, step=1.0), NAME)
    assert quiet.opened is False
    assert quiet.passed is True


def test_a_dial_does_not_tell_warm_either() -> None:
    check = hot_check(dropping(0.0, 20.0, step=20.0), dropping(10.0, 60.0, step=20.0), NAME)
    assert check.passed is None
    told = hot_findings(check)[1]
    assert told.severity is Severity.WATCH
    assert told.do == "watch it for longer before the temperature goes on"


def test_a_weak_vacuum_warm_does_not_pass() -> None:
    assert hot_check(dropping(1.0, 20.0), dropping(1.0, 60.0, start=80.0), NAME).passed is False
