"""How one person wants to be spoken to: language, units, and so every number, duration and date.

Values come in SI and leave as text with a unit. Digits are set as the look says: thin space between thousands, true
minus, the decimal sign of the language, a space before the unit except for an angle.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from babel import Locale
from babel.dates import format_date
from babel.numbers import get_decimal_symbol

from bagside.web.words.catalogue import text

THIN = "\u2009"
MINUS = "\u2212"


class Lengths(StrEnum):
    """Units of lengths, areas and masses."""

    METRIC = "metric"
    INCH = "inch"


class Heat(StrEnum):
    """Unit of temperatures."""

    CELSIUS = "celsius"
    FAHRENHEIT = "fahrenheit"


class Theme(StrEnum):
    """Paper and ink; ``AUTO`` follows the device."""

    AUTO = "auto"
    LIGHT = "light"
    DARK = "dark"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tongue:
    """Language and units of one person.

    Parameters
    ----------
    language
        One of `bagside.web.words.catalogue.LANGUAGES`.
    lengths, heat, theme
        As chosen.
    """

    language: str = "en"
    lengths: Lengths = Lengths.METRIC
    heat: Heat = Heat.CELSIUS
    theme: Theme = Theme.AUTO

    def say(self, key: str, **values: object) -> str:
        """Return a text of the catalogue with its places filled.

        Parameters
        ----------
        key
            ``file.name``.
        values
            For its places; numbers are written by the other methods first.

        Raises
        ------
        KeyError
            When there is no such text, or a place has no value.
        """
        return text(self.language, key).format(**values)

    def count(self, key: str, count: int, **values: object) -> str:
        """Return a text with a count: ``file.name_one`` when it is one, ``file.name`` else.

        Parameters
        ----------
        key
            ``file.name``; its place for the count is ``{count}``.
        count
            How many.
        values
            For its other places.
        """
        return self.say(f"{key}_one" if count == 1 else key, count=self.number(count), **values)

    def number(self, value: float, digits: int = 0, *, sign: bool = False) -> str:
        """Return a number.

        Parameters
        ----------
        value
            Finite.
        digits
            After the decimal sign.
        sign
            Whether a plus is written too.
        """
        rounded = round(value, digits) + 0.0
        whole, _, rest = f"{abs(rounded):.{digits}f}".partition(".")
        groups = f"{int(whole):,}".replace(",", THIN)
        head = MINUS if rounded < 0 else "+" if sign and rounded > 0 else ""
        return head + groups + (get_decimal_symbol(Locale.parse(self.language)) + rest if rest else "")

    def length(self, metres: float, digits: int | None = None) -> str:
        """Return a length: millimetres, metres from two on; or inches.

        Parameters
        ----------
        metres
            [m].
        digits
            After the decimal sign; as fits when None.
        """
        if self.lengths is Lengths.INCH:
            return f"{self.number(metres / 0.0254, 2 if digits is None else digits)} in"
        if abs(metres) >= 2.0:
            return f"{self.number(metres, 2 if digits is None else digits)} m"
        return f"{self.number(1e3 * metres, (0 if abs(metres) >= 0.1 else 1) if digits is None else digits)} mm"

    def thickness(self, metres: float) -> str:
        """Return a thickness to a hundredth of a millimetre, or a thousandth of an inch.

        Parameters
        ----------
        metres
            [m].
        """
        return self.length(metres, 3 if self.lengths is Lengths.INCH else 2)

    def area(self, square_metres: float) -> str:
        """Return an area: square centimetres, square metres from a tenth on; or square inches.

        Parameters
        ----------
        square_metres
            [m²].
        """
        if self.lengths is Lengths.INCH:
            return f"{self.number(square_metres / 0.0254**2, 1)} in²"
        if square_metres >= 0.1:
            return f"{self.number(square_metres, 3)} m²"
        return f"{self.number(1e4 * square_metres, 0 if square_metres >= 1e-3 else 1)} cm²"

    def mass(self, kilograms: float) -> str:
        """Return a mass: grams, kilograms from two on; or ounces and pounds.

        Parameters
        ----------
        kilograms
            [kg].
        """
        if self.lengths is Lengths.INCH:
            pounds = kilograms / 0.45359237
            return f"{self.number(pounds, 2)} lb" if pounds >= 2 else f"{self.number(16 * pounds, 2)} oz"
        if kilograms >= 2.0:
            return f"{self.number(kilograms, 2)} kg"
        return f"{self.number(1e3 * kilograms, 0 if kilograms >= 0.1 else 1)} g"

    def volume(self, cubic_metres: float) -> str:
        """Return a volume: millilitres, litres from two on.

        Parameters
        ----------
        cubic_metres
            [m³].
        """
        if cubic_metres >= 2e-3:
            return f"{self.number(1e3 * cubic_metres, 2)} L"
        return f"{self.number(1e6 * cubic_metres, 0 if cubic_metres >= 1e-4 else 1)} mL"

    def pressure(self, pascal: float, digits: int = 0) -> str:
        """Return a pressure in millibar, as vacuum gauges show it.

        Parameters
        ----------
        pascal
            [Pa].
        digits
            After the decimal sign.
        """
        return f"{self.number(1e-2 * pascal, digits)} mbar"

    def temperature(self, kelvin: float, digits: int = 0) -> str:
        """Return a temperature.

        Parameters
        ----------
        kelvin
            [K].
        digits
            After the decimal sign.
        """
        if self.heat is Heat.FAHRENHEIT:
            return f"{self.number(1.8 * (kelvin - 273.15) + 32.0, digits)} °F"
        return f"{self.number(kelvin - 273.15, digits)} °C"

    def difference(self, kelvin: float, digits: int = 1) -> str:
        """Return a difference of temperatures: in kelvin, so that nobody takes it for a temperature.

        Parameters
        ----------
        kelvin
            [K].
        digits
            After the decimal sign.
        """
        if self.heat is Heat.FAHRENHEIT:
            return f"{self.number(1.8 * kelvin, digits)} °F"
        return f"{self.number(kelvin, digits)} K"

    def angle(self, radians: float, digits: int = 1) -> str:
        """Return an angle.

        Parameters
        ----------
        radians
            [rad].
        digits
            After the decimal sign.
        """
        return f"{self.number(math.degrees(radians), digits)}°"

    def share(self, part: float, digits: int = 0) -> str:
        """Return a share in per cent.

        Parameters
        ----------
        part
            Of one.
        digits
            After the decimal sign.
        """
        return f"{self.number(100 * part, digits)} %"

    def money(self, amount: float, currency: str) -> str:
        """Return an amount of money.

        Parameters
        ----------
        amount
            In the currency.
        currency
            Its code, as the workshop states it.
        """
        sign = {"EUR": "€", "GBP": "£", "USD": "$"}.get(currency, currency)
        return f"{self.number(amount, 2)} {sign}"

    def duration(self, seconds: float) -> str:
        """Return a duration as people say it: ``40 s``, ``16 min``, ``3 h 34``, ``2 d 5 h``.

        Parameters
        ----------
        seconds
            [s].
        """
        if seconds < 90:
            return f"{self.number(seconds)} s"
        minutes = round(seconds / 60)
        if minutes < 60:
            return f"{minutes} min"
        hours, minutes = divmod(minutes, 60)
        if hours < 48:
            return f"{hours} h {minutes:02d}" if minutes else f"{hours} h"
        days, hours = divmod(hours, 24)
        day = self.say("common.day_letter")
        return f"{days} {day} {hours} h" if hours else f"{days} {day}"

    def day(self, when: date) -> str:
        """Return a day: ``Fri 27 Nov``.

        Parameters
        ----------
        when
            The day, or a moment in it.
        """
        out: str = format_date(when, "EEE d MMM", locale=self.language)
        return out.replace(".", "")

    def long_day(self, when: date) -> str:
        """Return a day in full: ``Wednesday 25 November``.

        Parameters
        ----------
        when
            The day, or a moment in it.
        """
        out: str = format_date(when, "EEEE d MMMM" if self.language != "de" else "EEEE, d. MMMM", locale=self.language)
        return out

    def clock(self, when: datetime) -> str:
        """Return the time of day: ``14:06``.

        Parameters
        ----------
        when
            The moment, in the zone it is told in.
        """
        return when.strftime("%H:%M")
