"""Time and money as the pages show them: nobody in two places, nothing lost, prices as the plan quotes them."""

from __future__ import annotations

import re
from datetime import datetime, time, timedelta
from itertools import combinations
from types import SimpleNamespace
from typing import Any

import pytest

from bagside.findings import Basis
from bagside.planning.calendar import feasible_calendar
from bagside.planning.cost import CostLine, Total, cost_of
from bagside.planning.step import Step
from bagside.planning.steps import tasks_of
from bagside.planning.timetable import Shift
from bagside.web.views.money import view as money
from bagside.web.views.money.drawn import amount_said, line_said, prices_drawn, shares_drawn
from bagside.web.views.time import view as times
from bagside.web.views.time.drawn import calendar_drawn
from bagside.web.words.tongue import Tongue

ENGLISH, GERMAN = Tongue(), Tongue(language="de")
STEPS = (
    Step(key="thaw", name="Thaw", stage="Get ready", attended=300.0, unattended=10800.0, needs=frozenset({"freezer"})),
    Step(key="templates", name="Templates", stage="Get ready", attended=7200.0, one_off=True),
    Step(key="lay", name="Lay", stage="Lay", attended=5400.0, each=True, needs=frozenset({"mould"})),
    Step(key="cure", name="Cure", stage="Cure", attended=600.0, unattended=36000.0, each=True,
         needs=frozenset({"mould", "oven"})),
    Step(key="pull", name="Demould", stage="Trim", attended=1800.0, each=True, needs=frozenset({"mould"})),
    Step(key="trim", name="Trim", stage="Trim", attended=2400.0, each=True),
)  # fmt: skip
HOURS = SimpleNamespace(begins=time(8, 0), ends=time(17, 0))


def plan(quantity: int = 3, people: int = 2) -> Any:
    shift = Shift(begins=time(8, 0), ends=time(17, 0), days=("Mon", "Tue", "Wed", "Thu", "Fri"), people=people)
    calendar = feasible_calendar(tasks_of(STEPS, quantity), start=datetime(2026, 11, 30), shift=shift)
    return SimpleNamespace(
        job=SimpleNamespace(quantity=quantity, mould=SimpleNamespace(expected=20)), steps=STEPS, calendar=calendar,
        workshop=SimpleNamespace(people=people, hours=HOURS),
    )  # fmt: skip


class TestTime:
    @pytest.mark.parametrize("people", [1, 2, 3])
    def test_nobody_and_nothing_is_in_two_places(self, people: int) -> None:
        view = times.view(plan(people=people), None)  # type: ignore[arg-type]
        for line in view.lines:
            own = [b for b in view.busy if b.line == line]
            for a, b in combinations(own, 2):
                assert a.end <= b.start or b.end <= a.start, (line, a, b)

    def test_every_minute_of_hands_is_on_somebody_once(self) -> None:
        view = times.view(plan(), None)  # type: ignore[arg-type]
        hands = sum((b.end - b.start).total_seconds() for b in view.busy if b.line.startswith("person"))
        assert hands == pytest.approx(sum(s.attended * (3 if s.each else 1) for s in STEPS))
        assert view.attended == pytest.approx(sum(s.attended if s.each else s.attended / 3 for s in STEPS))
        assert view.attended == pytest.approx(sum(seconds for _, seconds in view.by_stage))

    def test_the_oven_runs_once_for_each_part_through_the_night(self) -> None:
        view = times.view(plan(), None)  # type: ignore[arg-type]
        oven = [b for b in view.busy if b.line == "oven"]
        assert [b.part for b in oven] == [1, 2, 3]
        assert all(b.end - b.start == timedelta(hours=10) and not b.attended for b in oven)

    def test_a_stretch_over_midnight_is_drawn_on_both_days(self) -> None:
        view = times.view(plan(), None)  # type: ignore[arg-type]
        html = calendar_drawn(view, GERMAN, str)
        over = [b for b in view.busy if b.end.date() > b.start.date()]
        assert html.count('<i class="alone"') == sum(not b.attended for b in view.busy) + sum(
            not b.attended for b in over
        )
        days = {day.date() for b in view.busy for day in (b.start, b.end - timedelta(microseconds=1))}
        assert html.count('class="dayband"') == len(days)

    def test_bars_stand_at_their_hour(self) -> None:
        """The first thing starts at 8:00, which is a third of the day."""
        html = calendar_drawn(times.view(plan(), None), ENGLISH, str)  # type: ignore[arg-type]
        first = re.search(r'<i class="hands" style="left:([0-9.]+)%', html)
        assert first is not None
        assert float(first[1]) == pytest.approx(100 / 3, abs=0.001)


