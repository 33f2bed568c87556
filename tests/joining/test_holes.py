"""Rules round a hole, and whether it meets its bolt."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.findings import Severity
from bagside.joining import hole_findings, hole_rule, hole_stack, stack_findings

MM = 1e-3


@pytest.mark.published("trade table of fixings: edge 3 D, least 2.5 D + 1 mm, pitch 4 D (common practice there)")
def test_rules_of_a_six_millimetre_hole() -> None:
    rule = hole_rule("H1", diameter=6 * MM, edge=20 * MM, pitch=30 * MM, thickness=2.5 * MM)
    assert rule.edge_wanted == pytest.approx(18 * MM)
    assert rule.edge_least == pytest.approx(16 * MM)
    assert rule.pitch_wanted == pytest.approx(24 * MM)
    assert rule.doubler_radius == pytest.approx(22.5 * MM)
    assert hole_findings(rule) == ()


@pytest.mark.parametrize(
    ("edge", "pitch", "thickness", "found"),
    [
        (17, math.inf, 2.5, [(Severity.WATCH, "its centre is 17.0 mm from the edge; 18.0 mm is wanted")]),
        (15, math.inf, 2.5, [(Severity.DECIDE, "its centre is 15.0 mm from the edge; 18.0 mm is wanted")]),
        (20, 23, 2.5, [(Severity.WATCH, "the next hole is 23.0 mm away; 24.0 mm is wanted")]),
        (20, 30, 1.2, [(Severity.WATCH, "the laminate there is 1.20 mm thick; 2.0 mm is wanted")]),
    ],
)
def test_what_falls_short_is_told(
    edge: float, pitch: float, thickness: float, found: list[tuple[Severity, str]]
) -> None:
    rule = hole_rule("H1", diameter=6 * MM, edge=edge * MM, pitch=pitch * MM, thickness=thickness * MM)
    assert [(f.severity, f.what) for f in hole_findings(rule)] == found


def test_a_hole_without_a_diameter_is_refused() -> None:
    with pytest.raises(InputError) as caught:
        hole_rule("H1", diameter=0.0, edge=0.02, pitch=0.03, thickness=0.002)
    assert str(caught.value) == "hole H1, diameter: 0 m – a length above zero is wanted"


def test_stack_by_hand() -> None:
    # 500 mm from the datum on an aluminium mould: heat 1.0, spring-in 0.5; template 0.3, drill 0.4, other side 1.2 mm.
    stack = hole_stack(
        "H2", hole=8 * MM, bolt=6 * MM, shifts={"heat of the mould": 1.0 * MM, "spring-in": -0.5 * MM},
        spreads={"template": 0.3 * MM, "drill": 0.4 * MM, "what it is bolted to": 1.2 * MM},
    )  # fmt: skip
    assert stack.shift == pytest.approx(0.5 * MM)
    assert stack.spread == pytest.approx(1.3 * MM)  # √(0.09 + 0.16 + 1.44) is 1.3 exactly
    assert stack.worst == pytest.approx(2.4 * MM)
    assert stack.clearance == pytest.approx(1.0 * MM)
    (finding,) = stack_findings(stack)
    assert finding.severity is Severity.DECIDE
    assert finding.what == "it may be 1.8 mm off, 2.4 mm at worst; 1.0 mm is free round the bolt"
    assert finding.why == "the bolt then does not go in; what it is bolted to moves it most, 1.2 mm"


def test_stack_that_only_fails_at_worst_is_to_watch_and_a_loose_hole_is_silent() -> None:
    spreads = {"template": 0.3 * MM, "drill": 0.4 * MM}
    tight = hole_stack("H3", hole=7.2 * MM, bolt=6 * MM, shifts={}, spreads=spreads)
    assert [f.severity for f in stack_findings(tight)] == [Severity.WATCH]
    assert stack_findings(hole_stack("H3", hole=7.5 * MM, bolt=6 * MM, shifts={}, spreads=spreads)) == ()


def test_stack_of_nothing_or_a_bolt_too_large_is_refused_whole() -> None:
    with pytest.raises(InputError) as caught:
        hole_stack("H4", hole=0.005, bolt=0.006, shifts={}, spreads={})
    assert str(caught.value).splitlines() == [
        "hole H4: 0.005 m for a 0.006 m bolt – the bolt must go through",
        "hole H4 – at least one cause that moves it is wanted",
    ]
    with pytest.raises(InputError, match=r"hole H4, drill: -0\.001 m – a finite spread, not negative, is wanted"):
        hole_stack("H4", hole=0.007, bolt=0.006, shifts={}, spreads={"drill": -0.001})


@given(st.lists(st.floats(-2e-3, 2e-3), max_size=4), st.lists(st.floats(0.0, 2e-3), min_size=1, max_size=6))
def test_spread_lies_between_the_largest_and_the_sum(shifts: list[float], spreads: list[float]) -> None:
    stack = hole_stack(
        "H", hole=0.007, bolt=0.006, shifts={f"s{k}": v for k, v in enumerate(shifts)},
        spreads={f"r{k}": v for k, v in enumerate(spreads)},
    )  # fmt: skip
    assert max(spreads) * (1 - 1e-12) <= stack.spread <= sum(spreads) * (1 + 1e-12)
    assert stack.expected <= stack.worst * (1 + 1e-12) + 1e-18
    assert stack.shift <= sum(abs(v) for v in shifts) + 1e-18
