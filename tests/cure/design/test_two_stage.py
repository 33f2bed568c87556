"""A mould that cannot take the heat: both cures found together, checked by the solver of plans.

Synthetic case: board mould of 80 °C at most, an invented resin that vitrifies, glass transition of 120 °C wanted, 5 K
kept above the part while it stands without its mould.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import cyclecases as cases
from bagside.cure import NOMINAL, Programme, Segment, continued, simulate
from bagside.cure.design import Aim, Bounds, two_stage, two_stage_findings, why
from bagside.errors import InputError
from bagside.findings import Basis, Severity

ZERO_C = cases.ZERO_C
MINUTE = 60.0


def fine(section):
    return replace(section, layers=tuple(replace(x, cells=2 * x.cells) for x in section.layers))


@pytest.fixture(scope="module")
def both():
    return two_stage(
        [cases.ON_BOARD],
        [cases.FREE],
        cases.VITRIFYING,
        cases.BOARD_OVEN,
        cases.BOARD_FIRST,
        cases.BOARD_POST,
        start=293.15,
        post_start=293.15,
        handling=0.0,
        scenarios=(NOMINAL,),
    )


@pytest.fixture(scope="module")
def first_history(both):
    (h,) = simulate(
        [fine(cases.ON_BOARD)], cases.VITRIFYING, cases.BOARD_OVEN.air(both.first.programme), output_interval=30.0
    )
    return h


def post_cured(first_history, programme):
    section = continued(fine(cases.FREE), first_history, warm=False)
    (h,) = simulate([section], cases.VITRIFYING, cases.BOARD_OVEN.air(programme), output_interval=30.0)
    return h, float((cases.VITRIFYING.tg(h.alpha) - h.laminate_temperature).min())


def test_the_mould_stays_cool_and_the_part_is_fit_to_be_taken_off(both, first_history):
    h = first_history
    assert h.tool_hottest.max() <= 80.0 + ZERO_C + 0.1
    assert h.alpha[-1].min() >= 0.65
    assert cases.VITRIFYING.tg(h.alpha[-1].min()) >= 293.15 + 5.0


def test_the_post_cure_keeps_its_margin_and_reaches_the_target(both, first_history):
    h, margin = post_cured(first_history, both.post.programme)
    assert margin >= 5.0 - 0.1
    assert cases.VITRIFYING.tg(h.alpha[-1].min()) >= 120.0 + ZERO_C - 0.2
    assert len(both.post.programme.segments) <= 4
    assert both.total == pytest.approx(both.first.programme.duration + both.post.programme.duration, abs=1.0)


def test_no_constant_ramp_keeps_the_margin_in_that_time(both, first_history):
    """Every single ramp and hold that reaches the target as fast comes closer to the glass transition."""
    start, time = 293.15, both.post.programme.duration
    for top in np.arange(110.0, 151.0, 5.0) + ZERO_C:
        for ramp_time in np.arange(0.2, 1.01, 0.1) * time:
            one = Programme(
                start=start,
                segments=(
                    Segment(target=float(top), ramp=float((top - start) / ramp_time), hold=max(time - ramp_time, 0.0)),
                ),
            )
            h, margin = post_cured(first_history, one)
            reached = cases.VITRIFYING.tg(h.alpha[-1].min()) >= 120.0 + ZERO_C
            assert margin < 5.0 or not reached


def test_the_hold_on_the_mould_is_neither_too_short_nor_too_long(both):
    totals = [s.mould + s.post for s in both.scan]
    best = int(np.argmin(totals))
    assert 0 < best < len(totals) - 1
    assert [s.tg for s in both.scan] == sorted(s.tg for s in both.scan)
    assert both.total < 1.05 * totals[best]
    assert both.total < 0.85 * totals[0]
    assert both.total < 0.5 * totals[-1]


def test_findings_support_the_part(both):
    found = two_stage_findings(both, basis=Basis.COMMON, source="invented")
    support = found[-1]
    assert support.severity is Severity.WATCH
    assert support.place == "post-cure, 4 mm"
    assert support.do.startswith("stand it on its mould's trim line or a cradle cut to its shape")
    assert {f.place.split(",")[0] for f in found} == {"first cure", "post-cure"}


def test_each_segment_of_the_post_cure_has_its_reason(both):
    said = why(both.post)
    assert len(said) == len(both.post.programme.segments)
    assert any("comes within 5 K of its glass transition" in s for s in said)


def test_what_does_not_match_is_refused_with_all_its_problems():
    thin = replace(cases.FREE, layers=(replace(cases.LAMINATE, cells=7),))
    with pytest.raises(InputError) as e:
        two_stage(
            [cases.ON_BOARD],
            [thin],
            cases.VITRIFYING,
            cases.BOARD_OVEN,
            cases.BOARD_FIRST,
            Bounds(tg=120.0 + ZERO_C),
            start=293.15,
            post_start=293.15,
            aim=Aim.CHEAPEST,
        )
    assert str(e.value) == (
        "4 mm: 7 reacting cells – as many as on the mould are wanted: 10\n"
        "post-cure, limit, stiff – by how much the glass transition has to stay above the part without its mould is "
        "wanted (5 K for a law measured in mid-cycle, 30 K or more for one fitted to a data sheet)\n"
        "costs – what energy and an hour of the oven cost is wanted for the cheapest cycle"
    )
    with pytest.raises(InputError) as e:
        two_stage(
            [cases.ON_BOARD],
            [],
            cases.VITRIFYING,
            cases.BOARD_OVEN,
            cases.BOARD_FIRST,
            cases.BOARD_POST,
            start=293.15,
            post_start=293.15,
        )
    assert str(e.value) == "places without the mould: 0 – as many as on it are wanted: 1"
