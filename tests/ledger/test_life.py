"""Life by real history: hand cases, published points, inheritance on every split, logs that come late, gaps."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagside.cure.life import Spell
from bagside.errors import InputError
from bagside.findings import Basis, Severity
from bagside.ledger.clocks.life import Filled, life_of, lives_of
from bagside.planning.cure_life import life_sheet
from lifeshop import DAY, FROZEN, HOUR, ROOM, ZERO_C, at, cut_off, kit, library, log, place, roll, shop, stays

COLD_DAY = 30 / 365  # a day at −18 °C as a day at 21 °C, by the library's 30 days and 365


def hours(name: str, standing, hour: float) -> float:
    return life_of(name, standing, at(hour)).out.used / HOUR


def test_a_roll_in_and_out_by_hand():
    """4 h in the freezer, 10 h out at 21 °C, 20 days in the freezer, 6 h at 25 °C as measured (× 1.551)."""
    r = roll(been=stays((0, "freezer"), (4, "room"), (14, "freezer"), (494, "room", 298.15)))
    life = life_of("R-1", shop(r), at(500))
    warm = math.exp(80e3 / 8.314 * (1 / 294.15 - 1 / 298.15))
    used = (4 + 480) * COLD_DAY + 10 + 6 * warm
    assert life.out.used / HOUR == pytest.approx(used)
    assert life.out.whole == pytest.approx(30 * DAY)
    assert life.out.share == pytest.approx(used / 720)
    assert life.out.left_room == pytest.approx((720 - used) * HOUR)
    assert life.out.left_cold == pytest.approx((1 - used / 720) * 365 * DAY)
    assert life.out.sure
    assert life.out.basis is Basis.COMMON
    # tack: half the life outside, the same year in the freezer
    assert life.tack.used / HOUR == pytest.approx((4 + 480) * 15 / 365 + 10 + 6 * warm)
    assert life.tack.share == pytest.approx(((4 + 480) / 365 / 24) + (10 + 6 * warm) / 360)
    assert (life.worst, life.gaps) == ("", ())
    assert life.at == at(500)


@pytest.mark.published("At 66.5 kJ/mol 16 h at 60 °C = 4.11 h at 80 °C; 21 °C against −18 °C is 63.8 (derived)")
def test_published_points_through_a_history():
    """A sheet whose slope is 66.5 kJ/mol all along; the same digits through stays in places."""
    warm, cool = 80 + ZERO_C, FROZEN
    ratio = math.exp(66.5e3 / 8.314 * (1 / cool - 1 / warm))
    told = library(lives=((warm, 100 * HOUR), (cool, 100 * HOUR * ratio)), tack=False)
    oven = roll(been=stays((0, "warm cupboard", 60 + ZERO_C)))
    assert hours("R-1", shop(oven, told=told), 16) == pytest.approx(4.11, abs=0.005)
    frozen, out = roll(been=stays((0, "freezer"))), roll(been=stays((0, "room")))
    both = [hours("R-1", shop(r, told=told), 24) for r in (out, frozen)]
    assert both[0] / both[1] == pytest.approx(63.8, abs=0.05)


@pytest.mark.parametrize(
    ("celsius", "wanted"), [(23, 1.25), (25, 1.55), (28, 2.1), (30, 2.6), (35, 4.4), (40, 7.3), (50, 19)]
)
def test_the_warm_side_of_the_table_of_rates(celsius, wanted):
    """Rates against 21 °C by 80 kJ/mol, a table worked by hand; digits as written."""
    r = roll(been=stays((0, "shelf", celsius + ZERO_C)))
    assert hours("R-1", shop(r, told=library(one_point=True)), 1) == pytest.approx(wanted, rel=0.035)


def test_the_cold_side_by_the_low_energy():
    """One line in the sheet: −18 °C counts 0.1121 by 35 kJ/mol, far more than the 0.007 that chemistry would say."""
    r = roll(been=stays((0, "freezer")))
    assert hours("R-1", shop(r, told=library(one_point=True)), 1000) == pytest.approx(112.1, abs=0.1)


def test_freezing_pauses_and_never_resets():
    r = roll(been=stays((0, "room"), (100, "freezer"), (200, "room"), (300, "freezer")))
    standing = shop(r)
    used = [hours("R-1", standing, h) for h in range(0, 1000, 10)]
    assert all(b >= a for a, b in pairwise(used))
    assert used[20] - used[10] == pytest.approx(100 * COLD_DAY)


def test_an_offcut_and_a_kit_begin_where_their_roll_stood():
    """Roll out for 10 h, an offcut of it, an offcut of that 100 h later, kits of both: each split passes life on."""
    r = roll(been=stays((0, "room"), (10, "freezer"), (500, "room")))
    r, first = cut_off(r, "O-1", 6.0, *stays((7, "freezer")))
    first, second = cut_off(first, "O-2", 106.0, *stays((106.5, "room")))
    first = replace(first, gone=at(106), why="cut up")
    k = kit("K-1", ("R-1", 8.0), ("O-2", 110.0), been=stays((8, "room"), (20, "freezer")))
    standing = shop(r, first, second, k)
    for parent, child, h in (("R-1", "O-1", 6.0), ("O-1", "O-2", 106.0)):
        assert hours(child, standing, h) == pytest.approx(hours(parent, standing, h))
    assert hours("O-1", standing, 106) == pytest.approx(7 + 99 * COLD_DAY)
    assert hours("O-2", standing, 110) == pytest.approx(7 + 99 * COLD_DAY + 0.5 * COLD_DAY + 3.5)
    # the piece from the roll: 8 h, then 12 h in the room and 90 frozen; that from O-2 is further on
    life = life_of("K-1", standing, at(110))
    by_roll = 8 + 12 + 90 * COLD_DAY
    by_offcut = hours("O-2", standing, 110)
    assert by_roll > by_offcut
    assert life.worst == "R-1"
    assert life.out.used / HOUR == pytest.approx(by_roll)
    # afterwards each goes its own way
    assert hours("K-1", standing, 600) == pytest.approx(by_roll + 490 * COLD_DAY)
    assert hours("O-2", standing, 600) == pytest.approx(by_offcut + 490)


def test_a_log_that_comes_late_counts_for_what_was_cut_before():
    """The freezer was at −8 °C for a week, as its logger says afterwards."""
    r, o = cut_off(roll(), "O-1", 50.0)
    k = kit("K-1", ("O-1", 200.0), been=stays((200, "freezer")))
    before = shop(r, o, k)
    warm = log([0, 168], [265.15, 265.15])
    after = shop(r, o, k, place("freezer", FROZEN, warm))
    rate = float(life_sheet(before.library.prepreg["twill-200"]).rate(265.15))
    for name in ("R-1", "O-1", "K-1"):
        more = hours(name, after, 400) - hours(name, before, 400)
        assert more == pytest.approx(168 * (rate - COLD_DAY))
        assert more > 8.0
    [u] = life_of("R-1", after, at(400)).unmeasured
    assert (u.place, u.seconds, u.how) == ("freezer", pytest.approx(232 * HOUR), "as set")


def test_readings_are_followed_between_them():
    """Warming evenly from −18 °C to 21 °C in 10 h, against the sheet's own integral; half of it too."""
    standing = shop(roll(), place("freezer", FROZEN, log([0, 10], [FROZEN, ROOM])))
    sheet = life_sheet(standing.library.prepreg["twill-200"])
    whole = sheet.used([Spell(duration=10 * HOUR, temperature=FROZEN, to=ROOM)])
    assert life_of("R-1", standing, at(10)).out.used == pytest.approx(whole)
    half = sheet.used([Spell(duration=5 * HOUR, temperature=FROZEN, to=(FROZEN + ROOM) / 2)])
    assert life_of("R-1", standing, at(5)).out.used == pytest.approx(half, rel=0.02)
    assert life_of("R-1", standing, at(10)).out.basis is Basis.COMMON  # the sheet's; no temperature was guessed
    assert life_of("R-1", standing, at(10)).unmeasured == ()


