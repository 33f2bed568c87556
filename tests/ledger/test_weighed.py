"""What a build's masses mean, told from events as they are kept: an invented kayak bulkhead of three plies."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bagside.findings import Severity
from bagside.ledger.bodies import Cured, Found, Laid, MassStage, Measured, Sort
from bagside.ledger.builds.planned_masses import film_in
from bagside.ledger.builds.points import films_short, reading_findings
from bagside.ledger.builds.weighed import FILM, MassReading, mass_reading, weighed_plan
from bagside.ledger.planned import Planned, PlannedMass, PlannedPly, PlannedPoint
from bagside.ledger.shop import Shop
from bagside.ledger.things import Build, Cloth, Noted
from bagside.spec.library import Library, generic_library
from bagside.spec.reading import stated_from
from bagside.spec.workshop import Workshop

BEGAN = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
PLIES = tuple(
    PlannedPly(number=k, material="twill-200", pieces=(f"{k}A", f"{k}B"), films=2, area=0.5, mass=0.175, scatter=0.02)
    for k in (1, 2, 3)
)
PLANNED = Planned(
    job="bulkhead", part="bulkhead", revision="a" * 16, number=1, quantity=1, steps=(), plies=PLIES,
    masses=(
        PlannedMass(stage="kit", mass=0.525, sigma=0.0105),
        PlannedMass(stage="laid", mass=0.525, sigma=0.0105),
        PlannedMass(stage="raw", mass=0.525, sigma=0.012),
        PlannedMass(stage="trimmed", mass=0.42, sigma=0.01),
    ),
    points=(PlannedPoint(place="rim", thickness=0.0007, tolerance=0.000056),
            PlannedPoint(place="middle", thickness=0.0007, tolerance=0.000056),
            PlannedPoint(place="hatch", thickness=0.0010, tolerance=0.00008)),
    resin_mass=0.22, film_mass=0.08, finished_area=0.2,
)  # fmt: skip
FILMS = 3 * 2 * 0.5 * 0.08


@pytest.fixture(scope="module")
def shop() -> Shop:
    workshop = stated_from(
        {
            "name": "Skerry Kayaks", "currency": "EUR", "labour": "38 EUR/h",
            "room": {"temperature": "21 °C", "humidity": "50 %"},
            "oven": {"hottest": "140 °C", "heating": "2 K/min", "cooling": "1 K/min", "lag": "4 min", "spread": "6 K",
                     "film_bag": "18 W/(m² K)", "film_tool": "12 W/(m² K)", "power": "3 kW", "loss": "6 W/K"},
            "pump": {"flow": "6 m³/h", "reaches": "2 kPa"},
            "prices": {"energy": "0.32 EUR/kWh"},
        },
        Workshop,
        "workshop.toml",
    )  # fmt: skip
    return Shop(things={}, library=generic_library(), workshop=workshop)


def noted(body: object, minutes: float) -> Noted[object]:
    return Noted(at=BEGAN + timedelta(minutes=minutes), who="Maren", event="0" * 32, what=body)


def ticks(short: tuple[str, ...] = (), skip: tuple[str, ...] = ()) -> tuple[Noted[Laid], ...]:
    return tuple(
        noted(Laid(build="B-1", ply=p.number, piece=piece, films=2 - (piece in short)), 10.0 * p.number)  # type: ignore[misc]
        for p in PLIES
        for piece in p.pieces
        if piece not in skip
    )


def build(by: tuple[Noted[Laid], ...] = (), planned: Planned = PLANNED, **masses: float) -> Build:
    measured = tuple(
        noted(Measured(subject="B-1", found=Found.MASS, value=mass, stage=MassStage(stage), sigma=0.0005), 30.0 + k)
        for k, (stage, mass) in enumerate(masses.items())
    )
    return Build(
        name="B-1", planned=planned, born=BEGAN, last=BEGAN, begun_by="Maren", laid=by, measured=measured
    )  # type: ignore[arg-type]


def told(readings: tuple[MassReading, ...]) -> dict[str, str]:
    return {r.stage.value: r.candidates[0].key for r in readings}


def test_a_part_on_plan_is_silent(shop: Shop) -> None:
    readings = mass_reading(build(ticks(), kit=0.525 + FILMS, laid=0.526, raw=0.524, trimmed=0.42), shop)
    assert told(readings) == {"kit": "nothing", "laid": "nothing", "raw": "nothing", "trimmed": "nothing"}
    assert [f for r in readings for f in r.findings] == []
    assert [r.planned for r in readings] == pytest.approx([0.525 + FILMS, 0.525, 0.525, 0.42])
    assert mass_reading(build(), shop) == ()


def test_a_kit_that_is_a_ply_short_stops_before_it_is_laid(shop: Shop) -> None:
    light = replace(PLANNED, film_mass=0.05)  # all films weigh 150 g, a ply with its films 225 g
    (kit,) = mass_reading(build(planned=light, kit=0.35 + 0.1), shop)
    assert kit.candidates[0].key == "missing"
    finding = kit.findings[0]
    assert finding.severity is Severity.STOP
    assert finding.place == "B-1, kit"
    # cloth √(0.75 · (2 % of 525 g)² + 0.25 · 6 · (2 % of 87.5 g)²) = 9.34 g, what the plan has above that 4.80 g, films
    # 3 % of 150 g = 4.5 g, the scale 0.5 g: 11.4 g in all, by hand
    assert kit.sigma == pytest.approx(0.01143, abs=2e-5)
    assert finding.what == "450 g, 225 g under the plan of 675 g; 11.4 g would be usual"
    assert "count the kit against its list" in finding.do


def test_a_film_left_in_shows_from_the_kit_to_the_part(shop: Shop) -> None:
    # One film of half a ply: 0.25 m² · 80 g/m² = 20 g, where all films are known to 3 % of 240 g.
    one = 0.25 * 0.08
    readings = mass_reading(build(kit=0.525 + FILMS, laid=0.525 + one, films=FILMS - one, raw=0.525 + one), shop)
    assert told(readings)["films"] == "film"
    assert readings[2].stage is MassStage.FILMS
    last = readings[-1]
    assert last.candidates[0].key == "film"
    assert last.candidates[0].mass == pytest.approx(one, rel=1e-6)
    assert readings[2].findings[0].severity is Severity.STOP
    assert last.findings[0].severity is Severity.DECIDE  # it is cured
    # a tick that is a film short says where
    counted = mass_reading(build(ticks(short=("2B",)), laid=0.525 + one), shop)[0]
    assert (counted.candidates[0].key, counted.candidates[0].plies) == ("film", (2,))
    careful = mass_reading(build(ticks(), laid=0.525 + one), shop)[0]
    hasty = mass_reading(build(laid=0.525 + one), shop)[0]
    film = [next(c.chance for c in r.candidates if c.key == "film") for r in (careful, hasty, counted)]
    assert film[0] < film[1] < film[2]


def test_what_the_masses_cannot_show_is_known(shop: Shop) -> None:
    # 20 g on a raw part of 525 g that is known to 12 g; with the kit's mass beside it, it would show
    assert mass_reading(build(ticks(), kit=0.525 + FILMS, raw=0.524), shop)[-1].unseen == ()
    readings = mass_reading(build(ticks(), raw=0.524, trimmed=0.42), shop)
    assert [c.what for c in readings[1].unseen] == ["a backing film was left in (ply 1, 2 or 3)"]
    assert readings[1].unseen[0].mass == pytest.approx(0.02)
    sharp = replace(PLANNED, plies=tuple(replace(p, scatter=0.002) for p in PLIES), masses=())
    (raw,) = mass_reading(build(planned=sharp, raw=0.525), shop)
    assert raw.unseen == ()


def test_a_ply_without_its_ticks_is_the_one_that_is_missing(shop: Shop) -> None:
    (raw,) = mass_reading(build(ticks(skip=("3A", "3B")), raw=0.35), shop)
    assert (raw.candidates[0].key, raw.candidates[0].plies) == ("missing", (3,))


def test_what_the_scale_cannot_tell_apart_is_said_with_what_would(shop: Shop) -> None:
    # 60 g short on a raw part of three plies of 175 g: no ply; resin or the roll.
    (raw,) = mass_reading(build(raw=0.465), shop)
    finding = raw.findings[0]
    assert finding.why.startswith("the scale cannot tell these apart: ")
    assert "resin was lost" in finding.why
    assert "the roll of twill-200 is off its sheet" in finding.why
    assert finding.do.startswith("to tell them apart, ")
    # the kit on its plan takes the roll away
    both = mass_reading(build(kit=0.525 + FILMS, laid=0.525, raw=0.465), shop)[-1]
    assert both.candidates[0].key == "resin"
    chance = [sum(c.chance for c in r.candidates if c.key == "roll") for r in (raw, both)]
    assert chance[1] < 0.1 * chance[0]


def test_the_last_weighing_of_a_stage_stands(shop: Shop) -> None:
    first = build(raw=0.35)
    again = replace(first, measured=(*first.measured, *build(raw=0.525).measured))
    (raw,) = mass_reading(again, shop)
    assert (raw.measured, raw.candidates[0].key) == (0.525, "nothing")


def test_two_faults_at_once_are_not_explained_away(shop: Shop) -> None:
    readings = mass_reading(build(kit=0.35 + FILMS, laid=0.9, raw=0.3), shop)
    assert readings[-1].findings[0].what.endswith("No single fault explains the masses together")


def test_a_stage_without_a_planned_mass_is_kept_and_said(shop: Shop) -> None:
    (finished,) = mass_reading(build(finished=0.44), shop)
    assert (finished.planned, finished.z, finished.candidates) == (None, None, ())
    assert finished.findings[0].what == "it weighs 440 g; the plan states no mass here"


def test_a_film_that_nobody_has_weighed_is_taken_as_usual_and_blunt(shop: Shop) -> None:
    unknown = replace(PLANNED, film_mass=0.0)
    plan = weighed_plan(build(planned=unknown), shop, laid=False)
    assert plan.all_films == pytest.approx(3.0 * FILM)
    known = mass_reading(build(kit=0.525 + FILMS), shop)[0]
    (blunt,) = mass_reading(build(planned=unknown, kit=0.525 + FILMS), shop)
    assert blunt.sigma > 2.0 * known.sigma


def test_the_film_of_a_part_is_the_mean_over_its_films_when_every_cloth_s_is_known(shop: Shop) -> None:
    own = shop.library.prepreg["twill-200"]
    name, other = next(i for i in shop.library.prepreg.items() if i[1].films == 1)
    plies = (PLIES[0], replace(PLIES[1], material=name, films=1, area=1.0))

    def film(one: float, two: float) -> float:
        sheets = {"twill-200": replace(own, film_weight=one), name: replace(other, film_weight=two)}
        plan = SimpleNamespace(library=replace(shop.library, prepreg=sheets))
        return film_in(plan, plies)  # type: ignore[arg-type]

    assert film(0.06, 0.12) == pytest.approx(0.09)  # two films on 0.5 m², one on 1 m²
    assert film(0.06, 0.0) == 0.0
    assert film_in(SimpleNamespace(library=shop.library), ()) == 0.0  # type: ignore[arg-type]


def test_another_cloth_of_the_workshop_may_have_got_in(shop: Shop) -> None:
    material = next(m for m in shop.library.prepreg if m != "twill-200")
    roll = Cloth(name="R-2", sort=Sort.ROLL, material=material, born=BEGAN, last=BEGAN)
    gone = replace(roll, name="R-3", material="twill-200", gone=BEGAN)
    kit = Cloth(name="K-1", sort=Sort.KIT, material="uni-150", born=BEGAN, last=BEGAN)
    with_roll = replace(shop, things={"R-2": roll, "R-3": gone, "K-1": kit})
    sheet = shop.library.prepreg[material]
    others = weighed_plan(build(), with_roll, laid=False).others
    assert others == {material: pytest.approx(sheet.areal_weight / (1.0 - sheet.resin_content))}
    assert weighed_plan(build(), replace(with_roll, library=Library()), laid=False).others == {}


grams = st.floats(1e-4, 30.0)


@settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    plies=st.lists(
        st.builds(
            PlannedPly, number=st.integers(1, 9), material=st.sampled_from(["twill-200", "uni-150", "x"]),
            pieces=st.lists(st.sampled_from("ABC"), max_size=3).map(tuple), films=st.integers(0, 2),
            area=st.floats(0.0, 9.0), mass=st.floats(0.0, 9.0), scatter=st.floats(0.0, 0.2),
        ),
        max_size=5,
    ).map(tuple),
    planned=st.dictionaries(st.sampled_from(["kit", "laid", "raw", "trimmed", "finished"]), st.floats(0.0, 20.0)),
    masses=st.dictionaries(st.sampled_from([s.value for s in MassStage]), grams, max_size=6),
    sigma=st.none() | st.floats(0.0, 1.0),
    film=st.floats(0.0, 0.2),
    ticked=st.booleans(),
)  # fmt: skip
def test_whatever_is_planned_and_weighed_is_told_without_a_fault(
    shop: Shop, plies: tuple[PlannedPly, ...], planned: dict[str, float], masses: dict[str, float],
    sigma: float | None, film: float, ticked: bool,
) -> None:  # fmt: skip
    frozen = replace(
        PLANNED, plies=plies, film_mass=film, resin_mass=0.4 * sum(p.mass for p in plies),
        masses=tuple(PlannedMass(stage=s, mass=m, sigma=0.02 * m) for s, m in planned.items()),
    )  # fmt: skip
    made = build(ticks() if ticked else (), frozen, **masses)
    made = replace(made, measured=tuple(replace(m, what=replace(m.what, sigma=sigma)) for m in made.measured))
    for reading in mass_reading(made, shop):
        if reading.candidates:
            assert sum(c.chance for c in reading.candidates) == pytest.approx(1.0)
            assert all(0.0 <= c.chance <= 1.0 for c in reading.candidates)
            assert reading.z is not None


def point(place: str, thickness: float, sigma: float | None = None) -> Noted[object]:
    return noted(Measured(subject="B-1", found=Found.THICKNESS, value=thickness, place=place, sigma=sigma), 60.0)


def with_points(*points: Noted[object], **others: object) -> Build:
    return replace(build(), measured=points, **others)  # type: ignore[arg-type]


def test_a_thin_point_is_a_ply_a_thin_part_is_resin() -> None:
    fine = with_points(point("rim", 0.00071), point("middle", 0.00069), point("hatch", 0.00102))
    assert reading_findings(fine) == ()
    (one,) = reading_findings(with_points(point("rim", 0.00071), point("middle", 0.00047), point("hatch", 0.001)))
    assert one.place == "B-1, middle"
    assert one.what == "0.47 mm, planned 0.70 mm ± 0.06 mm (−33 %)"
    assert one.why == "a ply is missing there, or resin ran out of it"
    (whole,) = reading_findings(with_points(point("rim", 0.00062), point("middle", 0.00061), point("hatch", 0.00088)))
    assert whole.place == "B-1"
    assert whole.what == "thin by about 12 % at all 3 points"
    (blunt,) = reading_findings(with_points(point("rim", 0.0008, 0.0001)))
    assert blunt.why.endswith("the gauge is blunt for this tolerance")


def test_a_point_that_is_not_planned_is_told_with_a_near_name() -> None:
    (strange,) = reading_findings(with_points(point("midle", 0.0007)))
    assert strange.do == 'correct the name: did you mean "middle"?'


def test_pinholes_are_counted_by_place_against_the_area() -> None:
    def holes(count: int, place: str) -> Noted[object]:
        return noted(Measured(subject="B-1", found=Found.PINHOLES, value=count, place=place), 90.0)

    # 2 in 100 cm² are 40 on 0.2 m²
    (few,) = reading_findings(with_points(holes(9, "rim"), holes(1, "middle")))
    assert (few.severity, few.what) == (Severity.WATCH, "10 pinholes (9 rim, 1 middle), 0.5 in 100 cm²")
    (many,) = reading_findings(with_points(holes(41, "rim")))
    assert (many.severity, many.what) == (Severity.DECIDE, "41 pinholes (41 rim), 2 in 100 cm²")
    assert reading_findings(with_points(holes(0, "rim"))) == ()


def test_films_are_accounted_for_piece_by_piece() -> None:
    short = replace(build(), laid=ticks(short=("2B", "3A")))
    assert [(f.piece, f.films, f.off) for f in films_short(short)] == [("2B", 2, 1), ("3A", 2, 1)]
    (finding,) = reading_findings(short)
    assert finding.severity is Severity.STOP
    assert finding.what == "2 backing films are not accounted for (ply 2 piece 2B: 1 of 2, ply 3 piece 3A: 1 of 2)"
    cured = replace(short, cures=(noted(Cured(builds=("B-1",)), 300.0),))  # type: ignore[arg-type]
    assert reading_findings(cured)[0].severity is Severity.DECIDE
    unticked = replace(build(), laid=ticks(skip=("1A",)), cures=cured.cures)
    assert reading_findings(unticked)[0].what == "it was cured with 1 of its pieces not ticked: 1A (ply 1)"
    more = replace(build(), laid=(noted(Laid(build="B-1", ply=1, piece="1A", films=3), 5.0),))  # type: ignore[arg-type]
    assert reading_findings(more)[0].what == "more films came off than the sheet says (ply 1 piece 1A: 3 of 2)"
