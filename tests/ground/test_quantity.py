"""Text with a unit ⇄ SI. Factors are those of the SI brochure and of the inch and degree Fahrenheit by definition."""

import math
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagside.quantity import _LINES, _UNIT, NotAQuantity, Quantity, _line, read, shown


@pytest.mark.published(
    "SI brochure, 9th edition (2019), tables 3, 4, 7 and 8; the inch is 25.4 mm and 0 °C is 273.15 K"
)
@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("0.23 mm", Quantity.LENGTH, 0.00023),
        ("1 in", Quantity.LENGTH, 0.0254),
        ("1 250 mm", Quantity.LENGTH, 1.25),
        ("1\u2009250 mm", Quantity.LENGTH, 1.25),
        ("80 °C", Quantity.TEMPERATURE, 353.15),
        ("212 °F", Quantity.TEMPERATURE, 373.15),
        ("−18 °C", Quantity.TEMPERATURE, 255.15),
        ("5 K", Quantity.DIFFERENCE, 5.0),
        ("5 °C", Quantity.DIFFERENCE, 5.0),
        ("9 °F", Quantity.DIFFERENCE, 5.0),
        ("2 °C/min", Quantity.RAMP, 2 / 60),
        ("200 g/m²", Quantity.AREAL_WEIGHT, 0.2),
        ("0.64 W/(m K)", Quantity.CONDUCTIVITY, 0.64),
        ("1050 J/(kg K)", Quantity.HEAT_CAPACITY, 1050.0),
        ("20 W/(m² K)", Quantity.FILM, 20.0),
        ("3 ppm/K", Quantity.EXPANSION, 3e-6),
        ("38 %", Quantity.FRACTION, 0.38),
        ("0.38", Quantity.FRACTION, 0.38),
        ("45°", Quantity.ANGLE, math.pi / 4),
        ("20 mbar", Quantity.PRESSURE, 2000.0),
        ("66 kJ/mol", Quantity.ACTIVATION, 66000.0),
        ("42 EUR/m²", Quantity.MONEY_PER_AREA, 42.0),
        ("0.36 EUR/kWh", Quantity.MONEY_PER_ENERGY, 1e-7),
        ("6 m³/h", Quantity.FLOW, 6 / 3600),
    ],
)
def test_reads(text: str, kind: Quantity, value: float) -> None:
    assert read(text, kind) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kind", "message"),
    [
        ("0.23", Quantity.LENGTH, '"0.23" has no unit; a number with a unit is wanted, as in "0.23 mm"'),
        (3, Quantity.LENGTH, '3 has no unit; a number with a unit is wanted, as in "0.23 mm"'),
        (True, Quantity.LENGTH, 'True has no unit; a number with a unit is wanted, as in "0.23 mm"'),
        ("mm", Quantity.LENGTH, '"mm" does not start with a number; a number with a unit is wanted, as in "0.23 mm"'),
        ("3 kg", Quantity.LENGTH, '"3 kg" is not a length; a number with a unit is wanted, as in "0.23 mm"'),
        ("3 mmm", Quantity.LENGTH, 'the unit of "3 mmm" is not known; a number with a unit is wanted, as in "0.23 mm"'),
        ("3,5 mm", Quantity.LENGTH, '"3,5 mm" cannot be read; a number with a unit is wanted, as in "0.23 mm"'),
        (
            "1e999 m",
            Quantity.LENGTH,
            '"1e999 m" is not a finite number; a number with a unit is wanted, as in "0.23 mm"',
        ),
        ("80 °C", Quantity.DENSITY, '"80 °C" is not a density; a number with a unit is wanted, as in "1.78 g/cm³"'),
    ],
)
def test_refuses_with_the_whole_reason(text: object, kind: Quantity, message: str) -> None:
    with pytest.raises(NotAQuantity) as caught:
        read(text, kind)
    assert str(caught.value) == message


@given(st.text(max_size=30), st.sampled_from(list(Quantity)))
def test_no_text_does_more_than_be_refused(text: str, kind: Quantity) -> None:
    try:
        value = read(text, kind)
    except NotAQuantity:
        return
    assert math.isfinite(value)


@given(st.floats(-1e6, 1e6, allow_nan=False))
def test_what_is_written_reads_back(value: float) -> None:
    assert read(f"{value!r} mm", Quantity.LENGTH) == pytest.approx(value / 1000, rel=1e-12, abs=1e-300)


def test_shows_as_people_write() -> None:
    assert shown(353.15, "°C", 0) == "80 °C"
    assert shown(0.10872, "cm²", 0) == "1\u2009087 cm²"
    assert shown(math.radians(-40.6), "°") == "−40.6°"
    assert shown(-1e-9, "mm") == "0.0 mm"
    with pytest.raises(KeyError):
        shown(1.0, "furlong")


def test_units_read_without_the_library_are_exactly_those_of_the_library() -> None:
    kinds = {kind.value.unit: kind for kind in Quantity}
    known = [(unit, kinds[si], line) for si, units in _LINES.items() for unit, line in units.items()]
    assert len(known) > 40
    assert [line for _, _, line in known] == [_line(unit, kind) for unit, kind, _ in known]
    assert all(_UNIT.fullmatch(unit) for unit, _, _ in known)


def test_every_example_of_a_quantity_is_read_without_loading_the_library() -> None:
    code = (
        "import sys\nfrom bagside.quantity import Quantity, read\n"
        "assert all(isinstance(read(k.value.example, k), float) for k in Quantity)\n"
        "assert 'pint' not in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
