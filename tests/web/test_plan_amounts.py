"""Amounts inside sentences, against the unit library and the way the pages say amounts themselves."""

from __future__ import annotations

import re
from typing import Any

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.quantity import shown
from bagside.web.words.amounts import located, measured, wordless
from bagside.web.words.tongue import MINUS, THIN, Heat, Lengths, Tongue

METRIC, GERMAN = Tongue(), Tongue(language="de")
INCH = Tongue(lengths=Lengths.INCH)
HOT = Tongue(heat=Heat.FAHRENHEIT)
UNITS: Any = pint.UnitRegistry(cache_folder=None)
NAMES = {"in": "inch", "mil": "thou", "in²": "inch**2", "oz": "ounce", "lb": "pound", "oz/yd²": "ounce/yard**2"}
NUMBER = re.compile(rf"([{MINUS}+]?[\d{THIN}]+(?:[.,]\d+)?)\s?(\S+)")


def number(text: str) -> tuple[float, str, float]:
    """Return value, unit and half of the last digit of an amount."""
    found = NUMBER.search(text)
    assert found is not None, text
    plain = found[1].replace(THIN, "").replace(MINUS, "-").replace(",", ".")
    return float(plain), found[2], 0.5 * 10.0 ** -len(plain.partition(".")[2])


@given(st.text())
def test_who_reads_metric_reads_what_the_plan_says(text: str) -> None:
    assert measured(text, METRIC) == text
    assert measured(text, GERMAN) == text


@given(
    st.floats(1e-4, 50.0),
    st.sampled_from(["m", "mm", "µm", "m²", "cm²", "g", "kg", "g/m²", "kg/m²"]),
    st.integers(0, 2),
)
def test_inches_and_ounces_are_those_of_the_unit_library(value: float, unit: str, digits: int) -> None:
    """Against pint, from the digits that the sentence shows."""
    text = shown(value, unit, digits)
    shows, _, _ = number(text)
    said, name, half = number(measured(f"it is {text} or more", INCH))
    wanted = UNITS.Quantity(shows, unit.replace("²", "**2").replace("µm", "um")).to(NAMES[name]).magnitude
    assert abs(said - wanted) <= half * 1.000001
    assert abs(said - wanted) <= 0.07 * wanted + 1e-12 or shows < 1.5 * 10.0**-digits * 10, "two figures are kept"


@given(st.floats(150.0, 900.0), st.integers(0, 1))
def test_temperatures_are_those_of_the_pages(kelvin: float, digits: int) -> None:
    text = shown(kelvin, "°C", digits)
    shows, _, _ = number(text)
    assert measured(f"at {text}", HOT) == f"at {HOT.temperature(shows + 273.15, digits)}"


@given(st.floats(0.0, 300.0), st.integers(0, 1))
def test_differences_have_no_zero_of_their_own(kelvin: float, digits: int) -> None:
    text = shown(kelvin, "K", digits)
    shows, _, _ = number(text)
    said, name, half = number(measured(f"{text} over it", HOT))
    assert name == "°F"
    assert abs(said - 1.8 * shows) <= half * 1.000001


@given(st.floats(1e-3, 3.0))
def test_lengths_areas_and_masses_are_told_as_finely_as_on_the_pages(value: float) -> None:
    """The same to half of the coarser last digit, and in the same unit."""
    for text, page in (
        (shown(value, "mm"), INCH.length(value)), (shown(value, "cm²"), INCH.area(value)),
        (shown(value, "g"), INCH.mass(value)),
    ):  # fmt: skip
        (a, unit, half), (b, name, least) = number(measured(text, INCH)), number(page)
        shows, _, step = number(text)
        assert unit == name
        assert abs(a - b) <= half + least + step * abs(a) / max(shows, 1e-9) * 1.001


@pytest.mark.parametrize(
    ("metric", "said"),
    [
        ("warm at 40 to 50 °C for 10 to 20 min", "warm at 104 to 122 °F for 10 to 20 min"),
        ("a core 3 °C above the dew point", "a core 5 °F above the dew point"),
        ("within 5 °C of it, at 20 ± 3 °C", "within 9 °F of it, at 68 ± 5 °F"),
        ("Part at 15 °C or warmer: dew point 12 °C and 3 °C.", "Part at 59 °F or warmer: dew point 54 °F and 5 °F."),
        (f"flashes at {MINUS}18 °C, trips 15 to 20 °C above the programme",
         "flashes at 0 °F, trips 27 to 36 °F above the programme"),
        ("2 °C/min, 12.5 ppm/K", "3.6 °F/min, 6.9 ppm/°F"),
    ],
)  # fmt: skip
def test_what_is_a_difference_is_read_from_its_words(metric: str, said: str) -> None:
    assert measured(metric, HOT) == said


@pytest.mark.parametrize(
    ("metric", "said"),
    [
        ("300 × 200 mm, 3, 4 and 6 mm", "11.81 × 7.87 in, 0.12, 0.16 and 0.24 in"),
        ("1 to 2 mm outside, then ±0.5 mm", "0.04 to 0.08 in outside, then ±0.02 in"),
        (f"1{THIN}087 cm² of 2{THIN}000 cm²", "168.5 in² of 310.0 in²"),
        ("plies 3 and 4, 6 mm thick, ply 3, 40 mm in", "plies 3 and 4, 0.24 in thick, ply 3, 1.57 in in"),
        ("38 g and 950 g of 200 g/m² cloth", "1.34 oz and 2.09 lb of 5.9 oz/yd² cloth"),
    ],
)
def test_ranges_lists_and_sizes(metric: str, said: str) -> None:
    assert measured(metric, INCH) == said


@pytest.mark.parametrize(
    "kept",
    [
        'state to = "80 °C" or `rate = "2 °C/min"`', "ISO 527-4, DIN 65148 and 2026-11-25T14:06", "5 W/(m² K), 3 g/cm³",
        "twill-200 of roll r-12 m", "8 h at 20 mbar, 0.07 mg/m³, 60 MPa", "0.60 EUR/m, 42 EUR/m²", "day-hatch-lid.0.2m",
    ],
)  # fmt: skip
def test_what_is_no_amount_of_the_kind_stays(kept: str) -> None:
    both = Tongue(lengths=Lengths.INCH, heat=Heat.FAHRENHEIT)
    assert measured(kept, both) == kept


@given(st.floats(-1e6, 1e6), st.integers(0, 3))
def test_a_number_is_written_with_the_sign_of_the_language(value: float, digits: int) -> None:
    text = GERMAN.number(value, digits).replace(",", ".")
    assert located(f"{text} mm", "de") == f"{GERMAN.number(value, digits)} mm"
    assert located(text, "en") == text


@pytest.mark.parametrize("kept", ["version 1.4.2", "twill-0.2", '"0.2 mm"', "25.11.2026", "card-1.5.svg", "v0.9-rc"])
def test_what_looks_like_a_number_and_is_none_keeps_its_points(kept: str) -> None:
    assert located(kept, "de") == kept


def test_amounts_in_german_sentences_are_read_with_their_comma() -> None:
    both = Tongue(language="de", lengths=Lengths.INCH, heat=Heat.FAHRENHEIT)
    assert measured("3 K über dem Taupunkt, 0,5 mm, 10 bis 15 mm", both) == (
        "5 °F über dem Taupunkt, 0,02 in, 0,39 bis 0,59 in"
    )


def test_a_bare_amount_is_no_sentence() -> None:
    assert wordless("12.5 mm, 3 °C")
    assert not wordless("12.5 mm deep")