def test_a_short_gap_counts_at_its_warmer_end_and_a_long_one_at_the_room():
    cold, warmer = 255.15, 258.15
    sheet = life_sheet(library().prepreg["twill-200"])
    short = log([0, 10, 21, 30], [cold, cold, warmer, warmer], [(10, 21)])
    life = life_of("R-1", shop(roll(), place("freezer", FROZEN, short)), at(30))
    assert life.out.used / HOUR == pytest.approx(10 * COLD_DAY + 20 * float(sheet.rate(warmer)))
    assert [(g.filled, g.temperature) for g in life.gaps] == [(Filled.WARMER_END, warmer)]
    [said] = [f for f in life.findings if "logger" in f.what]
    assert said.severity is Severity.SEEN
    assert said.what == (
        "the logger saw nothing from 2026-03-02 17:00 UTC to 2026-03-03 04:00 UTC; it is counted at −15 °C, the warmer "
        "of the readings before and after"
    )
    long = log([0, 10, 40, 50], [cold, cold, cold, cold], [(10, 40)])
    life = life_of("R-1", shop(roll(), place("freezer", FROZEN, long)), at(50))
    assert life.out.used / HOUR == pytest.approx(20 * COLD_DAY + 30)
    assert [g.filled for g in life.gaps] == [Filled.ROOM]
    assert [f.severity for f in life.findings if "logger" in f.what] == [Severity.WATCH]
    # a roll that came after the gap has nothing to do with it
    assert life_of("R-2", shop(roll("R-2", born=41), place("freezer", FROZEN, long)), at(50)).gaps == ()


