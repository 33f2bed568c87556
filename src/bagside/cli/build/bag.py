"""``bagside build bag BUILD``: the part is in its bag."""

from __future__ import annotations

from typing import Annotated

import typer

from bagside.cli.build import given
from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson


def bag(
    build: given.Serial,
    item: Annotated[
        list[str] | None, typer.Option("--item", help="Bag, tape, breather by name in stock; again for each.")
    ] = None,
    note: Annotated[str, typer.Option(help="What was reused, or stacked otherwise than planned.")] = "",
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Write down that the part is bagged, and with what: what sees the cure is known later by these names."""
    from bagside.cli.build import words
    from bagside.cli.build.found import build_called, listed, one_of, planned_step
    from bagside.cli.build.gated import stopped
    from bagside.cli.desk import desk
    from bagside.findings import Severity
    from bagside.ledger.bodies import GOODS, Bagged
    from bagside.ledger.stock.goods_events import not_offered
    from bagside.ledger.things import Goods

    with desk(workshop, who, at, late=late) as here:
        found = build_called(here.ledger, build)
        there = list(here.ledger.names(*GOODS, there=None))
        items = tuple(
            dict.fromkeys(one_of(i, there, "--item", "nothing in stock is called so") for i in item or ())
        )
        step = planned_step(found, "bag")
        code = stopped(here, [] if step is None else [(found, step)], "write it down", json=json)
        if code:
            return code
        goods = [thing for name in items if isinstance(thing := here.ledger.thing(name), Goods)]
        events = words.kept(here, Bagged(build=found.name, items=items, note=note))
        now = words.again(here, found.name)
    findings = []
    for worn in (not_offered(g, g.use) for g in goods):
        if worn:
            findings.append(
                words.seen(
                    f"{found.name}, bag",
                    worn,
                    "film that has been hot once is brittle and bursts in the next cure",
                    "take another one, and write down with what it is bagged then",
                    Severity.STOP,
                )
            )
    if not items:
        findings.append(
            words.seen(
                f"{found.name}, bag",
                "no bag is named",
                "a bag that has seen a cure must not be used again, and nobody will know of this one",
                "name it with --item when bags are in stock",
                Severity.SEEN,
            )
        )
    with_what = f" with {listed(items)}" if items else ""
    return words.answered(now, [f"{found.name} is bagged{with_what}."], findings, events=events, json=json)
