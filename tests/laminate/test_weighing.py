"""What a mass means, against Bayes' rule worked by hand and against integrals done by another program's quadrature."""

from __future__ import annotations

import math

import pytest
from scipy import integrate

from bagside.errors import InputError
from bagside.laminate.weighing import masses_read
from bagside.laminate.weighing_causes import causes_of
from bagside.laminate.weighing_checks import CHECKS, parting
from bagside.laminate.weighing_plan import STAGES, Faults, WeighedPlan, WeighedPly, Weighing, kept_share

NEVER = Faults(
    missing=0.0, unlaid=0.0, extra=0.0, exchanged=0.0, film=0.0, bare=0.0, resin=0.0, roll=0.0, reading=0.0, trim=0.0,
    coat=0.0,
)


def only(**rates: float) -> Faults:
    from dataclasses import replace

    return replace(NEVER, **rates)


def ply(number: int, mass: float = 0.4, material: str = "twill", scatter: float = 0.0, **more: float) -> WeighedPly:
    return WeighedPly(number=number, material=material, area=1.0, mass=mass, scatter=scatter, **more)  # type: ignore[arg-type]


def chance(read: object, key: str) -> float:
    return sum(c.chance for c in read.candidates if c.key == key)  # type: ignore[attr-defined]


def normal(x: float, sigma: float) -> float:
    return math.exp(-0.5 * (x / sigma) ** 2) / (sigma * math.sqrt(2 * math.pi))


def test_one_ply_missing_by_hand() -> None:
    # Two plies of 400 g, no scatter, a scale of 100 g, rate 1 in 10 for each: by hand, at 600 g
    # nothing: 1 · N(−200; 0, 100) = 1 · e^−2, missing: 2 · (0.1/0.9) · N(+200; 0, 100) = 0.2222 · e^−2
    # so the chance of a ply missing is 0.2222/1.2222 = 2/11.
    plan = WeighedPlan(plies=(ply(1), ply(2)))
    read = masses_read(plan, [Weighing(stage="raw", mass=0.6, sigma=0.1)], only(missing=0.1))
    assert chance(read, "missing") == pytest.approx(2 / 11, rel=1e-12)
    assert chance(read, "nothing") == pytest.approx(9 / 11, rel=1e-12)
    row = read.rows[0]
    assert (row.planned, row.sigma, row.z) == pytest.approx((0.8, 0.1, -2.0))
    missing = next(c for c in read.candidates if c.key == "missing")
    assert missing.what == "a ply of twill is missing (ply 1 or 2)"
    assert missing.mass == pytest.approx(-0.4)
    assert missing.prior == pytest.approx(2 / 11)  # 2 · 0.1 · 0.9 / (0.9² + 2 · 0.1 · 0.9)


def test_a_film_left_in_against_an_extra_ply_by_hand() -> None:
    # A film of 30 g on each of two plies; kit on plan, laid 30 g too heavy, scales of 10 g, films known to 10 %
    # of 60 g = 6 g: the kit has 136 g². Film: (0, 30) exactly. Nothing: (0, 30) against a spread of 10 g: e^−4.5.
    # Extra: (400 + 30, 400) away: nil. Odds of a film on either of two: 2 · 0.02/0.98.
    plan = WeighedPlan(plies=(ply(1, films=1, film_mass=0.03), ply(2, films=1, film_mass=0.03)))
    seen = [Weighing(stage="kit", mass=0.86, sigma=0.01), Weighing(stage="laid", mass=0.83, sigma=0.01)]
    read = masses_read(plan, seen, only(film=0.02, extra=0.02))
    odds = 2 * 0.02 / 0.98 / math.exp(-4.5)
    assert chance(read, "film") == pytest.approx(odds / (1 + odds), rel=1e-9)
    assert chance(read, "extra") < 1e-100
    assert read.rows[0].sigma == pytest.approx(math.sqrt(136e-6))