def test_what_no_logger_saw_counts_as_measured_on_the_way_in_or_as_set_or_as_the_room():
    r = roll(been=stays((0, "freezer", 250.15), (100, "freezer"), (200, "shed"), (300, "nowhere known")))
    life = life_of("R-1", shop(r, place("shed")), at(400))
    assert [(u.place, u.how, u.temperature) for u in sorted(life.unmeasured, key=lambda u: u.how)] == [
        ("freezer", "as set", FROZEN),
        ("freezer", "measured on the way in", 250.15),
        ("nowhere known", "the room's", ROOM),
        ("shed", "the room's", ROOM),
    ]
    said = [f.what for f in life.findings if f.place == "R-1, in freezer"]
    assert sorted(said) == [
        "for 4 days no logger watched; it is counted at −18 °C, as set",
        "for 4 days no logger watched; it is counted at −23 °C, measured on the way in",
    ]


def test_nobody_knows_how_long_it_was_out():
    """In the room since it was made, as used up when that is not known either; never a stop, for it may be fresh."""
    made = roll(life_used=None, made=date(2026, 2, 20))
    life = life_of("R-1", shop(made), at(0))
    assert not life.out.sure
    assert life.out.used == pytest.approx((10 * 24 + 7) * HOUR)  # 20 February to 2 March, 7 in the morning
    by_last_day = roll(life_used=None, use_by=date(2027, 2, 20))
    assert life_of("R-1", shop(by_last_day), at(0)).out.used == pytest.approx((10 * 24 + 7) * HOUR)
    life = life_of("R-1", shop(roll(life_used=None)), at(0))
    assert life.out.share == 1.0
    assert {f.severity for f in life.findings} == {Severity.DECIDE, Severity.WATCH}
    assert "nobody knows how long it was out before it came here" in [f.what for f in life.findings]
    r, o = cut_off(roll(life_used=None), "O-1", 5)
    assert not life_of("O-1", shop(r, o), at(6)).out.sure


def test_what_nobody_wrote_down_until_its_first_place_was_the_room():
    """Begun at an unknown life, put into the freezer four days later: four days in the room."""
    made = roll(life_used=None, made=date(2026, 3, 2), been=stays((96, "freezer")))
    begun = life_of("R-1", shop(made), at(0)).out.used
    assert life_of("R-1", shop(made), at(96)).out.used - begun == pytest.approx(96 * HOUR)
    lost = kit("K-1", ("R-2", 0.0), been=stays((48, "freezer")))
    life = life_of("K-1", shop(roll("R-2"), lost), at(48))
    assert life.out.used == pytest.approx(48 * HOUR)
    [said] = [f for f in life.findings if "not written down" in f.what]
    assert said.severity is Severity.WATCH
    assert said.what == "where it was for 2 days is not written down; it is counted at the room's 21 °C"


def test_time_since_it_was_made_counts_as_frozen():
    """Made a year before it came, never out: its guarantee is over, and that is its last day as well."""
    life = life_of("R-1", shop(roll(made=date(2025, 3, 2))), at(0))
    assert life.out.share == pytest.approx(1.0, abs=0.001)
    assert life.use_by == date(2026, 3, 2)
    assert life.since_made
    fresh = life_of("R-1", shop(roll()), at(0))
    assert fresh.out.used == 0.0
    assert not fresh.since_made
    assert [f.severity for f in fresh.findings] == [Severity.SEEN]


def test_a_label_wins_over_what_is_worked_out_and_a_kit_has_the_earliest_day():
    one = roll(made=date(2026, 3, 1), use_by=date(2026, 9, 1))
    other = roll("R-2", made=date(2026, 2, 1))
    k = kit("K-1", ("R-1", 1.0), ("R-2", 2.0))
    lives = lives_of(("R-1", "R-2", "K-1"), shop(one, other, k), at(3))
    assert lives["R-1"].use_by == date(2026, 9, 1)
    assert lives["R-2"].use_by == date(2027, 2, 1)
    assert lives["K-1"].use_by == date(2026, 9, 1)


def test_a_roll_taken_over_counts_from_where_it_is_put():
    """Known by its first cut months ago, put into the freezer now: what was before is within the life stated."""
    r = roll(born=-2000, been=stays((0, "freezer")), life_used=40 * HOUR)
    assert hours("R-1", shop(r), 100) == pytest.approx(40 + 100 * COLD_DAY)
    r = replace(r, tack_used=None)
    life = life_of("R-1", shop(r), at(0))
    assert life.tack.used / HOUR == pytest.approx(40)
    assert life_of("R-1", shop(replace(r, tack_used=12 * HOUR)), at(0)).tack.used / HOUR == pytest.approx(12)


