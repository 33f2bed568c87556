"""Life of prepreg: counted by a data sheet on the safe side."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from bagside.cure.life import LifeSheet, Spell
from bagside.cure.life_notes import life_findings
from bagside.cure.rate_laws import NthOrder
from bagside.errors import InputError
from bagside.findings import Basis, Severity

ZERO_C = 273.15
HOUR, DAY = 3600.0, 86400.0
FREEZER, FRIDGE, WARM = 255.15, 273.15, 298.15
SHEET = LifeSheet(points=((FREEZER, 365 * DAY), (FRIDGE, 91.25 * DAY), (WARM, 28 * DAY)))


def room(life: float = 30 * DAY, **more: float) -> LifeSheet:
    return LifeSheet(points=((21 + ZERO_C, life),), **more)


def test_a_sheet_says_far_less_for_the_freezer_than_chemistry_does():
    """1 year at −18 °C, 3 months at 0 °C, 4 weeks at 25 °C as printed in a trade text: 32 to 38 kJ/mol (derived here).

    From the freezer to the room 38, from the fridge to the room 32; the freezer alone against the fridge says 45.
    """
    assert SHEET.energies == pytest.approx((44.6e3, 32.0e3), abs=50.0)
    both = LifeSheet(points=(SHEET.points[0], SHEET.points[2]))
    assert both.energies == pytest.approx((37.8e3,), abs=50.0)


@pytest.mark.parametrize(
    ("energy", "wanted"),
    [
        (60e3, [0.024, 0.045, 0.22, 0.39, 0.60, 0.78]),
        (70e3, [0.013, 0.027, 0.17, 0.33, 0.55, 0.74]),
        (80e3, [0.007, 0.016, 0.13, 0.28, 0.51, 0.71]),
    ],
)
def test_rates_of_cold_places_as_tabled(energy, wanted):
    """Rate against 21 °C at −18, −12, 4, 10, 15 and 18 °C, worked by hand from Arrhenius to the digits shown."""
    got = room(cold=energy).rate(np.array([-18, -12, 4, 10, 15, 18]) + ZERO_C)
    for value, target in zip(got, wanted, strict=True):
        assert float(value) == pytest.approx(target, abs=0.0055 if target > 0.1 else 0.00055)


@pytest.mark.parametrize(
    ("energy", "wanted"),
    [
        (60e3, [1.18, 1.39, 1.77, 2.1, 3.0, 4.4, 9]),
        (70e3, [1.21, 1.47, 1.95, 2.3, 3.7, 5.7, 13]),
        (80e3, [1.25, 1.55, 2.1, 2.6, 4.4, 7.3, 19]),
    ],
)
def test_rates_of_warm_places_as_tabled(energy, wanted):
    """Rate against 21 °C at 23, 25, 28, 30, 35, 40 and 50 °C, worked by hand to the digits shown."""
    got = room(hot=energy).rate(np.array([23, 25, 28, 30, 35, 40, 50]) + ZERO_C)
    assert got == pytest.approx(wanted, rel=0.035)


@pytest.mark.published("Rate ratio of 21 °C against −18 °C at 66.5 kJ/mol: 63.8 (Arrhenius, derived here)")
def test_ratio_of_room_and_freezer():
    assert 1.0 / float(room(cold=66.5e3).rate(FREEZER)) == pytest.approx(63.8, abs=0.1)


def test_lives_as_stated_at_the_points_and_on_the_safe_side_outside():
    assert SHEET.life([FREEZER, FRIDGE, WARM]) == pytest.approx([365 * DAY, 91.25 * DAY, 28 * DAY])
    assert SHEET.counted_at == WARM
    # colder than the sheet: 35 kJ/mol gives the life less credit than the 44.6 kJ/mol of its coldest pair would
    ratio = math.exp(35e3 / 8.314 * (1 / 245.15 - 1 / FREEZER))
    assert float(SHEET.life(245.15)) == pytest.approx(365 * DAY * ratio)
    # warmer than the sheet: 80 kJ/mol takes more than the 32 kJ/mol of its warmest pair would
    ratio = math.exp(80e3 / 8.314 * (1 / WARM - 1 / 313.15))
    assert float(SHEET.life(313.15)) == pytest.approx(28 * DAY / ratio)


def test_a_roll_in_and_out_by_hand():
    """30 days at 21 °C; 10 h at 21 °C, 6 h at 25 °C (× 1.551), 90 days at −18 °C (× 0.1124 by 35 kJ/mol)."""
    spells = [
        Spell(duration=10 * HOUR, temperature=294.15),
        Spell(duration=6 * HOUR, temperature=298.15),
        Spell(duration=90 * DAY, temperature=FREEZER),
    ]
    warm = math.exp(80e3 / 8.314 * (1 / 294.15 - 1 / 298.15))
    cold = math.exp(-35e3 / 8.314 * (1 / FREEZER - 1 / 294.15))
    assert (warm, cold) == (pytest.approx(1.551, abs=0.001), pytest.approx(0.1121, abs=0.0005))
    hours = 10 + 6 * warm + 90 * 24 * cold
    assert room().used(spells) == pytest.approx(hours * HOUR, rel=1e-9)
    assert room().share(spells) == pytest.approx(hours / 720, rel=1e-9)
    assert room().left(0.25, 294.15) == pytest.approx(22.5 * DAY)
    assert room().left(1.5, 294.15) == 0.0


def test_two_clocks_are_two_sheets():
    """Tack of 10 days and out-life of 30: the same hours use three times the share of tack."""
    spells = [Spell(duration=50 * HOUR, temperature=296.15), Spell(duration=20 * DAY, temperature=FREEZER)]
    assert room(10 * DAY).share(spells) == pytest.approx(3.0 * room(30 * DAY).share(spells))


@given(st.floats(230.0, 330.0), st.floats(230.0, 330.0), st.floats(60.0, 1e7))
def test_an_even_change_is_counted_exactly(a, b, duration):
    """Against scipy's quadrature with the corners of the rate named."""
    spell = Spell(duration=duration, temperature=a, to=b)
    inside = [(t - a) / (b - a) for t, _ in SHEET.points if min(a, b) < t < max(a, b)]
    wanted, _ = quad(lambda s: float(SHEET.rate(a + (b - a) * s)), 0.0, 1.0, points=inside or None, limit=200)
    assert SHEET.used([spell]) == pytest.approx(duration * wanted, rel=1e-6)
    assert spell.at([0.0, duration]) == pytest.approx([a, b])


