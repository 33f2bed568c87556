"""Parts of one design over time: what stands out, what it shares, what the shop may learn."""

from __future__ import annotations

import random
from datetime import timedelta
from statistics import fmean, stdev

import numpy as np
import pytest

from bagside.errors import InputError
from bagside.ledger.actual.compared import compared
from bagside.ledger.design.apart import Circumstance, shared_by
from bagside.ledger.design.learned import learned_of
from bagside.ledger.design.out_of_line import far_off, modified_z
from bagside.ledger.design.over_time import DesignOverTime, over_time
from bagside.ledger.design.series import Series
from bagside.ledger.things import Build
from madeparts import PULL, WIDTH, Story, made, plan, shop, stocked, workshop

BAD = (2, 5, 6, 11)
COUNT = 14


def told(count: int = COUNT) -> Story:
    """Return parts of which four were laid wet and pressed too short, and have pinholes."""
    story, draw = Story(), random.Random(5)
    stocked(story)
    for k in range(count):
        bad = k in BAD
        made(
            story,
            f"DHL-{k + 1:03}",
            plan(number=k % 4 + 1),
            kit=f"kit-{k}",
            humidity=0.67 + 0.01 * draw.random() if bad else 0.45 + 0.1 * draw.random(),
            debulk=480.0 if bad else 1500.0 + 60.0 * draw.random(),
            mass=1.0 + draw.gauss(0.0, 0.01),
            pinholes=30 + draw.randrange(12) if bad else draw.randrange(5),
            tg=390.0 - 0.5 * k + draw.gauss(0.0, 0.6),
            slow=1.2 + draw.gauss(0.0, 0.03),
            verdict="scrap" if k == 5 else "good",
        )
        story.at += timedelta(days=2)
    return story


@pytest.fixture(scope="module")
def design() -> DesignOverTime:
    return designed(told())


def designed(story: Story) -> DesignOverTime:
    stands = shop(story)
    return over_time([t for t in stands.things.values() if isinstance(t, Build)], stands, story.at)


def series(design: DesignOverTime, key: str) -> Series:
    return next(s for s in design.series if s.key == key)


def test_figures_are_those_of_the_parts(design: DesignOverTime) -> None:
    mass = series(design, "mass raw")
    assert sum(v is not None for v in mass.values) == COUNT
    known = [v for k, v in enumerate(mass.values) if v is not None and k != 5]  # scrap says nothing of what is usual
    assert mass.count == len(known) == COUNT - 1
    assert mass.mean == pytest.approx(fmean(known))
    assert mass.sigma == pytest.approx(stdev(known))
    assert set(mass.planned) == {4 * 0.345 * 0.12}
    bag = series(design, "hours Bag")  # bagging, and 9 min of leak test
    assert bag.values[0] == pytest.approx(540.0 + design.parts[0].steps[7].attended)
    assert series(design, "leak").values[0] == pytest.approx(300.0)  # 3 mbar in 5 min
    assert series(design, "films").values == (0.0,) * COUNT


def test_masses_are_those_of_one_part_alone(design: DesignOverTime) -> None:
    stands = shop(told(2))
    alone = compared(stands.build("DHL-001"), stands, stands.build("DHL-001").last)
    full = {m.stage: m for m in alone.masses}
    for light in design.parts[0].masses:
        assert light.measured == full[light.stage].measured
        assert light.planned == pytest.approx(full[light.stage].planned)
        assert light.sigma == pytest.approx(full[light.stage].sigma, rel=0.05)  # there the scatter of plies is added up


def test_a_falling_tg_is_told_as_a_trend(design: DesignOverTime) -> None:
    trend = series(design, "tg").trend
    assert trend is not None
    assert trend.told
    assert trend.low < -0.5 < trend.high  # the slope it was made with
    mass = series(design, "mass raw").trend
    assert mass is not None
    assert not mass.told


def test_parts_with_pinholes_share_debulk_and_humidity(design: DesignOverTime) -> None:
    holes = next(s for s in design.standing if s.series == "pinholes")
    assert holes.parts == tuple(f"DHL-{k + 1:03}" for k in BAD)
    sure = {s.name: s for s in holes.shared if s.sure}
    assert set(sure) == {"first debulk", "highest humidity where it was laid"}
    debulk = sure["first debulk"]
    assert (debulk.above, debulk.those, debulk.others) == (False, (4, 4), (0, 10))
    assert debulk.chance == pytest.approx(2 / 1001)  # wholly apart: two of the C(14, 4) splits
    assert 480.0 < debulk.edge < 1500.0


def test_their_own_records_point_at_the_first_ply_and_at_water(design: DesignOverTime) -> None:
    holes = next(s for s in design.standing if s.series == "pinholes")
    assert [n for n, _ in holes.causes] == list(holes.parts)
    for _, ranked in holes.causes:
        assert ranked[0].name == "air under the first ply"
        assert "water in the prepreg" in [r.name for r in ranked]


