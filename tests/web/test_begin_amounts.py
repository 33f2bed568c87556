"""Amounts that people type: read as their language writes numbers, refused where they could mean two things.

Decimal signs are those of CLDR (through Babel): a comma in German, a point in English.
"""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.errors import InputError
from bagside.quantity import Quantity, read
from bagside.spec import fields
from bagside.web.parts.amount import as_stated, for_person, parted, text_of
from bagside.web.words.tongue import Heat, Lengths, Tongue

EN, DE = Tongue(), Tongue(language="de")


@pytest.mark.parametrize(
    ("typed", "kind", "unit", "tongue", "stated"),
    [
        ("0.23", Quantity.LENGTH, "mm", EN, "0.23 mm"),
        ("0,23", Quantity.LENGTH, "mm", DE, "0.23 mm"),
        ("0,23", Quantity.LENGTH, "mm", EN, "0.23 mm"),
        ("9 in", Quantity.LENGTH, "mm", EN, "9 in"),
        ("−18", Quantity.TEMPERATURE, "°C", DE, "-18 °C"),
        ("176 °F", Quantity.TEMPERATURE, "°C", EN, "176 °F"),
        ("45", Quantity.ANGLE, "°", EN, "45°"),
        ("1 250", Quantity.LENGTH, "mm", DE, "1250 mm"),
        ("12", Quantity.FILM, "W/(m² K)", EN, "12 W/(m² K)"),
        ("0.05", Quantity.FRACTION, "", EN, "0.05"),
    ],
)
def test_what_is_typed_is_stated_as_a_file_does(
    typed: str, kind: Quantity, unit: str, tongue: Tongue, stated: str
) -> None:
    assert as_stated(typed, kind, unit, tongue) == stated
    read(stated, kind)


@pytest.mark.parametrize(
    ("typed", "kind", "unit", "tongue", "wanted", "says"),
    [
        ("1.250", Quantity.LENGTH, "mm", DE, None, "„1.250“ kann zweierlei heißen: schreib 1250 oder 1,250"),
        ("1,250", Quantity.LENGTH, "mm", EN, None, "“1,250” can be read in two ways: write 1250 or 1.250"),
        ("thick", Quantity.LENGTH, "mm", EN, None, "“thick” does not start with a number; as in 0.23 mm"),
        ("80 mm", Quantity.TEMPERATURE, "°C", EN, None,
         "“80 mm” is not of this kind: °C is wanted, or another unit of the same kind, as in 80 °C"),
        ("0", Quantity.LENGTH, "mm", EN, fields.PositiveLength, "“0” must be more than zero"),
        ("-1", Quantity.LENGTH, "mm", EN, fields.SomeLength, "“-1” must not be less than zero"),
        ("120", Quantity.FRACTION, "%", EN, fields.Fraction, "“120” is more than can be; 38 % is a usual value"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_with_what_is_wanted(
    typed: str, kind: Quantity, unit: str, tongue: Tongue, wanted: Any, says: str
) -> None:
    with pytest.raises(InputError) as refused:
        as_stated(typed, kind, unit, tongue, wanted)
    assert refused.value.problems[0].wanted == says


def test_a_person_of_inches_and_fahrenheit_sees_and_types_them() -> None:
    tongue = Tongue(lengths=Lengths.INCH, heat=Heat.FAHRENHEIT)
    assert for_person("12.7 mm", Quantity.LENGTH, "mm", tongue) == ("0.5", "in")
    assert for_person("150 °C", Quantity.TEMPERATURE, "°C", tongue) == ("302", "°F")  # 1.8 · 150 + 32
    assert for_person("5 K", Quantity.DIFFERENCE, "K", tongue) == ("9", "°F")
    assert for_person("2.5 °C/min", Quantity.RAMP, "°C/min", tongue) == ("4.5", "°F/min")
    assert as_stated("0.5", Quantity.LENGTH, "in", tongue) == "0.5 in"
    assert for_person("", Quantity.LENGTH, "mm", tongue) == ("", "in")
    assert for_person("0.5 mm", Quantity.LENGTH, "mm", DE) == ("0,5", "mm")
    assert for_person("0.05", Quantity.FRACTION, "%", EN) == ("0.05", "")


@given(st.floats(1e-6, 1e4), st.sampled_from(["mm", "cm", "m", "in"]), st.sampled_from([EN, DE]))
def test_what_is_shown_is_typed_back_as_the_same_amount(number: float, unit: str, tongue: Tongue) -> None:
    stated = f"{number:.6g} {unit}" if "e" not in f"{number:.6g}" else f"{number:.8f} {unit}"
    shown, behind = for_person(stated, Quantity.LENGTH, "mm", tongue)
    again = as_stated(shown, Quantity.LENGTH, behind, tongue)
    assert read(again, Quantity.LENGTH) == pytest.approx(read(stated, Quantity.LENGTH), rel=1e-12)


@pytest.mark.parametrize(
    ("value", "kind", "text"),
    [(0.005, Quantity.LENGTH, "5 mm"), (60.0, Quantity.TIME, "60 s"), (45.0, Quantity.TIME, "45 s"),
     (0.5, Quantity.FRACTION, "50 %"), (353.15, Quantity.TEMPERATURE, "80 °C"), (0.03, Quantity.AREA, "300 cm²")],
)  # fmt: skip
def test_what_counts_when_nothing_is_stated_is_said_in_usual_units(value: float, kind: Quantity, text: str) -> None:
    shown = text_of(value, kind)
    assert read(shown, kind) == pytest.approx(value)
    assert shown == text


def test_a_stated_text_is_parted_into_number_and_unit() -> None:
    assert parted("12 W/(m² K)") == ("12", "W/(m² K)")
    assert parted("45°") == ("45", "°")
    assert parted("nothing") == ("nothing", "")