def test_a_roll_and_its_pieces_scatter_together_and_apart_by_hand() -> None:
    # Two plies of 400 g, 5 %: 20 g each. Three quarters of the variance are the roll's: (40 g)² · 0.75 = 1200 g²;
    # a quarter is each piece's: 2 · 400 g² · 0.25 = 200 g²; with two pieces in each ply 100 g².
    one = WeighedPlan(plies=(ply(1, scatter=0.05), ply(2, scatter=0.05)))
    two = WeighedPlan(plies=(ply(1, scatter=0.05, pieces=2), ply(2, scatter=0.05, pieces=2)))
    other = WeighedPlan(plies=(ply(1, scatter=0.05), ply(2, scatter=0.05, material="uni")))
    for plan, variance in ((one, 1400), (two, 1300), (other, 2 * 400 * 0.75 + 200)):
        (row,) = masses_read(plan, [Weighing(stage="raw", mass=0.8, sigma=0.01)]).rows
        assert row.sigma == pytest.approx(math.sqrt((variance + 100) * 1e-6))


def test_a_ply_that_is_missing_does_not_scatter() -> None:
    plan = WeighedPlan(plies=(ply(1, scatter=0.05), ply(2, scatter=0.05)))
    missing = next(c for c in causes_of(plan, ["raw"], only(missing=0.1)) if c.key == "missing")
    assert missing.covariance[0, 0] == pytest.approx(0.02**2)


def test_resin_lost_is_the_integral_over_how_much() -> None:
    # 320 g of resin, half-normal with 10 %: ∫ 2 N(a; 0, 0.1) N(r + 320 a; 0, 20 g) da, by quadrature.
    plan = WeighedPlan(plies=(ply(1), ply(2)), resin=0.32)
    for off in (-0.08, -0.03, 0.0, 0.03):
        read = masses_read(plan, [Weighing(stage="raw", mass=0.8 + off, sigma=0.02)], only(resin=0.2))
        lost, _ = integrate.quad(
            lambda a, off=off: 2 * normal(a, 0.1) * normal(off + 0.32 * a, 0.02), 0.0, 1.0, epsabs=1e-13
        )
        mean, _ = integrate.quad(
            lambda a, off=off: a * 2 * normal(a, 0.1) * normal(off + 0.32 * a, 0.02), 0.0, 1.0, epsabs=1e-13
        )
        odds = 0.25 * lost / normal(off, 0.02)
        assert chance(read, "resin") == pytest.approx(odds / (1 + odds), rel=1e-9)
        resin = next(c for c in read.candidates if c.key == "resin")
        assert resin.mass == pytest.approx(-0.32 * mean / lost, rel=1e-8)


def test_a_roll_off_its_sheet_is_the_integral_over_both_sides() -> None:
    plan = WeighedPlan(plies=(ply(1), ply(2)))
    seen = [Weighing(stage="kit", mass=0.85, sigma=0.02), Weighing(stage="raw", mass=0.83, sigma=0.01)]
    read = masses_read(plan, seen, only(roll=0.1))
    off, _ = integrate.quad(
        lambda a: normal(a, 0.08) * normal(0.05 - 0.8 * a, 0.02) * normal(0.03 - 0.8 * a, 0.01), -1.0, 1.0, epsabs=1e-13
    )
    odds = 0.1 / 0.9 * off / (normal(0.05, 0.02) * normal(0.03, 0.01))
    assert chance(read, "roll") == pytest.approx(odds / (1 + odds), rel=1e-9)


