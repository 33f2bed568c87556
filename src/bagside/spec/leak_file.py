"""A leak test as people write it down: for ``bagside leak``."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

from pydantic import BeforeValidator, Field, WithJsonSchema

from bagside.quantity import Quantity, read
from bagside.spec.fields import (
    Humidity,
    Length,
    PositiveFlow,
    PositiveTime,
    PositiveVolume,
    Pressure,
    SomeArea,
    SomeLength,
    SomeTime,
    Temperature,
    stated,
)


class Gauge(StrEnum):
    """What a gauge shows."""

    ABSOLUTE = "absolute"
    BELOW = "below ambient"


def _shows(text: object) -> float:
    return read(text, Quantity.PRESSURE)


Shown = Annotated[
    float, BeforeValidator(_shows), WithJsonSchema({"type": "string", "description": "a pressure, as in -965 mbar"})
]
Count = Annotated[int, Field(ge=0)]


@stated
class LeakReading:
    """One reading.

    Parameters
    ----------
    at
        Since the pump was shut off [s].
    shows
        As read, with or without the minus of a gauge below ambient [Pa].
    gauge, step, ambient
        When they differ from the file's.
    temperature
        Of the bag [K].
    """

    at: SomeTime
    shows: Shown
    gauge: Gauge | None = None
    step: Pressure | None = None
    ambient: Pressure | None = None
    temperature: Temperature | None = None


@stated
class VesselTest:
    """A vessel let into the pumped bag, to measure its volume: absolute pressures before and after [Pa]."""

    volume: PositiveVolume
    vessel: Pressure
    bag: Pressure
    together: Pressure


@stated
class BleedTest:
    """A bleed of known flow let into the bag, to measure its volume.

    Parameters
    ----------
    flow
        Air at 1013 mbar [m³/s].
    time
        Open, and as long without it [s].
    rise, rise_without
        Of pressure with it and without it [Pa].
    """

    flow: PositiveFlow
    time: PositiveTime
    rise: Pressure
    rise_without: Pressure = 0.0


@stated
class LeakPump:
    """The pump and its hose."""

    flow: PositiveFlow
    ultimate: Pressure
    hose_length: SomeLength = 0.0
    hose_bore: SomeLength = 0.0


@stated
class LeakPlaces:
    """What this bag is made of, where it can leak: counts, lengths and areas."""

    pleats: Count = 0
    corners: Count = 0
    tape: SomeLength = 0.0
    joints: SomeLength = 0.0
    ports: Count = 0
    edges: Count = 0
    film: SomeArea = 0.0
    seams: SomeLength = 0.0
    holes: Count = 0
    mould: SomeArea = 0.0
    wires: Count = 0
    connectors: Count = 0
    hose: SomeLength = 0.0


@stated
class LeakFile:
    """A leak test.

    Parameters
    ----------
    criterion
        Name of the one that counts here.
    gauge, step
        Of all readings that do not say otherwise.
    ambient, altitude
        Today's barometer, or the height of the workshop; one of the two is wanted for a gauge below ambient.
    volume, area, layers, vessel, bleed
        Free volume: stated, from area under the bag and layers of breather, or measured with a vessel or a bleed.
    readings
        With the pump shut off.
    hot
        The same in the warm bag.
    pump
        For what it makes of the leak.
    loose
        Air in the bag before pumping.
    target
        Pressure to be reached when pumping.
    receiver
        Open to the bag.
    limit
        Pressure at which the margin is lost when the pump stops; less where water asks for it.
    liquid_hottest, humidity
        Hottest before gel, and humidity where the cloth was laid: for what water asks for.
    places
        What this bag is made of.
    """

    criterion: str = "cosmetic oven cure"
    gauge: Gauge = Gauge.ABSOLUTE
    step: Pressure = 100.0
    ambient: Pressure | None = None
    altitude: Length | None = None
    volume: PositiveVolume | None = None
    area: SomeArea | None = None
    layers: int = 1
    vessel: VesselTest | None = None
    bleed: BleedTest | None = None
    readings: tuple[LeakReading, ...]
    hot: tuple[LeakReading, ...] = ()
    pump: LeakPump | None = None
    loose: PositiveVolume | None = None
    target: Pressure = 2000.0
    receiver: PositiveVolume | None = None
    limit: Pressure = 10000.0
    liquid_hottest: Temperature | None = None
    humidity: Humidity | None = None
    places: LeakPlaces | None = None
