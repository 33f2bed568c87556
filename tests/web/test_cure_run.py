"""What the chart of a cure shows: the plan's own numbers, limits where the benches put them, no curve bent."""

from __future__ import annotations

import pickle
import threading
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from bagside.bagging import void_free_temperature
from bagside.cure.noticed import DWELL_SHARE, EXOTHERM_DECIDE
from bagside.errors import InputError
from bagside.planning.cure_case import CureCase, case_of_file
from bagside.planning.cure_stage import cure_plan
from bagside.spec.bench import CureFile
from bagside.spec.library import generic_library
from bagside.spec.reading import load_toml, stated_from
from bagside.spec.workshop import Room
from bagside.web.views.cure.run import SAMPLES, Kept, RunShown, runs_shown, with_segments
from bagside.web.work.child import Teller
from bagside.web.work.cure_task import CycleNews, count_chance, simulate_cycle

BENCH = Path(__file__).parents[2] / "demo" / "benches" / "cure.toml"
Segments = tuple[tuple[float, float, float], ...]


@pytest.fixture(scope="module")
def case() -> CureCase:
    """Two stated sections, one six times as thick as the other."""
    return case_of_file(stated_from(load_toml(BENCH), CureFile, BENCH.name), generic_library(), BENCH.name)


@pytest.fixture(scope="module")
def shown(case: CureCase) -> RunShown:
    return runs_shown(case)[0]


def kept(run: RunShown) -> dict[str, Kept]:
    return {k.key: k for k in run.kept}


def teller(said: list[object] | None = None) -> Teller:
    return Teller((said if said is not None else []).append, threading.Event())


def test_what_is_shown_is_what_the_plan_works_out(case: CureCase, shown: RunShown) -> None:
    run = cure_plan(case).first
    rows = kept(shown)
    assert rows["cure"].value == min(o.alpha_lagging for o in run.outcomes)
    assert rows["tg"].value == min(o.tg for o in run.outcomes)
    assert rows["laminate"].value == max(o.hottest for o in run.outcomes) == shown.hottest[1]
    assert rows["tool"].value == max(o.tool_hottest or 0.0 for o in run.outcomes)
    assert rows["dwell"].wanted == pytest.approx(DWELL_SHARE * min(o.dwell_asked for o in run.outcomes))
    assert rows["over"].wanted == EXOTHERM_DECIDE
    assert rows["energy"].value == run.energy.total
    assert shown.duration == run.duration
    assert shown.segments == tuple((s.target, s.ramp, s.hold) for s in case.programme.segments)


def test_thinned_curves_keep_within_a_tenth_of_a_degree_of_the_plan(case: CureCase, shown: RunShown) -> None:
    run = cure_plan(case).first
    lag = next(h for h, o in zip(run.histories, run.outcomes, strict=True) if o.name == shown.lag_place)
    true = np.interp(shown.time, lag.time, lag.laminate_temperature.min(axis=1))
    assert len(shown.time) <= SAMPLES
    assert np.abs(true - shown.lagging).max() < 0.01
    back = np.interp(lag.time, shown.time, shown.lagging)
    assert np.abs(back - lag.laminate_temperature.min(axis=1)).max() < 0.1
    assert shown.time[0] == 0.0
    assert shown.time[-1] == pytest.approx(lag.time[-1])


def test_a_limit_that_is_passed_is_not_kept_and_one_at_its_edge_is(case: CureCase) -> None:
    hot = tuple((t + 40.0, r, h) for t, r, h in runs_shown(case)[0].segments)
    rows = kept(runs_shown(with_segments(case, "cure", hot))[0])
    assert not rows["tool"].holds or not rows["laminate"].holds or rows["tool"].wanted is None
    edge = Kept(key="cure", value=0.9, basis=case.basis, wanted=0.9)
    assert edge.holds
    assert replace(edge, most=True).holds
    assert not replace(edge, value=0.899).holds
    assert not replace(edge, value=0.901, most=True).holds


def test_hotter_and_longer_cures_further(case: CureCase) -> None:
    segments = runs_shown(case)[0].segments
    least = kept(runs_shown(case)[0])["cure"].value
    for changed in (
        tuple((t + 5.0, r, h) for t, r, h in segments),
        tuple((t, r, 1.5 * h) for t, r, h in segments),
    ):
        assert kept(runs_shown(with_segments(case, "cure", changed))[0])["cure"].value > least


def test_bounds_stand_where_the_benches_put_them(case: CureCase) -> None:
    wet = replace(case, ambient=101325.0, vacuum=5000.0, humidity=0.9, room=Room(temperature=293.15, humidity=0.9))
    bounds = {b.kind: b for b in runs_shown(wet)[0].bounds}
    if case.limits.tool is not None and "tool" in bounds:
        assert bounds["tool"].edge == (case.limits.tool, case.limits.tool)
    assert bounds["void"].edge[0] == pytest.approx(void_free_temperature(101325.0, 5000.0, 0.9, 0.0))
    gels = [o.gel_time for o in cure_plan(wet).first.outcomes]
    assert bounds["void"].times == (0.0, max(g for g in gels if g is not None))


def test_the_hand_gets_the_same_numbers_as_the_plan(case: CureCase, shown: RunShown) -> None:
    answer = simulate_cycle(teller(), case, "cure", shown.segments)
    (run,) = answer.runs
    assert run.name == "cure"
    assert [k.value for k in run.kept] == [k.value for k in shown.kept]
    assert 0.0 < answer.seconds < 5.0
    assert len(pickle.dumps(case)) < 20_000  # it goes to the child with every move
    assert len(pickle.dumps(answer)) < 60_000


@pytest.mark.parametrize(
    ("name", "segments", "wanted"),
    [
        ("post-cure", ((353.15, 0.01, 60.0),), "this job has no post-cure"),
        ("cure", ((353.15, 0.0, 60.0),), "above zero is wanted"),
        ("cure", (), "one segment or more is wanted"),
    ],
)
def test_what_cannot_be_run_is_refused(case: CureCase, name: str, segments: Segments, wanted: str) -> None:
    with pytest.raises(InputError, match=wanted):
        with_segments(case, name, segments)


def test_counting_tells_how_far_it_is_and_can_be_stopped(case: CureCase, shown: RunShown) -> None:
    said: list[object] = []
    stop = threading.Event()

    def say(value: object) -> None:
        said.append(value)
        stop.set()

    chance, _ = count_chance(Teller(say, stop), case, "cure", shown.segments)
    assert all(isinstance(s, CycleNews) for s in said)
    assert 0 < chance.all_hold.draws < chance.asked
    assert chance.all_hold.low <= chance.all_hold.chance <= chance.all_hold.high
