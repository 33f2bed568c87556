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
_SPAN = " (?:to|bis) |–| ?± ?"
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
    """What becomes of an amount: ``value * scale + offset``, in ``name``."""

    name: str
    scale: float
    offset: float = 0.0


_INCHES: dict[str, _Unit] = {
    "m": _Unit("in", 1.0 / INCH),
    "cm": _Unit("in", 1e-2 / INCH),
    "mm": _Unit("in", 1e-3 / INCH),
    "µm": _Unit("mil", 1e-3 / INCH),
    "m²": _Unit("in²", 1.0 / INCH**2),
    "cm²": _Unit("in²", 1e-4 / INCH**2),
    "mm²": _Unit("in²", 1e-6 / INCH**2),
    "kg": _Unit("lb", 1.0 / POUND),
    "g": _Unit("oz", 16e-3 / POUND),
    "kg/m²": _Unit("oz/yd²", 16.0 / POUND * YARD**2),
    "g/m²": _Unit("oz/yd²", 16e-3 / POUND * YARD**2),
    "m/min": _Unit("in/min", 1.0 / INCH),
    "mm/min": _Unit("in/min", 1e-3 / INCH),
}
_DEGREES: dict[str, _Unit] = {
    "°C": _Unit("°F", 1.8, 32.0),
    "K": _Unit("°F", 1.8),
    "°C/min": _Unit("°F/min", 1.8),
    "K/min": _Unit("°F/min", 1.8),
    "ppm/K": _Unit("ppm/°F", 1.0 / 1.8),
}
_DIFFERENCE = _Unit("°F", 1.8)


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
    digits = _digits(max(_decimals(p, sign) for p in pieces[first::2]), unit.scale)
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


def _decimals(text: str, sign: str) -> int:
    return len(text.partition(sign)[2])


def _digits(decimals: int, scale: float) -> int:
    """Return how many decimals say as much in the other unit as these do in the first."""
    return max(0, math.ceil(decimals - math.log10(scale) - 1e-9))


def _in_pounds(unit: _Unit, values: list[float]) -> tuple[_Unit, list[float]]:
    """Return ounces up to two pounds and pounds from there on, as everywhere on the pages."""
    if unit.name not in ("oz", "lb"):
        return unit, values
    pounds = max(abs(v) for v in values) * unit.scale / (16.0 if unit.name == "oz" else 1.0)
    if unit.name == "oz" and pounds >= 2.0:
        return _Unit("lb", unit.scale / 16.0), values
    if unit.name == "lb" and pounds < 2.0:
        return _Unit("oz", unit.scale * 16.0), values
    return unit, values


def _written(value: float, digits: int, sign: str, typed: str) -> str:
    rounded = round(value, digits) + 0.0
    whole, _, rest = f"{abs(rounded):.{digits}f}".partition(".")
    head = "±" if typed.startswith("±") else MINUS if rounded < 0 else "+" if typed.startswith("+") else ""
    return head + f"{int(whole):,}".replace(",", THIN) + (sign + rest if rest else "")
