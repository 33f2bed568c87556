"""Chances of whole cures against closed forms, against outcomes told another way, and in pieces of any size."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from bagside.cure import Exponential, Kamal, Layer, Oven, Programme, Section, Segment, outcomes, simulate
from bagside.cure.chance import INPUTS, Draws, Scatter, Stage, chance_findings, chance_of, drawn, margins, odds
from bagside.cure.chance.limits import reached
from bagside.cure.chance.margins import block_size
from bagside.cure.design import Bounds, Flow
from bagside.errors import InputError
from bagside.findings import Severity
from luck import CYCLE, OVEN, RATE, lognormal, normal, only, resin, thin


def stage(bounds: Bounds, **more: object) -> Stage:
    return Stage(**{"sections": (thin(),), "programme": CYCLE, "bounds": bounds, **more})  # type: ignore[arg-type]


def test_the_hottest_point_is_normal_when_the_air_is() -> None:
    # Without heat of reaction the thin laminate ends at the air: margin = 394 − 393.15 − error, error normal with sd 1.
    draws = drawn(only(thermocouple=normal(1.0)), 2048, seed=1)
    got = margins([stage(Bounds(target=0.1, hottest=394.0))], resin(), OVEN, draws)
    assert got.limits == ("target", "hottest")
    assert np.abs(got.values[:, 1] - (394.0 - 393.15 - draws.of("thermocouple"))).max() < 4e-3
    told = chance_of(draws, got)
    want = float(stats.norm.cdf(0.85))
    assert told.all_hold.low < want < told.all_hold.high
    assert told.all_hold.chance == pytest.approx(want, abs=0.003)  # evenly spread points: a third of random ones' sd
    assert told.limits[0].margin == pytest.approx([0.85 + s for s in (-1.6449, 0.0, 1.6449)], abs=0.01)
    assert [(d.name, round(d.share, 6), round(d.rank, 6)) for d in told.limits[0].drivers] == [
        ("thermocouple", 1.0, -1.0)
    ]


def test_the_degree_of_cure_is_that_of_first_order() -> None:
    # α = 1 − 0.98 exp(−k f t): it reaches 0.97 when f > ln(0.98/0.03)/(k t), and ln f is normal.
    draws = drawn(only(rate=lognormal(0.2)), 2048, seed=7)
    bounds = Bounds(target=0.97, tg=380.0)
    got = margins([stage(bounds)], resin(), OVEN, draws)
    f = draws.of("rate")
    alpha = 1.0 - 0.98 * np.exp(-RATE * f * CYCLE.duration)
    assert np.abs(got.values[:, 0] - (alpha - 0.97)).max() < 1e-4
    assert np.abs(got.values[:, 1] - (resin().tg(alpha) - 380.0)).max() < 0.02
    least = np.log(0.98 / 0.03) / (RATE * CYCLE.duration)
    want = 1.0 - float(stats.norm.cdf(np.log(least) / 0.2))
    told = {c.name: c.odds for c in chance_of(draws, got).limits}["target"]
    assert 0.1 < want < 0.95
    assert told.chance == pytest.approx(want, abs=0.004)


def test_the_gel_and_the_heat_before_it_are_those_of_first_order() -> None:
    # It gels at α = 0.5 on the ramp, at t = ln(0.98/0.5)/(k f); until then the hottest is the air of that moment.
    draws = drawn(only(rate=lognormal(0.1)), 64, seed=7)
    got = margins([stage(Bounds(target=0.1, void_free=360.0))], resin(), OVEN, draws)
    gel = np.log(0.98 / 0.5) / (RATE * draws.of("rate"))
    there = np.minimum(293.15 + 0.1 * gel, 393.15)
    assert np.abs(got.reached[:, got.told.index("gel")] - gel).max() < 3.0
    assert np.abs(got.values[:, 1] - (360.0 - there)).max() < 0.3


def test_each_draw_may_have_its_own_void_limit() -> None:
    draws = replace(drawn(only(), 3, seed=1), void_free=np.array([330.0, 360.0, np.inf]))
    got = margins([stage(Bounds(target=0.1))], resin(), OVEN, draws)
    assert got.limits == ("target", "void_free")
    assert got.values[:2, 1] == pytest.approx([330.0 - 360.446, 360.0 - 360.446], abs=0.2)
    assert got.values[2, 1] == np.inf


def test_limits_are_told_least_sure_first_and_what_never_binds_last() -> None:
    draws = replace(drawn(only(thermocouple=normal(1.0)), 64, seed=1), void_free=np.full(64, np.inf))
    got = margins([stage(Bounds(target=0.1, hottest=394.0))], resin(), OVEN, draws)
    told = [c.name for c in chance_of(draws, got).limits]
    assert (told[0], told[-1]) == ("hottest", "void_free")


def test_the_time_to_flow_is_the_time_below_a_viscosity_that_falls_with_heat_alone() -> None:
    # μ = 1 exp(3000/T − 8): below e^0.5 above 353 K, until gel at t = 673.0 s/f; the ramp passes 352.94 K at 597.9 s.
    law = Exponential(A=np.exp(-8.0), U=3000.0 * 8.314462618, K=0.0)
    bounds = Bounds(target=0.1, flow=Flow(viscosity=float(np.exp(0.5)), time=50.0))
    draws = drawn(only(rate=lognormal(0.05)), 16, seed=3)
    got = margins([stage(bounds)], resin(viscosity=law), OVEN, draws)
    gel = np.log(0.98 / 0.5) / (RATE * draws.of("rate"))
    want = np.maximum(gel - (3000.0 / 8.5 - 293.15) / 0.1, 0.0) - 50.0
    assert np.abs(got.values[:, 1] - want).max() < 6.0  # an output a minute, and straight lines between them


def thick() -> tuple[Section, ...]:
    laminate = Layer(
        name="laminate", thickness=0.012, density=1550.0, heat_capacity=1000.0, conductivity=0.6, resin=600.0
    )
    tool = Layer(name="tool", thickness=0.006, density=1800.0, heat_capacity=900.0, conductivity=0.4, cells=6)
    base = Section(name="thick", layers=(laminate, tool), film_bag=12.0, film_tool=18.0)
    return base, replace(base, name="thin", layers=(replace(laminate, thickness=0.002, cells=6), tool))


def real() -> tuple[object, Oven, Programme]:
    system = resin(
        kinetics=Kamal(A1=2e4, E1=7.2e4, A2=1.2e6, E2=7.0e4, m=0.85, n=1.6),
        heat=4e5,
        viscosity=Exponential(A=1e-9, U=7e4, K=12.0),
    )
    oven = Oven(hottest=423.15, heating=2.0 / 60.0, cooling=1.5 / 60.0, lag=240.0)
    cycle = Programme(
        start=293.15,
        segments=(
            Segment(target=353.15, ramp=1.0 / 60.0, hold=3600.0),
            Segment(target=408.15, ramp=1.0 / 60.0, hold=10800.0),
        ),
    )
    return system, oven, cycle


EVERYTHING = Bounds(
    target=0.9, tg=380.0, hottest=420.0, tool=400.0, spread=0.2, overshoot=15.0, void_free=370.0,
    flow=Flow(viscosity=30.0, time=600.0), stiff=-150.0,
)  # fmt: skip


def test_many_at_once_are_what_each_is_alone() -> None:
    system, oven, cycle = real()
    draws = drawn(Scatter(), 8, seed=4)
    got = margins([Stage(sections=thick(), programme=cycle, bounds=EVERYTHING)], system, oven, draws)
    assert got.limits == ("target", "tg", "hottest", "tool", "spread", "overshoot", "void_free", "flow", "stiff")
    for i in (0, 5):
        air = replace(oven, lag=oven.lag * draws.of("lag")[i]).air(cycle)
        told = outcomes(simulate(draws.scenario(i).of(
            [replace(s, alpha0=draws.scenario(i, 0.02).alpha0) for s in thick()]
        ), system, air, output_interval=10.0), system)  # fmt: skip
        row = dict(zip(got.limits, got.values[i], strict=True))
        assert row["target"] == pytest.approx(min(o.alpha_lagging for o in told) - 0.9, abs=2e-4)
        assert row["tg"] == pytest.approx(min(o.tg for o in told) - 380.0, abs=0.05)
        assert row["hottest"] == pytest.approx(420.0 - max(o.hottest for o in told), abs=0.1)
        assert row["tool"] == pytest.approx(400.0 - max(o.tool_hottest or 0.0 for o in told), abs=0.1)
        assert row["overshoot"] == pytest.approx(15.0 - max(o.overshoot for o in told), abs=0.1)
        assert row["flow"] == pytest.approx(min(o.flow_time or 0.0 for o in told) - 600.0, abs=12.0)
        assert row["stiff"] == pytest.approx(min(o.stiff_margin for o in told) + 150.0, abs=0.1)
        assert got.reached[i, got.told.index("gel")] == pytest.approx(max(o.gel_time or 0.0 for o in told), abs=3.0)


def test_blocks_are_the_same_whoever_computes_them() -> None:
    system, oven, cycle = real()
    stages = [Stage(sections=thick()[1:], programme=cycle, bounds=EVERYTHING)]
    size = block_size(stages)
    draws = drawn(Scatter(), size + 40, seed=4)
    whole = margins(stages, system, oven, draws)
    first, rest = (margins(stages, system, oven, draws.part(a, b)) for a, b in ((0, size), (size, size + 40)))
    assert (np.concatenate([first.values, rest.values]) == whole.values).all()
    assert (np.concatenate([first.reached, rest.reached]) == whole.reached).all()
    # in pieces that are no blocks only the last bits may differ
    odd = margins(stages, system, oven, draws.part(3, 20))
    assert np.abs(odd.values - whole.values[3:20]).max() < 1e-6


def test_a_post_cure_goes_on_from_the_cure() -> None:
    # The same rate everywhere: two runs are one of both times.
    draws = drawn(only(rate=lognormal(0.2)), 8, seed=2)
    first = stage(Bounds(target=0.5), name="cure")
    second = stage(Bounds(target=0.99), name="post-cure", sections=(thin("free"),))
    got = margins([first, second], resin(), OVEN, draws)
    assert got.limits == ("cure: target", "post-cure: target")
    alpha = 1.0 - 0.98 * np.exp(-2.0 * RATE * draws.of("rate") * CYCLE.duration)
    assert np.abs(got.values[:, 1] - (alpha - 0.99)).max() < 1e-4
    assert np.abs(got.reached[:, got.told.index("alpha")] - alpha).max() < 1e-4


def test_evenly_spread_draws_know_a_chance_closer_than_random_ones() -> None:
    # The same margin, linear in two inputs, counted over 40 seeds: random counting scatters as the binomial does.
    want = float(stats.norm.cdf(1.0))
    counted = []
    for seed in range(40):
        draws = drawn(only(thermocouple=normal(1.0), place=normal(1.0)), 256, seed=seed)
        counted.append(((draws.of("thermocouple") + draws.of("place")) <= np.sqrt(2.0)).mean())
    scatter = float(np.sqrt(np.mean((np.array(counted) - want) ** 2)))
    assert scatter < 0.6 * np.sqrt(want * (1.0 - want) / 256)


def test_intervals_hold_the_truth_at_least_as_often_as_they_say() -> None:
    want = float(stats.norm.cdf(1.5))
    inside = 0
    for seed in range(200):
        x = drawn(only(thermocouple=normal(1.0), place=normal(1.0)), 100, seed=seed)
        o = odds(int((x.of("thermocouple") + x.of("place") <= 1.5 * np.sqrt(2.0)).sum()), 100)
        inside += o.low <= want <= o.high
    assert inside >= 0.95 * 200


def test_a_draw_that_runs_away_counts_as_failed_and_the_others_stand() -> None:
    system, oven, cycle = real()
    draws = drawn(only(), 5, seed=1)
    values = draws.values.copy()
    values[3, INPUTS.index("heat")] = 1e12  # no laminate stands this: the temperature leaves every number
    wild = replace(draws, values=values)
    got = margins([Stage(sections=thick(), programme=cycle, bounds=EVERYTHING)], system, oven, wild)
    assert np.isnan(got.values[3]).all()
    assert np.isfinite(got.values[[0, 1, 2, 4]]).all()
    told = chance_of(wild, got)
    assert told.not_computed == 1
    assert all(c.odds.held <= 4 for c in told.limits)


def test_the_draws_that_must_hold_are_the_worst_of_those_that_may_not_fail() -> None:
    draws = drawn(only(thermocouple=normal(1.0)), 6, seed=1)
    got = margins([stage(Bounds(hottest=394.0, target=0.97))], resin(), OVEN, draws)
    values = np.array([[0.1, 5.0], [-0.3, 4.0], [0.2, -2.0], [-0.1, -9.0], [0.3, 1.0], [-0.2, 2.0]])
    told = chance_of(draws, replace(got, values=values))
    assert told.holds.tolist() == [True, False, False, False, True, False]
    assert (told.all_hold.held, told.all_hold.draws) == (2, 6)
    assert told.to_hold(1.0 - 1e-9).tolist() == [1, 3]  # nothing may fail: the worst of each limit
    assert told.to_hold(0.6).tolist() == [5, 2]  # of six two may fail, one for each limit: the second worst of each
    assert told.to_hold(0.3).tolist() == [3]  # two for each: only the first limit has a third one
    assert told.to_hold(0.0).tolist() == []


def test_what_a_person_is_told_when_it_is_not_sure_enough() -> None:
    draws = drawn(only(thermocouple=normal(1.0)), 256, seed=1)
    got = margins([stage(Bounds(target=0.1, hottest=394.0))], resin(), OVEN, draws)
    (found,) = chance_findings(chance_of(draws, got), only(thermocouple=normal(1.0)), 0.95)
    held = chance_of(draws, got).all_hold
    assert found.severity is Severity.STOP
    assert found.place == "hottest point of the laminate"
    assert found.what == (
        f"it holds in {held.chance:.0%} of cases ({held.low:.0%} to {held.high:.0%}); 95 % is wanted".replace(
            "%", " %"
        ).replace("  ", " ")
    )
    assert found.why.startswith("in one case of twenty the margin is −0.8 K or less; most of the scatter comes from")
    assert found.do == (
        "ramp slower, or add a dwell before gel; or know it better: check the controlling thermocouple in ice and "
        "boiling water"
    )


def test_too_few_draws_and_a_stopped_run_are_said() -> None:
    draws = drawn(only(thermocouple=normal(1.0)), 20, seed=1)
    got = margins([stage(Bounds(target=0.1, hottest=400.0))], resin(), OVEN, draws)
    few, stopped = chance_findings(chance_of(draws, got, asked=100), only(thermocouple=normal(1.0)), 0.95)
    assert (few.severity, few.what) == (
        Severity.WATCH,
        "all limits hold in 100 % of 20 draws; the chance may still be 83 %, and 95 % is wanted",
    )
    assert few.do == "draw more: 72 would do if none failed, and more the closer it is"
    assert stopped.what == "it was stopped after 20 of 100 draws"


@pytest.mark.parametrize(
    ("stages", "message"),
    [
        ([], "chance – one oven run or more is wanted, with one section or more in each"),
        (
            [stage(Bounds(target=0.1, flow=Flow()))],
            "chance, flow – the resin has no law for viscosity, so its time to flow is not known",
        ),
        (
            [stage(Bounds(target=0.5)), stage(Bounds(target=0.9), sections=(thin(), thin("two")))],
            "chance: 1, 2 – as many sections in each oven run are wanted, for each goes on from the run before",
        ),
    ],
)
def test_what_cannot_be_counted_is_refused(stages: list[Stage], message: str) -> None:
    with pytest.raises(InputError) as refused:
        margins(stages, resin(), OVEN, drawn(only(), 1, seed=1))
    assert str(refused.value) == message


def test_the_spread_of_cure_within_a_laminate() -> None:
    system, oven, cycle = real()
    (h,) = simulate(thick()[:1], system, oven.air(cycle))
    got = reached([h], system)
    assert got.spread[0] == float((h.alpha.max(axis=1) - h.alpha.min(axis=1)).max())


def test_draws_may_be_made_by_hand() -> None:
    still = drawn(only(), 1, seed=0)
    assert isinstance(still, Draws)
    assert still.scenario(0, 0.02).alpha0 == pytest.approx(0.02)
