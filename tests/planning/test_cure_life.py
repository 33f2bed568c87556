"""From the life a cloth has used to where its resin starts, and what a person is told of it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from bagside.cure import Spell, advanced
from bagside.errors import InputError
from bagside.findings import Severity
from bagside.planning.cure_case import case_of_job
from bagside.planning.cure_life import LAYING, ROOM, room_life, share_used, start_from_life
from bagside.planning.cure_life_notes import life_effect_findings
from bagside.planning.cure_sections import cure_resin
from bagside.planning.stages import Silent, Stages
from bagside.spec.library import generic_library
from bagside.spec.material import LifePoint
from bagside.spec.opening import open_job
from bagside.spec.workshop import Roll
from tapeshop import written_in

LIBRARY = generic_library()
CLOTH = LIBRARY.prepreg["twill-200"]


def roll(hours: float, material: str = "twill-200") -> Roll:
    return Roll(material=material, length=5.0, price=50.0, life_used=3600.0 * hours)


def test_the_share_is_that_of_the_most_used_roll_of_the_job_and_a_day_of_laying() -> None:
    cloths = [("twill-200", CLOTH), ("satin-280", LIBRARY.prepreg["satin-280"])]
    rolls = [roll(60.0), roll(200.0, "satin-280"), roll(600.0, "uni-150")]
    assert share_used(cloths, rolls) == pytest.approx((200.0 + 24.0) / 720.0)
    assert share_used(cloths[:1], rolls) == pytest.approx((60.0 + 24.0) / 720.0)
    assert share_used(cloths[:1], []) == pytest.approx(LAYING / CLOTH.out_life)


def test_a_stated_end_of_life_is_a_straight_line_from_fresh() -> None:
    stated = LIBRARY.resin["epoxy-120"]
    mixed = cure_resin(stated, 1220.0, "epoxy-120")
    assert start_from_life(stated, mixed, CLOTH.out_life, 0.5)[0] == pytest.approx(0.03)  # 1 % fresh, 5 % worn
    assert start_from_life(stated, mixed, CLOTH.out_life, 1.0)[0] == pytest.approx(0.05)
    assert start_from_life(stated, mixed, CLOTH.out_life, 1.7)[0] == pytest.approx(0.05)


def test_else_the_law_is_asked_and_believed_half_way_to_gel_at_most() -> None:
    stated = replace(LIBRARY.resin["hubert-2001"], worn=None)
    mixed = cure_resin(stated, 1300.0, "hubert-2001")
    by_law = float(advanced(mixed.kinetics, 0.01, [Spell(duration=CLOTH.out_life, temperature=ROOM)])[0])
    got = start_from_life(stated, mixed, CLOTH.out_life, 1.0)[0]
    assert got == pytest.approx(min(by_law, 0.5 * mixed.gel))
    fast = replace(LIBRARY.resin["lee-loos-springer-1982"], worn=None)
    assert start_from_life(fast, cure_resin(fast, 1260.0, "fast"), 400 * 86400.0, 1.0)[0] == pytest.approx(0.25)


def test_worn_resin_that_is_fresher_than_fresh_is_refused() -> None:
    stated = replace(LIBRARY.resin["epoxy-120"], worn=0.005)
    with pytest.raises(InputError) as told:
        start_from_life(stated, cure_resin(stated, 1220.0, "epoxy-120"), CLOTH.out_life, 0.5)
    assert str(told.value) == "resin, worn: 0.005 – more than the 0.01 of fresh resin is wanted at the end of its life"


def test_a_roll_near_its_end_gels_sooner_and_the_plan_says_so(tmp_path: Path) -> None:
    old = 'price = "50 EUR/m²"'
    file = written_in(tmp_path)
    shop = tmp_path / "shop" / "workshop.toml"
    shop.write_text(shop.read_text().replace(old, f'{old}\nlife_used = "600 h"'))
    used = case_of_job(open_job(file), Stages(store=None, progress=Silent()))
    assert used.life_share == pytest.approx(624.0 / 720.0)
    assert used.resin.alpha0 == pytest.approx(0.01 + 0.04 * 624.0 / 720.0)
    (told,) = life_effect_findings(used)
    assert told.severity in (Severity.SEEN, Severity.WATCH)
    assert "sooner than fresh resin" in told.what
    fresh = case_of_job(open_job(written_in(tmp_path / "fresh")), Stages(store=None, progress=Silent()))
    assert life_effect_findings(fresh) == ()


def test_an_out_life_stated_for_another_temperature_is_taken_to_the_room():
    """28 days at 25 °C, 91.25 at 0 °C: E/R 3848 K, so exp(3848 · 4.561e-5) = 1.192 times 28 at 21 °C (by hand)."""
    cold = LifePoint(temperature=273.15, life=91.25 * 86400.0)
    cloth = replace(CLOTH, out_life=28 * 86400.0, out_life_at=298.15, lives=(cold,), storage=None)
    assert room_life(cloth) / 86400.0 == pytest.approx(33.37, abs=0.01)
    assert room_life(CLOTH) == CLOTH.out_life
    assert share_used([("x", cloth)], []) == pytest.approx(LAYING / room_life(cloth))
    assert share_used([("x", cloth)], []) < LAYING / cloth.out_life