def test_a_kit_that_is_laid_ages_in_the_room_until_it_is_cured():
    """Nobody wrote down that it left the freezer: from the last tick on it is in the room."""
    k = kit("K-1", ("R-1", 0.0), been=stays((0, "freezer")), gone=at(10), why="laid")
    assert hours("K-1", shop(roll(), k), 34) == pytest.approx(10 * COLD_DAY + 24)
    thrown = replace(k, why="spoiled")
    assert hours("K-1", shop(roll(), thrown), 34) == pytest.approx(10 * COLD_DAY)


def test_what_is_not_there_is_refused_in_one_sentence():
    with pytest.raises(InputError, match='"R-9" – there is no cloth of this name'):
        life_of("R-9", shop(roll()), at(0))
    strange = roll(material="twil-200")
    with pytest.raises(InputError) as error:
        life_of("R-1", shop(strange), at(0))
    assert str(error.value) == (
        'R-1, material: "twil-200" – there is no prepreg of this name in this workshop, and its life stands in its '
        'sheet (did you mean "twill-200"?)'
    )


def test_cloth_whose_roll_nobody_remembers_is_not_sure():
    _, o = cut_off(roll(), "O-1", 5)
    life = life_of("O-1", shop(o), at(6))
    assert not life.out.sure
    assert life.out.share >= 1.0


WARMTH = st.floats(235.0, 310.0)


@st.composite
def histories(draw: st.DrawFn) -> tuple[list[float], list[float], list[float], list[float]]:
    """Hours of stays and what was measured there; hours of a log and what it read."""
    moves = sorted(draw(st.lists(st.floats(0.5, 300.0), max_size=6, unique=True)))
    marks = sorted(draw(st.lists(st.integers(0, 320), min_size=2, max_size=12, unique=True)))
    return moves, [draw(WARMTH) for _ in moves], [float(m) for m in marks], [draw(WARMTH) for _ in marks]


@given(histories(), st.lists(st.floats(0.0, 350.0), min_size=2, max_size=6))
@settings(max_examples=60, deadline=None)
def test_clocks_only_go_on_and_pass_on_to_what_is_cut(history, moments):
    moves, measured, marks, seen = history
    freezer = place("freezer", FROZEN, log(marks, seen))
    where = ["freezer" if k % 2 else "room" for k in range(len(moves))]
    been = stays((0, "freezer"), *zip(moves, where, measured, strict=True))
    r = roll(been=been)
    moments = sorted(moments)
    children = []
    for k, h in enumerate(moments):
        r, child = cut_off(r, f"O-{k}", h)
        children.append(child)
    standing = shop(r, *children, freezer)
    lives = [life_of("R-1", standing, at(h)) for h in moments]
    for a, b in pairwise(lives):
        assert b.out.used >= a.out.used - 1e-6
        assert b.tack.used >= a.tack.used - 1e-6
    for child, h, parent in zip(children, moments, lives, strict=True):
        begun = life_of(child.name, standing, at(h))
        assert begun.out.used == pytest.approx(parent.out.used, abs=1e-6)
        assert life_of(child.name, standing, at(400)).out.used >= parent.out.used - 1e-6


@given(histories())
@settings(max_examples=60, deadline=None)
def test_the_same_as_the_sheets_own_integral_over_spells(history):
    """Every stay and every stretch of the log written out as spells, and summed by the sheet."""
    moves, measured, marks, seen = history
    standing = shop(roll(been=stays((0, "freezer"))), place("freezer", FROZEN, log(marks, seen)))
    sheet = life_sheet(standing.library.prepreg["twill-200"])
    spells = [
        Spell(duration=(b - a) * HOUR, temperature=s, to=t)
        for a, b, s, t in zip(marks, marks[1:], seen, seen[1:], strict=False)
    ]
    spells += [Spell(duration=h * HOUR, temperature=FROZEN) for h in (marks[0], 400 - marks[-1])]
    assert life_of("R-1", standing, at(400)).out.used == pytest.approx(sheet.used(spells), rel=1e-9)
    placed = roll(been=stays((0, "room", ROOM), *((h, "room", t) for h, t in zip(moves, measured, strict=True))))
    edges = [0.0, *moves, 400.0]
    spells = [
        Spell(duration=(b - a) * HOUR, temperature=t)
        for a, b, t in zip(edges, edges[1:], [ROOM, *measured], strict=False)
    ]
    assert life_of("R-1", shop(placed), at(400)).out.used == pytest.approx(sheet.used(spells), rel=1e-9)
