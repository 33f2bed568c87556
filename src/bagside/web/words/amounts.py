"""Amounts inside a sentence: in the reader's units, with the decimal sign of the language.

A plan writes ``0.23 mm``, ``40 to 50 °C``, ``300 × 200 mm``. What is not an amount stays as it is: names, dates,
versions, the numbers of standards, and what stands in quotes or back-ticks to be typed. Time, pressure, stress, volume
and prices have the same units everywhere.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, lru_cache

from babel import Locale
from babel.numbers import get_decimal_symbol

from bagside.web.words.tongue import MINUS, THIN, Heat, Lengths, Tongue

POUND = 0.45359237
"""[kg], by definition."""
INCH = 0.0254
"""[m], by definition."""
YARD = 0.9144
"""[m], by definition."""
_KEPT_AS_TYPED = re.compile(r"`[^`]*`|\"[^\"]*\"|„[^“]*“")
_DECIMAL = re.compile(r"(?<![\w.,/\-])([−+±-]?\d+)\.(\d+)(?![\w]|[.,]\d|-\w)")
_COUNTED = re.compile(
    r"\b(?:ply|plies|piece|pieces|corner|corners|tile|tiles|pass|coat|kit|kits|step|segment|pull|run|card|roll|hole|"
    r"holes|Lage|Lagen|Teil|Teile|Ecke|Ecken|Kachel|Kacheln|Satz|Schritt|Karte|Rolle|Loch|Löcher) $"
)
_WORDS = re.compile(r"[\s,;:()–×±]+")
_SPAN = r" (?:to|bis) |–|(?<=\d) ?± ?"
_LIST = ", | (?:and|or|und|oder) "
_TIMES = " [×x] | (?:by|mal) "
_LARGER = re.compile(
    r"^ (?:(?:above|below|under|over|around|über|unter) (?!\d|[−+])|more\b|less\b|to spare|warmer|cooler|colder|hotter|"
    r"higher|lower|apart|too\b|mehr|weniger|wärmer|kälter|kühler|heißer|höher|tiefer|Reserve|Abstand|"
    r"zu (?:kalt|warm|heiß))"
)
_BY = re.compile(
    r"(?:\b(?:within|by|less|plus|each|every|spread of|margin of|innerhalb von|um|je|plus|minus|weniger)|±|"
    r"\b(?:dew point|Taupunkt) [^,;:.]*? (?:and|und)) ?$"
)


@dataclass(frozen=True, slots=True)
class _Unit:
    """What becomes of an amount: ``value * scale + offset``, in ``name``, with at least so many decimals."""

    name: str
    scale: float
    least: int = 0
    offset: float = 0.0


_INCHES: dict[str, _Unit] = {
    "m": _Unit("in", 1.0 / INCH, 1),
    "cm": _Unit("in", 1e-2 / INCH, 2),
    "mm": _Unit("in", 1e-3 / INCH, 2),
    "µm": _Unit("mil", 1e-3 / INCH, 1),
    "m²": _Unit("in²", 1.0 / INCH**2, 1),
    "cm²": _Unit("in²", 1e-4 / INCH**2, 1),
    "mm²": _Unit("in²", 1e-6 / INCH**2, 3),
    "kg": _Unit("lb", 1.0 / POUND, 2),
    "g": _Unit("oz", 16e-3 / POUND, 2),
    "kg/m²": _Unit("oz/yd²", 16.0 / POUND * YARD**2),
    "g/m²": _Unit("oz/yd²", 16e-3 / POUND * YARD**2, 1),
    "m/min": _Unit("in/min", 1.0 / INCH, 1),
    "mm/min": _Unit("in/min", 1e-3 / INCH, 2),
}
_DEGREES: dict[str, _Unit] = {
    "°C": _Unit("°F", 1.8, offset=32.0),
    "K": _Unit("°F", 1.8),
    "°C/min": _Unit("°F/min", 1.8, 1),
    "K/min": _Unit("°F/min", 1.8, 1),
    "ppm/K": _Unit("ppm/°F", 1.0 / 1.8, 1),
}
_DIFFERENCE = _Unit("°F", 1.8)
_OTHERS = ("L", "mL", "s", "min", "h", "d", "mbar", "bar", "Pa", "kPa", "MPa", "GPa", "N", "kN", "kW", "kWh", "EUR")
_UNITS = frozenset([*_INCHES, *_DEGREES, *_OTHERS, "cm³/min", "°F"])


def measured(text: str, tongue: Tongue, language: str = "") -> str:
    """Return a text with its amounts in the reader's units.

    Parameters
    ----------
    text
        Metric, its numbers written as the language writes them.
    tongue
        Of the reader.
    language
        Of the text; the reader's when empty.

    Examples
    --------
    >>> measured("warm at 40 to 50 °C, 10 mm in", Tongue(heat=Heat.FAHRENHEIT))
    'warm at 104 to 122 °F, 10 mm in'
    """
    if tongue.lengths is Lengths.METRIC and tongue.heat is Heat.CELSIUS:
        return text
    return _measured(text, tongue.lengths is Lengths.INCH, tongue.heat is Heat.FAHRENHEIT, language or tongue.language)


def located(text: str, language: str) -> str:
    """Return a text with the decimal sign of a language in its numbers.

    Parameters
    ----------
    text
        Its numbers written in English.
    language
        One of `bagside.web.words.catalogue.LANGUAGES`.

    Examples
    --------
    >>> located("0.31 m of twill-0.2, version 1.4.2", "de")
    '0,31 m of twill-0.2, version 1.4.2'
    """
    sign = _sign(language)
    if sign == "." or "." not in text:
        return text
    return _outside_quotes(text, lambda part: _DECIMAL.sub(rf"\1{sign}\2", part))


def wordless(text: str) -> bool:
    """Return whether there is nothing in a text but numbers, units and signs.

    Parameters
    ----------
    text
        In any language.
    """
    return all(w in _UNITS or not any(c.isalpha() for c in w) for w in _WORDS.split(text))


@cache
def _sign(language: str) -> str:
    return str(get_decimal_symbol(Locale.parse(language)))


def _outside_quotes(text: str, change: Callable[[str], str]) -> str:
    out, at = [], 0
    for kept in _KEPT_AS_TYPED.finditer(text):
        out += [change(text[at : kept.start()]), kept[0]]
        at = kept.end()
    return "".join([*out, change(text[at:])])


@lru_cache(4096)
def _measured(text: str, inches: bool, fahrenheit: bool, language: str) -> str:
    units = (_INCHES if inches else {}) | (_DEGREES if fahrenheit else {})
    pattern = _amount(inches, fahrenheit, language)
    return _outside_quotes(text, lambda part: pattern.sub(lambda m: _said(m, units, language), part))


@cache
def _amount(inches: bool, fahrenheit: bool, language: str) -> re.Pattern[str]:
    units = [*(_INCHES if inches else ()), *(_DEGREES if fahrenheit else ())]
    unit = "|".join(re.escape(u) for u in sorted(units, key=len, reverse=True))
    number = rf"[−+±-]?(?:\d{{1,3}}(?:[{THIN}\u202f]\d{{3}})+|\d+)(?:{re.escape(_sign(language))}\d+)?"
    between = f"{_SPAN}|{_LIST}|{_TIMES}"
    return re.compile(rf"(?<![\w.,/\-])({number}(?:(?:{between}){number})*)([ \u00a0]?)({unit})(?![\w²³/·(°])")


def _said(found: re.Match[str], units: dict[str, _Unit], language: str) -> str:
    numbers, space, name = found.groups()
    before, after = found.string[: found.start()], found.string[found.end() :]
    sign = _sign(language)
    pieces = re.split(f"({_SPAN}|{_LIST}|{_TIMES})", numbers)
    first = _first_measured(pieces, before)
    values = [_value(p, sign) for p in pieces[first::2]]
    unit = units[name]
    if name == "°C" and (_LARGER.match(after) or _BY.search(before)):
        unit = _DIFFERENCE
    unit, values = _in_pounds(unit, values)
    digits = max(_digits(p, unit, sign) for p in pieces[first::2])
    out = pieces[:first]
    for k, piece in enumerate(pieces[first:]):
        if k % 2:
            out.append(piece)
            continue
        tolerance = piece.startswith("±") or (k > 0 and "±" in pieces[first + k - 1])
        offset = 0.0 if tolerance else unit.offset
        out.append(_written(values[k // 2] * unit.scale + offset, digits, sign, piece))
    return "".join(out) + (space or " ") + unit.name


def _first_measured(pieces: list[str], before: str) -> int:
    """Return where the amounts begin: numbers after ``plies`` or before a ``×`` may be no amounts."""
    if not _COUNTED.search(before):
        return 0
    joints = [k for k in range(1, len(pieces), 2) if re.fullmatch(_LIST, pieces[k])]
    return joints[-1] + 1 if joints else 0


def _value(text: str, sign: str) -> float:
    plain = re.sub(f"[{THIN}\u202f±]", "", text).replace(MINUS, "-").replace(sign, ".")
    return float(plain)


def _digits(text: str, unit: _Unit, sign: str) -> int:
    """Return how many decimals say in the other unit about as much as these in the first, and two figures at the least
    where there were two."""
    decimals = len(text.partition(sign)[2])
    if unit.name.startswith("°F"):  # a degree is as fine in both
        return max(unit.least, decimals)
    alike = max(unit.least, math.floor(decimals - math.log10(unit.scale)), 0)
    value = abs(_value(text, sign)) * unit.scale
    if not value:
        return alike
    figures = min(len(re.sub(r"\D", "", text).strip("0")), 2)
    return max(alike, figures - 1 - math.floor(math.log10(value)))


def _in_pounds(unit: _Unit, values: list[float]) -> tuple[_Unit, list[float]]:
    """Return ounces up to two pounds and pounds from there on, as everywhere on the pages."""
    if unit.name not in ("oz", "lb"):
        return unit, values
    pounds = max(abs(v) for v in values) * unit.scale / (16.0 if unit.name == "oz" else 1.0)
    if unit.name == "oz" and pounds >= 2.0:
        return _Unit("lb", unit.scale / 16.0, 2), values
    if unit.name == "lb" and pounds < 2.0:
        return _Unit("oz", unit.scale * 16.0, 2), values
    return unit, values


def _written(value: float, digits: int, sign: str, typed: str) -> str:
    rounded = round(value, digits) + 0.0
    whole, _, rest = f"{abs(rounded):.{digits}f}".partition(".")
    head = "±" if typed.startswith("±") else MINUS if rounded < 0 else "+" if typed.startswith("+") else ""
    return head + f"{int(whole):,}".replace(",", THIN) + (sign + rest if rest else "")
