"""Text with a unit ⇄ SI, once, at the border.

Inside the package every number is SI and bare. A person writes ``"0.23 mm"`` or ``"2 °C/min"``; a bare number where a
unit is needed is an error, and a unit is never guessed from the size of a number. Temperatures become kelvin,
differences of temperature stay differences (K), money is in the workshop's one currency.
"""

from __future__ import annotations

import re
import tokenize
from dataclasses import dataclass
from enum import Enum
from functools import cache
from typing import Any


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of quantity: its SI unit and how a person may write it.

    Parameters
    ----------
    unit
        SI unit in pint's spelling.
    example
        How a person would write one, for messages.
    """

    unit: str
    example: str


class Quantity(Enum):
    """The kinds of quantity that files and commands take."""

    LENGTH = Kind("meter", "0.23 mm")
    AREA = Kind("meter**2", "0.12 m²")
    VOLUME = Kind("meter**3", "30 L")
    MASS = Kind("kilogram", "156 g")
    DENSITY = Kind("kilogram/meter**3", "1.78 g/cm³")
    AREAL_WEIGHT = Kind("kilogram/meter**2", "200 g/m²")
    TIME = Kind("second", "4 h")
    TEMPERATURE = Kind("kelvin", "80 °C")
    DIFFERENCE = Kind("delta_degC", "5 K")
    RAMP = Kind("delta_degC/second", "2 °C/min")
    PRESSURE = Kind("pascal", "20 mbar")
    MODULUS = Kind("pascal", "60 GPa")
    FORCE = Kind("newton", "50 N")
    ANGLE = Kind("radian", "45°")
    EXPANSION = Kind("1/delta_degC", "3 ppm/K")
    CONDUCTIVITY = Kind("watt/meter/delta_degC", "0.64 W/(m K)")
    HEAT_CAPACITY = Kind("joule/kilogram/delta_degC", "1050 J/(kg K)")
    HEAT = Kind("joule/kilogram", "400 kJ/kg")
    FILM = Kind("watt/meter**2/delta_degC", "20 W/(m² K)")
    CONDUCTANCE = Kind("watt/delta_degC", "8 W/K")
    POWER = Kind("watt", "3 kW")
    FLOW = Kind("meter**3/second", "6 m³/h")
    ACTIVATION = Kind("joule/mole", "66 kJ/mol")
    RATE_CONSTANT = Kind("1/second", "1.5e5 1/s")
    VISCOSITY = Kind("pascal*second", "30 Pa s")
    FRACTION = Kind("dimensionless", "38 %")
    MONEY = Kind("money", "42 EUR")
    MONEY_PER_AREA = Kind("money/meter**2", "42 EUR/m²")
    MONEY_PER_LENGTH = Kind("money/meter", "0.60 EUR/m")
    MONEY_PER_MASS = Kind("money/kilogram", "60 EUR/kg")
    MONEY_PER_VOLUME = Kind("money/meter**3", "45 EUR/L")
    MONEY_PER_TIME = Kind("money/second", "38 EUR/h")
    MONEY_PER_ENERGY = Kind("money/joule", "0.32 EUR/kWh")
    SPEED = Kind("meter/second", "1 m/min")
    AREA_RATE = Kind("meter**2/second", "1.5 m²/h")
    HUMIDITY = Kind("dimensionless", "50 %")


class NotAQuantity(ValueError):  # noqa: N818 - reads as a sentence where it is caught
    """Text that cannot be read as the quantity wanted; its message says what came and what is wanted."""


THIN_SPACE = "\u2009"
_SPACES = " \u00a0\u2009\u202f"  # plain, no-break, thin, narrow no-break
_SPLIT = re.compile(rf"^\s*([+\-−]?(?:\d[\d{_SPACES}]*)?(?:[.]\d+)?(?:[eE][+\-−]?\d+)?)\s*(.*)$")
_CURRENCY = re.compile(r"\b[A-Z]{3}\b")
_UNIT = re.compile(r"[A-Za-z0-9_*/() .^-]{0,60}")
_SUPERSCRIPT = str.maketrans({"²": "**2", "³": "**3"})


_LINES: dict[str, dict[str, tuple[float, float]]] = {
    "meter": {"m": (1.0, 0.0), "cm": (0.01, 0.0), "mm": (0.001, 0.0), "um": (1e-06, 0.0),
              "in": (0.0254, 0.0)},
    "meter**2": {"m**2": (1.0, 0.0), "cm**2": (0.0001, 0.0), "mm**2": (1e-06, 0.0)},
    "meter**3": {"L": (0.0010000000000000002, 0.0), "mL": (1.0000000000000002e-06, 0.0)},
    "kilogram": {"kg": (1.0, 0.0), "g": (0.001, 0.0)},
    "kilogram/meter**3": {"g/cm**3": (999.9999999999999, 0.0), "kg/m**3": (1.0, 0.0)},
    "kilogram/meter**2": {"g/m**2": (0.001, 0.0)},
    "second": {"s": (1.0, 0.0), "min": (60.0, 0.0), "h": (3600.0, 0.0), "d": (86400.0, 0.0), "day": (86400.0, 0.0),
               "days": (86400.0, 0.0)},
    "kelvin": {"degC": (1.0, 273.15), "K": (1.0, 0.0)},
    "delta_degC": {"delta_degC": (1.0, 0.0)},
    "delta_degC/second": {"delta_degC/min": (0.016666666666666666, 0.0)},
    "pascal": {
        "Pa": (1.0, 0.0), "hPa": (100.0, 0.0), "mbar": (100.0, 0.0), "bar": (1e5, 0.0), "MPa": (1e6, 0.0),
        "GPa": (1e9, 0.0),
    },
    "newton": {"N": (1.0, 0.0)},
    "radian": {"degree": (0.017453292519943295, 0.0), "deg": (0.017453292519943295, 0.0)},
    "1/delta_degC": {"cure_ppm/delta_degC": (1e-06, 0.0)},
    "watt/meter/delta_degC": {"W/(m*delta_degC)": (1.0, 0.0)},
    "watt/meter**2/delta_degC": {"W/(m**2*delta_degC)": (1.0, 0.0)},
    "watt/delta_degC": {"W/delta_degC": (1.0, 0.0)},
    "watt": {"kW": (1000.0, 0.0)},
    "joule/kilogram": {"kJ/kg": (1000.0, 0.0)},
    "joule/kilogram/delta_degC": {"J/(kg*delta_degC)": (1.0, 0.0)},
    "joule/mole": {"kJ/mol": (1000.0, 0.0)},
    "pascal*second": {"Pa*s": (1.0, 0.0)},
    "1/second": {"1/s": (1.0, 0.0)},
    "meter/second": {"m/min": (0.016666666666666666, 0.0)},
    "meter**2/second": {"m**2/h": (0.0002777777777777778, 0.0)},
    "meter**3/second": {"m**3/h": (0.0002777777777777778, 0.0)},
    "dimensionless": {"percent": (0.01, 0.0)},
    "money": {"money": (1.0, 0.0)},
    "money/meter": {"money/m": (1.0, 0.0)},
    "money/meter**2": {"money/m**2": (1.0, 0.0)},
    "money/meter**3": {"money/L": (999.9999999999999, 0.0)},
    "money/kilogram": {"money/kg": (1.0, 0.0)},
    "money/second": {"money/h": (0.0002777777777777778, 0.0)},
    "money/joule": {"money/kWh": (2.7777777777777776e-07, 0.0)},
}  # fmt: skip
"""Scale and offset to SI of the units that workshops write every day, exactly as pint has them, so that most commands
start without loading pint, which takes longer than all that they do. A test holds each against pint."""


@cache
def _registry() -> Any:
    import pint

    registry: Any = pint.UnitRegistry(cache_folder=None)
    registry.define("money = [currency]")
    registry.define("cure_ppm = 1e-6")
    return registry


def _unit_text(text: str, kind: Quantity) -> str:
    unit = text.strip().translate(_SUPERSCRIPT).replace("·", "*").replace("µ", "u").replace("μ", "u")
    unit = _CURRENCY.sub("money", unit) if "money" in kind.value.unit else unit
    unit = unit.replace("ppm", "cure_ppm").replace("%", "percent")
    degree = "radian" not in kind.value.unit
    unit = unit.replace("°C", "degC").replace("℃", "degC").replace("°F", "degF")
    if not degree:
        unit = unit.replace("°", "degree")
    if kind is not Quantity.TEMPERATURE:
        unit = re.sub(r"\bdegC\b", "delta_degC", unit)
        unit = re.sub(r"\bdegF\b", "delta_degF", unit)
        unit = re.sub(r"\bK\b", "delta_degC", unit)
    return re.sub(r"(?<=[\w)])\s+(?=[\w(])", "*", unit)


@cache
def _line(unit: str, kind: Quantity) -> tuple[float, float]:
    """Return scale and offset from a unit to SI; every unit here is a straight line of it."""
    registry = _registry()
    zero, one = (float(registry.Quantity(x, unit).to(kind.value.unit).magnitude) for x in (0.0, 1.0))
    return (one - zero if zero else one, zero)


def _read_line(unit: str, kind: Quantity, text: str, want: str) -> tuple[float, float]:
    """Return scale and offset of a unit that is not in the table, or say what is wrong with it."""
    import pint

    try:
        return _line(unit, kind)
    except pint.UndefinedUnitError:
        raise NotAQuantity(f'the unit of "{text}" is not known; {want}') from None
    except pint.DimensionalityError:
        raise NotAQuantity(f'"{text}" is not {_article(kind)}; {want}') from None
    except (pint.PintError, ValueError, TypeError, SyntaxError, AttributeError, AssertionError, tokenize.TokenError):
        raise NotAQuantity(f'"{text}" cannot be read; {want}') from None


def read(text: object, kind: Quantity) -> float:
    """Return text with a unit as an SI number.

    Parameters
    ----------
    text
        What a person wrote: a number and a unit. Thin or plain spaces may group thousands.
    kind
        What is wanted there.

    Raises
    ------
    NotAQuantity
        When there is no unit, the unit is unknown or measures something else, or the number is not finite.

    Examples
    --------
    >>> read("0.23 mm", Quantity.LENGTH)
    0.00023
    >>> read("80 °C", Quantity.TEMPERATURE)
    353.15
    """
    want = f'a number with a unit is wanted, as in "{kind.value.example}"'
    if isinstance(text, bool) or not isinstance(text, str):
        raise NotAQuantity(f"{text!r} has no unit; {want}")
    match = _SPLIT.match(text)
    if match is None or not any(c.isdigit() for c in match.group(1)):
        raise NotAQuantity(f'"{text}" does not start with a number; {want}')
    digits = re.sub(f"[{_SPACES}]", "", match.group(1)).replace("−", "-")
    value = float(digits)
    unit = _unit_text(match.group(2), kind)
    if not _UNIT.fullmatch(unit):
        raise NotAQuantity(f'"{text}" cannot be read; {want}')
    if unit == "":
        if kind in (Quantity.FRACTION, Quantity.HUMIDITY):
            return value
        raise NotAQuantity(f'"{text}" has no unit; {want}')
    scale, offset = _LINES.get(kind.value.unit, {}).get(unit) or _read_line(unit, kind, text, want)
    result = value * scale + offset
    if not -1e300 < result < 1e300:
        raise NotAQuantity(f'"{text}" is not a finite number; {want}')
    return result


def _article(kind: Quantity) -> str:
    name = kind.name.lower().replace("_", " ")
    return ("an " if name[0] in "aeiou" else "a ") + name


def shown(value: float, unit: str, digits: int = 1) -> str:
    """Return an SI number as text in a unit a person reads, with true minus and thin spaces in thousands.

    Parameters
    ----------
    value
        The number in SI.
    unit
        The unit to show it in, as a person writes it: ``mm``, ``°C``, ``g``, ``min``, ``GPa``, ``%``, ``°``, ``K``.
    digits
        Digits after the point.

    Raises
    ------
    KeyError
        When the unit is not one this package shows.

    Examples
    --------
    >>> shown(353.15, "°C", 0)
    '80 °C'
    """
    scale, offset = _SHOWN[unit]
    number = value * scale + offset
    text = f"{number:,.{digits}f}".replace(",", THIN_SPACE).replace("-", "−")
    if text.strip("−0.") == "":
        text = text.lstrip("−")
    return f"{text}{'' if unit == '°' else ' '}{unit}"


_SHOWN: dict[str, tuple[float, float]] = {
    "m": (1.0, 0.0),
    "mm": (1e3, 0.0),
    "µm": (1e6, 0.0),
    "m²": (1.0, 0.0),
    "cm²": (1e4, 0.0),
    "L": (1e3, 0.0),
    "mL": (1e6, 0.0),
    "g": (1e3, 0.0),
    "kg": (1.0, 0.0),
    "g/m²": (1e3, 0.0),
    "kg/m²": (1.0, 0.0),
    "s": (1.0, 0.0),
    "min": (1 / 60, 0.0),
    "h": (1 / 3600, 0.0),
    "°C": (1.0, -273.15),
    "K": (1.0, 0.0),
    "°C/min": (60.0, 0.0),
    "mbar": (1e-2, 0.0),
    "bar": (1e-5, 0.0),
    "MPa": (1e-6, 0.0),
    "GPa": (1e-9, 0.0),
    "N": (1.0, 0.0),
    "kWh": (1 / 3.6e6, 0.0),
    "°": (57.29577951308232, 0.0),
    "%": (100.0, 0.0),
    "Pa s": (1.0, 0.0),
    "ppm/K": (1e6, 0.0),
    "W/(m² K)": (1.0, 0.0),
}
