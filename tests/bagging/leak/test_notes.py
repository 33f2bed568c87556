"""What a leak test asks of people, whole."""

import numpy as np
import pytest

from bagside.bagging.leak import Gauge, LeakTest, Reading, flow_words, leak_findings, leak_test, stated_volume, suspects
from bagside.findings import Basis, Severity

NAME = "cosmetic oven cure"


def bag(*mbar: float, step: float = 1.0, every: float = 5.0) -> LeakTest:
    rows = tuple(
        Reading(time=60 * every * k, shows=100 * p, gauge=Gauge.ABSOLUTE, step=100 * step, ambient=101300.0)
        for k, p in enumerate(mbar)
    )
    return leak_test(rows, stated_volume(0.002))


def test_a_good_bag_asks_nothing() -> None:
    assert leak_findings(bag(20, 22), NAME) == ()


def test_a_leak_says_how_large_and_where_to_look() -> None:
    ranked = suspects({"pleats": 12, "corners": 4, "tape run": 3.0, "ports": 2}, 6 / 6e7)
    told, marginal, size = leak_findings(bag(20, 35), NAME, ranked=ranked)
    assert size.what == ("it is taken as 2.0 L ± 0.2 L, so the leak is 5.9 cm³/min give or take 0.6 cm³/min")
    assert marginal.what == "15 mbar in 5 min is marginal: it holds only while the pump runs"
    assert marginal.severity is Severity.WATCH
    assert told.severity is Severity.DECIDE
    assert told.what == "it loses 30.0 mbar in 10 min, 10.0 mbar are allowed: 5.9 cm³/min"
    assert told.do == "find it before heating; look first at: pleats, corners, ports"
    assert told.basis is Basis.COMMON


def test_beyond_what_may_be_cured_it_says_stop() -> None:
    told = leak_findings(bag(20, 60), NAME)
    assert [f.severity for f in told] == [Severity.DECIDE, Severity.STOP, Severity.SEEN]
    assert told[1].what == "it loses 40 mbar in 5 min from 20 mbar absolute"
    assert [f.severity for f in leak_findings(bag(120, 121), NAME)] == [Severity.DECIDE, Severity.STOP]


def test_too_short_says_for_how_long() -> None:
    (told,) = leak_findings(bag(20, 25, step=5.0), NAME)
    assert told.severity is Severity.WATCH
    assert told.what == "the drop of 10.0 mbar in 10 min is known to ± 8.2 mbar, the limit is 10.0 mbar"
    assert told.do == "watch it for 16 min, or take a gauge that shows single millibars"


def test_the_maker_s_criterion_wants_its_vacuum() -> None:
    (told,) = [f for f in leak_findings(bag(60, 61), "resin maker") if f.place == "vacuum"]
    assert (
        told.what
        == "60 mbar absolute were reached at 1\u2009013 mbar ambient, too little for the criterion resin maker"
    )


def test_outgassing_is_not_called_a_leak() -> None:
    t = np.arange(0.0, 41.0, 2.0)
    told = leak_findings(bag(*np.round(20 + 25 * (1 - np.exp(-t / 5.0)), 1), step=0.1, every=2.0), NAME)
    curve = [f for f in told if f.place == "rise curve"]
    assert len(curve) == 1
    assert curve[0].what == "the rise dies away with a time of 5.0 min: outgassing, no leak that shows"
    both = leak_findings(bag(*np.round(20 + 0.5 * t + 20 * (1 - np.exp(-t / 5.0)), 1), step=0.1, every=2.0), NAME)
    assert [f.what for f in both if f.place == "rise curve"] == [
        "leak and outgassing: the leak alone makes 0.50 mbar a minute, 5.0 mbar in 10 min where 10.0 mbar are allowed"
    ]


def test_three_readings_that_do_not_tell_say_so() -> None:
    told = [f for f in leak_findings(bag(20, 23, 25), NAME) if f.place == "rise curve"]
    assert len(told) == 1
    assert told[0].do == "read again after 20 min more with the pump still off"


@pytest.mark.parametrize(("held", "severity"), [(2900.0, None), (4000.0, Severity.WATCH), (11000.0, Severity.DECIDE)])
def test_a_pump_that_does_not_hold_it(held: float, severity: Severity | None) -> None:
    told = [f for f in leak_findings(bag(20, 22), NAME, held=held) if f.place == "pump"]
    assert [f.severity for f in told] == ([severity] if severity else [])


def test_flow_in_words() -> None:
    assert flow_words(3.46 / 6e7) == "3.5 cm³/min"
    assert flow_words(120.4 / 6e7) == "120 cm³/min"
