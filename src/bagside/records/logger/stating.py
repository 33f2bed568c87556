"""What a person settles, as text on the command line or in a file, into `LoggerOptions`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TypeVar

from bagside.cure import Sensor
from bagside.errors import InputError, Problem, did_you_mean
from bagside.quantity import NotAQuantity, Quantity, read
from bagside.records.logger.options import DateOrder, Jumps, LoggerOptions, Reference, TimeIs
from bagside.records.logger.units import Measures, unit_of

E = TypeVar("E", bound=StrEnum)
SENSORS: Mapping[str, Sensor | None] = {
    "air": Sensor.AIR,
    "part": Sensor.PART,
    "tool": Sensor.TOOL,
    "set": Sensor.SET,
    "bag": Sensor.BAG,
    "ambient": Sensor.AMBIENT,
    "unknown": Sensor.UNKNOWN,
    "-": None,
}
"""How a person says what a column measures."""
_SEPARATORS = {"tab": "\t", "space": " ", "comma": ",", "semicolon": ";", "bar": "|"}


@dataclass(slots=True)
class _Stating:
    """Reads texts and keeps the problems."""

    where: str
    wrong: list[Problem] = field(default_factory=list)

    def problem(self, name: str, came: str, wanted: str, hint: str = "") -> None:
        """Keep a problem with one option."""
        self.wrong.append(Problem(place=f"{self.where}{name}", came=came and f'"{came}"', wanted=wanted, hint=hint))

    def pairs(self, texts: Sequence[str], name: str, example: str, *, general: bool = False) -> list[tuple[str, str]]:
        """Return ``TC2=part`` as pairs."""
        found: list[tuple[str, str]] = []
        for text in texts:
            column, mark, value = text.rpartition("=")
            if (not mark and not general) or (mark and not column.strip()) or not value.strip():
                self.problem(name, text, f"a column's name and what holds for it are wanted, as in {example}")
                continue
            found.append((column.strip(), value.strip()))
        return found

    def choice(self, text: str, kind: type[E], name: str) -> E | None:
        """Return one of several words."""
        known = {str(k.value): k for k in kind}
        if text and text not in known:
            self.problem(name, text, "this is not known here", did_you_mean(text, known))
        return known.get(text)

    def amount(self, text: str, kind: Quantity, name: str) -> float | None:
        """Return a quantity above zero."""
        if not text:
            return None
        try:
            value = read(text, kind)
        except NotAQuantity as error:
            self.problem(name, "", str(error))
            return None
        if not value > 0.0:
            self.problem(name, text, "more than zero is wanted")
        return value


def stated_options(
    *,
    column: Sequence[str] = (),
    at: Sequence[str] = (),
    unit: Sequence[str] = (),
    pressure: Sequence[str] = (),
    ambient: str = "",
    time: str = "",
    time_column: str = "",
    date_order: str = "",
    every: str = "",
    jumps: str = "",
    decimal: str = "",
    separator: str = "",
    sheet: str = "",
    where: str = "--",
) -> LoggerOptions:
    """Return what a person settled.

    Parameters
    ----------
    column
        What columns measure: ``TC2=part``.
    at
        Sections their sensors sit at: ``TC2=keel``.
    unit
        ``°C`` for every column that tells none, ``TC2=°F`` for one.
    pressure
        ``absolute``, ``gauge`` or ``depth``; ``P1=gauge`` for one.
    ambient, every
        Quantities with their unit.
    time, time_column, date_order, jumps, decimal, separator, sheet
        As in `LoggerOptions`.
    where
        What stands before an option's name in a message.

    Raises
    ------
    InputError
        With every option that cannot be understood.

    Examples
    --------
    >>> stated_options(column=["TC2=part"], unit=["°C"]).columns["TC2"].value
    'part'
    """
    say = _Stating(where)
    columns: dict[str, Sensor | None] = {}
    for name, word in say.pairs(column, "column", '"TC2=part"'):
        if word not in SENSORS:
            say.problem("column", f"{name}={word}", "this is not known here", did_you_mean(word, SENSORS))
        columns[name] = SENSORS.get(word)
    units: dict[str, tuple[str, ...]] = {}
    for name, word in say.pairs(unit, "unit", '"TC2=°F"', general=True):
        found = unit_of(word)
        if found is None or found.measures not in (Measures.TEMPERATURE, Measures.PRESSURE):
            say.problem(
                "unit", word, "a unit of temperature or pressure is wanted: °C, °F, K, mbar, kPa, inHg, torr, …"
            )
        units[name] = (*units.get(name, ()), word) if not name else (word,)
    pressures = {
        name: reference
        for name, word in say.pairs(pressure, "pressure", '"P1=gauge"', general=True)
        if (reference := say.choice(word, Reference, "pressure")) is not None
    }
    parted = _SEPARATORS.get(separator, separator)
    if len(parted) > 1 or parted.isalnum():
        say.problem("separator", separator, "one character is wanted, or tab, space, comma, semicolon or bar")
    if decimal not in ("", ".", ","):
        say.problem("decimal", decimal, 'a point "." or a comma "," is wanted')
    settled = LoggerOptions(
        columns=columns,
        sections=dict(say.pairs(at, "at", '"TC2=keel"')),
        units=units,
        pressures=pressures,
        ambient=say.amount(ambient, Quantity.PRESSURE, "ambient"),
        time_column=time_column,
        time=say.choice(time, TimeIs, "time"),
        date_order=say.choice(date_order, DateOrder, "date-order"),
        every=say.amount(every, Quantity.TIME, "every"),
        jumps=say.choice(jumps, Jumps, "jumps"),
        decimal=decimal,
        separator=parted,
        sheet=sheet,
    )
    if say.wrong:
        raise InputError(say.wrong)
    return settled
