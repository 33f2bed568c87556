"""A workshop: what it has, what it pays, and how long things take there, as stated in ``workshop.toml``."""

from __future__ import annotations

from dataclasses import field
from datetime import date, time
from enum import StrEnum
from typing import Annotated

from pydantic import StringConstraints

from bagside.spec.fields import (
    Difference,
    Fraction,
    Humidity,
    Length,
    MoneyPerArea,
    MoneyPerEnergy,
    MoneyPerLength,
    MoneyPerMass,
    MoneyPerTime,
    MoneyPerVolume,
    PositiveAreaRate,
    PositiveFilm,
    PositiveFlow,
    PositiveLength,
    PositivePower,
    PositiveRamp,
    PositiveSpeed,
    PositiveTime,
    Pressure,
    SomeAngle,
    SomeArea,
    SomeConductance,
    SomeFraction,
    SomeLength,
    SomeMass,
    SomeMoney,
    SomeTime,
    Temperature,
    stated,
)
from bagside.spec.stock import Up

Address = Annotated[str, StringConstraints(pattern=r"^(https?://[^\s/]+)?$")]
Currency = Annotated[str, StringConstraints(pattern="^[A-Z]{3}$")]


class Paper(StrEnum):
    """Paper in the printer."""

    A4 = "A4"
    LETTER = "Letter"


class Ink(StrEnum):
    """What the printer prints with."""

    COLOUR = "colour"
    BLACK = "black"


@stated
class Room:
    """The room where plies are laid and coats are sprayed."""

    temperature: Temperature
    humidity: Humidity
    altitude: Length = 0.0


class Steering(StrEnum):
    """How a controller is told to rise."""

    RATE = "rate"
    TIME = "time"


@stated
class Controller:
    """What the oven's controller takes.

    Parameters
    ----------
    segments
        Most segments of a programme, cooling among them; a rise with its hold is one.
    told
        Whether a rise is typed as its rate or as its time.
    slowest, fastest
        Rates it can hold [K/s].
    rate_step, temperature_step, time_step
        Its smallest steps [K/s, K, s].
    falls
        Whether a programme may fall before its end.
    """

    segments: int = 8
    told: Steering = Steering.RATE
    slowest: PositiveRamp = 0.1 / 60.0
    fastest: PositiveRamp = 10.0 / 60.0
    rate_step: PositiveRamp = 0.1 / 60.0
    temperature_step: Difference = 1.0
    time_step: PositiveTime = 60.0
    falls: bool = False


@stated
class Oven:
    """The oven.

    Parameters
    ----------
    hottest
        Air temperature it can hold [K].
    heating, cooling
        Fastest the air can change [K/s].
    lag
        Time constant of the air behind the programme [s].
    spread
        Difference of the air between the hottest and the coldest place [K].
    film_bag, film_tool
        Heat transfer on the bag's face (film and breather in series) and on the mould's back [W/(m² K)].
    power
        Heater power [W].
    loss
        Heat lost through its walls per kelvin [W/K].
    load
        Racks and cradles that warm up too [kg].
    emissivity
        Of bag and mould, when the films are for moving air alone and walls as hot as the air shine on both; zero where
        films were measured, which hold both.
    controller
        What its controller takes.
    """

    hottest: Temperature
    heating: PositiveRamp
    cooling: PositiveRamp
    lag: SomeTime
    spread: Difference
    film_bag: PositiveFilm
    film_tool: PositiveFilm
    power: PositivePower
    loss: SomeConductance
    load: SomeMass = 0.0
    emissivity: Fraction = 0.0
    controller: Controller = field(default_factory=Controller)


@stated
class Pump:
    """The vacuum pump: its flow at the inlet and the absolute pressure really reached in a good bag."""

    flow: PositiveFlow
    reaches: Pressure


@stated
class CuttingTable:
    """How cloth is cut here.

    Parameters
    ----------
    gap
        Between pieces [m].
    margin
        Kept from the cloth's edges [m].
    end
        Extra pulled beyond the last piece [m].
    knife
        Speed of the knife by hand [m/s].
    handling
        Time for each piece besides the cut: template, label, film [s].
    fetch
        For each offcut that is cut from: finding it, thawing it, putting the rest away [s].
    tolerance
        By which a piece that does not show may be turned off its angle to nest better [rad]; ±2° is usual for a part
        that carries, none where straight lines show (common practice).
    face_down
        Whether a piece that does not show may be cut face down as its mirror image; never of one-faced or non-crimp
        cloth.
    """

    gap: SomeLength = 0.005
    margin: SomeLength = 0.010
    end: SomeLength = 0.020
    knife: PositiveSpeed = 1.0 / 60.0
    handling: SomeTime = 60.0
    fetch: SomeTime = 180.0
    tolerance: SomeAngle = 0.0
    face_down: bool = False


@stated
class Roll:
    """A roll of prepreg in the freezer, as it was received.

    Parameters
    ----------
    material
        Name of a prepreg.
    length
        When it was received [m]; what is cut off later is kept in ``stock.toml`` and comes off by itself.
    price
        Paid for the full width [money/m²].
    width
        From edge to edge, when not the sheet's [m].
    selvedge
        Along each edge, not to be used [m].
    life_used
        Out of the freezer so far [s].
    batch
        As on its label.
    name
        What people call it; its batch, or its material, when not stated.
    up
        Which face of a one-faced cloth is up as it comes off the roll.
    use_by
        Last day that the maker of the cloth allows.
    """

    material: str
    length: PositiveLength
    price: MoneyPerArea
    width: PositiveLength | None = None
    selvedge: SomeLength = 0.0
    life_used: SomeTime = 0.0
    batch: str = ""
    name: str = ""
    up: Up = Up.RICH
    use_by: date | None = None

    @property
    def called(self) -> str:
        """Its name, else its batch, else its material."""
        return self.name or self.batch or self.material


