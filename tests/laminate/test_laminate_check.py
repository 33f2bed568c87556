from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.findings import Basis, Severity
from bagside.laminate import LaidPly, direction_shares, findings, largest_curvature, zones_of
from laminae import AS4, CLOTH, stack

QUASI = [90, 45, -45, 0, 0, -45, 45, 90]


def whats(found):
    return [f.what for f in found]


def test_a_good_laminate_is_silent():
    assert findings(stack(AS4, QUASI, 0.125e-3), cooled=100.0, structural=True) == ()


def test_unsymmetric_panel_is_told_how_much_it_curves():
    lam = stack(AS4, [0, 90], 0.5e-3)
    (found,) = findings(lam, cooled=100.0)
    curvature = abs(lam.free_curvature[0]) * 100
    assert found.what == (
        f"the stack is not symmetric about its mid-plane (error {lam.symmetry_error:.2f}): cooled by 100 K it wants to "
        f"curve by {curvature:.2f} 1/m, {curvature * 0.09 / 8 * 1e3:.1f} mm over 300 mm (twist 0.00 1/m)"
    )
    assert found.severity is Severity.DECIDE
    assert found.basis is Basis.PUBLISHED
    assert findings(lam, cooled=100.0, flat=False)[0].severity is Severity.SEEN
    assert "cooled" not in findings(lam)[0].what


def test_a_stack_that_cools_flat_is_not_told_to_curve():
    """Balanced cloth shrinks alike in every direction of its plane, however it is turned: nothing bends."""
    lam = stack(CLOTH, [0, 45], 0.45e-3, woven=True)
    assert lam.symmetry_error > 0.01
    assert np.abs(lam.free_curvature).max() * 100 * 0.3**2 / 8 < 0.05e-3
    assert findings(lam, cooled=100.0) == ()
    assert [f.what for f in findings(lam)] == [
        f"the stack is not symmetric about its mid-plane (error {lam.symmetry_error:.2f})"
    ]


def test_two_identical_cloths_are_symmetric_as_homogenised_plies():
    assert findings(stack(CLOTH, [0, 0], 0.45e-3, woven=True), cooled=100.0) == ()


def test_unbalanced_thin_single_and_grouped():
    found = whats(findings(stack(AS4, [0, 0, 30, 75, 30, 0, 0], 0.15e-3)))
    assert len(found) == 1
    assert found[0].startswith("the stack is not balanced")
    found = whats(findings(stack(CLOTH, [0], 0.23e-3, woven=True)))
    assert found == [
        "there is only one ply on a surface that shows",
        "0.23 mm is below the handling floor of 0.8 mm",
    ]
    assert findings(stack(CLOTH, [0], 0.9e-3, woven=True), show_surface=False) == ()


def test_five_of_one_angle_are_named_and_four_are_not():
    five = findings(stack(AS4, [90, 0, 0, 180, 0, 0, 90], 0.15e-3))
    assert [(f.place, f.what) for f in five] == [
        ("laminate, plies 2, 3, 4, 5, 6", "5 plies of one angle lie on each other")
    ]
    assert findings(stack(AS4, [90, 0, 0, 0, 0, 90], 0.15e-3)) == ()
    cloths = findings(stack(CLOTH, [0, 90, 0, 90, 0], 0.23e-3, woven=True))
    assert whats(cloths) == ["5 plies of one angle lie on each other"]


def test_missing_directions_only_count_on_structural_parts():
    lam = stack(CLOTH, [0, 0, 0, 0], 0.25e-3, woven=True)
    assert findings(lam) == ()
    (found,) = findings(lam, structural=True)
    assert "+45°: 0%, −45°: 0%" in found.what


@given(st.lists(st.floats(-180, 180), min_size=1, max_size=6), st.booleans(), st.floats(-0.6, 0.6))
def test_shares_of_directions_sum_to_one(angles, woven, shear):
    lam = stack(CLOTH, angles, 0.2e-3, woven=woven, shear=shear)
    assert sum(direction_shares(lam).values()) == pytest.approx(1.0)


def test_shares_of_a_quasi_isotropic_stack():
    assert direction_shares(stack(AS4, QUASI, 0.125e-3)) == pytest.approx(
        {"0": 0.25, "+45": 0.25, "90": 0.25, "−45": 0.25}
    )


def test_largest_curvature_of_pure_twist_is_half_the_engineering_twist():
    assert largest_curvature(np.array([0.0, 0.0, 2.0])) == pytest.approx(1.0)
    assert largest_curvature(np.array([1.0, 1.0, 0.0])) == pytest.approx(1.0)
    assert largest_curvature(np.array([-3.0, 1.0, 0.0])) == pytest.approx(3.0)


def test_zones_carry_their_place_and_their_scatter():
    plies = [LaidPly(name=n, lamina=AS4, thickness=0.5e-3, angle=0.0, areal_weight=0.7) for n in ("inner", "outer")]
    angles = np.radians(np.array([[0.0, 0.0], [40.0, 0.0], [-40.0, 0.0]]))
    zones = zones_of(np.ones((3, 2), bool), np.full(3, 0.01), angles, np.zeros((3, 2)), plies=plies)
    (found,) = findings(zones, cooled=100.0)
    assert found.place == "zone 1 (300 cm², plies inner, outer)"
    assert found.what.startswith("directions scatter about their mean: ply inner by ")
    assert "outer" not in found.what


def test_a_negative_fall_is_refused():
    with pytest.raises(InputError, match="a fall of temperature from 0 K up"):
        findings(stack(AS4, [0], 1e-3), cooled=-100.0)
    with pytest.raises(InputError, match="a positive thickness"):
        findings(stack(AS4, [0], 1e-3), floor=0.0)
