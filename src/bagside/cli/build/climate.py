"""``bagside build climate TEMPERATURE HUMIDITY``: the room, as it was read."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from bagside.records.database.ledger import Ledger


def climate(
    temperature: Annotated[str, typer.Argument(metavar="TEMPERATURE", help='As in "19 °C".')],
    humidity: Annotated[str, typer.Argument(metavar="HUMIDITY", help='As in "52 %".')],
    build: Annotated[str, typer.Option(help="Of which build; several with commas; every open one else.")] = "",
    place: Annotated[str, typer.Option(help="Of a room in the ledger, in place of a build.")] = "",
    gauge: Annotated[str, typer.Option(help="With what.")] = "",
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Write down temperature and humidity of the room, for the builds that are open; the dew point is said."""
    from bagside.cli import show
    from bagside.cli.build import words
    from bagside.cli.build.found import builds_called, listed, one_of
    from bagside.cli.desk import desk
    from bagside.cli.options import quantity
    from bagside.errors import InputError
    from bagside.finishing.climate import dew_point_magnus
    from bagside.ledger.bodies import Found, Measured, Sort
    from bagside.quantity import Quantity, shown

    warm = quantity(temperature, Quantity.TEMPERATURE, "TEMPERATURE")
    wet = quantity(humidity, Quantity.HUMIDITY, "HUMIDITY")
    if not 0.0 < wet <= 1.0:
        raise InputError.one("HUMIDITY", f'"{humidity}"', "more than 0 % and at most 100 % is wanted")
    if build and place:
        raise InputError.one("--place", f'"{place}"', "a build or a place, one of the two is wanted")
    with desk(workshop, who, at, late=late) as here:
        if place:
            places = list(here.ledger.names(Sort.PLACE))
            subjects = [one_of(place, places, "--place", "there is no place of this name")]
        elif build:
            subjects = [b.name for b in builds_called(here.ledger, build)]
        else:
            subjects = _open(here.ledger)
        events = words.kept(
            here,
            *(
                Measured(subject=name, found=Found.CLIMATE, value=warm, humidity=wet, gauge=gauge)
                for name in subjects
            ),
        )
    dew = dew_point_magnus(warm, wet)
    if json:
        show.emit(
            {
                "kept": [words.event_data(e) for e in events],
                "temperature_c": warm - 273.15,
                "humidity": wet,
                "dew_point_c": dew - 273.15,
                "findings": [],
            }
        )
        return 0
    show.OUT.print(
        f"{listed(subjects)}: {shown(warm, '°C', 1)}, {shown(wet, '%', 0)}; dew point {shown(dew, '°C', 1)}.",
        soft_wrap=True, markup=False,
    )  # fmt: skip
    return 0


def _open(ledger: Ledger) -> list[str]:
    from bagside.errors import InputError
    from bagside.ledger.bodies import Sort

    names = list(ledger.names(Sort.BUILD))
    if not names:
        raise InputError.one("--build", "", "no build is open", "name a --place")
    return names