@stated
class Offer:
    """Cloth that can be bought.

    Parameters
    ----------
    material
        Name of a prepreg.
    width
        From edge to edge [m].
    price
        For the full width [money/m²].
    least
        Shortest length that is sold [m].
    step
        It is sold in multiples of this [m].
    carriage
        Paid once for an order.
    """

    material: str
    width: PositiveLength
    price: MoneyPerArea
    least: PositiveLength = 1.0
    step: PositiveLength = 1.0
    carriage: SomeMoney = 0.0


@stated
class OffcutRule:
    """Which offcuts are kept, and what they are worth when a nest weighs them against fresh cloth.

    Parameters
    ----------
    square, area, strip
        Kept when it holds a square of that side or has that area, nowhere narrower than the strip [m, m², m].
    worth
        Share of the roll's price at which a fresh, roomy offcut counts; less with age and for a narrow shape.
    """

    square: PositiveLength = 0.150
    area: SomeArea = 0.03
    strip: PositiveLength = 0.040
    worth: Fraction = 0.5


@stated
class Prices:
    """What consumables cost here, energy, and an hour of the oven besides its energy."""

    film: dict[str, MoneyPerArea] = field(default_factory=dict)
    tape: dict[str, MoneyPerLength] = field(default_factory=dict)
    adhesive: dict[str, MoneyPerMass] = field(default_factory=dict)
    coating: dict[str, MoneyPerVolume] = field(default_factory=dict)
    energy: MoneyPerEnergy
    oven: MoneyPerTime = 0.0
    sundries: SomeMoney = 0.0


@stated
class Hours:
    """When attended work is done."""

    begins: time = time(8, 0)
    ends: time = time(17, 0)
    days: tuple[str, ...] = ("Mon", "Tue", "Wed", "Thu", "Fri")
    first_day: date | None = None


@stated
class Times:
    """How long attended work takes here; each replaces the library's value.

    Parameters
    ----------
    release, cut, bag, leak_test, load_oven, demould, weigh, degrease, fit
        Attended time of each, for one part [s].
    lay_show, lay_backing
        Rate of laying the show ply and the others [m²/s].
    trim
        Rate along the finished edge [m/s].
    drill
        For each hole [s].
    bond
        For each bracket [s].
    fill, coat, flat, polish
        Rate of each pass [m²/s].
    thaw
        Unattended, sealed [s].
    """

    release: PositiveTime | None = None
    template: PositiveTime | None = None
    lay_show: PositiveAreaRate | None = None
    lay_backing: PositiveAreaRate | None = None
    piece: PositiveTime | None = None
    debulk: PositiveTime | None = None
    bag: PositiveTime | None = None
    leak_test: PositiveTime | None = None
    load_oven: PositiveTime | None = None
    demould: PositiveTime | None = None
    weigh: PositiveTime | None = None
    trim: PositiveSpeed | None = None
    drill: PositiveTime | None = None
    degrease: PositiveTime | None = None
    bond: PositiveTime | None = None
    fill: PositiveAreaRate | None = None
    coat: PositiveAreaRate | None = None
    polish: PositiveAreaRate | None = None
    fit: PositiveTime | None = None
    thaw: PositiveTime | None = None


@stated
class Equipment:
    """Equipment that is kept account of apart from parts."""

    name: str
    price: SomeMoney


@stated
class Workshop:
    """A workshop.

    Parameters
    ----------
    name
        What people call it.
    currency
        Three letters; every price must be in it.
    people
        How many work there at once.
    labour
        What an hour of attended work costs.
    overhead
        Share put on labour.
    scrap
        Share of parts that fail.
    profit
        Share put on cost to make the price.
    paper, labels
        In the printer: paper, and the sheet of labels by its name in the library (the first of that paper if empty).
    ink
        In the printer; with black alone, maps are printed as hatches and nothing is grey.
    address
        Where pages of pieces and offcuts are served, as ``http://workshop.local:8000``: codes on labels lead there.
        They say the label's words when empty.
    records
        Where the records are kept, as ``postgresql://name@server/records``; ``records.sqlite`` in the folder when
        empty. A password belongs into the environment (``PGPASSWORD``) or the server's own file, not here.
    stock, offcuts, offers
        Rolls as received, which offcuts are kept, and what can be bought.
    """

    name: str
    note: str = ""
    currency: Currency
    people: int = 1
    labour: MoneyPerTime
    overhead: SomeFraction = 0.0
    scrap: Fraction = 0.1
    profit: SomeFraction = 0.25
    paper: Paper = Paper.A4
    ink: Ink = Ink.COLOUR
    labels: str = ""
    address: Address = ""
    records: str = ""
    room: Room
    oven: Oven
    pump: Pump
    table: CuttingTable = field(default_factory=CuttingTable)
    stock: tuple[Roll, ...] = ()
    offcuts: OffcutRule = field(default_factory=OffcutRule)
    offers: tuple[Offer, ...] = ()
    prices: Prices
    hours: Hours = field(default_factory=Hours)
    times: Times = field(default_factory=Times)
    equipment: tuple[Equipment, ...] = ()
