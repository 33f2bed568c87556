"""What planning and judging a cure, the bag and the laminate notice comes out in German, and in the reader's units.

Every finding here is made by the bench itself. What stays English of a sentence is found as the reader of the whole
source does it; names that people gave may stay.
"""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from bagside import bagging
from bagside.bagging import BagPly, Consumable, plan_cover
from bagside.bagging.criteria import CRITERIA
from bagside.cure import (
    CureResin,
    Limits,
    NthOrder,
    Outcome,
    Oven,
    Programme,
    Segment,
    Thickening,
    corners,
    findings,
    thick_place,
)
from bagside.cure.design import Bounds, design_findings, designed, why
from bagside.cure.judging import in_words, judged, state_of
from bagside.findings import Basis, Finding, sentence
from bagside.laminate import findings as laminate_findings
from bagside.web.words.sentences import said
from bagside.web.words.tongue import Heat, Lengths, Tongue
from cureruns import EPOXY, FREE, LIMITS, OVEN, PROGRAMME, SECTIONS, ZERO_C, cooled, logged, ran
from cyclecases import BOARD_OVEN, ON_BOARD, VITRIFYING
from laminae import AS4, CLOTH, stack
from plansentences import unsaid

GERMAN = Tongue(language="de")
IMPERIAL = Tongue(language="de", lengths=Lengths.INCH, heat=Heat.FAHRENHEIT)
METRIC = re.compile(r"\d\s?(?:mm|cm²|m²|°C|K)(?![\w/²])")
"""An amount that a reader of inches and degrees Fahrenheit is not told so."""
NUMBER = re.compile(r"(?<![\w.,])\d+(?:[.,]\d+)?")
FILMS = {
    "bag film": (398.15, 0.9),
    "release film": (385.0, 1.2),
    "breather": (453.15, 1.5),
    "sealant tape": (453.15, 0.012),
}
PLIES = [BagPly(name=str(k), area=0.2, thickness=0.00023, has_tight_corner=k % 2 == 0) for k in range(1, 9)]


def english(found: list[Finding] | tuple[Finding, ...], names: tuple[str, ...] = ()) -> list[str]:
    """Return what of findings is not said in German; names of people are left out."""
    texts = [t for f in found for t in (f.place, f.what, f.why, f.do) if t]
    return [left for t in texts for left in unsaid(t) if left not in names and left.strip(" .") not in names]


def spoken(found: list[Finding] | tuple[Finding, ...], tongue: Tongue = GERMAN) -> list[str]:
    return [said(t, tongue).text for f in found for t in (f.what, f.why, f.do)]


def outcome(**changes: object) -> Outcome:
    """Return a cure with nothing wrong but what is changed; every value is invented."""
    good = Outcome(
        name="4 plies, 1.31 mm, mould 8.0 mm, coldest place", hottest=395.0, hottest_time=7200.0, hottest_depth=0.002,
        air_hottest=393.15, overshoot=2.0, alpha_lagging=0.95, alpha_leading=0.96, tg=403.15, stiff_margin=-60.0,
        gel_time=5000.0, gel_temperature=380.0, gel_first=4900.0, viscosity=5.0, viscosity_time=3000.0,
        flow_time=2400.0, flow_viscosity=30.0, spread=5.0, dwell=7000.0, dwell_asked=7200.0, dwell_band=5.0,
        tool_hottest=394.15, tool_hottest_time=7300.0, end=321.15, beyond_law=0.0,
    )  # fmt: skip
    return replace(good, **changes)  # type: ignore[arg-type]


