"""Units as loggers head them, and what they measure."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from bagside.records.logger.options import Reference


class Measures(StrEnum):
    """What a column's unit says it measures."""

    TEMPERATURE = "temperature"
    PRESSURE = "pressure"
    TIME = "time"
    OTHER = "other"


@dataclass(frozen=True, slots=True, kw_only=True)
class LogUnit:
    """A unit of a logger file, as a straight line to SI.

    Parameters
    ----------
    text
        As the file writes it.
    measures
        What it measures.
    scale, offset
        SI = scale × (number + offset).
    reference
        What a pressure's unit itself says it is told against (``mbara``, ``psig``); None when it does not.
    """

    text: str
    measures: Measures
    scale: float = 1.0
    offset: float = 0.0
    reference: Reference | None = None

    def si(self, number: float) -> float:
        """Return a number in this unit as SI.

        Parameters
        ----------
        number
            In this unit.
        """
        return self.scale * (number + self.offset)


_TEMPERATURE = {
    "c": (1.0, 273.15), "degc": (1.0, 273.15), "gradc": (1.0, 273.15), "celsius": (1.0, 273.15),
    "f": (5 / 9, 459.67), "degf": (5 / 9, 459.67), "fahrenheit": (5 / 9, 459.67),
    "k": (1.0, 0.0), "kelvin": (1.0, 0.0),
}  # fmt: skip
_PRESSURE = {
    "pa": 1.0, "hpa": 100.0, "kpa": 1e3, "mpa": 1e6, "mbar": 100.0, "millibar": 100.0, "bar": 1e5, "mb": 100.0,
    "torr": 101325 / 760, "mmhg": 133.322387415, "inhg": 25.4 * 133.322387415, "in.hg": 25.4 * 133.322387415,
    '"hg': 25.4 * 133.322387415, "psi": 6894.757293168, "atm": 101325.0, "micron": 0.133322387415,
    "microns": 0.133322387415, "mtorr": 101325 / 760e3,
}  # fmt: skip
_TIME = {
    "s": 1.0, "sec": 1.0, "secs": 1.0, "second": 1.0, "seconds": 1.0, "sek": 1.0, "sekunden": 1.0, "secondes": 1.0,
    "ms": 1e-3, "msec": 1e-3, "milliseconds": 1e-3,
    "min": 60.0, "mins": 60.0, "minute": 60.0, "minutes": 60.0, "minuten": 60.0, "mn": 60.0,
    "h": 3600.0, "hr": 3600.0, "hrs": 3600.0, "hour": 3600.0, "hours": 3600.0, "std": 3600.0, "stunden": 3600.0,
    "heures": 3600.0,
}  # fmt: skip
_OTHER = frozenset(
    {"%", "%rh", "%rf", "rh", "v", "mv", "volt", "a", "ma", "w", "kw", "kwh", "wh", "rpm", "u/min", "1/min", "hz"}
    | {"l/min", "m/s", "mm", "g", "kg", "ppm", "counts", "bit", "w/m2", "w/m²", "c/min", "degc/min", "k/min"}
)
_REFERENCES = (
    (re.compile(r"[\s._-]*\(?abs(olute?|olut)?\.?\)?$"), Reference.ABSOLUTE),
    (re.compile(r"[\s._-]*\(?(gauge|gage|rel(ativ|ative)?\.?)\)?$"), Reference.GAUGE),
    (re.compile(r"[\s._-]*\(?vac(uum)?\)?$"), Reference.DEPTH),
    (re.compile(r"(?:(?<=bar)|(?<=psi)|(?<=pa)|[\s._-])\(?a\)?$"), Reference.ABSOLUTE),
    (re.compile(r"(?:(?<=bar)|(?<=psi)|(?<=pa)|[\s._-])\(?g\)?$"), Reference.GAUGE),
)


def unit_of(text: str) -> LogUnit | None:
    """Return the unit that a text is, or nothing.

    Parameters
    ----------
    text
        As it stands in the file: ``°C``, ``[degF]``, ``mbar abs``, ``psig``.

    Examples
    --------
    >>> round(unit_of("[°F]").si(212.0), 2)
    373.15
    >>> unit_of("mbar abs").reference.value
    'absolute'
    """
    written = text.strip().strip("[]{}<>").strip()
    if written.startswith("(") and written.endswith(")"):
        written = written[1:-1].strip()
    word = written.lower().replace("℃", "°c").replace("℉", "°f").replace("º", "°").replace("\ufffd", "°")
    word = word.replace("deg.", "deg").replace("deg ", "deg").replace("grad ", "grad").replace("° ", "°")
    plain = re.sub(r"^(?:degrees?|degr[ée]s?|deg|grad)\s*(?=[cfk])", "", word.replace("°", "").strip())
    if plain in _TEMPERATURE:
        scale, offset = _TEMPERATURE[plain]
        return LogUnit(text=written, measures=Measures.TEMPERATURE, scale=scale, offset=offset)
    if word in _TIME:
        return LogUnit(text=written, measures=Measures.TIME, scale=_TIME[word])
    pressure = _pressure(word, written)
    if pressure is not None:
        return pressure
    if plain in _OTHER:
        return LogUnit(text=written, measures=Measures.OTHER)
    return None


def _pressure(word: str, written: str) -> LogUnit | None:
    reference = None
    for pattern, told in _REFERENCES:
        cut = pattern.sub("", word)
        if cut != word and cut.replace(" ", "") in _PRESSURE:
            word, reference = cut, told
            break
    scale = _PRESSURE.get(word.replace(" ", ""))
    if scale is None:
        return None
    return LogUnit(text=written, measures=Measures.PRESSURE, scale=scale, reference=reference)
