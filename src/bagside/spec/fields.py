"""The types that fields of the stated files have: text at the border, SI once read.

Each type is a plain ``float`` (or tuple of floats) to everything inside; its annotation tells the reader in
`bagside.spec.reading` how the text is turned into SI and what is refused.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any, TypeVar, dataclass_transform

from pydantic import BeforeValidator, ConfigDict, WithJsonSchema

from bagside.quantity import NotAQuantity, Quantity, read

T = TypeVar("T")


@dataclass_transform(frozen_default=True, kw_only_default=True)
def stated(cls: type[T]) -> type[T]:
    """Make a class a frozen value that a file can state; keys it does not know are errors."""
    made: Any = dataclass(frozen=True, slots=True, kw_only=True)(cls)
    made.__pydantic_config__ = ConfigDict(extra="forbid", strict=False)
    result: type[T] = made
    return result


def _reader(
    kind: Quantity, at_least: float | None, more_than: float | None, at_most: float | None
) -> Callable[[object], float]:
    def parse(text: object) -> float:
        value = read(text, kind)
        if more_than is not None and not value > more_than:
            raise NotAQuantity(f'"{text}" must be more than zero')
        if at_least is not None and value < at_least:
            raise NotAQuantity(f'"{text}" must not be negative')
        if at_most is not None and value > at_most:
            raise NotAQuantity(f'"{text}" is more than can be; "{kind.value.example}" is a usual value')
        return value

    return parse


def _schema(kind: Quantity) -> WithJsonSchema:
    return WithJsonSchema({"type": "string", "description": f"number with a unit, as in {kind.value.example}"})


def _numbers(text: object, kind: Quantity, count: int) -> tuple[float, ...]:
    example = " ".join(["120", "40", "12.5"][:count]) + " mm"
    want = f'{count} numbers and one unit are wanted, as in "{example}"'
    if not isinstance(text, str):
        raise NotAQuantity(f"{text!r} has no unit; {want}")
    words = text.replace(",", " ").split()
    if len(words) != count + 1:
        raise NotAQuantity(f'"{text}" cannot be read; {want}')
    return tuple(read(f"{word} {words[-1]}", kind) for word in words[:-1])


def _point2(text: object) -> tuple[float, ...]:
    return _numbers(text, Quantity.LENGTH, 2)


def as_point(text: object) -> tuple[float, ...]:
    """Return text such as ``120 40 12.5 mm`` as a point [m].

    Raises
    ------
    NotAQuantity
        When it is not three numbers and one unit of length.
    """
    return _numbers(text, Quantity.LENGTH, 3)


def _size2(text: object) -> tuple[float, ...]:
    numbers = _numbers(text, Quantity.LENGTH, 2)
    if min(numbers) <= 0:
        raise NotAQuantity(f'"{text}" must be more than zero in both directions')
    return numbers


def as_direction(value: object) -> tuple[float, float, float]:
    """Return three numbers as a unit vector.

    Raises
    ------
    NotAQuantity
        When it is not three numbers, or they have no length.
    """
    want = "three numbers that are not all zero are wanted, as in [0, 0, 1]"
    if not isinstance(value, list | tuple) or len(value) != 3:
        raise NotAQuantity(f"{value!r} is not a direction; {want}")
    if not all(isinstance(c, int | float) and not isinstance(c, bool) and abs(c) < 1e12 for c in value):
        raise NotAQuantity(f"{value!r} is not a direction; {want}")
    length = float(sum(c * c for c in value)) ** 0.5
    if length < 1e-12:
        raise NotAQuantity(f"{value!r} has no length; {want}")
    return (float(value[0] / length), float(value[1] / length), float(value[2] / length))


_point_schema = WithJsonSchema({"type": "string", "description": "numbers and one unit, as in 120 40 12.5 mm"})
_direction_schema = WithJsonSchema({"type": "array", "items": {"type": "number"}, "minItems": 3, "maxItems": 3})

# mypy sees plain types; at run time the annotation carries the reader.
Length = Annotated[float, BeforeValidator(_reader(Quantity.LENGTH, None, None, None)), _schema(Quantity.LENGTH)]
PositiveLength = Annotated[float, BeforeValidator(_reader(Quantity.LENGTH, None, 0.0, None)), _schema(Quantity.LENGTH)]
SomeLength = Annotated[float, BeforeValidator(_reader(Quantity.LENGTH, 0.0, None, None)), _schema(Quantity.LENGTH)]
SomeArea = Annotated[float, BeforeValidator(_reader(Quantity.AREA, 0.0, None, None)), _schema(Quantity.AREA)]
PositiveTime = Annotated[float, BeforeValidator(_reader(Quantity.TIME, None, 0.0, None)), _schema(Quantity.TIME)]
SomeTime = Annotated[float, BeforeValidator(_reader(Quantity.TIME, 0.0, None, None)), _schema(Quantity.TIME)]
Temperature = Annotated[
    float, BeforeValidator(_reader(Quantity.TEMPERATURE, None, 0.0, None)), _schema(Quantity.TEMPERATURE)
]
Difference = Annotated[
    float, BeforeValidator(_reader(Quantity.DIFFERENCE, 0.0, None, None)), _schema(Quantity.DIFFERENCE)
]
PositiveRamp = Annotated[float, BeforeValidator(_reader(Quantity.RAMP, None, 0.0, None)), _schema(Quantity.RAMP)]
Pressure = Annotated[float, BeforeValidator(_reader(Quantity.PRESSURE, 0.0, None, None)), _schema(Quantity.PRESSURE)]
PositiveModulus = Annotated[
    float, BeforeValidator(_reader(Quantity.MODULUS, None, 0.0, None)), _schema(Quantity.MODULUS)
]
SomeForce = Annotated[float, BeforeValidator(_reader(Quantity.FORCE, 0.0, None, None)), _schema(Quantity.FORCE)]
Angle = Annotated[float, BeforeValidator(_reader(Quantity.ANGLE, None, None, None)), _schema(Quantity.ANGLE)]
PositiveAngle = Annotated[float, BeforeValidator(_reader(Quantity.ANGLE, None, 0.0, None)), _schema(Quantity.ANGLE)]
SomeAngle = Annotated[float, BeforeValidator(_reader(Quantity.ANGLE, 0.0, None, None)), _schema(Quantity.ANGLE)]
Expansion = Annotated[
    float, BeforeValidator(_reader(Quantity.EXPANSION, None, None, None)), _schema(Quantity.EXPANSION)
]
PositiveDensity = Annotated[
    float, BeforeValidator(_reader(Quantity.DENSITY, None, 0.0, None)), _schema(Quantity.DENSITY)
]
PositiveArealWeight = Annotated[
    float, BeforeValidator(_reader(Quantity.AREAL_WEIGHT, None, 0.0, None)), _schema(Quantity.AREAL_WEIGHT)
]
SomeArealWeight = Annotated[
    float, BeforeValidator(_reader(Quantity.AREAL_WEIGHT, 0.0, None, None)), _schema(Quantity.AREAL_WEIGHT)
]
PositiveConductivity = Annotated[
    float, BeforeValidator(_reader(Quantity.CONDUCTIVITY, None, 0.0, None)), _schema(Quantity.CONDUCTIVITY)
]
PositiveHeatCapacity = Annotated[
    float, BeforeValidator(_reader(Quantity.HEAT_CAPACITY, None, 0.0, None)), _schema(Quantity.HEAT_CAPACITY)
]
SomeHeat = Annotated[float, BeforeValidator(_reader(Quantity.HEAT, 0.0, None, None)), _schema(Quantity.HEAT)]
PositiveFilm = Annotated[float, BeforeValidator(_reader(Quantity.FILM, None, 0.0, None)), _schema(Quantity.FILM)]
SomeConductance = Annotated[
    float, BeforeValidator(_reader(Quantity.CONDUCTANCE, 0.0, None, None)), _schema(Quantity.CONDUCTANCE)
]
PositivePower = Annotated[float, BeforeValidator(_reader(Quantity.POWER, None, 0.0, None)), _schema(Quantity.POWER)]
PositiveFlow = Annotated[float, BeforeValidator(_reader(Quantity.FLOW, None, 0.0, None)), _schema(Quantity.FLOW)]
PositiveViscosity = Annotated[
    float, BeforeValidator(_reader(Quantity.VISCOSITY, None, 0.0, None)), _schema(Quantity.VISCOSITY)
]
PositiveVolume = Annotated[float, BeforeValidator(_reader(Quantity.VOLUME, None, 0.0, None)), _schema(Quantity.VOLUME)]
SomeMass = Annotated[float, BeforeValidator(_reader(Quantity.MASS, 0.0, None, None)), _schema(Quantity.MASS)]
PositiveMass = Annotated[float, BeforeValidator(_reader(Quantity.MASS, None, 0.0, None)), _schema(Quantity.MASS)]
Fraction = Annotated[float, BeforeValidator(_reader(Quantity.FRACTION, 0.0, None, 1.0)), _schema(Quantity.FRACTION)]
SomeFraction = Annotated[
    float, BeforeValidator(_reader(Quantity.FRACTION, 0.0, None, None)), _schema(Quantity.FRACTION)
]
Humidity = Annotated[float, BeforeValidator(_reader(Quantity.HUMIDITY, 0.0, None, 1.0)), _schema(Quantity.HUMIDITY)]
SomeMoney = Annotated[float, BeforeValidator(_reader(Quantity.MONEY, 0.0, None, None)), _schema(Quantity.MONEY)]
MoneyPerArea = Annotated[
    float, BeforeValidator(_reader(Quantity.MONEY_PER_AREA, 0.0, None, None)), _schema(Quantity.MONEY_PER_AREA)
]
MoneyPerLength = Annotated[
    float, BeforeValidator(_reader(Quantity.MONEY_PER_LENGTH, 0.0, None, None)), _schema(Quantity.MONEY_PER_LENGTH)
]
MoneyPerMass = Annotated[
    float, BeforeValidator(_reader(Quantity.MONEY_PER_MASS, 0.0, None, None)), _schema(Quantity.MONEY_PER_MASS)
]
MoneyPerVolume = Annotated[
    float, BeforeValidator(_reader(Quantity.MONEY_PER_VOLUME, 0.0, None, None)), _schema(Quantity.MONEY_PER_VOLUME)
]
MoneyPerTime = Annotated[
    float, BeforeValidator(_reader(Quantity.MONEY_PER_TIME, 0.0, None, None)), _schema(Quantity.MONEY_PER_TIME)
]
MoneyPerEnergy = Annotated[
    float, BeforeValidator(_reader(Quantity.MONEY_PER_ENERGY, 0.0, None, None)), _schema(Quantity.MONEY_PER_ENERGY)
]
PositiveSpeed = Annotated[float, BeforeValidator(_reader(Quantity.SPEED, None, 0.0, None)), _schema(Quantity.SPEED)]
PositiveAreaRate = Annotated[
    float, BeforeValidator(_reader(Quantity.AREA_RATE, None, 0.0, None)), _schema(Quantity.AREA_RATE)
]
Point2 = Annotated[tuple[float, float], BeforeValidator(_point2), _point_schema]
Point3 = Annotated[tuple[float, float, float], BeforeValidator(as_point), _point_schema]
Size2 = Annotated[tuple[float, float], BeforeValidator(_size2), _point_schema]
Direction = Annotated[tuple[float, float, float], BeforeValidator(as_direction), _direction_schema]
