"""From a case to its chances: runs and limits, the day's void limit of each draw, what a sheet fit adds."""

from __future__ import annotations

from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest

from bagside import bagging
from bagside.cli.cure.case import opened_case
from bagside.cure import Scenario
from bagside.cure.chance import Kind, Scatter, Spread
from bagside.errors import InputError
from bagside.findings import Basis
from bagside.planning.chance_case import _void_free, chance_of_case, draws_of, scatter_of, stages_of
from bagside.planning.cure_case import CureCase
from bagside.planning.cure_design import FoundCycle
from bagside.spec.job import CycleWanted

BENCH = Path(__file__).parents[2] / "demo" / "benches" / "cure.toml"
DAY = """
[room]
temperature = "20 °C"
humidity = "55 %"
altitude = "400 m"
[pump]
flow = "6 m³/h"
reaches = "25 mbar"
"""


@pytest.fixture
def case(tmp_path: Path) -> CureCase:
    """The bench's sections on a stated day, with a post-cure."""
    post = 'post_cure = [{ to = "100 °C", rate = "0.3 °C/min", hold = "1 h" }]\n'
    file = tmp_path / "cure.toml"
    file.write_text(post + BENCH.read_text(encoding="utf-8") + DAY, encoding="utf-8")
    return opened_case(file, None)


def test_a_draw_has_the_void_limit_of_its_own_day(case: CureCase) -> None:
    scatter = replace(Scatter(), ambient=Spread(kind=Kind.NORMAL, size=0.01))
    draws = draws_of(case, scatter, 32, seed=3)
    assert draws.void_free is not None
    assert case.ambient is not None
    assert case.vacuum == 2500.0
    for i in range(32):
        given = case.ambient * (1.0 + draws.of("ambient")[i]) - 2500.0 - draws.of("leak")[i]
        needed = bagging.minimum_resin_pressure_kardos_1986(draws.void_free[i], 0.55 + draws.of("humidity")[i])
        assert needed == pytest.approx(given, rel=1e-9)


def test_days_beyond_the_criterion(case: CureCase) -> None:
    def at(humidity: float = 0.55, leak: float = 0.0) -> float:
        assert case.ambient is not None
        assert case.vacuum is not None
        return _void_free(case.ambient, case.vacuum + leak, humidity, 0.0)

    assert at(humidity=-0.05) == np.inf, "air without water makes no voids"
    assert at(humidity=1.15) == at(humidity=1.0), "air is never wetter than saturated"
    assert at(leak=99e3) == 0.0, "where nothing presses on the resin no cure is free of voids"


def test_without_a_day_there_is_no_void_limit(case: CureCase) -> None:
    for unknown in ({"humidity": None}, {"vacuum": None}, {"ambient": None}):
        assert draws_of(replace(case, **unknown), Scatter(), 4, seed=1).void_free is None


def test_the_runs_of_a_case_and_their_limits(case: CureCase) -> None:
    first, post = stages_of(case)
    assert (first.name, post.name) == ("on the mould", "post-cure")
    assert first.programme.segments[:-1] == case.programme.segments
    assert first.programme.segments[-1].target == case.demould
    assert (first.bounds.tool, first.bounds.target) == (case.limits.tool, case.limits.target)
    assert (post.bounds.tool, post.bounds.stiff) == (None, 0.0)
    (alone,) = stages_of(replace(case, post=None))
    assert alone.name == ""
    wished = stages_of(case, CycleWanted(overshoot=8.0, stiff=12.0))
    assert wished[0].bounds.overshoot == 8.0
    assert wished[1].bounds.stiff == 12.0
    with pytest.raises(InputError) as refused:
        stages_of(replace(case, wanted=CycleWanted()))
    assert str(refused.value) == (
        "cure.toml – a cycle is wanted, and this job still looks for one (run: bagside cure design first)"
    )


def test_place_and_rate_are_those_of_the_case(case: CureCase) -> None:
    got = scatter_of(case)
    assert (got.place.size, got.place.basis) == (0.5 * case.spread, Basis.MEASURED)
    assert got.rate.size == 0.10
    assert scatter_of(replace(case, fitted="data sheet")).rate.size == 0.15
    stated = replace(
        Scatter(),
        rate=Spread(kind=Kind.LOGNORMAL, size=0.02, basis=Basis.MEASURED),
        place=Spread(kind=Kind.UNIFORM, size=1.0, basis=Basis.MEASURED),
    )
    kept = scatter_of(replace(case, fitted="data sheet"), stated)
    assert (kept.rate.size, kept.place.size) == (0.02, 1.0)


def test_a_stated_cycle_is_counted_as_it_is(case: CureCase) -> None:
    got = chance_of_case(case, draws=60, seed=2, workers=1)
    assert (got.rounds, got.found) == (0, None)
    assert got.chance.draws.void_free is not None
    names = {c.name for c in got.chance.limits}
    assert {"on the mould: void_free", "on the mould: tool", "post-cure: stiff", "post-cure: tg"} <= names
    dry = chance_of_case(case, draws=60, seed=2, workers=1, voids=False)
    assert {c.name for c in dry.chance.limits} == names - {"on the mould: void_free"}


def test_a_wanted_cycle_is_made_as_sure_only_when_a_chance_is_asked(case: CureCase) -> None:
    asked: list[int] = []

    def find(looked_for: CureCase, *, scenarios: tuple[Scenario, ...], going: object) -> FoundCycle:
        """Hold the last dwell ten minutes for each scenario that it must hold in."""
        asked.append(len(scenarios))
        *before, last = case.programme.segments
        segments = (*before, replace(last, hold=600.0 * len(scenarios)))
        found = replace(looked_for, programme=replace(case.programme, segments=segments), wanted=None)
        made = dict.fromkeys((f.name for f in fields(FoundCycle)), ())
        return FoundCycle(**{**made, "case": found})  # type: ignore[arg-type]

    def looked_for(**wish: object) -> CureCase:
        return replace(case, post=None, limits=replace(case.limits, target=0.965), wanted=CycleWanted(**wish))

    plain = chance_of_case(looked_for(robust=False), draws=60, seed=2, workers=1, find=find)
    assert (asked, plain.rounds, plain.wanted) == ([1], 1, 0.95)
    assert plain.chance.all_hold.chance < 0.95
    asked.clear()
    sure = chance_of_case(looked_for(robust=False, chance=0.6), draws=60, seed=2, workers=1, find=find)
    assert asked[:2] == [1, 2]
    assert (sure.rounds, sure.wanted) == (len(asked), 0.6)
    assert sure.found is not None
    assert sure.case.programme.segments[-1].hold >= 1200.0
    assert sure.chance.all_hold.held > plain.chance.all_hold.held
    asked.clear()
    chance_of_case(looked_for(), wanted=0.01, draws=60, seed=2, workers=1, find=find)
    assert asked == [5], "robust begins with the five scenarios of a robust cycle"
