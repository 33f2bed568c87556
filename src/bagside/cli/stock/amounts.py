"""``bagside stock count``, ``spend`` and ``discard``: how much is there, what was used, what is gone for good."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from bagside.records.database.ledger import Ledger

Name = Annotated[str, typer.Argument(metavar="NAME", help="On its label.")]
Mass = Annotated[str, typer.Option("--mass", help='As in "120 g".')]
Volume = Annotated[str, typer.Option("--volume", help='As in "300 mL".')]
Pieces = Annotated[str, typer.Option("--count", help="In pieces.")]


def count(
    name: Name,
    length: Annotated[str, typer.Option(help='Left on a roll, as in "11.4 m".')] = "",
    mass: Mass = "",
    volume: Volume = "",
    pieces: Pieces = "",
    why: Annotated[str, typer.Option(help="How the difference is explained, if it is.")] = "",
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Write down how much is really there: it replaces what was reckoned."""
    from bagside.cli.desk import desk
    from bagside.cli.stock.found import thing_called
    from bagside.cli.stock.read import optional, whole
    from bagside.cli.stock.words import amount_data, amount_of, answered, kept
    from bagside.ledger.bodies import GOODS, Counted, Sort
    from bagside.ledger.stock.count_notes import counted_findings
    from bagside.ledger.things import Cloth
    from bagside.quantity import Quantity

    with desk(workshop, who, at, late=late) as here:
        before = thing_called(here.ledger, name, (Sort.ROLL, *GOODS))
        body = Counted(
            thing=before.name,
            length=optional(length, Quantity.LENGTH, "--length"),
            mass=optional(mass, Quantity.MASS, "--mass"),
            volume=optional(volume, Quantity.VOLUME, "--volume"),
            count=whole(pieces, "--count"),
            why=why,
        )
        events = kept(here, body)
        after = here.ledger.thing(before.name)
    assert after is not None
    said = [f"{before.name}: reckoned {amount_of(before)}, counted {amount_of(after)}."]
    data = {"reckoned": amount_data(before), "counted": amount_data(after)}
    found = counted_findings(before, body.length) if isinstance(before, Cloth) and body.length is not None else ()
    return answered(said, found, events=events, data=data, json=json)


def spend(
    name: Name,
    mass: Mass = "",
    volume: Volume = "",
    pieces: Pieces = "",
    build: Annotated[str, typer.Option(help="For which build.")] = "",
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Write down what was used of an adhesive, a coating or a consumable."""
    from bagside.cli.desk import desk
    from bagside.cli.stock.found import thing_called
    from bagside.cli.stock.read import optional, whole
    from bagside.cli.stock.words import amount_data, amount_of, answered, kept
    from bagside.ledger.bodies import GOODS, Spent
    from bagside.quantity import Quantity

    with desk(workshop, who, at, late=late) as here:
        before = thing_called(here.ledger, name, GOODS)
        serial = _build(here.ledger, build)
        body = Spent(
            thing=before.name,
            mass=optional(mass, Quantity.MASS, "--mass"),
            volume=optional(volume, Quantity.VOLUME, "--volume"),
            count=whole(pieces, "--count"),
            build=serial,
        )
        events = kept(here, body)
        after = here.ledger.thing(before.name)
    assert after is not None
    said = [f"{before.name}: {amount_of(after)} left."]
    return answered(said, events=events, data={"left": amount_data(after)}, json=json)


def discard(
    names: Annotated[list[str], typer.Argument(metavar="NAME …", help="On their labels.")],
    why: Annotated[str, typer.Option(help="Expired, spoiled, sold, …")] = "",
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Write down that things are gone for good; what was cut from them stays."""
    from bagside.cli.desk import desk
    from bagside.cli.stock.found import thing_called
    from bagside.cli.stock.words import answered, kept
    from bagside.errors import InputError
    from bagside.ledger.bodies import Discarded

    if not why.strip():
        raise InputError.one("--why", "", "say why, as in: expired, spoiled, sold")
    with desk(workshop, who, at, late=late) as here:
        found = dict.fromkeys(thing_called(here.ledger, name).name for name in names)
        events = kept(here, *(Discarded(thing=name, why=why) for name in found))
    said = [
        f"Gone: {', '.join(found)}.",
        "Uncured prepreg and mixed resin are waste as their safety data sheets and your local rules say; resin in bulk "
        "heats itself: cure it in a thin layer first.",
    ]
    return answered(said, events=events, json=json)


def _build(ledger: Ledger, text: str) -> str:
    from bagside.cli.build.found import build_called

    return build_called(ledger, text).name if text.strip() else ""
