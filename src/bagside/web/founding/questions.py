"""What is asked of a workshop before its first job, in groups, with values to begin with.

Every value to begin with is common practice for a small workshop with an oven of its own, no figure of a product; the
file says so beside each that was left as it was.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from bagside.quantity import Quantity
from bagside.spec import fields


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One thing that is asked.

    Parameters
    ----------
    table, key
        Where its answer stands in ``workshop.toml``; the table is empty at the top.
    kind
        Of an amount; None for text.
    start
        To begin with, as the file states it; empty when it must be answered.
    unit
        Behind the line.
    wanted
        Type of the field, with its limits.
    first
        Whether it is asked at once; the others stay folded until someone wants them.
    """

    table: str
    key: str
    kind: Quantity | None = None
    start: str = ""
    unit: str = ""
    wanted: Any = None
    first: bool = True

    @property
    def name(self) -> str:
        """By which its answer is kept, and its words in the catalogue."""
        return f"{self.table}_{self.key}".replace(".", "_") if self.table else self.key


def _amount(table: str, key: str, kind: Quantity, start: str, wanted: Any, *, first: bool = True) -> Question:
    unit = start.split(" ", 1)[1]
    return Question(table=table, key=key, kind=kind, start=start, unit=unit, wanted=wanted, first=first)


ROOM = (
    _amount("room", "temperature", Quantity.TEMPERATURE, "20 °C", fields.Temperature),
    _amount("room", "humidity", Quantity.HUMIDITY, "50 %", fields.Humidity),
    _amount("room", "altitude", Quantity.LENGTH, "0 m", fields.Length, first=False),
)
OVEN = (
    _amount("oven", "hottest", Quantity.TEMPERATURE, "120 °C", fields.Temperature),
    _amount("oven", "heating", Quantity.RAMP, "2 °C/min", fields.PositiveRamp),
    _amount("oven", "spread", Quantity.DIFFERENCE, "8 K", fields.Difference),
    _amount("oven", "cooling", Quantity.RAMP, "1 °C/min", fields.PositiveRamp, first=False),
    _amount("oven", "lag", Quantity.TIME, "5 min", fields.SomeTime, first=False),
    _amount("oven", "film_bag", Quantity.FILM, "12 W/(m² K)", fields.PositiveFilm, first=False),
    _amount("oven", "film_tool", Quantity.FILM, "15 W/(m² K)", fields.PositiveFilm, first=False),
    _amount("oven", "power", Quantity.POWER, "3 kW", fields.PositivePower, first=False),
    _amount("oven", "loss", Quantity.CONDUCTANCE, "10 W/K", fields.SomeConductance, first=False),
)
PUMP = (
    _amount("pump", "reaches", Quantity.PRESSURE, "20 mbar", fields.Pressure),
    _amount("pump", "flow", Quantity.FLOW, "6 m³/h", fields.PositiveFlow),
)
FREEZER = (_amount("freezer", "temperature", Quantity.TEMPERATURE, "-18 °C", fields.Temperature),)
MONEY = (
    Question(table="", key="name"),
    Question(table="", key="currency", start="EUR"),
    _amount("", "labour", Quantity.MONEY_PER_TIME, "40 EUR/h", fields.MoneyPerTime),
    _amount("prices", "energy", Quantity.MONEY_PER_ENERGY, "0.30 EUR/kWh", fields.MoneyPerEnergy, first=False),
    _amount("prices.film", "bag-nylon", Quantity.MONEY_PER_AREA, "3 EUR/m²", fields.MoneyPerArea, first=False),
    _amount("prices.film", "release-film", Quantity.MONEY_PER_AREA, "3.50 EUR/m²", fields.MoneyPerArea, first=False),
    _amount("prices.film", "breather", Quantity.MONEY_PER_AREA, "3 EUR/m²", fields.MoneyPerArea, first=False),
    _amount("prices.tape", "sealant-tape", Quantity.MONEY_PER_LENGTH, "0.80 EUR/m", fields.MoneyPerLength, first=False),
)
ROLL = (
    Question(table="roll", key="material", start="twill-200"),
    _amount("roll", "width", Quantity.LENGTH, "1250 mm", fields.PositiveLength),
    Question(table="roll", key="length", kind=Quantity.LENGTH, unit="m", wanted=fields.PositiveLength),
    _amount("roll", "price", Quantity.MONEY_PER_AREA, "45 EUR/m²", fields.MoneyPerArea),
    Question(table="roll", key="batch"),
    Question(table="roll", key="life", start=""),
    Question(table="roll", key="used", kind=Quantity.TIME, unit="h", wanted=fields.SomeTime),
    Question(table="roll", key="made"),
)
GROUPS = {"room": ROOM, "oven": OVEN, "pump": PUMP, "freezer": FREEZER, "money": MONEY, "roll": ROLL}
EVERY = tuple(question for group in GROUPS.values() for question in group)
"""Of all groups, in the order they are asked."""
KNOWN, UNKNOWN, FRESH = "known", "unknown", "fresh"
"""What may be known of the life that a roll has used."""
