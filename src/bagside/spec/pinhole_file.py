"""What was recorded of a part with pinholes, as people write it down: for ``bagside pinholes``.

Whatever nobody recorded is left out, or written as "unknown": it is then spread over what is usual, never taken as
zero.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, WithJsonSchema

from bagside.quantity import NotAQuantity, Quantity, read
from bagside.spec.fields import (
    Fraction,
    Humidity,
    Length,
    PositiveLength,
    PositiveRamp,
    PositiveTime,
    PositiveVolume,
    Pressure,
    SomeFraction,
    SomeTime,
    Temperature,
    stated,
)
from bagside.spec.reading import load_toml, stated_from

UNKNOWN = "unknown"


class Seen(StrEnum):
    """Where the defects are."""

    CROSSINGS = "weave crossings all over"
    CENTRE = "in the middle"
    EDGE = "near the edge"
    INSIDE = "inside corners"
    OUTSIDE = "outside corners"
    JOINT = "under a joint"
    PATCH = "one patch"
    SAME = "same place on every part"
    BAG = "bag side"
    WITHIN = "inside the laminate"


def _viscosity(text: object) -> float:
    value = read(text, Quantity.VISCOSITY)
    if not value > 0.0:
        raise NotAQuantity(f'"{text}" must be more than zero')
    return value


PositiveViscosity = Annotated[
    float,
    BeforeValidator(_viscosity),
    WithJsonSchema({"type": "string", "description": "number with a unit, as in 30 Pa s"}),
]
Count = Annotated[int, Field(ge=0)]


@stated
class SeenCorner:
    """One corner of the part, with or without defects."""

    radius: PositiveLength
    defects: bool
    inside: bool = True
    thickness: PositiveLength | None = None
    slip_joint: bool | None = None


@stated
class PinholeFile:
    """The record of one part.

    Parameters
    ----------
    where
        Places of the defects, the most striking first.
    corners
        Map of corners: those with defects and those without.
    vacuum
        Absolute pressure in the bag [Pa].
    ambient, altitude
        Barometer, or height of the workshop.
    drop, drop_time
        Loss of vacuum with the pump shut off, and in which time.
    volume, receiver
        Free volume of the bag, and of a receiver open to it.
    pump_on, unpumped
        Whether the pump ran until gel; if not, for how long it was off before.
    humidity, room
        Where the cloth lay and was laid.
    freezer, thawed, opened_at, wet_seen
        Temperature it came from, time it stood sealed, temperature of its core when opened, whether it was moist.
    first_debulk, debulks, debulk_time, plies, hold
        Debulks and the hold under vacuum before heat.
    path, edges_breathe
        Longest way to a breathing edge, and whether strips led from the ply's edge into the breather.
    ramp, dwell, gel_after
        Of the laminate: rise, temperature of the dwell in which it gelled, time at it until gel.
    liquid_hottest, liquid_time, viscosity
        Instead of those three, when known: hottest before gel, time it was soft, viscosity then.
    life_used
        Share of out-life used.
    inside_corners, corner_radius, thickness, slip_joint, bag_touched
        Whether there are any, the tightest, the laminate there, whether plies could slide in, whether the bag reached.
    resin_content, perforated
        Of the prepreg, and whether the release film had holes.
    films_supplied, films_removed
        Backing films.
    mould_tight, release_limit
        Whether the bare mould held vacuum; hottest the release agent stands.
    hottest
        Of the cycle.
    """

    where: tuple[Seen, ...]
    corners: tuple[SeenCorner, ...] = ()
    vacuum: Pressure | None = None
    ambient: Pressure | None = None
    altitude: Length | None = None
    drop: Pressure | None = None
    drop_time: PositiveTime = 300.0
    volume: PositiveVolume | None = None
    receiver: PositiveVolume | None = None
    pump_on: bool | None = None
    unpumped: SomeTime | None = None
    humidity: Humidity | None = None
    room: Temperature | None = None
    freezer: Temperature | None = None
    thawed: SomeTime | None = None
    opened_at: Temperature | None = None
    wet_seen: bool | None = None
    first_debulk: SomeTime | None = None
    debulks: Count | None = None
    debulk_time: SomeTime | None = None
    plies: Count | None = None
    hold: SomeTime | None = None
    path: PositiveLength | None = None
    edges_breathe: bool | None = None
    ramp: PositiveRamp | None = None
    dwell: Temperature | None = None
    gel_after: SomeTime | None = None
    liquid_hottest: Temperature | None = None
    liquid_time: SomeTime | None = None
    viscosity: PositiveViscosity | None = None
    life_used: SomeFraction | None = None
    inside_corners: bool | None = None
    corner_radius: PositiveLength | None = None
    thickness: PositiveLength | None = None
    slip_joint: bool | None = None
    bag_touched: bool | None = None
    resin_content: Fraction | None = None
    perforated: bool | None = None
    films_supplied: Count | None = None
    films_removed: Count | None = None
    mould_tight: bool | None = None
    release_limit: Temperature | None = None
    hottest: Temperature | None = None


def read_pinholes(file: Path) -> PinholeFile:
    """Return what a file of a part with pinholes states.

    Parameters
    ----------
    file
        TOML; a value may be "unknown".

    Raises
    ------
    InputError
        With every problem in the file.
    """
    return stated_from(known(load_toml(file)), PinholeFile, file.name)


def known(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return the entries of a table that are not "unknown".

    Parameters
    ----------
    data
        As read.
    """
    return {k: _known_in(v) for k, v in data.items() if v != UNKNOWN}


def _known_in(value: Any) -> Any:
    if isinstance(value, list):
        return [known(v) if isinstance(v, dict) else v for v in value]
    return value