def test_every_note_of_a_cure_is_german() -> None:
    limits = Limits(service=363.15, margin=20.0, target=0.9, tool=403.15, resin=423.15)
    resin = CureResin(
        kinetics=NthOrder(A=1e5, E=6.5e4, n=1.5), heat=400e3, density=1220.0, heat_capacity=1300.0, conductivity=0.21,
        tg0=266.15, tg1=408.15, tg_lambda=0.5, gel=0.5, alpha0=0.01,
    )  # fmt: skip
    bad = [
        outcome(tool_hottest=410.0, hottest=430.0, overshoot=14.0, beyond_law=6.0, beyond_cure=0.04),
        outcome(gel_time=None, alpha_lagging=0.4, tg=340.0, dwell=1000.0, end=350.0, stiff_margin=-3.0),
        outcome(alpha_lagging=0.85, tg=375.0, stiff_margin=-3.0),
    ]
    found = [
        *findings(
            bad, limits, resin=resin, free_standing=True,
            programme=Programme(start=293.15, segments=(Segment(target=440.0, ramp=5.0 / 60.0, hold=3600.0),)),
            oven=Oven(hottest=423.15, heating=2.0 / 60.0, cooling=1.0 / 60.0),
        ),
        *findings(bad, limits, free_standing=True),
    ]  # fmt: skip
    assert len({f.what for f in found}) >= 14
    assert english(found) == []
    assert not [t for t in spoken(found, IMPERIAL) if METRIC.search(t)]


def test_numbers_of_a_sentence_are_all_in_the_german_one() -> None:
    """A form that loses a place would say something else."""
    (found,) = findings([outcome(alpha_lagging=0.8512, tg=405.0)], Limits(service=363.15, target=0.9))
    for text in (found.what, found.do):
        assert NUMBER.findall(said(text, GERMAN).text) == [n.replace(".", ",") for n in NUMBER.findall(text)]


def test_a_bag_with_everything_tight_is_german() -> None:
    plan = plan_cover(
        1.4, 0.9, 0.35, PLIES, cure_max_temperature=393.15, films=FILMS, ambient_pressure=98000.0, vacuum=4500.0,
        pump_flow=6 / 3600, flange=0.066,
    )  # fmt: skip
    taped = plan_cover(
        1.4, 0.9, 0.35, PLIES, cure_max_temperature=393.15, films=FILMS, ambient_pressure=101325.0, vacuum=2000.0,
        pump_flow=6 / 3600, flange=0.05, taped=bagging.Taped(area=1.5, edge=4.6, flange_wanted=0.075),
    )  # fmt: skip
    found = [*plan.findings, *taped.findings]
    assert len({f.place for f in found}) >= 6
    assert english(found) == []
    assert not [t for t in spoken(found, IMPERIAL) if METRIC.search(t)]
    assert [u for i in (*plan.items, *taped.items) for u in unsaid(i.how)] == []
    assert plan.course is not None
    assert [u for a in plan.course.advice for u in unsaid(a)] == []
    assert [u for d in plan.debulks for u in unsaid(d.why)] == []
    assert [u for c in CRITERIA for u in unsaid(c.source)] == []


def test_what_films_and_corners_stand_is_german() -> None:
    time, hot = np.array([0.0, 3600.0, 7200.0]), np.array([293.0, 393.0, 393.0])
    item = Consumable(name="nylon 200", limit=400.0)
    items = [
        item,
        replace(item, limit=380.0),
        replace(item, cures=1),
        replace(item, limit=380.0, short_limit=420.0, short_time=600.0),
    ]
    bends = np.array([[400.0, 0.0], [900.0, 0.0], [0.0, 0.0]])
    found = [
        *bagging.rating_findings(bagging.rated(items, time, hot)),
        *bagging.pressure_findings(bagging.pressure_map(bends, 0.0015, ambient=101325.0, vacuum=2000.0)),
    ]
    assert len(found) == 6
    assert english(found, ("nylon 200",)) == []
    assert not [t for t in spoken(found, IMPERIAL) if METRIC.search(t)]


def test_water_before_gel_is_german() -> None:
    time = np.linspace(0.0, 7200.0, 73)
    temperature = np.interp(time, [0.0, 7200.0], [293.15, 403.15])[:, None]
    gelled = (time > 6000.0)[:, None]
    courses = tuple(
        bagging.void_course(time, temperature, gelled, 2000.0, 101325.0, 0.5, share) for share in bagging.BED_SHARES
    )
    found = bagging.void_course_findings(courses, ("6 plies, 2.10 mm, hottest place",))
    assert len(found) == 1
    assert english(found) == []
    assert "°F" in said(found[0].do, IMPERIAL).text