def test_scrap_is_a_share_with_what_it_may_be(design: DesignOverTime) -> None:
    s = design.scrapped
    assert s is not None
    assert (s.count, s.closed) == (1, COUNT)
    assert s.low < 1 / COUNT < s.high
    assert next(x for x in design.standing if x.series == "scrap").parts == ("DHL-006",)


def test_learned_times_scale_what_is_planned_with(design: DesignOverTime) -> None:
    bagging = next(x for x in design.learned if x.what == "bagging")
    ratios = [next(s for s in p.steps if s.key == "bag").attended / 2400.0 for p in design.parts]
    assert bagging.ratio == pytest.approx(fmean(ratios))
    assert bagging.low < bagging.ratio < bagging.high
    assert bagging.told
    assert bagging.now == "bag 40 min"  # of the library: the demo states no time for bagging
    assert bagging.lines == ("[times]", f'bag = "{40 * bagging.ratio:.0f} min"')
    laying = next(x for x in design.learned if x.what == "laying plies")
    rate = 1.5 / laying.ratio
    assert f'lay_backing = "{rate:.2f} m²/h"' in laying.lines  # slower laying is a smaller rate


def test_learned_waste_is_cloth_over_pieces(design: DesignOverTime) -> None:
    waste = next(x for x in design.learned if x.what == "cloth cut over its pieces")
    assert waste.ratio == pytest.approx(PULL * WIDTH / 0.48)
    assert waste.against is None
    assert not waste.told


def test_learning_changes_no_plan(design: DesignOverTime) -> None:
    before = workshop()
    learned_of(design.parts, before)
    assert before == workshop()
    assert before.times.bag is None


def test_a_wrong_share_of_scrap_is_offered_only_with_enough_parts(design: DesignOverTime) -> None:
    scrap = next(x for x in design.learned if x.what == "share of parts that fail")
    assert (scrap.count, scrap.lines) == (COUNT, ('scrap = "7 %"',))
    assert not scrap.told  # 8 % is planned, and 1 in 14 may well be that
    assert not any(x.what == scrap.what for x in learned_of(design.parts[:9], workshop()))


def test_with_three_parts_nothing_is_told() -> None:
    few = designed(told(3))
    assert few.few
    assert all(s.limits is None and s.trend is None and not s.standing for s in few.series)
    assert few.standing == ()


def test_parts_of_two_jobs_are_not_one_design() -> None:
    story = Story()
    stocked(story)
    made(story, "A-1", plan())
    made(story, "B-1", plan(job="other"), kit="kit-2")
    with pytest.raises(InputError, match="parts of one job are wanted, at least one"):
        designed(story)


def test_people_are_no_circumstance(design: DesignOverTime) -> None:
    words = repr([(s.series, s.shared) for s in design.standing]) + repr(design.learned)
    assert "Ada" not in words
    assert "Ben" not in words


def test_modified_z_by_hand() -> None:
    # median 12, deviations 2 1 0 1 18, their median 1
    assert modified_z([10.0, 11.0, 12.0, 13.0, 30.0]) == pytest.approx((-1.349, -0.6745, 0.0, 0.6745, 12.141))
    assert far_off([10.0, 11.0, 12.0, 13.0, 30.0]) == ()  # 12.1, and of five parts 12.7 is wanted
    assert far_off([10.0, 11.0, 12.0, 13.0, 40.0]) == (4,)
    assert far_off([10.0, 11.0, 12.0, 30.0]) == ()
    # more than half alike: mean deviation (0 + 0 + 0 + 0 + 5) / 5 = 1, so 0.7979 · 5 / 1
    assert modified_z([2.0, 2.0, 2.0, 2.0, 7.0])[4] == pytest.approx(3.9895)
    assert modified_z([2.0, 2.0]) == (0.0, 0.0)


@pytest.mark.parametrize("count", [5, 8, 14, 30, 80])
def test_parts_made_alike_stand_out_in_one_design_of_fifty(count: int) -> None:
    draw = np.random.default_rng(count)
    rows = draw.normal(size=(2500, count))
    share = fmean(bool(far_off(row)) for row in rows.tolist())
    assert 0.010 < share < 0.032  # 0.020, give or take four standard errors of 2500 draws


def test_luck_is_called_luck() -> None:
    """Circumstances drawn at random are called sure in at most one of twenty designs, however many there are."""
    draw = np.random.default_rng(3)
    parts = [f"p{k}" for k in range(14)]
    sure = 0
    for _ in range(400):
        under = [
            Circumstance(name=f"x{k}", unit="", values=dict(zip(parts, draw.normal(size=14).tolist(), strict=True)))
            for k in range(12)
        ]
        sure += any(s.sure for s in shared_by(parts[:4], parts, under))
    assert sure / 400 < 0.05 + 2 * (0.05 * 0.95 / 400) ** 0.5
