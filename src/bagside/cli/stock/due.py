"""``bagside stock due``: what ends when, and what can still be made of cloth before it dies, asked of the nest."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from bagside.cli.desk import Folder
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from bagside.ledger.clocks.due import Due
    from bagside.ledger.shop import Shop
    from bagside.ledger.stock.makeable import Makeable


def due(
    name: Annotated[
        list[str] | None, typer.Argument(metavar="[NAME …]", help="Rolls or offcuts; all that die within --days else.")
    ] = None,
    days: Annotated[int, typer.Option(min=0, help="How far ahead is looked.")] = 60,
    job: Annotated[
        list[Path] | None, typer.Option("--job", help="An open job; again for each. All in jobs/ of the workshop else.")
    ] = None,
    make: Annotated[
        bool, typer.Option("--make/--calendar", help="Ask the nest what can be made, or only list what ends.")
    ] = True,
    time: Annotated[str, typer.Option(help="For the nests on each roll or offcut.")] = "6 s",
    workshop: Folder = None,
    json: AsJson = False,
) -> int:
    """Say what of the stock ends when, and what of the open jobs can be made of dying cloth before."""
    from bagside.cli import show
    from bagside.cli.desk import desk
    from bagside.cli.made import writable
    from bagside.cli.options import positive
    from bagside.cli.stock.found import thing_called
    from bagside.ledger.bodies import Sort
    from bagside.ledger.clocks.due import due as calendar_of
    from bagside.ledger.stock.makeable import makeable_in_turn
    from bagside.ledger.stock.makeable_words import in_sentences
    from bagside.planning.stages import Stages
    from bagside.quantity import Quantity
    from bagside.records.open_parts import dying_cloth, open_parts

    seconds = positive(time, Quantity.TIME, "--time")
    with desk(workshop) as here:
        shop = here.standing()
        until = here.at + timedelta(days=days)
        calendar = calendar_of(shop, here.at)
        near = [d for d in calendar if d.when is not None and d.when <= until]
        asked = [thing_called(here.ledger, n, (Sort.ROLL, Sort.OFFCUT)).name for n in name or ()]
        dying, findings = dying_cloth(shop, calendar, asked, until, here.at)
        made: tuple[Makeable, ...] = ()
        if dying and make:
            stages = Stages(store=writable(here.folder / ".bagside-cache"), progress=show.Lines())
            materials = {d.cloth.material for d in dying}
            open_ = open_parts(here.ledger, here.folder, job or (), materials, stages, here.at)
            findings = [*findings, *open_.findings]
            if open_.first is not None:
                now = here.at.astimezone().replace(tzinfo=None)
                made = makeable_in_turn(dying, open_.first, open_.parts, open_.cut, now, seconds=seconds)
        currency = here.shop.currency
        places = {d.name: _place(d, shop) for d in near}
    if json:
        show.emit(
            {
                "calendar": [_due_data(d) for d in near],
                "makeable": [_made_data(m, currency) for m in made],
                "findings": [show.finding_data(f) for f in findings],
            }
        )
        return show.exit_code(findings)
    rows = list(_rows(near, places))
    if rows:
        show.table(f"Ends within {days} days", ["", "where", "tack", "out-life", "last day"], rows)
    else:
        show.OUT.print(f"Nothing ends within {days} days.")
    for one in made:
        show.OUT.print()
        for line in in_sentences(one, currency):
            show.OUT.print(line, soft_wrap=True, markup=False)
    show.show_findings(findings)
    return show.exit_code(findings)


def _place(end: Due, shop: Shop) -> str:
    from bagside.cli.stock.words import place_of

    thing = shop.things.get(end.name)
    return "" if thing is None else place_of(thing, shop.things)


def _rows(near: Sequence[Due], places: dict[str, str]) -> Iterator[list[str]]:
    """Yield a row for each thing, the first to end first: when each of its clocks ends, and its last day."""
    from bagside.ledger.clocks.due import Ends

    by_name: dict[str, dict[Ends, Due]] = {}
    for one in near:
        by_name.setdefault(one.name, {})[one.ends] = one
    for name, ends in by_name.items():
        first = next(iter(ends.values()))
        last = ends.get(Ends.LAST_DAY) or ends.get(Ends.OPENED)
        cells = [_cell(ends.get(Ends.TACK)), _cell(ends.get(Ends.OUT_LIFE)), _cell(last)]
        yield [f"{name}  {first.material}", places[name] or "–", *cells]


def _cell(end: Due | None) -> str:
    from bagside.cli.show import MARK
    from bagside.cli.stock.list import day_of_end
    from bagside.quantity import shown

    if end is None:
        return ""
    used = "" if end.share is None else f" {shown(end.share, '%', 0)}"
    return f"{day_of_end(end)}{used} {MARK[end.basis]}"


def _due_data(end: Due) -> dict[str, Any]:
    return {
        "name": end.name,
        "sort": end.sort.value,
        "material": end.material,
        "ends": end.ends.value,
        "at": None if end.when is None else end.when.isoformat(),
        "used_percent": None if end.share is None else 100.0 * end.share,
        "left_room_h": None if end.left_room is None else end.left_room / 3600.0,
        "severity": end.severity.value,
        "sure": end.sure,
        "basis": end.basis.value,
    }


def _made_data(made: Makeable, currency: str) -> dict[str, Any]:
    from bagside.ledger.stock.makeable_words import in_sentences

    return {
        "name": made.dying.name,
        "material": made.dying.cloth.material,
        "last_day": None if made.dying.last is None else made.dying.last.isoformat(),
        "why": made.dying.why,
        "left_room_h": made.dying.left_room / 3600.0,
        "clock": made.dying.clock,
        "area_m2": made.area,
        "pieces_m2": made.pieces,
        "unused_m2": made.unused,
        "pulled_m": made.length,
        "unused_value": made.value,
        "currency": currency,
        "parts": [
            {
                "job": p.job,
                "parts": p.fit,
                "on_the_cloth": p.on_cloth,
                "wanted": p.wanted,
                "out_h": p.out / 3600.0,
                "in_the_oven": None if p.done is None else p.done.isoformat(),
                "needs_besides": list(p.others),
            }
            for p in made.parts
        ],
        "nests_s": made.seconds,
        "says": list(in_sentences(made, currency)),
    }
