"""``bagside stock open NAME``: a sealed bag is opened after it has thawed, not while water condenses on the cloth."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from bagside.ledger.clocks.thaw import Thaw


def open_bag(
    name: Annotated[str, typer.Argument(metavar="NAME", help="Roll, kit or offcut.")],
    core: Annotated[str, typer.Option(help='Measured in its middle, as in "17 °C"; reckoned else.')] = "",
    room: Annotated[str, typer.Option(help="Air of the room; as read there today, or as usual, else.")] = "",
    humidity: Annotated[str, typer.Option(help='Of the air of the room, as in "55 %".')] = "",
    wet: Annotated[bool, typer.Option("--wet", help="The bag is not dry outside.")] = False,
    anyway: Annotated[bool, typer.Option("--anyway", help="Open it although it is too cold; wants --why.")] = False,
    why: Annotated[str, typer.Option(help="Why it is opened all the same.")] = "",
    ask: Annotated[bool, typer.Option("--ask", help="Only say whether it may be opened; write nothing.")] = False,
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Open a bag: its core must be above the dew point of the room, and the bag dry outside."""
    from bagside.cli.desk import desk
    from bagside.cli.stock.found import thing_called
    from bagside.cli.stock.read import optional
    from bagside.cli.stock.words import answered, kept
    from bagside.errors import InputError
    from bagside.ledger.bodies import CLOTH, Opened
    from bagside.ledger.clocks.thaw import thaw_of
    from bagside.ledger.stock.opening import in_air, not_yet
    from bagside.ledger.things import Cloth
    from bagside.quantity import Quantity

    if anyway and not why.strip():
        raise InputError.one("--why", "", "say why it is opened all the same; it stands in the records")
    with desk(workshop, who, at, late=late) as here:
        cloth = thing_called(here.ledger, name, CLOTH)
        assert isinstance(cloth, Cloth)
        measured = optional(core, Quantity.TEMPERATURE, "--core")
        air = optional(room, Quantity.TEMPERATURE, "--room")
        damp = optional(humidity, Quantity.HUMIDITY, "--humidity")
        shop = here.standing()
        found = thaw_of(cloth, shop, here.at)
        if air is not None or damp is not None:
            warm, moist = (found.room if air is None else air), (found.humidity if damp is None else damp)
            found = thaw_of(cloth, in_air(shop, cloth, warm, moist, here.at), here.at)
        stop = not_yet(found, measured, wet=wet)
        if ask:
            said = [_outlook(found)] if stop is None else []
            return answered(said, [] if stop is None else [stop], data={"thaw": thaw_data(found)}, json=json)
        if stop is not None and not anyway:
            said = ["It stays shut: nothing was written down."]
            return answered(said, [stop], data={"thaw": thaw_data(found)}, json=json)
        body = Opened(
            thing=cloth.name,
            core=measured,
            room=found.room,
            humidity=found.humidity,
            dry=not wet,
            why=why if stop is not None else "",
        )
        events = kept(here, body)
    how = "opened" if stop is None else "opened all the same; it stands in the records with who and why"
    return answered([f"{cloth.name}: {how}."], events=events, data={"thaw": thaw_data(found)}, json=json)


def thaw_data(found: Thaw) -> dict[str, Any]:
    """Return a thaw as JSON data.

    Parameters
    ----------
    found
        Of cloth.
    """
    import math

    return {
        "name": found.name,
        "openable": found.openable,
        "core_c": found.core - 273.15,
        "room_c": found.room - 273.15,
        "humidity_percent": 100.0 * found.humidity,
        "dew_point_c": found.dew_point - 273.15,
        "needed_c": found.needed - 273.15,
        "takes_h": None if math.isinf(found.takes) else found.takes / 3600.0,
        "out_since": None if found.out_since is None else found.out_since.isoformat(),
        "opened": None if found.opened is None else found.opened.isoformat(),
    }


def _outlook(found: Thaw) -> str:
    from bagside.cli.build.words import clock
    from bagside.quantity import shown

    if found.opened is not None:
        return f"{found.name}: it is open since {clock(found.opened)}."
    return f"{found.name}: it may be opened when it is dry outside; its core is at about {shown(found.core, '°C', 0)}."
