"""``bagside stock move NAME … --to PLACE``: out of the freezer, back into it; the clocks follow."""

from __future__ import annotations

from typing import Annotated

import typer

from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson


def move(
    names: Annotated[list[str], typer.Argument(metavar="NAME …", help="Rolls, kits, offcuts, goods.")],
    to: Annotated[str, typer.Option(help="Name of a place.")] = "",
    temperature: Annotated[str, typer.Option(help='Measured there, as in "21 °C"; the place\'s own else.')] = "",
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Move things to another place; their clocks run as warm as it is there."""
    from bagside.cli.desk import desk
    from bagside.cli.stock.found import place_called, thing_called
    from bagside.cli.stock.read import optional
    from bagside.cli.stock.words import answered, kept
    from bagside.errors import InputError
    from bagside.ledger.bodies import CLOTH, GOODS
    from bagside.ledger.clocks.life import lives_of
    from bagside.ledger.clocks.life_notes import time_words
    from bagside.ledger.stock.as_stands import moved_to
    from bagside.ledger.things import Cloth
    from bagside.quantity import Quantity

    if not to.strip():
        raise InputError.one("--to", "", "the name of a place is wanted, as in --to freezer")
    with desk(workshop, who, at, late=late) as here:
        place = place_called(here.ledger, to, "--to")
        things = [thing_called(here.ledger, name, (*CLOTH, *GOODS)) for name in names]
        measured = optional(temperature, Quantity.TEMPERATURE, "--temperature")
        body = moved_to(place, list(dict.fromkeys(t.name for t in things)), temperature=measured)
        events = kept(here, body)
        cloth = [t.name for t in things if isinstance(t, Cloth)]
        lives = lives_of(cloth, here.standing(), here.at)
    sealed = ", sealed" if body.sealed else ""
    said = [f"{', '.join(body.things)} → {place.name}{sealed}."]
    for name, life in lives.items():
        tack = "" if life.tack is None else f", {time_words(life.tack.left_room)} of tack"
        said.append(f"{name}: {time_words(life.out.left_room)} of out-life left in the room{tack}.")
    findings = [f for life in lives.values() for f in life.findings]
    return answered(said, findings, events=events, data={"to": place.name, "sealed": body.sealed}, json=json)
