"""Sections that turn out otherwise: factors against the same thing said another way."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bagside.cure import (
    NOMINAL,
    CureResin,
    Layer,
    NthOrder,
    Programme,
    Scenario,
    Section,
    Segment,
    corners,
    heat_balance,
    simulate,
)

CYCLE = Programme(start=293.15, segments=(Segment(target=393.15, ramp=2.0 / 60.0, hold=3600.0),))


def resin(pace: float = 1.0, heat: float = 400e3) -> CureResin:
    return CureResin(
        kinetics=NthOrder(A=pace * 1.0e7, E=7.5e4, n=1.5), heat=heat, density=1220.0, heat_capacity=1300.0,
        conductivity=0.2, tg0=266.0, tg1=408.0, tg_lambda=0.5, gel=0.5, alpha0=0.01,
    )  # fmt: skip


def section(**more: float) -> Section:
    laminate = Layer(
        name="laminate", thickness=0.012, density=1550.0, heat_capacity=1000.0, conductivity=0.6, resin=600.0
    )
    tool = Layer(name="tool", thickness=0.006, density=1800.0, heat_capacity=900.0, conductivity=0.4)
    return Section(name="thick", layers=(laminate, tool), film_bag=12.0, film_tool=18.0, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("factors", "same"),
    [
        ({"rate_factor": 1.3}, resin(pace=1.3)),
        ({"heat_factor": 0.8}, resin(heat=320e3)),
    ],
)
def test_a_factor_is_the_same_as_another_resin(factors: dict[str, float], same: CureResin) -> None:
    one = simulate([section(**factors)], resin(), CYCLE)[0]
    two = simulate([section()], same, CYCLE)[0]
    assert np.abs(one.temperature - two.temperature).max() < 1e-9
    assert np.abs(one.alpha - two.alpha).max() < 1e-12


def test_lanes_with_other_factors_do_not_touch_each_other_and_keep_the_heat() -> None:
    several = [section(), section(rate_factor=1.3), section(heat_factor=1.2, rate_factor=0.7)]
    together = simulate(several, resin(), CYCLE, output_interval=10.0)
    for s, h in zip(several, together, strict=True):
        alone = simulate([s], resin(), CYCLE, output_interval=10.0)[0]
        assert np.abs(alone.temperature - h.temperature).max() < 0.05
        assert abs(heat_balance(h).relative) < 2e-3


def test_a_scenario_changes_what_it_says_and_nothing_else() -> None:
    way = Scenario(name="warm", heat=1.1, rate=0.9, film_bag=0.5, film_tool=2.0, air=3.0, alpha0=0.04)
    base = section(air_offset=1.0)
    (got,) = way.of([base])
    assert got == replace(
        base, name="thick, warm", film_bag=6.0, film_tool=36.0, alpha0=0.04, air_offset=4.0, rate_factor=0.9,
        heat_factor=1.1,
    )  # fmt: skip
    assert NOMINAL.of([base]) == (base,)


def test_the_corners_by_hand() -> None:
    five = corners(6.0)
    assert [c.name for c in five] == [
        "",
        "heat 10 % up, films 25 % down",
        "heat 10 % up, films 25 % up",
        "heat 10 % down, films 25 % down",
        "heat 10 % down, films 25 % up",
    ]
    assert [(c.heat, c.film_bag, c.film_tool, c.air) for c in five] == [
        (1.0, 1.0, 1.0, 0.0),
        (1.1, 0.75, 0.75, 3.0),
        (1.1, 1.25, 1.25, 3.0),
        (0.9, 0.75, 0.75, -3.0),
        (0.9, 1.25, 1.25, -3.0),
    ]