def test_the_first_stage_that_is_off_tells_when_it_happened() -> None:
    plies = tuple(ply(k, scatter=0.01, films=2, film_mass=0.08) for k in range(1, 5))
    plan = WeighedPlan(plies=plies, resin=0.6, means={"trimmed": 1.4})
    kit, raw = 1.92, 1.6

    def told(**masses: float) -> str:
        seen = [Weighing(stage=s, mass=m, sigma=0.001) for s, m in masses.items()]
        return masses_read(plan, seen).best.key

    assert told(kit=kit, laid=raw, raw=raw, trimmed=1.4) == "nothing"
    assert told(kit=kit - 0.48, laid=raw - 0.4, raw=raw - 0.4) == "missing"
    assert told(kit=kit, laid=raw - 0.4, raw=raw - 0.4) == "unlaid"
    assert told(kit=kit + 0.48, laid=raw + 0.4, raw=raw + 0.4) == "extra"
    assert told(kit=kit, laid=raw + 0.04, raw=raw + 0.04) == "film"
    assert told(kit=kit, laid=raw, raw=raw - 0.1) == "resin"
    assert told(kit=kit + 0.2, laid=raw + 0.2, raw=raw + 0.2) == "roll"
    assert told(kit=kit, laid=raw + 0.3, raw=raw) == "reading"
    assert told(kit=kit, laid=raw, raw=raw, trimmed=1.3) == "trim"


def test_films_weighed_tell_a_film_that_is_in_the_part_by_hand() -> None:
    # Ten films of 8 g, known to 10 % of 80 g = 8 g on kit and films alike; scales of 1 g. A kit on plan with films that
    # are one short: the films cannot be lighter on one scale and not on the other.
    plies = tuple(ply(k, films=2, film_mass=0.016) for k in range(1, 6))
    plan = WeighedPlan(plies=plies)
    kit = Weighing(stage="kit", mass=2.08, sigma=0.001)
    read = masses_read(plan, [kit, Weighing(stage="films", mass=0.072, sigma=0.001)])
    assert read.best.key == "film"
    # r = (0, −8) without fault, C = [[65, 64], [64, 65]] g²: rᵀC⁻¹r = 64 · 65/(65² − 64²) = 32.2; with: 0
    odds = sum(c.odds for c in causes_of(plan, ["kit", "films"], only(film=0.002)) if c.key == "film")
    told = masses_read(plan, [kit, Weighing(stage="films", mass=0.072, sigma=0.001)], only(film=0.002))
    by_hand = odds * math.exp(0.5 * 64 * 65 / 129)
    assert chance(told, "film") == pytest.approx(by_hand / (1 + by_hand), rel=1e-9)
    with pytest.raises(InputError, match="films – the plan states no mass for this stage"):
        masses_read(WeighedPlan(plies=(ply(1),)), [Weighing(stage="films", mass=0.07, sigma=0.001)])


def test_a_kit_that_was_weighed_without_its_films_is_not_a_ply_short() -> None:
    # Films nobody knows: 200 ± 60 g on 800 g of cloth. Without them the kit is 200 g short; a ply of 250 g with films
    # is not so far from that, and would be believed if nobody reckoned with a bare kit.
    plies = tuple(ply(k, 0.2, films=2, film_mass=0.05, scatter=0.02) for k in range(1, 5))
    plan = WeighedPlan(plies=plies, film_scatter=0.3)
    read = masses_read(plan, [Weighing(stage="kit", mass=0.8, sigma=0.001)])
    assert read.best.key == "bare"
    assert read.best.mass == pytest.approx(-0.2)
    # by hand: N(0; 0, s) without the films' scatter against N(−200; 0, √(s² + 60²)) with nothing wrong
    cloth = 0.02 * math.sqrt(0.75 * 0.8**2 + 0.25 * 4 * 0.2**2)
    s = math.hypot(cloth, 0.001)
    told = masses_read(plan, [Weighing(stage="kit", mass=0.8, sigma=0.001)], only(bare=0.1))
    odds = 0.1 / 0.9 * normal(0.0, s) / normal(0.2, math.hypot(s, 0.06))
    assert chance(told, "bare") == pytest.approx(odds / (1 + odds), rel=1e-9)
    assert not any(c.key == "bare" for c in masses_read(plan, [Weighing(stage="raw", mass=0.8, sigma=0.1)]).candidates)