def test_a_laminate_with_everything_wrong_is_german() -> None:
    found = [
        *laminate_findings(stack(AS4, [0, 90], 0.5e-3), cooled=100.0),
        *laminate_findings(stack(AS4, [0, 0, 0, 0, 0, 30], 0.1e-3), structural=True),
        *laminate_findings(stack(CLOTH, [0], 0.23e-3, woven=True)),
    ]
    assert len({f.what for f in found}) >= 6
    assert english(found) == []
    assert not [t for t in spoken(found, IMPERIAL) if METRIC.search(t)]


def test_why_a_segment_is_as_it_is_comes_out_in_german() -> None:
    """The sentences are joined of what breaks where, and with which heat and films."""
    place = replace(ON_BOARD, name="12 plies, 4.02 mm")
    bounds = Bounds(target=0.7, tool=110.0 + ZERO_C, demould=50.0 + ZERO_C)
    found = designed([place], VITRIFYING, BOARD_OVEN, bounds, start=293.15, scenarios=corners(6.0)[1:2])
    reasons, noticed = why(found), design_findings(found, basis=Basis.COMMON)
    assert len(reasons) >= 2
    assert [left for r in reasons for left in unsaid(r)] == []
    assert english(noticed) == []
    for text in (*reasons, *(f.what for f in noticed)):
        assert said(text, GERMAN).language == "de"
        assert "°F" in said(text, IMPERIAL).text
        assert not METRIC.search(said(text, IMPERIAL).text)


@pytest.mark.parametrize(
    "reason",
    [
        "rises to 128 °C at 1.2 °C/min: faster or 3 K hotter and 6 plies, 2.10 mm passes 130 °C with heat 10 % up, "
        "films 25 % down; holds 95 min: shorter and 4 plies, 1.31 mm ends short of its degree of cure",
        "rises to 80 °C at 2.0 °C/min, as fast as the heater can; as hot as the oven goes; holds 60 min",
        "3 K hotter and the mould under 4 plies, 1.31 mm, mould 8.0 mm passes 85 °C; holds 240 min",
        "falls to 60 °C at 1.0 °C/min, as fast as the oven goes, until all of laminate and tool is below 60 °C",
    ],
)
def test_reasons_of_many_parts_keep_every_number(reason: str) -> None:
    """Written as `bagside.cure.design.why` joins them: no case that is quick to design has all of these."""
    assert unsaid(reason) == []
    german = said(reason, GERMAN).text
    assert sorted(NUMBER.findall(german)) == sorted(n.replace(".", ",") for n in NUMBER.findall(reason))


def test_a_log_that_went_wrong_is_judged_in_german() -> None:
    """Too hot, too fast, without vacuum and without a sensor on the part."""
    hot = Programme(start=293.15, segments=(Segment(target=388.15 + 45.0, ramp=2.5 / 60.0, hold=1800.0),))
    air = OVEN.air(cooled(hot, to=350.0, hold=0.0))
    log = logged(air, ran(air), bag=None)
    state = state_of(log, SECTIONS, EPOXY, PROGRAMME, OVEN, target=LIMITS.target, spread=6.0)
    result = judged(state, LIMITS, PROGRAMME, OVEN, FREE, basis=Basis.COMMON, source="invented")
    names = (*(s.name for s in SECTIONS), *(c.name for c in log.channels))
    assert len(result.findings) >= 3
    assert english(result.findings, names) == []
    assert not [t for t in spoken(result.findings, IMPERIAL) if METRIC.search(t)]


def test_a_programme_in_words_is_german() -> None:
    words = in_words(cooled(PROGRAMME))
    assert words.count(";") >= 2
    assert unsaid(words) == []
    assert "°F" in said(words, IMPERIAL).text


def test_a_place_at_thicker_mould_says_in_german_what_its_section_makes_too_much_of() -> None:
    strip = Thickening(name="rib", layer="tool", thickness=0.02, width=0.03, sides=2)
    assert unsaid(thick_place(SECTIONS[0], strip).says) == []


def test_a_finding_is_a_whole_sentence_in_german() -> None:
    (found,) = laminate_findings(stack(AS4, [0, 0, 0, 0, 0, 0], 0.15e-3))
    german = sentence(said(found.do, GERMAN).text)
    assert german[0].isupper()
    assert german.endswith(".")
