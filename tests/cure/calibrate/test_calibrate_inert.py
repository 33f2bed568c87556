"""Heat without reaction in closed form, and what a thermocouple at each place reads."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bagside.cure import Layer, Section, simulate
from bagside.cure.calibrate.inert import warmed
from bagside.cure.calibrate.place import Where, eye, without_reaction
from trials import OVEN, PROGRAMME, RESIN, TOOLS, panel


@pytest.mark.parametrize("tool", list(TOOLS))
def test_it_is_what_the_simulation_gives(tool: str) -> None:
    section = replace(without_reaction(panel(tool)), start=290.0)
    air = OVEN.air(PROGRAMME)
    h = simulate([section], RESIN, air, output_interval=60.0, tolerance=0.003)[0]
    grid = np.arange(0.0, air.end, 60.0)
    mine = warmed([section], np.array([290.0]), air.at(grid)[:, None], 60.0)[0]
    for cell in range(len(section.widths)):
        assert np.abs(np.interp(grid, h.time, h.temperature[:, cell]) - mine[:, cell]).max() < 0.03


def test_a_thin_good_conductor_follows_a_ramp_by_the_closed_form() -> None:
    """T = T0 + r (t − τ (1 − exp(−t/τ))), τ = C / (h1 + h2): the lumped body, hand-derived."""
    plate = Layer(name="plate", thickness=0.004, density=2700.0, heat_capacity=900.0, conductivity=1e4, cells=3)
    section = Section(name="plate", layers=(plate,), film_bag=12.0, film_tool=18.0)
    grid = np.arange(0.0, 7200.0, 60.0)
    got = warmed([section], np.array([300.0]), (300.0 + grid / 60.0)[:, None], 60.0)[0]
    tau = 0.004 * 2700.0 * 900.0 / 30.0
    want = 300.0 + (grid - tau * (1.0 - np.exp(-grid / tau))) / 60.0
    assert np.abs(got[:, 1] - want).max() < 0.01


def test_several_sections_are_each_as_if_alone() -> None:
    lanes = [without_reaction(panel(t)) for t in TOOLS]
    grid = np.arange(0.0, 3600.0, 60.0)
    air = np.stack([300.0 + k * grid / 120.0 for k in (1.0, 2.0, 3.0)], axis=1)
    starts = np.array([295.0, 300.0, 305.0])
    together = warmed(lanes, starts, air, 60.0)
    for k, lane in enumerate(lanes):
        alone = warmed([lane], starts[k : k + 1], air[:, k : k + 1], 60.0)[0]
        assert np.allclose(together[k], alone, atol=1e-9)


def test_what_a_thermocouple_reads_at_each_place() -> None:
    """At a face the same heat passes film and half a cell; between two cells both halves: by hand."""
    a = Layer(name="laminate", thickness=0.002, density=1500.0, heat_capacity=1000.0, conductivity=0.5, resin=600.0,
              cells=2)  # fmt: skip
    b = Layer(name="tool", thickness=0.004, density=2000.0, heat_capacity=800.0, conductivity=2.0, cells=2)
    s = Section(name="s", layers=(a, b), film_bag=10.0, film_tool=40.0)
    t, air = np.array([[300.0, 310.0, 330.0, 340.0]]), np.array([400.0])
    # half conductances: 2·0.5/0.001 = 1000 in the laminate, 2·2/0.002 = 2000 in the tool
    assert eye(s, Where.BAG).seen(t, air)[0] == pytest.approx((10 * 400 + 1000 * 300) / 1010)
    assert eye(s, Where.BACK).seen(t, air)[0] == pytest.approx((40 * 400 + 2000 * 340) / 2040)
    assert eye(s, Where.FACE).seen(t, air)[0] == pytest.approx((1000 * 310 + 2000 * 330) / 3000)
    assert eye(s, Where.LAMINATE).seen(t, air)[0] == pytest.approx(305.0)


def test_without_a_mould_the_back_is_that_of_the_laminate() -> None:
    s = panel()
    free = replace(s, layers=s.layers[:1])
    t, air = np.array([[300.0, 302.0, 304.0, 306.0]]), np.array([350.0])
    assert eye(free, Where.FACE).seen(t, air)[0] == eye(free, Where.BACK).seen(t, air)[0] > 306.0
