"""Parts in one oven: rules by hand, room by hand, divisions against every division, dwells against closed forms."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.cure import Layer, NthOrder, Oven, Programme, Scenario, Section, Segment
from bagside.cure.design import Bounds
from bagside.cure.sharing import Load, Space, clashes, common_cycle, grouped, placed, sharing_findings
from bagside.cure.sharing.candidates import candidates
from bagside.cure.sharing.grouping import _divided
from bagside.errors import InputError
from bagside.findings import Severity
from luck import RATE, resin, thin

AS_STATED = (Scenario(name=""),)
OVEN = Oven(hottest=473.15, heating=0.1, cooling=0.1)
SPACE = Space(oven=OVEN)


def cycle(target: float = 393.15, hold: float = 3600.0, ramp: float = 0.1) -> Programme:
    return Programme(start=293.15, segments=(Segment(target=target, ramp=ramp, hold=hold),))


def load(name: str, **more: object) -> Load:
    base = Load(
        name=name, sections=(thin(name),), resin=resin(), resin_name="first order", bounds=Bounds(target=0.97),
        programme=cycle(), demould=323.15,
    )  # fmt: skip
    return replace(base, **more)


# --- rules --------------------------------------------------------------------------------------------------------


def told(loads: list[Load], **space: object) -> list[str]:
    return [c.what for c in clashes(loads, replace(SPACE, **space))]


def test_paint_and_prepreg_do_not_share_but_paint_and_paint_do() -> None:
    assert told([load("hatch"), load("seat", wet=True)]) == [
        "seat would bring fresh paint or adhesive into a cure of prepreg"
    ]
    assert told([load("hatch", wet=True), load("seat", wet=True)]) == []


def test_lines_and_thermocouples_are_counted() -> None:
    three = [load("a", lines=2), load("b"), load("c")]
    assert told(three, ports=4, thermocouples=3) == []
    assert told(three, ports=3, thermocouples=2) == [
        "they need 4 vacuum lines and 3 lead into the oven",
        "they need 3 thermocouples and 2 can be read",
    ]


def test_leaks_add_up_against_the_pump() -> None:
    # A pump of 6 m³/h takes, at 30 mbar, 6/3600 · 3000/101325 m³/s of air at standard pressure: 2961 cm³/min.
    two = [load("a", leak=1500e-6 / 60.0), load("b", leak=1450e-6 / 60.0)]
    assert told(two, pump=6.0 / 3600.0) == []
    worse = [load("a", leak=1500e-6 / 60.0), load("b", leak=1500e-6 / 60.0)]
    assert told(worse, pump=6.0 / 3600.0) == [
        "their leaks add up to 3000 cm³/min; at 30 mbar the pump takes 2961 cm³/min"
    ]


def test_room_on_the_shelves_by_hand() -> None:
    # 0.4 + 0.4 + three gaps of 0.06 are 0.98 m
    assert placed([(0.4, 0.3), (0.4, 0.3)], [(0.98, 0.42)], 0.06) is not None
    assert placed([(0.4, 0.3), (0.4, 0.3)], [(0.97, 0.42)], 0.06) is None
    assert placed([(0.4, 0.3), (0.3, 0.4)], [(0.98, 0.42)], 0.06) is not None, "turned by a quarter"
    assert placed([(0.4, 0.3), (0.4, 0.3)], [(0.52, 0.42), (0.52, 0.42)], 0.06) is not None, "one on each shelf"
    # three of 0.2 in a row and one in the next: 0.6 + 4 · 0.06 by 0.4 + 3 · 0.06
    assert placed([(0.2, 0.2)] * 4, [(0.84, 0.58)], 0.06) is not None
    assert told([load("a", footprint=(0.4, 0.3)), load("b", footprint=(0.4, 0.3))], shelves=((0.97, 0.42),)) == [
        "they do not fit on the shelf with 60 mm of air around each"
    ]


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.floats(0.1, 0.6), st.floats(0.1, 0.6)), min_size=1, max_size=4),
    st.lists(st.tuples(st.floats(0.5, 1.5), st.floats(0.5, 1.5)), min_size=1, max_size=2),
)
def test_what_is_placed_lies_inside_and_apart(sizes: list, shelves: list) -> None:
    gap = 0.06
    found = placed(sizes, shelves, gap)
    if found is None:
        return
    for (s, x, y, a, b), size in zip(found, sizes, strict=True):
        assert sorted((a, b)) == sorted(size)
        assert min(x, y) >= gap - 1e-9
        assert x + a + gap <= shelves[s][0] + 1e-6
        assert y + b + gap <= shelves[s][1] + 1e-6
    for i, p in enumerate(found):
        for q in found[:i]:
            if p[0] == q[0]:
                apart = max(p[1] - q[1] - q[3], q[1] - p[1] - p[3], p[2] - q[2] - q[4], q[2] - p[2] - p[4])
                assert apart >= gap - 1e-6


# --- one cycle ----------------------------------------------------------------------------------------------------


def test_the_dwell_is_as_long_as_the_law_says() -> None:
    # The same rate at every temperature: α = 0.97 after ln(0.98/0.03)/k = 3486 s; 1000 s of them are the ramp.
    got = common_cycle([load("a"), load("b")], SPACE, scenarios=AS_STATED)
    assert got.holds
    assert got.trial is not None
    hold = got.trial.programme.segments[-1].hold
    assert math.log(0.98 / 0.03) / RATE - 1000.0 <= hold <= math.log(0.98 / 0.03) / RATE - 1000.0 + 60.0 + 5.0
    assert got.trial.duration == pytest.approx(1000.0 + hold + 70.0 / 0.1, abs=121.0)  # cools 70 K at 0.1 K/s


def test_the_slowest_part_sets_the_dwell() -> None:
    slow = load("slow", resin=resin(kinetics=NthOrder(A=0.5 * RATE, E=0.0, n=1.0)), resin_name="half as fast")
    got = common_cycle([load("a"), slow], SPACE, scenarios=AS_STATED)
    assert got.trial is not None
    assert got.holds
    want = math.log(0.98 / 0.03) / (0.5 * RATE) - 1000.0
    assert want <= got.trial.programme.segments[-1].hold <= want + 65.0


HOT = NthOrder(A=1.0e7, E=8.0e4, n=1.0)


def on_mould(name: str, limit: float | None, target: float, own: float) -> Load:
    """A thin laminate on a thin mould, its rate rising with temperature."""
    laminate = Layer(
        name="laminate", thickness=5e-4, density=1550.0, heat_capacity=1000.0, conductivity=0.6, resin=600.0, cells=2
    )
    mould = Layer(name="tool", thickness=5e-4, density=1550.0, heat_capacity=1000.0, conductivity=0.6, cells=2)
    section = Section(name=name, layers=(laminate, mould), film_bag=200.0, film_tool=200.0)
    return load(
        name, sections=(section,), resin=resin(kinetics=HOT), bounds=Bounds(target=target, tool=limit),
        programme=cycle(own),
    )  # fmt: skip


def hours(target: float, temperature: float) -> float:
    """First order from 0.02 in a hold, by hand [s]."""
    return math.log(0.98 / (1.0 - target)) / (1.0e7 * math.exp(-8.0e4 / (8.314462618 * temperature)))


def test_a_cool_mould_and_a_hot_one_meet_below_the_cooler_limit() -> None:
    # The cool mould takes 373 K; the hot part, whose own cycle is at 393 K, gets there as well, only later.
    got = common_cycle([on_mould("cool", 373.15, 0.8, 368.15), on_mould("hot", None, 0.8, 393.15)], SPACE,
                       scenarios=AS_STATED)  # fmt: skip
    assert got.holds
    assert got.trial is not None
    last = got.trial.programme.segments[-1]
    assert 368.15 <= last.target <= 373.15
    assert last.hold == pytest.approx(hours(0.8, last.target), rel=0.05)  # less what the ramp did already


def test_parts_that_no_air_serves_go_separately_and_it_says_which_limit_of_which_part() -> None:
    # At 333 K the hot part needs hours(0.95, 333) = 96 h: more than the day that is looked at.
    assert hours(0.95, 333.15) > 90 * 3600.0
    parts = [on_mould("cool", 333.15, 0.15, 328.15), on_mould("hot", None, 0.95, 393.15)]
    got = grouped(parts, replace(SPACE, turnaround=600.0), scenarios=AS_STATED)
    assert [r.parts for r in got.runs] == [("cool",), ("hot",)]
    assert got.holds
    (apart,) = got.apart
    assert apart.parts == ("cool", "hot")
    assert apart.trial is not None
    assert {(v.part, v.limit) for v in apart.trial.broken} <= {("cool", "tool"), ("hot", "target")}
    assert got.duration == pytest.approx(got.runs[0].duration + got.runs[1].duration + 600.0)
    assert got.duration == got.alone
    found = sharing_findings(got, parts, SPACE)
    assert [f.severity for f in found] == [Severity.DECIDE, Severity.SEEN]
    assert found[0].place == "cool and hot"
    assert found[0].do == "cure them in separate runs"
    assert found[0].why == "the same air cannot serve both: what one needs breaks a limit of the other"


def test_a_part_that_cannot_be_cured_at_all_is_said_and_does_not_keep_the_others_apart() -> None:
    parts = [load("a"), load("b"), on_mould("never", 333.15, 0.95, 328.15)]
    got = grouped(parts, SPACE, scenarios=AS_STATED)
    assert sorted(r.parts for r in got.runs) == [("a", "b"), ("never",)]
    assert not got.holds
    assert got.duration == math.inf
    stop, *_ = sharing_findings(got, parts, SPACE)
    assert (stop.severity, stop.place) == (Severity.STOP, "never")
    assert stop.what.startswith("on the closest cycle found never fails by ")


def test_ramps_are_what_the_heater_gives_with_all_the_load() -> None:
    # 3 kW, 10 W/K over 100 K: 2 kW for 40 kJ/K are 0.05 K/s; the oven alone would do 0.1.
    weak = Space(oven=OVEN, power=3000.0, loss=10.0, room=293.15)
    two = [load("a", heated=25e3), load("b", heated=15e3)]
    assert max(round(s.ramp, 9) for p in candidates(two, weak) for s in p.segments) == 0.05
    assert max(round(s.ramp, 9) for p in candidates(two[:1], weak) for s in p.segments) == 0.08
    none = Space(oven=OVEN, power=900.0, loss=10.0, room=293.15)
    got = common_cycle(two, none)
    assert [c.what for c in got.clashes] == ["the heater cannot hold any of their cycles"]


def test_blends_take_the_slowest_ramp_and_the_longest_dwell() -> None:
    one = load("a", programme=Programme(start=293.15, segments=(
        Segment(target=353.15, ramp=0.02, hold=1800.0), Segment(target=393.15, ramp=0.05, hold=7200.0))))  # fmt: skip
    two = load("b", programme=Programme(start=293.15, segments=(
        Segment(target=343.15, ramp=0.03, hold=3600.0), Segment(target=383.15, ramp=0.04, hold=3600.0))))  # fmt: skip
    three = load("c", programme=cycle(388.15, ramp=0.1))
    found = [
        tuple((round(s.target, 6), s.ramp, s.hold) for s in p.segments) for p in candidates([one, two, three], SPACE)
    ]
    # the last dwell is timed later, as long as the slowest part needs
    assert ((353.15, 0.02, 3600.0), (393.15, 0.04, 0.0)) in found
    assert ((343.15, 0.02, 3600.0), (383.15, 0.04, 0.0)) in found
    assert ((348.15, 0.02, 3600.0), (388.15, 0.04, 0.0)) in found
    assert len(found) == len(set(found))


def test_a_design_is_taken_when_it_is_shorter() -> None:
    slow = [load("a", programme=cycle(ramp=0.01)), load("b", programme=cycle(ramp=0.01))]
    plain = common_cycle(slow, SPACE, scenarios=AS_STATED)
    asked: list[tuple[str, ...]] = []

    def designer(loads) -> Programme:
        asked.append(tuple(x.name for x in loads))
        return cycle(323.15, hold=0.0)

    better = common_cycle(slow, SPACE, scenarios=AS_STATED, designer=designer, always=True)
    assert asked == [("a", "b")]
    assert common_cycle(slow, SPACE, scenarios=AS_STATED, designer=designer).duration == plain.duration
    assert asked == [("a", "b")], "where one of theirs holds none is designed unless it is asked"
    assert better.designed
    assert not plain.designed
    assert better.holds
    assert better.duration < plain.duration
    other = load("c", resin=resin(kinetics=HOT))
    common_cycle([slow[0], other], SPACE, scenarios=AS_STATED, designer=designer, always=True)
    assert len(asked) == 1, "a design is for one resin"


# --- which with which ---------------------------------------------------------------------------------------------


def divisions(parts: list[int]) -> Iterator[list[list[int]]]:
    """Every division of parts into groups, the plain way."""
    if not parts:
        yield []
        return
    first, *rest = parts
    for smaller in divisions(rest):
        yield [[first], *smaller]
        for k, group in enumerate(smaller):
            yield [*smaller[:k], [first, *group], *smaller[k + 1 :]]


@settings(max_examples=40, deadline=None)
@given(st.integers(2, 5), st.integers(0, 2**30))
def test_the_division_is_the_best_of_all(n: int, seed: int) -> None:
    rng = np.random.default_rng(seed)
    cost = {m: float(rng.uniform(1, 10)) for m in range(1, 2**n) if m.bit_count() == 1 or rng.random() < 0.6}

    def total(groups: list[list[int]]) -> float:
        return sum(cost.get(sum(1 << i for i in g), math.inf) for g in groups)

    best = min(total(d) for d in divisions(list(range(n))))
    found = _divided(2**n - 1, cost)
    assert sum(found) == 2**n - 1
    assert sum(cost[m] for m in found) == pytest.approx(best)


def test_three_that_may_pair_but_not_all_three() -> None:
    # Shelves take two; all are alike, so one pair and one alone, whoever it is.
    three = [load(n, footprint=(0.4, 0.3)) for n in ("bow", "stern", "hatch")]
    got = grouped(three, replace(SPACE, shelves=((0.98, 0.42),), turnaround=0.0), scenarios=AS_STATED)
    assert sorted(len(r.parts) for r in got.runs) == [1, 2]
    assert got.duration == pytest.approx(got.alone * 2.0 / 3.0)
    assert [c.parts for c in got.apart] == [("bow", "stern", "hatch")]


def test_when_two_runs_are_shorter_than_one_both_are_told() -> None:
    # Alone the hot part is done in minutes; at what the cool mould takes it needs hours, so apart they are quicker.
    parts = [on_mould("cool", 366.15, 0.3, 361.15), on_mould("hot", None, 0.9, 413.15)]
    got = grouped(parts, replace(SPACE, turnaround=0.0), scenarios=AS_STATED)
    assert hours(0.9, 366.15) > hours(0.3, 361.15) + hours(0.9, 413.15) + 3600.0
    assert len(got.runs) == 2
    assert got.together is not None
    assert got.together.holds
    assert got.together.duration > got.duration
    said = [f for f in sharing_findings(got, parts, SPACE) if f.what.startswith("all could share one run of ")]
    assert [f.severity for f in said] == [Severity.SEEN]


def test_what_to_watch_in_a_shared_run() -> None:
    slow = load("slow", resin=resin(kinetics=NthOrder(A=0.5 * RATE, E=0.0, n=1.0)), resin_name="half as fast",
                programme=cycle(403.15))  # fmt: skip
    parts = [load("quick"), slow]
    got = grouped(parts, SPACE, scenarios=AS_STATED)
    found = [f.what for f in sharing_findings(got, parts, SPACE)]
    assert found[1:] == [
        "2 bags hang on one pump",
        "first order and half as fast are different resins in one oven",
        "their own cycles differ by 10 K at the hottest",
        "not checked, for want of figures: room on the shelves, vacuum lines, leaks against the pump, thermocouples, "
        "heater power",
    ]
    assert found[0].endswith("0 min after the air")


@pytest.mark.parametrize(
    ("loads", "message"),
    [
        ([], "parts: 0 – from one to 8 parts are wanted"),
        ([load("a"), load("a")], "part a – two parts have this name; each wants its own"),
        (
            [load("a"), load("b", programme=replace(cycle(), start=303.15))],
            "part b, start: 30 °C – all start in one oven, as warm as a: 20 °C",
        ),
    ],
)
def test_what_cannot_be_grouped_is_refused(loads: list[Load], message: str) -> None:
    with pytest.raises(InputError) as refused:
        grouped(loads, SPACE)
    assert str(refused.value) == message
    with pytest.raises(InputError) as refused:
        Space(oven=OVEN, power=0.0, shelves=((0.0, 1.0),))
    assert str(refused.value) == (
        "oven, power: 0.0 – above zero is wanted\noven, shelf 1: (0.0, 1.0) – a length and a width"
    )