def test_what_a_scale_cannot_show_is_said() -> None:
    plies = tuple(ply(k, 0.4, scatter=0.02, films=2, film_mass=0.08) for k in range(1, 5))
    plan = WeighedPlan(plies=plies)
    sharp = masses_read(plan, [Weighing(stage="raw", mass=1.6, sigma=0.001)])
    # 2 % of 1600 g, three quarters in common: 28.8 g; a film of 40 g is 1.4 of them, a ply of 400 g is 14
    assert [(c.key, c.mass) for c in sharp.unseen] == [("film", pytest.approx(0.04))]
    blunt = masses_read(plan, [Weighing(stage="raw", mass=1.6, sigma=0.3)])
    assert {c.key for c in blunt.unseen} == {"film", "missing", "extra"}


def test_a_ply_of_the_other_cloth_is_named_with_its_ply() -> None:
    plies = (ply(1, 0.35), ply(2, 0.65, "heavy"), ply(3, 0.65, "heavy"), ply(4, 0.35))
    plan = WeighedPlan(plies=plies)
    read = masses_read(plan, [Weighing(stage="kit", mass=2.3, sigma=0.005)])
    assert (read.best.key, read.best.plies) == ("exchanged", (1, 4))
    assert read.best.what == "a ply of twill is of heavy instead (ply 1 or 4)"


def test_a_cloth_that_only_lies_in_the_workshop_may_have_got_in() -> None:
    plan = WeighedPlan(plies=(ply(1), ply(2)), others={"tooling": 0.9})
    read = masses_read(plan, [Weighing(stage="kit", mass=1.3, sigma=0.005)])
    assert read.best.what == "a ply of twill is of tooling instead (ply 1 or 2)"
    assert read.best.mass == pytest.approx(0.5)


def test_coats_show_on_the_finished_part_only() -> None:
    plan = WeighedPlan(plies=(ply(1), ply(2)), means={"trimmed": 0.7, "finished": 0.8})
    seen = [Weighing(stage=s, mass=m, sigma=0.001) for s, m in (("raw", 0.8), ("trimmed", 0.7), ("finished", 0.92))]
    assert masses_read(plan, seen).best.key == "coat"
    before = masses_read(plan, seen[:2])
    assert not any(c.key == "coat" for c in before.candidates)


def test_a_ply_is_worth_less_after_trimming() -> None:
    plan = WeighedPlan(plies=(ply(1), ply(2)), means={"trimmed": 0.6})
    assert kept_share(plan) == pytest.approx(0.75)
    missing = next(c for c in causes_of(plan, ["raw", "trimmed"], Faults()) if c.key == "missing")
    assert list(missing.shift) == pytest.approx([-0.4, -0.3])


def test_planned_scatter_is_what_is_left_over_the_cloth_s() -> None:
    # 30 g planned for the raw part, of which the cloth is 20 g: √(30² + 1²) with a scale of 1 g.
    plan = WeighedPlan(plies=(ply(1, scatter=0.05),), sigmas={"raw": 0.03})
    (row,) = masses_read(plan, [Weighing(stage="raw", mass=0.4, sigma=0.001)]).rows
    assert row.sigma == pytest.approx(math.sqrt(901e-6))


def test_a_blunt_scale_tells_nothing_and_a_sharp_one_everything() -> None:
    plan = WeighedPlan(plies=(ply(1), ply(2)), resin=0.3)
    blunt = masses_read(plan, [Weighing(stage="raw", mass=0.4, sigma=1e4)])
    for candidate in blunt.candidates:
        assert candidate.chance == pytest.approx(candidate.prior, rel=1e-4)
    sharp = masses_read(plan, [Weighing(stage="raw", mass=0.4, sigma=1e-6)], only(missing=1e-9, film=0.5))
    assert chance(sharp, "missing") == pytest.approx(1.0)


def test_the_order_of_weighings_does_not_matter() -> None:
    plan = WeighedPlan(plies=(ply(1, scatter=0.02), ply(2, scatter=0.02)), resin=0.3)
    seen = [Weighing(stage="kit", mass=0.79, sigma=0.002), Weighing(stage="raw", mass=0.75, sigma=0.001)]
    one, two = masses_read(plan, seen), masses_read(plan, seen[::-1])
    assert {c.what: c.chance for c in one.candidates} == pytest.approx({c.what: c.chance for c in two.candidates})
    assert one.fits == pytest.approx(two.fits)


