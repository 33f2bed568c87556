"""The calendar of ends: worked by hand from places, labels and sheets, the first first."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from bagside.findings import Severity
from bagside.ledger.bodies import Sort
from bagside.ledger.clocks.due import Ends, due
from bagside.ledger.clocks.life import life_of
from bagside.ledger.clocks.life_notes import life_findings, time_words
from bagside.ledger.things import Goods
from lifeshop import DAY, HOUR, at, cut_off, log, place, roll, shop, stays


def goods(name: str, sort: Sort, material: str, **more: object) -> Goods:
    return Goods(name=name, sort=sort, material=material, born=at(), last=at(), **more)  # type: ignore[arg-type]


def ends(standing, now) -> dict[tuple[str, Ends], object]:
    return {(d.name, d.ends): d for d in due(standing, now)}


def test_cloth_in_the_freezer_and_on_the_table():
    """One roll frozen with 10 days of 30 used, one in the room with as much: 243 days and 20; tack 122 and 5."""
    frozen, out = roll("R-1", life_used=10 * DAY), roll("R-2", been=stays((0, "room")), life_used=10 * DAY)
    found = ends(shop(frozen, out), at(0))
    assert (found["R-1", Ends.OUT_LIFE].when - at(0)) / timedelta(days=1) == pytest.approx(365 * 2 / 3, abs=0.01)
    assert (found["R-2", Ends.OUT_LIFE].when - at(0)) / timedelta(days=1) == pytest.approx(20, abs=0.01)
    assert (found["R-1", Ends.TACK].when - at(0)) / timedelta(days=1) == pytest.approx(365 / 3, abs=0.01)
    assert (found["R-2", Ends.TACK].when - at(0)) / timedelta(days=1) == pytest.approx(5, abs=0.01)
    assert found["R-2", Ends.TACK].share == pytest.approx(2 / 3)
    assert found["R-2", Ends.OUT_LIFE].left_room == pytest.approx(20 * DAY)
    assert [d.name for d in due(shop(frozen, out), at(0))] == ["R-2", "R-2", "R-1", "R-1"]


def test_a_freezer_that_is_warm_by_its_log_brings_the_day_nearer():
    warm = place("freezer", 255.15, log([0, 200], [265.15, 265.15]))
    cold = ends(shop(roll()), at(200))["R-1", Ends.OUT_LIFE].when
    assert ends(shop(roll(), warm), at(200))["R-1", Ends.OUT_LIFE].when < cold - timedelta(days=100)


def test_last_days_and_what_was_opened():
    told = [
        roll("R-1", use_by=date(2026, 3, 20)),
        goods("A-1", Sort.ADHESIVE, "epoxy-toughened", made=date(2025, 3, 1), opened=at(0)),
        goods("C-1", Sort.COATING, "clear-two-pack", use_by=date(2026, 3, 5)),
        goods("T-1", Sort.CONSUMABLE, ""),
    ]
    found = ends(shop(*told), at(0))
    assert found["R-1", Ends.LAST_DAY].when == datetime(2026, 3, 21, tzinfo=UTC)
    assert found["R-1", Ends.LAST_DAY].severity is Severity.WATCH
    assert found["A-1", Ends.LAST_DAY].when == datetime(2027, 3, 2, tzinfo=UTC)  # two years by the library
    assert found["A-1", Ends.OPENED].when == datetime(2027, 3, 3, tzinfo=UTC)
    assert found["C-1", Ends.LAST_DAY].severity is Severity.DECIDE
    assert not [k for k in found if k[0] == "T-1"]


def test_what_is_gone_or_strange_does_not_stop_the_calendar():
    gone = roll("R-1", gone=at(1), why="used up")
    strange = roll("R-2", material="no-such", use_by=date(2026, 4, 1))
    found = ends(shop(gone, strange), at(2))
    assert list(found) == [("R-2", Ends.LAST_DAY)]


@pytest.mark.parametrize(
    ("share", "severity"),
    [(0.69, None), (0.71, Severity.WATCH), (0.91, Severity.DECIDE), (1.01, Severity.STOP)],
)
def test_seventy_ninety_and_all(share, severity):
    """Status at 70, 90 and 100 %: common practice, no source."""
    r = roll(been=stays((0, "room")), life_used=share * 30 * DAY, tack_used=0.0, made=date(2026, 3, 2))
    life = life_of("R-1", shop(r), at(0))
    said = [f for f in life.findings if "out-life" in f.what]
    assert [f.severity for f in said] == ([] if severity is None else [severity])
    assert life_findings(life) == life.findings
    d = ends(shop(r), at(0))["R-1", Ends.OUT_LIFE]
    assert d.severity is (severity or Severity.SEEN)
    if share > 1.0:
        assert d.when < at(0)


def test_tack_that_is_gone_is_for_a_person_to_decide():
    r = roll(been=stays((0, "room")), life_used=16 * DAY, made=date(2026, 3, 2))
    [said] = [f for f in life_of("R-1", shop(r), at(0)).findings if "tack" in f.what]
    assert said.severity is Severity.DECIDE
    assert said.what == "its tack is used up: 16 days of 15 days at 21 °C"


def test_offcuts_that_lie_where_their_roll_lay_are_found_there():
    r, o = cut_off(roll(), "O-1", 3)
    assert ends(shop(r, o), at(5))["O-1", Ends.OUT_LIFE].place == "freezer"


def test_times_in_words():
    assert [time_words(x) for x in (HOUR, 1.5 * HOUR, 26 * HOUR, 3 * DAY)] == ["1 h", "1.5 h", "26 h", "3 days"]
