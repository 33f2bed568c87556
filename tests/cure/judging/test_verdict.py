"""The verdict on logged cures: each case worked by hand from what is common practice, or from the truth."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bagside.cure import Channel, Limits, Programme, Segment, Sensor, simulate
from bagside.cure.judging import Trust, Verdict, Where, judged, state_of
from bagside.findings import Basis
from cureruns import EPOXY, FREE, LIMITS, OVEN, PROGRAMME, SECTIONS, ZERO_C, cooled, logged, ran, with_bag

FULL = OVEN.air(cooled(PROGRAMME))
TRUTH = ran(FULL)


def verdict(log, limits=LIMITS, free=FREE, **trust):
    how = Trust(**trust)
    state = state_of(log, SECTIONS, EPOXY, PROGRAMME, OVEN, target=limits.target, spread=6.0, trust=how)
    return judged(state, limits, PROGRAMME, OVEN, free, basis=Basis.COMMON, source="invented")


def air_of(*segments: Segment):
    return OVEN.air(cooled(Programme(start=293.15, segments=segments)))


def names(judgement) -> list[str]:
    return [r.name for r in judgement.reasons if r.weight.value != "nothing"]


def test_a_cure_as_planned_is_good() -> None:
    j = verdict(logged(FULL, TRUTH))
    assert j.verdict is Verdict.GOOD
    assert names(j) == []
    assert j.finish == ()
    assert j.measure == ""


def test_a_good_cure_of_which_the_vacuum_is_not_known_is_good_with_a_note() -> None:
    j = verdict(logged(FULL, TRUTH, bag=None))
    assert j.verdict is Verdict.NOTE
    assert j.reasons == () or names(j) == []
    assert [f.what for f in j.findings if f.place == "bag"] == ["the pressure in the bag was not logged"]


def test_a_cure_that_ended_after_the_first_hold_is_finished_and_the_finish_holds_when_simulated_alone() -> None:
    """What is proposed is run on the truth itself, with another tolerance: it must reach what is wanted."""
    air = air_of(PROGRAMME.segments[0])
    truth = ran(air)
    j = verdict(logged(air, truth))
    assert j.verdict is Verdict.FINISH
    assert names(j) == ["glass transition", "cure"]
    best = j.finish[0]
    assert best.where is Where.MOULD
    again = simulate(
        [replace(s, alpha0=tuple(h.alpha[-1].tolist())) for s, h in zip(SECTIONS, truth, strict=True)],
        EPOXY,
        OVEN.air(best.programme),
        tolerance=0.01,
    )
    reached = min(float(h.alpha[-1].min()) for h in again)
    assert reached >= LIMITS.target
    assert float(EPOXY.tg(reached)) >= LIMITS.service + LIMITS.margin
    assert reached >= best.cure - 0.002  # what is promised is the worst the log allows


def test_a_short_last_hold_that_lets_a_post_cure_be_free_standing_keeps_tg_above_the_temperature() -> None:
    """60 °C of heat for long, then 100 °C: gelled and stiff, but short of a Tg of 120 °C."""
    air = air_of(PROGRAMME.segments[0], Segment(target=363.15, ramp=0.8 / 60, hold=7200.0))
    truth = ran(air)
    limits = Limits(service=373.15, margin=20.0, target=0.9, demould=323.15, tool=363.15, resin=423.15)
    j = verdict(logged(air, truth), limits)
    assert j.verdict is Verdict.FINISH
    free = [f for f in j.finish if f.where is Where.FREE]
    assert len(free) == 1  # the mould bears no more than 90 °C, so only the post-cure is left
    assert [f.where for f in j.finish] == [Where.FREE]
    post = free[0]
    assert post.margin is not None
    assert post.margin >= 5.0
    again = simulate(
        [replace(s, alpha0=tuple(h.alpha[-1].tolist())) for s, h in zip(FREE, truth, strict=True)],
        EPOXY,
        OVEN.air(post.programme),
        tolerance=0.01,
    )
    stiff = min(float((EPOXY.tg(h.alpha) - h.laminate_temperature).min()) for h in again)
    assert stiff >= 5.0
    assert min(float(EPOXY.tg(h.alpha[-1].min())) for h in again) >= 393.15


def test_short_of_dwell_but_cured_is_a_note() -> None:
    air = air_of(PROGRAMME.segments[0], Segment(target=388.15, ramp=0.8 / 60, hold=1500.0))
    j = verdict(logged(air, ran(air)))
    assert j.verdict is Verdict.NOTE
    assert names(j) == ["dwell"]
    (dwell,) = [r for r in j.reasons if r.name == "dwell"]
    assert dwell.limit == 7200.0
    assert dwell.finding.do == "nothing more: the degree of cure is reached all the same"


def test_a_tg_that_the_log_leaves_open_asks_for_one_measurement() -> None:
    """The limit is put where the range at the end of the cure lies; then the verdict must not pretend to know."""
    log = logged(FULL, TRUTH)
    before = verdict(log)
    tg = before.state.tg
    limits = replace(LIMITS, service=tg.value - 20.0 - 0.3 * (tg.value - tg.low), margin=20.0)
    j = verdict(log, limits)
    assert j.verdict is Verdict.NOTE
    assert names(j) == ["glass transition"]
    assert j.measure == "the glass transition (DSC or DMA) of a coupon cut from the trim at the lagging place"
    just = verdict(log, replace(limits, service=tg.value - 20.0 + 0.3 * (tg.high - tg.value)))
    assert just.verdict is Verdict.FINISH
    assert just.measure == j.measure


def losing(start: float, end: float, log=None):
    log = logged(FULL, TRUTH) if log is None else log
    left = np.full(len(log.time), 3000.0)
    left[(log.time >= start) & (log.time < end)] = 80000.0
    return with_bag(log, left)


@pytest.mark.parametrize(
    ("start", "end", "expected", "noted"),
    [
        (0.0, 1200.0, Verdict.GOOD, []),  # before resin is soft nothing is lost
        (3600.0, 4800.0, Verdict.NOTE, ["vacuum"]),  # soft, and it came back while resin still flowed for long
        (7800.0, 12600.0, Verdict.SCRAP_STRUCTURE, ["vacuum"]),  # gelled without it
        (12600.0, 15000.0, Verdict.GOOD, []),  # after gel it presses on nothing
    ],
    ids=["before soft", "soft and back", "through gel", "after gel"],
)
def test_vacuum_lost_counts_by_what_the_resin_was(start, end, expected, noted) -> None:
    """Common practice; soft from about 45 °C (37 min here), the last place gels after about 180 min."""
    j = verdict(losing(start, end))
    assert j.verdict is expected
    assert names(j) == noted


@pytest.mark.parametrize(
    ("over", "expected"),
    [(-5.0, Verdict.GOOD), (5.0, Verdict.NOTE), (18.0, Verdict.NOTE), (30.0, Verdict.SCRAP_STRUCTURE)],
)
def test_overshoot_over_what_the_resin_bears(over: float, expected: Verdict) -> None:
    """Common practice: up to 10 K a note, to 25 K look at it, beyond that not for structure; it had gelled by then."""
    hottest = max(float(h.laminate_temperature.max()) for h in TRUTH)
    limits = replace(LIMITS, resin=hottest - over)
    assert verdict(logged(FULL, TRUTH, noise=0.2), limits).verdict is expected


def test_far_too_hot_before_gel_is_scrap() -> None:
    """Straight to 145 °C with a resin that bears 85 °C: 110 °C is passed while resin is still soft."""
    air = OVEN.air(cooled(Programme(start=293.15, segments=(Segment(target=418.15, ramp=2.5 / 60, hold=3600.0),))))
    truth = ran(air)
    passed = min(float(h.time[int(np.argmax(h.laminate_temperature.max(axis=1) > 383.15))]) for h in truth)
    assert min(float(np.interp(passed, h.time, h.alpha.min(axis=1))) for h in truth) < EPOXY.gel
    j = verdict(logged(air, truth, noise=0.2), replace(LIMITS, resin=358.15, tool=None))
    assert j.verdict is Verdict.SCRAP
    assert j.reasons[0].name == "overshoot"
    assert j.reasons[0].finding.do == "scrap it; look the mould over before it is used again"


def test_a_ramp_faster_than_planned_and_a_hot_mould_are_notes() -> None:
    air = air_of(Segment(target=353.15, ramp=2.0 / 60, hold=7200.0), PROGRAMME.segments[1])
    j = verdict(logged(air, ran(air)), replace(LIMITS, tool=383.15))
    assert j.verdict is Verdict.NOTE
    assert names(j) == ["mould", "ramp"]
    (ramp,) = [r for r in j.reasons if r.name == "ramp"]
    assert ramp.value == pytest.approx(2.0 / 60, rel=0.06)  # the oven's lag at either end
    assert ramp.finding.what == "the air rose at 1.9 °C/min; 1.0 °C/min was planned, before gel"


def test_a_set_point_fifteen_kelvin_too_high_is_a_note() -> None:
    air = air_of(PROGRAMME.segments[0], Segment(target=403.15, ramp=0.8 / 60, hold=7200.0))
    j = verdict(logged(air, ran(air)), replace(LIMITS, tool=None))
    assert names(j) == ["set point"]
    (over,) = [r for r in j.reasons if r.name == "set point"]
    assert over.value == pytest.approx(16.0, abs=1.5)  # fifteen, and what reaction adds
    assert over.finding.place == "segment 2"


def test_not_gelled_is_not_finished_and_must_stay_on_the_mould() -> None:
    air = air_of(Segment(target=353.15, ramp=1.0 / 60, hold=1800.0))
    j = verdict(logged(air, ran(air)))
    assert j.verdict is Verdict.FINISH
    assert names(j)[0] == "gel"
    assert j.reasons[0].finding.do == "leave it on the mould under vacuum and finish it as told"
    assert [f.where for f in j.finish] == [Where.MOULD]


def test_a_log_that_ends_hot_tells_when_it_may_come_off() -> None:
    log = logged(FULL, TRUTH)
    j = verdict(log.until(360.0 * 60.0))
    hot = [r for r in j.reasons if r.name == "demoulding"]
    assert len(hot) == 1
    assert hot[0].value > 323.15


def test_a_tg_no_cure_reaches_is_said_to_be_that() -> None:
    j = verdict(logged(FULL, TRUTH), replace(LIMITS, service=400.0))
    assert j.verdict is Verdict.NOTE
    (reason,) = [r for r in j.reasons if r.name == "glass transition"]
    assert reason.finding.why == "no cure of this resin reaches it"
    assert reason.finding.what == "fully cured resin has its glass transition at 135 °C; 147 °C is wanted"


def test_a_sensor_that_reads_ten_kelvin_high_is_suspected() -> None:
    log = logged(FULL, TRUTH)
    tc3 = log.channels[2]
    off = Channel(name="TC3", sensor=Sensor.PART, section="doubler", values=tc3.values + 10.0)
    j = verdict(replace(log, channels=(*log.channels[:2], off, log.channels[3])))
    assert any(f.place == "TC3" and f.what.startswith("it most probably reads") for f in j.findings)


def test_basis_of_what_rests_on_the_law_is_the_laws() -> None:
    air = air_of(PROGRAMME.segments[0])
    j = verdict(logged(air, ran(air)))
    assert {r.finding.basis for r in j.reasons if r.name in ("cure", "glass transition")} == {Basis.COMMON}
    assert {r.finding.source for r in j.reasons if r.name in ("cure", "glass transition")} == {"invented"}
    assert j.wanted_tg == pytest.approx(368.15)
    assert ZERO_C == 273.15
