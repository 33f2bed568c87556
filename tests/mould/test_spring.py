"""Spring-in of bends, and what the mould's heat does far from the datum."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.mould import flange_shift, oversize, spring_in


@pytest.mark.parametrize(
    ("turn", "a_in", "a_through", "dT", "shrink", "degrees"),
    [
        (90, 3e-6, 45e-6, -160, 0.0, 0.609),
        (90, 3e-6, 45e-6, -160, 0.005, 1.061),
        (90, 2.5e-6, 55e-6, -160, 0.0, 0.763),
        (90, 2.5e-6, 55e-6, -100, 0.008, 1.201),
        (135, 2.5e-6, 55e-6, -100, 0.0, 0.713),
    ],
)
def test_closing_of_a_bend(
    turn: float, a_in: float, a_through: float, dT: float, shrink: float, degrees: float
) -> None:
    """Derived here from the formula of Radford & Rennick; no printed table was found."""
    found = math.degrees(spring_in(math.radians(turn), a_in, a_through, dT, shrink))
    assert found == pytest.approx(degrees, abs=0.0005)


def test_it_is_the_change_of_shape_of_a_thick_arc() -> None:
    """An arc whose thickness shrinks by e_t and whose length shrinks by e_i: angle from its two radii."""
    a_in, a_through, dT = 3e-6, 45e-6, -160.0
    inner, outer, turn = 0.010, 0.012, math.pi / 2
    inner_arc, outer_arc = inner * turn * (1 + a_in * dT), outer * turn * (1 + a_in * dT)
    new_turn = (outer_arc - inner_arc) / ((outer - inner) * (1 + a_through * dT))
    assert new_turn - turn == pytest.approx(spring_in(turn, a_in, a_through, dT), rel=1e-9)


@given(st.floats(0.0, math.pi), st.floats(0.0, 200.0), st.floats(0.0, 0.01))
def test_it_grows_with_the_angle_turned_and_never_opens(turn: float, rise: float, shrink: float) -> None:
    one = spring_in(turn, 3e-6, 55e-6, -rise, shrink)
    assert one >= 0
    assert spring_in(turn / 2, 3e-6, 55e-6, -rise, shrink) == pytest.approx(one / 2, abs=1e-15)


def test_equal_expansion_does_not_bend() -> None:
    assert spring_in(1.0, 20e-6, 20e-6, -150.0, 0.004, 0.004) == 0.0


@pytest.mark.parametrize(("length", "shift"), [(0.040, 0.7), (0.100, 1.7)])
def test_one_degree_at_the_edge_of_a_flange(length: float, shift: float) -> None:
    assert 1e3 * flange_shift(length, math.radians(1.0)) == pytest.approx(shift, abs=0.05)


@pytest.mark.parametrize("values", [(4.0, -10.0, 0.0), (1.0, 10.0, 0.0), (1.0, -10.0, -0.005), (1.0, -10.0, 0.5)])
def test_a_wrong_sign_is_refused(values: tuple[float, float, float]) -> None:
    turn, dT, shrink = values
    with pytest.raises(InputError):
        spring_in(turn, 3e-6, 45e-6, dT, shrink)


@pytest.mark.parametrize(
    ("a_mould", "printed", "half_digit"), [(3e-6, 0.0, 0.05), (14e-6, 0.55, 0.005), (23e-6, 1.0, 0.05)]
)
def test_mould_expansion_500_mm_away(a_mould: float, printed: float, half_digit: float) -> None:
    """The shop's worked example at 120 °C, 3 ppm/K for the part."""
    assert 1e3 * abs(oversize(0.5, 3e-6, a_mould, 100.0)) == pytest.approx(printed, abs=half_digit)
