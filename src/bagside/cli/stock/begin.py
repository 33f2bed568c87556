"""``bagside stock begin``: the workshop keeps records from now on; what its files state is taken over."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from bagside.cli.desk import At, Folder, Who
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from bagside.ledger.stock.taking_over import TakenOver
    from bagside.records.desk import Desk


def begin(workshop: Folder = None, who: Who = "", at: At = "", json: AsJson = False) -> int:
    """Begin the records of a workshop: rolls, offcuts and what was taken, as its files state them; again takes new."""
    from bagside.cli.desk import desk, found_folder

    folder = found_folder(workshop)
    wrong_first(folder)
    with desk(folder, who, at, begin=True) as here:
        found = _taken(here)
        added = here.ledger.add(found.events)
        from bagside.records.database.standing import Standing

        count = len(Standing(here.ledger))
    return _told(found, len(added.new), count, json=json)


def wrong_first(folder: Path) -> None:
    """Refuse files that contradict themselves before there are any records.

    Parameters
    ----------
    folder
        Of the workshop.

    Raises
    ------
    InputError
        With every problem.
    """
    from bagside.ledger.stock.taking_over import refused
    from bagside.records.stock_file import StockFile
    from bagside.spec.library import workshop_library
    from bagside.spec.reading import load_toml, stated_from
    from bagside.spec.workshop import Workshop

    shop = stated_from(load_toml(folder / "workshop.toml"), Workshop, "workshop.toml")
    refused(shop, StockFile.read(folder).stock, workshop_library(folder))


def _taken(here: Desk) -> TakenOver:
    from bagside.ledger.stock.taking_over import Teller, taken_over
    from bagside.records.stock_file import StockFile

    names = here.ledger.things(there=None)
    return taken_over(
        here.shop,
        StockFile.read(here.folder).stock,
        here.library,
        kept=here.ledger.event,
        there=names,
        teller=Teller(who=here.who, device=here.device, at=here.at, zone=here.zone),
    )


def _told(found: TakenOver, new: int, count: int, *, json: bool) -> int:
    from collections import Counter

    from bagside.cli.stock.words import answered
    from bagside.ledger.bodies import Cut, Received

    sorts = Counter(e.body.sort.value for e in found.events if isinstance(e.body, Received))
    cuts = sum(isinstance(e.body, Cut) for e in found.events)
    words = [f"{n} {sort}{'s' if n > 1 else ''}" for sort, n in sorts.items()]
    words += [f"{cuts} {'cuts' if cuts > 1 else 'cut'} of before"] if cuts else []
    if not new:
        said = [f"Nothing new: the files state nothing that the records do not know; {count} things are there."]
    else:
        said = [
            f"Taken over: {', '.join(words)}. {count} things are there.",
            "From now on the records count: cut --accept, keep and stock write there; workshop.toml's [[stock]] and "
            "stock.toml are left as they are and are history.",
            "A roll that is new: bagside stock receive roll NAME …; or state it in workshop.toml and begin again.",
        ]
    data = {"taken_over": {**sorts, "cuts": cuts}, "things": count}
    return answered(said, found.findings, events=found.events, data=data, json=json)