def line(what: str, group: str, cost: float, total: Total = Total.REPEAT, basis: Basis = Basis.MEASURED) -> CostLine:
    return CostLine(what=what, group=group, amount=2.0, unit="m²", price=cost / 2, total=total, basis=basis)


LINES = (
    line("attended time, overhead included", "labour", 200.0, basis=Basis.COMMON),
    line("cloth twill-200", "cloth", 40.0),
    line("offcuts twill-200, at their worth", "cloth", 10.0, basis=Basis.COMMON),
    line("bag film", "consumables", 6.0),
    line("mould and pattern", "mould", 300.0, Total.ONE_OFF),
    line("oven, built in the shop", "equipment", 1900.0, Total.EQUIPMENT),
)


def costed(quantity: int = 4, expected: int | None = 60) -> Any:
    cost = cost_of(LINES, quantity=quantity, currency="EUR", scrap=0.08, profit=0.25, spread=expected)
    return SimpleNamespace(cost=cost, job=SimpleNamespace(quantity=quantity, mould=SimpleNamespace(expected=expected)))


class TestMoney:
    def test_by_hand(self) -> None:
        """256 a further part; (256 / 0.92 + 300 / 60) × 1.25 = 354.08 each at four off."""
        view = money.view(costed(), None)  # type: ignore[arg-type]
        assert view.repeat == pytest.approx(256.0)
        assert view.price == pytest.approx(354.076, abs=0.001)
        assert (view.spread, view.equipment) == (60, 1900.0)
        assert [(s.group, round(s.share, 4)) for s in view.shares] == [
            ("labour", 0.7812), ("cloth", 0.1953), ("consumables", 0.0234),
        ]  # fmt: skip

    def test_a_group_is_as_sure_as_its_weakest_line(self) -> None:
        view = money.view(costed(), None)  # type: ignore[arg-type]
        assert {s.group: s.basis for s in view.shares}["cloth"] is Basis.COMMON
        assert view.basis is Basis.COMMON

    def test_the_line_of_prices_runs_through_what_is_quoted(self) -> None:
        view = money.view(costed(), None)  # type: ignore[arg-type]
        for number, price in view.prices:
            if number != view.quantity:  # this job's own spreads what is paid once over more parts
                every = (256.0 / 0.92) * 1.25
                assert price == pytest.approx(every + 300.0 * 1.25 / number)
        assert view.curve[0] == (1.0, pytest.approx(dict(view.prices)[1]))
        assert view.curve[-1][1] == pytest.approx(dict(view.prices)[50], rel=1e-9)
        falling = [p for _, p in view.curve]
        assert falling == sorted(falling, reverse=True)

    def test_every_line_is_told_in_both_languages(self) -> None:
        assert [line_said(x, GERMAN) for x in LINES] == [
            "Arbeitszeit mit Gemeinkosten", "twill-200 von der Rolle", "twill-200 aus Resten, nach Wert",
            "Vakuumfolie", "Form und Urmodell", "oven, built in the shop",
        ]  # fmt: skip
        assert amount_said(LINES[0], GERMAN) == "2,00 m²"

    def test_bars_are_as_long_as_their_share_of_the_longest(self) -> None:
        html = shares_drawn(money.view(costed(), None), ENGLISH)  # type: ignore[arg-type]
        assert re.findall(r'<i style="width:([0-9.]+)%"', html) == ["100.00", "25.00", "3.00"]
        assert prices_drawn(money.view(costed(), None), ENGLISH).count("<circle") >= 3  # type: ignore[arg-type]