@given(st.lists(st.tuples(st.floats(0.0, 1e6), st.floats(240.0, 320.0)), min_size=1, max_size=5))
def test_life_used_adds_up_and_warmth_uses_more(parts):
    spells = [Spell(duration=d, temperature=t) for d, t in parts]
    warmer = [Spell(duration=d, temperature=t + 3.0) for d, t in parts]
    assert SHEET.used(spells) == pytest.approx(sum(SHEET.used([s]) for s in spells))
    assert SHEET.used(warmer) >= SHEET.used(spells)


def test_findings_about_life():
    spells = [Spell(duration=29 * DAY, temperature=294.15), Spell(duration=30 * HOUR, temperature=308.15)]
    found = life_findings(
        "roll A",
        room(),
        spells,
        basis=Basis.DATA_SHEET,
        source="its data sheet",
        kinetics=NthOrder(A=1e5, E=7e4, n=1.0),
    )
    assert [f.severity for f in found] == [Severity.STOP, Severity.SEEN]
    used = room().used(spells) / HOUR
    assert found[0].what == f"{used:.0f} h of its 720 h at 21 °C are used"
    assert found[1].what == "it was between 21 °C and 35 °C; its life is stated at 21 °C only"
    few = life_findings(
        "roll A",
        room(),
        [Spell(duration=DAY, temperature=FREEZER)],
        basis=Basis.DATA_SHEET,
        source="",
        kinetics=NthOrder(A=1e5, E=7e4, n=1.0),
    )
    assert few[-1].what == "it was as cold as −18 °C, and its rate law is believed from 17 °C up"
    both = [
        [
            f.what
            for f in life_findings("roll A", room(), [], basis=Basis.COMMON, source="", by_life=0.02, by_law=by_law)
        ]
        for by_law in (0.0299, 0.0301, 0.013)
    ]
    assert both == [
        [],
        ["by its rate law it would be at 3.0 % cure, by life at 2.0 %"],
        ["by its rate law it would be at 1.3 % cure, by life at 2.0 %"],
    ]
    assert [
        life_findings("a", room(), [Spell(duration=s * 30 * DAY, temperature=294.15)], basis=Basis.COMMON, source="")
        for s in (0.0, 0.69)
    ] == [[], []]
    grades = [
        life_findings("a", room(), [Spell(duration=s * 30 * DAY, temperature=294.15)], basis=Basis.COMMON, source="")[
            0
        ].severity
        for s in (0.71, 0.91, 1.0)
    ]
    assert grades == [Severity.WATCH, Severity.DECIDE, Severity.STOP]


def test_what_cannot_be_a_life_is_refused():
    with pytest.raises(InputError) as e:
        LifeSheet(points=((294.15, 10 * DAY), (298.15, 20 * DAY)))
    assert str(e.value) == (
        "life: 240 h at 21 °C, 480 h at 25 °C – a life that falls as it gets warmer is wanted, and one for each "
        "temperature"
    )
    with pytest.raises(InputError) as e:
        LifeSheet(points=(), reference=-1.0, cold=0.0)
    assert [p.place for p in e.value.problems] == ["life", "life, reference", "life, cold"]
    with pytest.raises(InputError) as e:
        LifeSheet(points=((294.15, math.nan),))
    assert [p.place for p in e.value.problems] == ["life"]
    with pytest.raises(InputError) as e:
        Spell(duration=-1.0, temperature=0.0)
    assert [p.wanted for p in e.value.problems] == [
        "a time of zero or more is wanted",
        "a temperature above 0 K is wanted",
        "a temperature above 0 K is wanted",
    ]
