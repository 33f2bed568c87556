"""What presses place by place."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.bagging import corner_factor, pressure_findings, pressure_map, pressure_on
from bagside.errors import InputError
from bagside.findings import Severity
from bagside.geometry import Surface

ATM = 101325.0


def trough(radius: float, *, hollow: bool = True) -> Surface:
    """Return part of a cylinder, seen from its hollow or its round side, normals up."""
    n = 41
    x = np.linspace(-0.6 * radius, 0.6 * radius, n)
    X, Y = np.meshgrid(x, x, indexing="ij")
    Z = (radius - np.sqrt(radius**2 - X**2)) * (1.0 if hollow else -1.0)
    i = np.arange(n * n).reshape(n, n)
    a, b, c, d = i[:-1, :-1].ravel(), i[1:, :-1].ravel(), i[1:, 1:].ravel(), i[:-1, 1:].ravel()
    return Surface(
        vertices=np.stack([X.ravel(), Y.ravel(), Z.ravel()], axis=1),
        triangles=np.concatenate([np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)]),
    )


def test_ring_by_hand() -> None:
    """Derived, idea of Hubert & Poursartip 2001: R 10 mm, 2 mm thick, 0.8 inside and 1.2 outside."""
    assert float(corner_factor(0.010, 0.002, concave=True)) == pytest.approx(0.8)
    assert float(corner_factor(0.010, 0.002, concave=False)) == pytest.approx(1.2)
    assert float(corner_factor(0.002, 0.003, concave=True)) == 0.0


@given(st.floats(0.005, 1.0), st.floats(0.0, 0.004))
def test_forces_through_a_ring_are_equal(radius: float, thickness: float) -> None:
    """Pressure times arc on the mould is pressure times arc under the bag."""
    inside = float(corner_factor(radius, thickness, concave=True))
    assert inside * radius == pytest.approx(radius - thickness)


@given(st.floats(0.02, 1.0), st.floats(0.0, 0.004))
def test_a_hollow_ball_is_pressed_by_the_ratio_of_its_areas(radius: float, thickness: float) -> None:
    found = pressure_map(np.array([[1 / radius, 1 / radius]]), thickness, ambient=ATM, vacuum=2e3)
    assert found.factor[0] == pytest.approx(((radius - thickness) / radius) ** 2)


def test_a_map_with_all_kinds_of_places() -> None:
    bends = np.array([[0.0, 0.0], [100.0, 0.0], [-100.0, 0.0], [500.0, 0.0], [100.0, 0.0]])
    found = pressure_map(bends, 0.002, ambient=ATM, vacuum=1325.0, bridged=np.array([False, False, False, False, True]))
    assert found.flat == pytest.approx(1e5)
    np.testing.assert_allclose(found.factor, [1.0, 0.8, 1.2, 0.0, 0.0])
    np.testing.assert_allclose(found.pressure, [1e5, 8e4, 1.2e5, 0.0, 0.0])
    assert list(found.bridged) == [False, False, False, True, True]
    assert found.least == 1
    np.testing.assert_allclose(found.resin[1], [1325.0 + 8e4, 1325.0 + 0.6 * 8e4])
    told = pressure_findings(found, np.arange(15.0).reshape(5, 3))
    assert [(f.severity, f.point) for f in told] == [(Severity.DECIDE, (9.0, 10.0, 11.0))]
    assert told[0].what == "cloth spans them or the lay-up does not fit in: no pressure arrives at 2 of 5 places"
    tight = pressure_findings(pressure_map(np.array([[200.0, 0.0]]), 0.002, ambient=ATM, vacuum=1325.0))
    assert [f.what for f in tight] == ["600 mbar of 1\u2009000 mbar arrive on the mould, less with friction"]


@pytest.mark.parametrize(("hollow", "factor"), [(True, 0.96), (False, 1.04)])
def test_on_a_surface(hollow: bool, factor: float) -> None:
    """A cylinder of 50 mm under 2 mm: (50 ∓ 2) / 50."""
    surface = trough(0.05, hollow=hollow)
    found = pressure_on(surface, 0.002, ambient=ATM, vacuum=2e3)
    middle = np.abs(surface.vertices[:, :2]).max(axis=1) < 0.01
    np.testing.assert_allclose(found.factor[middle], factor, atol=0.002)


def test_thickness_of_each_place_counts() -> None:
    found = pressure_map(np.full((2, 2), 10.0), np.array([0.001, 0.002]), ambient=ATM, vacuum=0.0)
    np.testing.assert_allclose(found.factor, [0.99**2, 0.98**2])


def test_refusals() -> None:
    with pytest.raises(InputError) as told:
        corner_factor(0.0, 0.001, concave=True)
    assert str(told.value) == "corner: radius 0.0 m, 0.001 m thick – a radius above zero is wanted"
    with pytest.raises(InputError) as told:
        pressure_map(np.zeros(3), 0.001, ambient=ATM, vacuum=0.0)
    assert str(told.value) == "pressure map: bends of shape (3,) – two finite curvatures a place are wanted"
    with pytest.raises(InputError) as told:
        pressure_map(np.zeros((3, 2)), np.zeros(2), ambient=ATM, vacuum=0.0)
    assert str(told.value) == "pressure map: 2 thicknesses, 3 flags – one for each of 3 places is wanted"
    with pytest.raises(InputError) as told:
        pressure_map(np.zeros((1, 2)), 0.0, ambient=ATM, vacuum=0.0, shares=(0.5, 0.2))
    assert str(told.value) == "pressure map: shares 0.5 to 0.2 – a band between 0 and 1 is wanted"
    none = pressure_map(np.full((2, 2), 1e4), 0.001, ambient=ATM, vacuum=0.0)
    assert none.least == -1
