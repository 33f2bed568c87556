"""The thick laminate: found cycles keep every limit by the solver of plans, on a finer mesh, and are short.

What to beat is a global search of scipy on the same model and the usual two-dwell cycle of this resin (Hubert et al.
2001: 110 °C 60 min, 180 °C 120 min, from memory); the full comparison is in ``benchmarks/cycle.py``.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import cyclecases as cases
from bagside.cure import NOMINAL, Programme, Segment, corners, outcomes, simulate
from bagside.cure.design import Controller, design_findings, designed, why
from bagside.findings import Basis, Severity

ZERO_C = cases.ZERO_C
MINUTE = 60.0
FALLING = Controller(falls=True)


def judged(programme, scenarios, sections=None):
    """Return histories and outcomes on more cells, smaller steps and closer outputs than the design's own check."""
    sections = [cases.thick(30)] if sections is None else sections
    lanes = [x for s in scenarios for x in s.of(sections)]
    histories = simulate(
        lanes, cases.THICK_RESIN, cases.THICK_OVEN.air(programme), output_interval=30.0, tolerance=0.02
    )
    return histories, outcomes(histories, cases.THICK_RESIN)


def kept_by(design, scenarios):
    histories, results = judged(design.programme, scenarios)
    for h, o in zip(histories, results, strict=True):
        assert o.hottest <= 190.0 + ZERO_C + 0.1
        assert o.alpha_lagging >= 0.80 - 0.0015
        assert o.flow_time >= 1800.0
        assert np.ptp(h.alpha, axis=1).max() <= 0.25
    return results


@pytest.fixture(scope="module")
def nominal():
    return designed(
        [cases.thick()],
        cases.THICK_RESIN,
        cases.THICK_OVEN,
        cases.THICK_BOUNDS,
        start=293.15,
        scenarios=(NOMINAL,),
        controller=FALLING,
    )


@pytest.fixture(scope="module")
def robust():
    told = []
    design = designed(
        [cases.thick()],
        cases.THICK_RESIN,
        cases.THICK_OVEN,
        cases.THICK_BOUNDS,
        start=293.15,
        controller=FALLING,
        progress=lambda what, share: told.append((what, share)),
    )
    return design, told


def test_as_stated_it_is_faster_than_the_usual_cycle_and_keeps_what_that_breaks(nominal):
    usual = Programme(
        start=293.15,
        segments=(
            Segment(target=110.0 + ZERO_C, ramp=3.0 / MINUTE, hold=3600.0),
            Segment(target=180.0 + ZERO_C, ramp=3.0 / MINUTE, hold=7200.0),
        ),
    )
    _, (o,) = judged(usual, (NOMINAL,))
    assert o.hottest > 250.0 + ZERO_C  # it runs away
    kept_by(nominal, (NOMINAL,))
    assert nominal.duration < 0.75 * usual.duration
    assert nominal.duration == pytest.approx(nominal.programme.duration)
    assert nominal.duration < 165.0 * MINUTE  # a global search of scipy on the same model: 175 to 178 min


def test_a_nominal_optimum_tips_over_and_the_robust_one_does_not(nominal, robust):
    design, _ = robust
    _, results = judged(nominal.programme, corners(0.0))
    assert max(o.hottest for o in results) > 200.0 + ZERO_C
    kept_by(design, corners(0.0))
    assert design.scenarios == corners(0.0)
    assert nominal.duration < design.duration < 255.0 * MINUTE  # a global search of scipy: 253 to 258 min


@pytest.mark.parametrize(("scenarios", "searched"), [((NOMINAL,), 204.0), (corners(0.0), 278.0)])
def test_a_programme_that_may_not_fall_does_not_and_is_shorter_than_a_global_search(scenarios, searched):
    """Differential evolution of scipy on five rises of the same model, 1830 trials: 204 and 278 min (seed 1)."""
    design = designed(
        [cases.thick()], cases.THICK_RESIN, cases.THICK_OVEN, cases.THICK_BOUNDS, start=293.15, scenarios=scenarios
    )
    targets = [s.target for s in design.programme.segments]
    assert targets == sorted(targets)
    assert design.ride.air.tolist() == sorted(design.ride.air.tolist())
    kept_by(design, scenarios)
    assert design.duration < searched * MINUTE


def test_margins_are_told_where_they_are_closest(robust):
    design, _ = robust
    _, results = judged(design.programme, corners(0.0))
    by_limit = {k.limit: k for k in design.kept}
    assert set(by_limit) == {"laminate", "spread", "flow", "cure"}
    hot = by_limit["laminate"]
    worst = max(results, key=lambda o: o.hottest)
    assert hot.value == pytest.approx(worst.hottest, abs=0.3)
    assert hot.margin == pytest.approx(hot.allowed - hot.value)
    assert hot.time == pytest.approx(worst.hottest_time, abs=240.0)
    assert hot.place == "30 mm"
    assert hot.scenario == worst.name.removeprefix("30 mm, ")
    assert "laminate" in design.binding
    assert "spread" not in design.binding
    assert len(design.outcomes) == 5
    assert [len(each) for each in design.outcomes] == [1] * 5


def test_progress_is_told_and_ends(robust):
    _, told = robust
    shares = [s for _, s in told]
    assert told[0] == ("ride", 0.0)
    assert told[-1] == ("done", 1.0)
    assert shares == sorted(shares)


def test_each_segment_has_its_reason(robust):
    design, _ = robust
    said = why(design)
    assert len(said) == len(design.programme.segments)
    assert said[0].startswith("rises to ")
    assert "as fast as the oven goes; 3 K hotter and 30 mm passes 190 °C with heat 10 % " in said[0]


def test_the_reason_is_true(robust):
    """Done by hand: the first rise 3 K hotter, at the same rate, breaks the limit that is named."""
    design, _ = robust
    first, *rest = design.programme.segments
    hotter = replace(design.programme, segments=(replace(first, target=first.target + 3.0), *rest))
    _, results = judged(hotter, corners(0.0))
    assert max(o.hottest for o in results) > 190.3 + ZERO_C


def test_findings_say_what_shapes_it_and_what_was_left_out(nominal, robust):
    design, _ = robust
    found = design_findings(design, basis=Basis.PUBLISHED, source="Hubert et al. 2001")
    assert [f.severity for f in found] == [Severity.SEEN] * len(design.binding)
    assert found[0].place == "cure, 30 mm"
    assert found[0].what.endswith("this limit shapes the cycle")
    assert (found[0].basis, found[0].source) == (Basis.PUBLISHED, "Hubert et al. 2001")
    alone = design_findings(nominal, basis=Basis.PUBLISHED)[-1]
    assert alone.severity is Severity.WATCH
    assert alone.what == "the cycle holds as stated only; nothing was varied"