def test_what_nobody_reckoned_with_is_told_by_the_fit() -> None:
    plan = WeighedPlan(plies=(ply(1), ply(2)), means={"trimmed": 0.7})
    seen = [Weighing(stage="raw", mass=1.6, sigma=0.001), Weighing(stage="trimmed", mass=0.2, sigma=0.001)]
    assert masses_read(plan, seen).fits < 1e-3
    assert masses_read(plan, [Weighing(stage="raw", mass=0.8, sigma=0.001)]).fits == pytest.approx(1.0)


def test_a_tick_changes_the_odds() -> None:
    known = WeighedPlan(plies=(ply(1, missing=0.0), ply(2, missing=0.5)))
    read = masses_read(known, [Weighing(stage="raw", mass=0.4, sigma=0.01)])
    assert read.best.plies == (2,)


@pytest.mark.parametrize(
    ("weighings", "sentence"),
    [
        ([], "weighings – at least one is wanted"),
        (
            [Weighing(stage="wet", mass=1.0, sigma=0.1)],
            'weighing, stage: "wet" – one of kit, laid, raw, trimmed, finished or films is wanted',
        ),
        (
            [Weighing(stage="trimmed", mass=1.0, sigma=0.1)],
            "weighing, trimmed – the plan states no mass for this stage",
        ),
        (
            [Weighing(stage="raw", mass=1.0, sigma=0.0)],
            "weighing, raw, error of the scale: 0 – 1 mg or more is wanted: half a digit of the scale at least",
        ),
        ([Weighing(stage="raw", mass=-1.0, sigma=0.1)], "weighing, raw, mass: -1 – 0 kg or more is wanted"),
    ],
)
def test_what_cannot_be_weighed_is_refused(weighings: list[Weighing], sentence: str) -> None:
    with pytest.raises(InputError) as caught:
        masses_read(WeighedPlan(plies=(ply(1),)), weighings)
    assert str(caught.value) == sentence


def test_a_plan_that_cannot_be_weighed_is_refused() -> None:
    with pytest.raises(InputError) as caught:
        WeighedPlan(
            plies=(ply(1, 0.0), ply(2, scatter=1.0)), means={"wet": 1.0}, sigmas={"raw": -1.0}, others={"u": 0.0}
        )
    places = ["ply 1, mass", "ply 2, scatter", "plan, u", "plan, stage", "plan, raw"]
    assert [p.place for p in caught.value.problems] == places
    with pytest.raises(InputError, match="at least one ply"):
        WeighedPlan(plies=())


def test_checks_part_every_pair_that_they_can() -> None:
    # Resin lost and a ply missing: not the scale again, but thickness (all over, or in one ply).
    chosen, left = parting(["resin", "missing"], "raw")
    assert ([c.key for c in chosen], left) == (["films"], ())
    chosen, left = parting(["film", "extra"], "raw")
    assert ([c.key for c in chosen], left) == (["films"], ())
    chosen, left = parting(["roll", "resin"], "raw")
    assert ([c.key for c in chosen], left) == (["thickness"], ())
    chosen, left = parting(["roll", "missing", "exchanged", "reading"], "kit")
    assert ({c.key for c in chosen}, left) == ({"count", "again"}, ())
    chosen, left = parting(["trim", "roll"], "raw")  # it is not trimmed yet: only the roll can be looked at
    assert ([c.key for c in chosen], left) == (["thickness"], ())
    assert parting(["nothing"], "raw") == ((), ())


def test_every_cause_has_a_check_of_its_own_against_nothing_wrong() -> None:
    for key in ("missing", "unlaid", "extra", "exchanged", "film", "resin", "roll", "reading", "trim", "coat"):
        _, left = parting([key, "nothing"], "finished")
        assert left == (), key
    assert all(STAGES.index(c.since) <= STAGES.index(c.until) for c in CHECKS)
