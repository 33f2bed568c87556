"""What the board shows of builds, cloth and air, worked out by hand from small workshops."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from bagside.ledger.bodies import Begun, Body, Closed, Finished, Found, Measured, Started
from bagside.ledger.event import new_event
from bagside.ledger.gates.coat import paint_room
from bagside.ledger.planned import Planned, PlannedCoat, PlannedDebulk, PlannedStep
from bagside.ledger.replay import replayed
from bagside.ledger.things import Build, Place
from bagside.web.views.air.drawn import air_chart, air_said
from bagside.web.views.air.view import Air, Why, air
from bagside.web.views.board.day import day_drawn
from bagside.web.views.board.view import BoardView, JobTold, PlanState, board_view, board_without_records
from bagside.web.views.lines_drawn import build_drawn, job_drawn
from bagside.web.words.tongue import Tongue
from lifeshop import place, shop

BERLIN = ZoneInfo("Europe/Berlin")
NOW = datetime(2026, 3, 4, 15, 0, tzinfo=BERLIN)
ENGLISH, GERMAN = Tongue(), Tongue(language="de")

STEPS = (
    PlannedStep(key="thaw", name="Thaw the cloth, sealed", stage="Get ready", attended=300.0, unattended=10800.0),
    PlannedStep(key="cut", name="Cut 4 kits", stage="Cut", attended=3600.0, each=False),
    PlannedStep(key="ply-1", name="Lay ply 1: 1, twill-200", stage="Lay", attended=600.0),
    PlannedStep(key="debulk-1", name="Debulk after ply 1", stage="Lay", attended=240.0, unattended=600.0),
    PlannedStep(key="cure", name="Cure on the mould, up to 80 °C", stage="Cure", attended=600.0, unattended=36000.0),
    PlannedStep(key="coat-clear", name="Coat clear, 1 time", stage="Finish", attended=300.0, unattended=3600.0),
)


def planned(number: int = 1, job: str = "Hatch lid", **more: object) -> Planned:
    return Planned(
        job=job, part="lid", revision="0" * 64, number=number, quantity=4, steps=STEPS, plies=(),
        debulks=(PlannedDebulk(after=1, seconds=1200.0, pressure=1e4),), **more,
    )  # fmt: skip


def build(name: str, *told: tuple[Body, datetime], number: int = 1, **more: object) -> Build:
    """Return a build as what was told of it makes it, begun two days ago."""
    given = [(Begun(build=name, planned=planned(number, **more)), NOW - timedelta(days=2)), *told]
    events = [new_event(body, who="Ann", device="bench", at=at) for body, at in given]
    found = replayed(events, name)
    assert isinstance(found, Build)
    return found


def done(name: str, *keys: str, at: datetime) -> list[tuple[Body, datetime]]:
    return [
        pair
        for k, key in enumerate(keys)
        for pair in (
            (Started(build=name, step=key), at + timedelta(minutes=10 * k)),
            (Finished(build=name, step=key), at + timedelta(minutes=10 * k + 8)),
        )
    ]


def job(name: str = "Hatch lid", quantity: int = 4, state: PlanState = PlanState.CURRENT) -> JobTold:
    return JobTold(folder="hatch-lid", name=name, quantity=quantity, note="", state=state)


def seen(*builds: Build, jobs: tuple[JobTold, ...] = (job(),), now: datetime = NOW) -> BoardView:
    return board_view(shop(*builds), jobs, builds, now)


class TestTheDay:
    def test_a_debulk_runs_as_long_as_its_ply_wants_not_as_long_as_the_step_says(self) -> None:
        start = NOW - timedelta(minutes=10)
        told = [*done("HL-1", "thaw", "cut", "ply-1", at=NOW - timedelta(hours=3))]
        found = seen(build("HL-1", *told, (Started(build="HL-1", step="debulk-1"), start)))
        running = [s for s in found.day if s.running]
        assert [(s.step, s.start, s.end) for s in running] == [
            ("Debulk after ply 1", start, start + timedelta(seconds=240 + 1200))
        ]
        line = found.jobs[0].builds[0]
        assert (line.step, line.since, line.until) == ("Debulk after ply 1", start, running[0].end)

    def test_what_was_done_yesterday_is_not_today_and_what_still_runs_since_then_is(self) -> None:
        yesterday = NOW - timedelta(days=1)
        cure = (Started(build="HL-1", step="cure"), NOW - timedelta(hours=20))
        told = [*done("HL-1", "thaw", "cut", "ply-1", "debulk-1", at=yesterday - timedelta(hours=3)), cure]
        assert [s.step for s in seen(build("HL-1", *told)).day] == ["Cure on the mould, up to 80 °C"]

    def test_bars_stand_where_the_clock_says(self) -> None:
        """From 06:00 to 24:00: 15:00 is half-way, and ten minutes are 10/1080 of the day."""
        start = NOW - timedelta(minutes=10)
        told = done("HL-1", "thaw", "cut", "ply-1", at=NOW - timedelta(hours=3))
        view = seen(build("HL-1", *told, (Started(build="HL-1", step="debulk-1"), start)))
        html = day_drawn(view.day, NOW, ENGLISH, told=str, names={"HL-1": "Hatch lid 1"})
        assert '<i class="now" style="left:50.00%"' in html
        assert f'<i class="gone" style="left:{100 * (9 - 1 / 6) / 18:.2f}%;width:{100 / 108:.2f}%"></i>' in html
        assert f'<i class="left" style="left:50.00%;width:{100 * 14 / 1080:.2f}%"></i>' in html
        assert "<b>14 min left</b> Debulk after ply 1, Hatch lid 1; until 15:14" in html

    def test_what_is_over_says_so(self) -> None:
        told = done("HL-1", "thaw", "cut", "ply-1", at=NOW - timedelta(hours=3))
        view = seen(build("HL-1", *told, (Started(build="HL-1", step="debulk-1"), NOW - timedelta(minutes=30))))
        html = day_drawn(view.day, NOW, GERMAN, told=str, names={})
        assert "<b>seit 6 min um</b>" in html
        assert 'class="left"' not in html

    def test_an_empty_day_says_so(self) -> None:
        assert "Nothing runs" in day_drawn((), NOW, ENGLISH, told=str, names={})


class TestJobs:
    def test_stages_are_done_here_and_ahead(self) -> None:
        line = seen(build("HL-1", *done("HL-1", "thaw", "cut", "ply-1", at=NOW - timedelta(hours=3)))).jobs[0].builds[0]
        assert [(s.stage, s.done, s.steps, s.here) for s in line.stops] == [
            ("Get ready", 1, 1, False), ("Cut", 1, 1, False), ("Lay", 1, 2, True), ("Cure", 0, 1, False),
            ("Finish", 0, 1, False),
        ]  # fmt: skip
        html = build_drawn(line, job(), NOW, ENGLISH)
        assert html.count('class="done"') == 3  # planned, made ready, cut
        assert html.count('class="here"') == 1
        assert ">next</b>" in html
        assert ">1 of 2<" in html
        assert html.count('class="ahead"') == 2

    def test_hands_that_are_left_share_what_is_done_for_all_parts(self) -> None:
        line = seen(build("HL-1", *done("HL-1", "thaw", at=NOW - timedelta(hours=3)))).jobs[0].builds[0]
        assert line.hands == pytest.approx(3600.0 / 4 + 600.0 + 240.0 + 600.0 + 300.0)

    def test_a_part_that_was_scrapped_is_made_again(self) -> None:
        first = build("HL-1", (Closed(build="HL-1", verdict="scrap", why="dry"), NOW - timedelta(hours=1)))
        second = build("HL-2", number=2)
        found = seen(first, second).jobs[0]
        assert (found.made, found.scrapped, found.number) == (0, 1, 1)
        third = build("HL-3", number=1)
        assert seen(first, second, third).jobs[0].number == 3

    def test_when_all_are_begun_there_is_none_to_begin(self) -> None:
        four = [build(f"HL-{n}", number=n) for n in range(1, 5)]
        assert seen(*four).jobs[0].number == 0
        html = job_drawn(job(), NOW, ENGLISH, made=True)
        assert 'class="here"' not in html
        assert 'class="ahead"' not in html

    def test_what_runs_comes_first_then_what_is_open_then_what_is_to_begin(self) -> None:
        told = done("HL-1", "thaw", "cut", "ply-1", at=NOW - timedelta(hours=3))
        runs = build("HL-1", *told, (Started(build="HL-1", step="debulk-1"), NOW))
        waits = build("SB-1", job="Skeg box")
        jobs = (job("Anchor"), job("Skeg box"), job("Hatch lid"))
        assert [j.told.name for j in seen(runs, waits, jobs=jobs).jobs] == ["Hatch lid", "Skeg box", "Anchor"]

    def test_a_build_whose_job_is_gone_is_still_shown(self) -> None:
        found = seen(build("SB-1", job="Skeg box"))
        assert [b.name for b in found.strays] == ["SB-1"]

    def test_without_records_there_are_jobs_all_the_same(self) -> None:
        found = board_without_records((job(state=PlanState.MISSING),), NOW)
        assert (found.kept, len(found.jobs), found.air) == (False, 1, None)
        html = job_drawn(found.jobs[0].told, NOW, ENGLISH, made=False)
        assert html.index('class="here"') < html.index('class="ahead"')


def read(celsius: float, humidity: float, before: timedelta = timedelta(0)) -> Place:
    body = Measured(subject="room", found=Found.CLIMATE, value=celsius + 273.15, humidity=humidity)
    return replace(place("room", 294.15), readings=((NOW - before, body),))


def aired(celsius: float, humidity: float, before: timedelta = timedelta(0), **more: float) -> Air:
    coat = PlannedCoat(
        step="coat-clear", name="clear", coats=1, flash=1.0, recoat_latest=2.0, cure_time=3.0, pot_life=4.0, dry=1e-4,
        coldest=288.15, wettest=0.75,
    )  # fmt: skip
    return air(shop(build("HL-1", coats=(coat,)), read(celsius, humidity, before)), NOW)




class TestTheAir:
    @pytest.mark.published("WMO-8 (2008), annex 4.B, worked by hand: 20 °C at 50 % has its dew point at 9.26 °C")
    def test_the_dew_point(self) -> None:
        found = aired(20.0, 0.5)
        assert found.last is not None
        assert found.last.dew_point - 273.15 == pytest.approx(9.26, abs=0.02)

    @pytest.mark.parametrize(
        ("celsius", "humidity", "minutes", "why"),
        [
            (20.0, 0.50, 0, Why.FIT),
            (20.0, 0.50, 59, Why.FIT),
            (20.0, 0.50, 61, Why.OLD),
            (14.0, 0.50, 0, Why.COLD),
            (20.0, 0.76, 0, Why.WET),
        ],
    )
    def test_spraying_asks_what_the_gate_before_a_coat_asks(
        self, celsius: float, humidity: float, minutes: int, why: Why
    ) -> None:
        """Two ways to one answer: the board's, and the gate's in the course of a build."""
        before = timedelta(minutes=minutes)
        found = aired(celsius, humidity, before)
        assert found.spray is why
        coat = PlannedCoat(
            step="coat-clear", name="clear", coats=1, flash=1.0, recoat_latest=2.0, cure_time=3.0, pot_life=4.0,
            dry=1e-4, coldest=288.15, wettest=0.75,
        )  # fmt: skip
        reading = Measured(subject="HL-1", found=Found.CLIMATE, value=celsius + 273.15, humidity=humidity)
        own = build("HL-1", (reading, NOW - before), coats=(coat,))
        gate = paint_room(own, "coat-clear", shop(own), NOW)
        assert gate is not None
        assert bool(gate.holds) is (why is Why.FIT)

    @pytest.mark.published("ISO 8502-4, as coating guides give it: the surface at least 3 °C above the dew point")
    def test_three_degrees_above_the_dew_point(self) -> None:
        """At 20 °C the margin is 3 K at about 82.9 % (Magnus); the coat itself would take more."""
        coat = PlannedCoat(
            step="coat-clear", name="clear", coats=1, flash=1.0, recoat_latest=2.0, cure_time=3.0, pot_life=4.0,
            dry=1e-4, coldest=278.15, wettest=0.95,
        )  # fmt: skip
        for humidity, why in ((0.82, Why.FIT), (0.84, Why.DEW)):
            assert air(shop(build("HL-1", coats=(coat,)), read(20.0, humidity)), NOW).spray is why

    def test_laying_has_its_own_limits_and_its_own_time(self) -> None:
        assert aired(20.0, 0.5, timedelta(hours=3)).lay is Why.FIT
        assert aired(20.0, 0.5, timedelta(hours=5)).lay is Why.OLD
        assert aired(26.0, 0.5).lay is Why.HOT
        assert aired(20.0, 0.70).lay is Why.WET

    def test_nobody_has_read_it(self) -> None:
        found = air(shop(), NOW)
        assert (found.spray, found.lay, found.last) == (Why.UNREAD, Why.UNREAD, None)
        assert found.rooms == ("room",)
        assert air_chart(found, NOW, ENGLISH) == ""
        assert "Noch hat niemand" in air_said(found, NOW, GERMAN)

    def test_an_isocyanate_is_named_where_a_coat_that_holds_one_is_kept(self) -> None:
        found = air(shop(), NOW)
        assert found.isocyanate == tuple(c for c in found.coats if shop().library.coating[c].isocyanate)
        assert found.isocyanate, "the demo's workshop keeps a two-pack clear coat"

    def test_every_verdict_is_a_sentence_in_both_languages(self) -> None:
        for tongue in (ENGLISH, GERMAN):
            for why in Why:
                found = replace(aired(20.0, 0.5), spray=why, lay=why)
                assert "{" not in air_said(found, NOW, tongue)

    def test_the_chart_shows_each_reading_twice(self) -> None:
        """A ring for the temperature and one for the dew point: measured is a ring."""
        assert air_chart(aired(20.0, 0.5), NOW, ENGLISH).count("<circle") == 2
