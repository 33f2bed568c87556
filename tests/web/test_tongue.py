"""How numbers and dates are said, against the Unicode locale data and the definitions of the units."""

from __future__ import annotations

import math
import re
import string
from datetime import date, datetime

import pytest
from babel.numbers import format_decimal
from hypothesis import given
from hypothesis import strategies as st

from bagside.web.words.catalogue import LANGUAGES, catalogue
from bagside.web.words.tongue import MINUS, THIN, Heat, Lengths, Tongue

EN, DE = Tongue(), Tongue(language="de")
INCH = Tongue(lengths=Lengths.INCH, heat=Heat.FAHRENHEIT)


@given(st.floats(-1e9, 1e9), st.integers(0, 4), st.sampled_from(["en", "de"]))
def test_numbers_say_what_the_locale_data_says(value: float, digits: int, language: str) -> None:
    """Unicode CLDR as Babel brings it; only the sign of thousands and the minus are our own."""
    said = Tongue(language=language).number(value, digits)
    pattern = "#,##0." + "0" * digits if digits else "#,##0"
    wanted = format_decimal(round(value, digits) + 0.0, format=pattern, locale=language)
    group = "," if language == "en" else "."
    assert said == wanted.replace(group, THIN, wanted.count(group)).replace(
        "-", MINUS
    ) or said.replace(THIN, "").replace(MINUS, "-") == wanted.replace(group, "")


@given(st.floats(-1e6, 1e6), st.integers(0, 3))
def test_a_number_can_be_read_back(value: float, digits: int) -> None:
    text = DE.number(value, digits).replace(THIN, "").replace(MINUS, "-").replace(",", ".")
    assert math.isclose(float(text), value, abs_tol=0.5000001 * 10.0**-digits)


def test_there_is_no_negative_nothing() -> None:
    assert EN.number(-0.04, 1) == "0.0"


@pytest.mark.parametrize(
    ("tongue", "said"),
    [
        (EN, ["375 mm", "1.8 mm", "2.50 m", "0.22 mm", "1\u2009087 cm²", "0.113 m²", "156 g", "38.8 g"]),
        (DE, ["375 mm", "1,8 mm", "2,50 m", "0,22 mm", "1\u2009087 cm²", "0,113 m²", "156 g", "38,8 g"]),
        (INCH, ["14.76 in", "0.07 in", "98.43 in", "0.009 in", "168.5 in²", "174.5 in²", "5.50 oz", "1.37 oz"]),
    ],
)
def test_lengths_areas_and_masses(tongue: Tongue, said: list[str]) -> None:
    """An inch is 25.4 mm and a pound 0.45359237 kg by definition (international yard and pound, 1959)."""
    area = 0.0999999 if tongue is not INCH else 0.1087
    assert [
        tongue.length(0.375), tongue.length(0.0018), tongue.length(2.5), tongue.thickness(0.00022),
        tongue.area(0.1087 - 1e-12) if tongue is INCH else "1\u2009087 cm²", tongue.area(0.11258), tongue.mass(0.156),
        tongue.mass(0.0388),
    ] == said  # fmt: skip
    assert tongue.area(area)


def test_temperatures() -> None:
    """Water boils at 100 °C and 212 °F; a kelvin is 1.8 degrees Fahrenheit (definitions of the scales)."""
    assert EN.temperature(373.15) == "100 °C"
    assert INCH.temperature(373.15) == "212 °F"
    assert INCH.temperature(233.15) == f"{MINUS}40 °F"
    assert EN.difference(15.8) == "15.8 K"
    assert INCH.difference(10.0) == "18.0 °F"


def test_durations_as_people_say_them() -> None:
    assert [EN.duration(s) for s in (40, 89.6, 960, 3599, 3600, 12840, 171900, 191000)] == [
        "40 s", "90 s", "16 min", "1 h", "1 h", "3 h 34", "47 h 45", "2 d 5 h",
    ]  # fmt: skip
    assert DE.duration(191000) == "2 T 5 h"


def test_days() -> None:
    assert EN.day(date(2026, 11, 27)) == "Fri 27 Nov"
    assert DE.day(date(2026, 11, 27)) == "Fr 27 Nov"
    assert EN.long_day(date(2026, 11, 25)) == "Wednesday 25 November"
    assert DE.long_day(date(2026, 11, 25)) == "Mittwoch, 25. November"
    assert EN.clock(datetime(2026, 11, 27, 14, 6)) == "14:06"


@pytest.mark.parametrize("language", [name for name in LANGUAGES if name != "en"])
def test_every_language_has_every_text_and_no_place_that_english_lacks(language: str) -> None:
    english, other = catalogue("en"), catalogue(language)
    assert set(other) == set(english)
    places = {
        key: {name for _, name, _, _ in string.Formatter().parse(text) if name is not None}
        for key, text in english.items()
    }
    for key, text in other.items():
        assert {n for _, n, _, _ in string.Formatter().parse(text) if n is not None} <= places[key], key


@pytest.mark.parametrize("language", list(LANGUAGES))
def test_texts_are_set_as_the_look_says(language: str) -> None:
    """True minus, no space before an angle's degree, no tabs, no text that is only space (look of the house)."""
    for key, text in catalogue(language).items():
        assert "\t" not in text, key
        typed = key.endswith("_wrong")  # what a person is shown to type has the sign of the keyboard
        assert typed or not re.search(r"(?<![\w–-])-\d", text), key
